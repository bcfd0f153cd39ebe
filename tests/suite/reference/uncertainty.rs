//! Combined uncertainty.

use std::cell::RefCell;
use std::collections::BTreeMap;

use loambook::figures::tape::{Tape, Var};
use loambook::physics::air::{self, Surroundings};
use loambook::physics::uncertainty::{Component, combine, of_one_pool, pooled};
use loambook::physics::{Attitude, Number, loads, springs};

use super::case::{Inputs, Outputs};
use super::{geometry, springs as spring_cases};

pub fn compute(computation: &str, inputs: &Inputs) -> Option<Outputs> {
    match computation {
        "correlated" => Some(correlated(inputs)),
        "root_sum_square" => Some(root_sum_square(inputs)),
        "difference_with_bias" => Some(difference_with_bias(inputs)),
        "mean_with_bias" => Some(mean_with_bias(inputs)),
        "uncertain" => Some(match inputs.text("model") {
            "reading" => reading(inputs),
            "sag" => sag(inputs),
            "fit" => fit(inputs),
            "attitude" => attitude(inputs),
            "pressure" => pressure(inputs),
            other => panic!("no model `{other}`"),
        }),
        _ => None,
    }
}

/// Error sources on a tape, with what is known of each, and the scatter that all readings share.
struct Sources {
    tape: Tape,
    /// Of each source, what is known exactly and what scatters.
    known: RefCell<Vec<(f64, f64)>>,
    pool: Component,
}

/// Sets of repeats, pooled with the case's prior where it has one; unknown where there are no repeats either.
fn pool(inputs: &Inputs, sets: &[Vec<f64>]) -> Component {
    let before = Component {
        u: inputs.maybe("prior").unwrap_or(0.0),
        freedom: inputs.maybe("prior_freedom").unwrap_or(0.0),
    };
    let squares = sets.iter().map(|set| {
        let mean = set.iter().sum::<f64>() / set.len() as f64;
        set.iter().map(|value| (value - mean) * (value - mean)).sum::<f64>()
    });
    let freedom: f64 = sets.iter().map(|set| set.len() as f64 - 1.0).sum();
    if before.freedom + freedom == 0.0 {
        return Component::known(0.0);
    }
    pooled(before, squares.sum(), freedom)
}

impl Sources {
    fn new() -> Self {
        Self::with(Component::known(0.0))
    }

    fn with(pool: Component) -> Self {
        Self { tape: Tape::new(), known: RefCell::default(), pool }
    }

    fn source(&self, value: f64, known: Component) -> Var<'_> {
        self.known.borrow_mut().push((known.u, 0.0));
        self.tape.source(value)
    }

    /// The mean of readings to the nearest division, of which half the width is given.
    fn reading(&self, values: &[f64], half_width: f64) -> Var<'_> {
        let division = Component::of_half_width(half_width);
        self.known.borrow_mut().push((division.u, self.pool.of_mean(values.len()).u));
        self.tape.source(values.iter().sum::<f64>() / values.len() as f64)
    }

    fn bias(&self, half_width: f64) -> Var<'_> {
        self.source(0.0, Component::of_half_width(half_width))
    }

    fn of(&self, result: Var<'_>) -> Component {
        let known = self.known.borrow();
        let gradient = self.tape.gradient(result);
        let mut components: Vec<Component> =
            gradient.iter().map(|(source, slope)| Component::known(slope * known[*source].0)).collect();
        let scatter: Vec<f64> = gradient.iter().map(|(source, slope)| slope * known[*source].1).collect();
        components.push(of_one_pool(&scatter, self.pool.freedom));
        combine(&components)
    }

    fn answer(&self, result: Var<'_>) -> Outputs {
        let combined = self.of(result);
        Outputs::new()
            .number("value", result.value())
            .number("standard", combined.u)
            .number("expanded", combined.expanded())
            .number("scatter", self.pool.u)
            .number("freedom", self.pool.freedom)
    }
}

/// Simultaneous readings: their errors are correlated. So the figure made from them is worked out for each set
/// of readings, to first order about the mean, and scatters as a single reading would (JCGM 100:2008, H.2,
/// approach 2, linearised).
fn correlated(inputs: &Inputs) -> Outputs {
    let readings = ["V", "I", "phi"].map(|name| inputs.numbers(name));
    let count = readings[0].len();
    let tape = Tape::new();
    let means = readings.each_ref().map(|values| tape.source(values.iter().sum::<f64>() / count as f64));
    let [volts, amperes, phase] = means;
    let impedance = volts / amperes;
    let made = [impedance * phase.cos(), impedance * phase.sin(), impedance];
    let scattered = made.map(|result| {
        let gradient = tape.gradient(result);
        let of_set = |set: usize| {
            gradient.iter().map(|(source, derivative)| derivative * readings[*source][set]).sum::<f64>()
        };
        (0..count).map(of_set).collect::<Vec<f64>>()
    });
    let standard = |values: &[f64]| pool(inputs, &[values.to_vec()]).of_mean(count).u;
    let correlation = |one: &[f64], other: &[f64]| {
        let sum: Vec<f64> = one.iter().zip(other).map(|(one, other)| one + other).collect();
        let (u, v, both) = (standard(one), standard(other), standard(&sum));
        (both * both - u * u - v * v) / (2.0 * u * v)
    };
    let [resistance, reactance, total] = &scattered;
    Outputs::new()
        .number("R", made[0].value())
        .number("X", made[1].value())
        .number("Z", made[2].value())
        .number("u_R", standard(resistance))
        .number("u_X", standard(reactance))
        .number("u_Z", standard(total))
        .number("r_RX", correlation(resistance, reactance))
        .number("r_RZ", correlation(resistance, total))
        .number("r_XZ", correlation(reactance, total))
}

