//! Air springs and pressures.

use loambook::physics::air::{self, Chamber, Side, Surroundings};
use loambook::physics::{Fork, Rest};

use super::case::{Inputs, Outputs};
use super::springs;

/// Used where a case gives none, Pa.
pub const STANDARD_ATMOSPHERE: f64 = 101_325.0;

pub fn compute(computation: &str, inputs: &Inputs) -> Option<Outputs> {
    match computation {
        "fork_curve" => Some(fork_curve(inputs)),
        "fork_force_at" => {
            let fork = fork(inputs, "chambers", 2.0 * inputs.number("at")).unwrap();
            let force = fork.force(inputs.number("at"), inputs.number("exponent"));
            Some(Outputs::new().number("force", force))
        }
        "compare_forks" => Some(compare_forks(inputs)),
        "front_air" => {
            let fork = fork(inputs, "chambers", inputs.number("travel")).unwrap();
            Some(springs::front(inputs, &fork))
        }
        "pressure_at" => {
            let pressure =
                air::taken_to(inputs.number("pressure"), around(inputs, "from"), around(inputs, "to"));
            Some(Outputs::new().number("pressure", pressure))
        }
        "set_on_bench" => {
            let pressure =
                air::taken_to(inputs.number("wanted"), around(inputs, "gate"), around(inputs, "bench"));
            Some(Outputs::new().number("pressure", pressure))
        }
        "chamber_pressure_at" => Some(squeezed(inputs)),
        _ => None,
    }
}

/// Where a suspension rests, from the case's keys.
pub fn settled(rest: Rest<f64>, travel: f64) -> Outputs {
    let state = match rest {
        Rest::ToppedOut => "topped out",
        Rest::Floating(_) => "floating",
        Rest::Bottomed => "bottomed",
    };
    Outputs::new().text("state", state).number("sag", rest.used(travel))
}

fn around(inputs: &Inputs, place: &str) -> Surroundings<f64> {
    Surroundings {
        temperature: inputs.number(place),
        atmosphere: inputs.number(&format!("{place}_atmosphere")),
    }
}

fn chamber(inputs: &Inputs) -> Chamber<f64> {
    let side = match inputs.text("side") {
        "positive" => Side::Positive,
        "negative" => Side::Negative,
        other => panic!("a chamber has no side `{other}`"),
    };
    let area = inputs.maybe("area").unwrap_or_else(|| air::bore_area(inputs.number("bore")));
    Chamber { side, area, volume: inputs.number("volume"), pressure: inputs.number("pressure") }
}

/// The chambers of a case.
pub fn chambers(inputs: &Inputs) -> Vec<Chamber<f64>> {
    inputs.tables("chambers").iter().map(chamber).collect()
}

fn fork(
    inputs: &Inputs,
    name: &str,
    travel: f64,
) -> Result<Fork<f64>, loambook::physics::fork::OutOfRoom<f64>> {
    let chambers = inputs.tables(name).iter().map(chamber).collect();
    Fork::new(travel, None, chambers, inputs.maybe("atmosphere").unwrap_or(STANDARD_ATMOSPHERE))
}

fn fork_curve(inputs: &Inputs) -> Outputs {
    let exponent = inputs.number("exponent");
    match fork(inputs, "chambers", inputs.number("travel")) {
        Ok(fork) => {
            let at_quarters = |figure: fn(&Fork<f64>, f64, f64) -> f64| {
                fork.quarters().map(|place| figure(&fork, place, exponent))
            };
            Outputs::new()
                .truth("runs_out", false)
                .numbers("forces", &at_quarters(Fork::force))
                .numbers("stiffnesses", &at_quarters(Fork::stiffness))
                .number("energy", fork.energy(fork.travel(), exponent))
                .numbers("chamber_full_travel", &fork.pressures(fork.travel(), exponent))
        }
        Err(short) => Outputs::new().truth("runs_out", true).number("runs_out_at", short.at),
    }
}

fn compare_forks(inputs: &Inputs) -> Outputs {
    let (travel, exponent) = (inputs.number("travel"), inputs.number("exponent"));
    let first = fork(inputs, "first", travel).unwrap();
    let second = fork(inputs, "second", travel).unwrap();
    let difference = |place: f64| second.force(place, exponent) - first.force(place, exponent);
    let most = first.largest_difference(&second, exponent, travel);
    Outputs::new()
        .numbers("differences", &first.quarters().map(difference))
        .number("largest_at", most)
        .number("largest", difference(most))
        .number("energy_difference", second.energy(travel, exponent) - first.energy(travel, exponent))
}

/// A chamber squeezed to the inverse of `ratio` of its volume.
fn squeezed(inputs: &Inputs) -> Outputs {
    let (area, volume) = (1e-3, 4e-4);
    let chamber = Chamber { side: Side::Positive, area, volume, pressure: inputs.number("pressure") };
    let travel = volume / area * (1.0 - 1.0 / inputs.number("ratio"));
    let pressure = chamber.pressure_at(travel, inputs.number("exponent"), STANDARD_ATMOSPHERE);
    Outputs::new().number("pressure", pressure)
}