fn root_sum_square(inputs: &Inputs) -> Outputs {
    let components: Vec<Component> = inputs.numbers("components").into_iter().map(Component::known).collect();
    Outputs::new().number("u", combine(&components).u)
}

fn difference_with_bias(inputs: &Inputs) -> Outputs {
    let sources = Sources::new();
    let half_width = inputs.number("half_width");
    let bias = sources.bias(inputs.number("bias"));
    let [first, second] =
        ["first", "second"].map(|name| sources.reading(&[inputs.number(name)], half_width) + bias);
    sources.answer(first - second)
}

fn mean_with_bias(inputs: &Inputs) -> Outputs {
    let readings = inputs.numbers("readings");
    let sources = Sources::with(pool(inputs, std::slice::from_ref(&readings)));
    let mean = sources.reading(&readings, inputs.number("half_width"));
    sources.answer(mean + sources.bias(inputs.number("bias")))
}

fn reading(inputs: &Inputs) -> Outputs {
    let readings = inputs.numbers("readings");
    let mut sets = inputs.maybe_lists("others").unwrap_or_default();
    sets.push(readings.clone());
    let sources = Sources::with(pool(inputs, &sets));
    sources.answer(sources.reading(&readings, inputs.number("half_width")))
}

fn sag(inputs: &Inputs) -> Outputs {
    let sets = ["hanging", "loaded"].map(|name| inputs.numbers(name));
    let sources = Sources::with(pool(inputs, &sets));
    let [hanging, loaded] = sets.map(|set| sources.reading(&set, inputs.number("half_width")));
    sources.answer(hanging - loaded)
}

fn fit(inputs: &Inputs) -> Outputs {
    let sources = Sources::new();
    let source =
        |name: &str, u: &str| sources.source(inputs.number(name), Component::known(inputs.number(u)));
    let hanging = sources.source(0.0, Component::known(inputs.maybe("u_hanging").unwrap_or(0.0)));
    let pair = |mass: &str, sag: &str| {
        let load = loads::weight(source(mass, "u_mass"));
        (load, source(sag, &format!("u_{sag}")) + hanging)
    };
    let leverage = spring_cases::leverage(inputs);
    let fitted = springs::fitted(
        &leverage,
        Var::constant(0.0),
        pair("own_mass", "static"),
        pair("aboard_mass", "rider"),
    )
    .unwrap();
    Outputs::new()
        .number("rate", fitted.rate.value())
        .number("expanded_rate", sources.of(fitted.rate).expanded())
        .number("preload", fitted.preload.value())
        .number("expanded_preload", sources.of(fitted.preload).expanded())
}

fn attitude(inputs: &Inputs) -> Outputs {
    let sources = Sources::new();
    let spread = inputs.maybe_table("u").unwrap();
    let recorded = |name: &str| {
        let value = inputs.maybe(name)?;
        Some(match spread.maybe(name) {
            Some(u) => sources.source(value, Component::known(u)),
            None => Var::constant(value),
        })
    };
    // Once each, so that two uses of a reading share its error.
    let numbers: BTreeMap<&str, Var<'_>> =
        inputs.names().into_iter().filter_map(|name| Some((name, recorded(name)?))).collect();
    let maybe = |name: &str| numbers.get(name).copied();
    let reference = geometry::reference(|name| maybe(name).unwrap());
    let attitude = Attitude::of(&reference, &geometry::setup(maybe, &reference)).unwrap();
    let squat = geometry::squat_of(inputs, maybe, &attitude).unwrap();
    let figures = [
        ("rake", attitude.rake),
        ("trail", attitude.trail),
        ("wheelbase", attitude.wheelbase),
        ("anti_squat", squat.share),
    ];
    figures.into_iter().fold(Outputs::new(), |outputs, (name, figure)| {
        let expanded = sources.of(figure).expanded();
        outputs.number(name, figure.value()).number(&format!("expanded_{name}"), expanded)
    })
}

fn pressure(inputs: &Inputs) -> Outputs {
    let sources = Sources::new();
    let source =
        |name: &str, u: &str| sources.source(inputs.number(name), Component::known(inputs.number(u)));
    let around = |place: &str| Surroundings {
        temperature: source(place, "u_temperature"),
        atmosphere: Var::constant(inputs.number(&format!("{place}_atmosphere"))),
    };
    sources.answer(air::taken_to(source("pressure", "u_pressure"), around("from"), around("to")))
}
