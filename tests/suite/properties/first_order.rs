//! First-order uncertainty against the spread of many draws (JCGM 101:2008), and the derivatives of the
//! recording number against differences.

use loambook::figures::tape::Tape;
use loambook::physics::air::{self, Chamber, Side, Surroundings};
use loambook::physics::engine::{self, Numbering};
use loambook::physics::fork::Coil;
use loambook::physics::geometry::{self, Reference, Setup};
use loambook::physics::springs::{self, Shock};
use loambook::physics::uncertainty::{Component, combine, coverage_factor, pooled};
use loambook::physics::{Attitude, Fork, Leverage, Number, loads, weather};

use super::draws::Draws;
use super::{by_differences, close};

const DRAWS: u32 = 10_000;
/// The standard deviation of so many draws is itself known to 0.7 %. Five times that is allowed, and as much
/// again because these formulas are not straight within their uncertainty.
const AGREEMENT: f64 = 0.04;

/// A figure of several uncertain numbers, in numbers of any kind.
trait Formula {
    fn of<N: Number>(x: &[N]) -> N;
}

macro_rules! formulas {
    ($($(#[$doc:meta])* $name:ident: |$x:ident| $formula:expr;)*) => {
        $($(#[$doc])* struct $name; impl Formula for $name {
            fn of<N: Number>($x: &[N]) -> N { $formula }
        })*
    };
}

fn stands<N: Number>(x: &[N]) -> Attitude<N> {
    let [rake, wheelbase, radius, trail, sag, height] = x else { panic!("six numbers") };
    let constant = N::constant;
    let reference = Reference {
        rake: *rake,
        wheelbase: *wheelbase,
        front_radius: *radius,
        rear_radius: constant(0.336),
        offset: geometry::offset_of_trail(*radius, *rake, *trail),
        fork_height: constant(0.005),
        front_sag: constant(0.0),
        rear_sag: constant(0.0),
        swingarm: constant(0.582),
        pivot_height: constant(0.408),
    };
    let setup = Setup { rear_sag: *sag, fork_height: *height, ..reference.setup() };
    Attitude::of(&reference, &setup).unwrap()
}

const LEVERAGE: Leverage = Leverage::Linear { extended: 2.85, bottomed: 2.25, travel: 0.3 };

fn rear<N: Number>(rate: N, preload: N) -> Shock<'static, N> {
    Shock { leverage: &LEVERAGE, travel: N::constant(0.3), rate, preload, gas_force: N::constant(0.0) }
}

formulas! {
    /// Rake, wheelbase, radius, trail, rear sag, fork height.
    Trail: |x| stands(x).trail;
    Wheelbase: |x| stands(x).wheelbase;
    /// Sea-level pressure, elevation, temperature, humidity.
    DensityAltitude: |x| {
        let density = weather::air_density(weather::station_pressure(x[0], x[1]), x[2], x[3]);
        weather::density_altitude(density).unwrap()
    };
    /// The same, and the jet.
    MainJet: |x| {
        let density = weather::air_density(weather::station_pressure(x[0], x[1]), x[2], x[3]);
        engine::jet_for_air(x[4], density / 1.2, Numbering::Diameter)
    };
    PowerCorrection: |x| {
        let dry = weather::dry_pressure(weather::station_pressure(x[0], x[1]), x[2], x[3]);
        engine::sae_j1349(dry, x[2]) * engine::iso_1585(dry, x[2])
    };
    /// Mass, rate, preload: found by a search.
    RiderSag: |x| {
        let shock = rear(x[1], x[2]);
        shock.rest(loads::weight(x[0])).unwrap().used(shock.travel)
    };
    /// Two masses, two sags.
    FittedRate: |x| {
        let (one, other) = ((loads::weight(x[0]), x[1]), (loads::weight(x[2]), x[3]));
        springs::fitted(&LEVERAGE, N::constant(0.0), one, other).unwrap().rate
    };
    /// Load, spring, preload, pressure: found by a search.
    ForkSag: |x| {
        let constant = N::constant;
        let coil = Coil { rate: x[1], preload: x[2] };
        let chamber = Chamber {
            side: Side::Positive,
            area: constant(1.1e-3),
            volume: constant(5e-4),
            pressure: x[3],
        };
        let fork = Fork::new(constant(0.3), Some(coil), vec![chamber], constant(101_325.0)).unwrap();
        fork.rest(x[0]).unwrap().used(constant(0.3))
    };
    /// Pressure, two temperatures, two atmospheres.
    AtTheGate: |x| {
        let bench = Surroundings { temperature: x[1], atmosphere: x[3] };
        let gate = Surroundings { temperature: x[2], atmosphere: x[4] };
        air::taken_to(x[0], bench, gate)
    };
}

/// Numbers with their standard uncertainties.
type Inputs = [(f64, f64)];

const CHASSIS: [(f64, f64); 6] =
    [(0.4712, 9e-4), (1.485, 1e-3), (0.343, 5e-4), (0.118, 5e-4), (0.105, 4e-4), (0.008, 3e-4)];
const AIR: [(f64, f64); 5] = [(101_600.0, 100.0), (240.0, 5.0), (291.15, 0.6), (0.6, 0.05), (170.0, 0.3)];
const REAR: [(f64, f64); 3] = [(85.5, 0.4), (51_000.0, 400.0), (0.005, 3e-4)];
const SAGS: [(f64, f64); 4] = [(34.2, 0.1), (0.037, 3e-4), (85.5, 0.1), (0.105, 3e-4)];
const FORK: [(f64, f64); 4] = [(600.0, 8.0), (4_400.0, 60.0), (0.01, 5e-4), (20e3, 2e3)];
const GATE: [(f64, f64); 5] =
    [(12.96e5, 4e3), (279.15, 0.5), (300.15, 0.5), (101_325.0, 100.0), (100_000.0, 100.0)];

fn check<F: Formula>(name: &str, inputs: &Inputs) {
    let tape = Tape::new();
    let sources: Vec<_> = inputs.iter().map(|(value, _)| tape.source(*value)).collect();
    let result = F::of(&sources);
    let values: Vec<f64> = inputs.iter().map(|(value, _)| *value).collect();
    assert!(close(result.value(), F::of(&values), 1e-14, 0.0), "{name}: the value itself");

    let mut components = Vec::new();
    let gradient = tape.gradient(result);
    for (source, (value, u)) in inputs.iter().enumerate() {
        let found = gradient.iter().find(|(number, _)| *number == source).map_or(0.0, |(_, slope)| *slope);
        let varied = |value: f64| {
            let mut values = values.clone();
            values[source] = value;
            F::of(&values)
        };
        let wanted = by_differences(varied, *value, *u);
        assert!(close(found * u, wanted * u, 1e-5, 1e-6 * result.value().abs()), "{name}: {source}");
        components.push(Component::known(found * u));
    }

    let mut draws = Draws::new(20_240_229);
    let mut drawn = Vec::new();
    for _ in 0..DRAWS {
        let values: Vec<f64> = inputs.iter().map(|(value, u)| value + u * draws.normal()).collect();
        drawn.push(F::of(&values));
    }
    let mean = drawn.iter().sum::<f64>() / f64::from(DRAWS);
    let squares: f64 = drawn.iter().map(|value| (value - mean) * (value - mean)).sum();
    let spread = (squares / f64::from(DRAWS - 1)).sqrt();
    let first_order = combine(&components).u;
    assert!(close(first_order, spread, AGREEMENT, 0.0), "{name}: {first_order} {spread}");
    assert!((mean - result.value()).abs() < AGREEMENT * spread, "{name}: the mean is off");
}

#[test]
fn geometry_spreads_as_first_order_says() {
    check::<Trail>("trail", &CHASSIS);
    check::<Wheelbase>("wheelbase", &CHASSIS);
}

#[test]
fn weather_and_engine_spread_as_first_order_says() {
    check::<DensityAltitude>("density altitude", &AIR[..4]);
    check::<PowerCorrection>("power", &AIR[..4]);
    check::<MainJet>("main jet", &AIR);
}

#[test]
fn springs_spread_as_first_order_says() {
    check::<RiderSag>("rider sag", &REAR);
    check::<FittedRate>("fitted rate", &SAGS);
}

#[test]
fn air_spreads_as_first_order_says() {
    check::<ForkSag>("fork sag", &FORK);
    check::<AtTheGate>("at the gate", &GATE);
}

/// Three repeats and Student's factor hold the true value as often as they say.
#[test]
fn few_repeats_are_covered() {
    let mut draws = Draws::new(7);
    let nothing_before = Component { u: 0.0, freedom: 0.0 };
    for repeats in [2_usize, 3, 6] {
        let mut held = 0_u32;
        for _ in 0..DRAWS {
            let values: Vec<f64> = (0..repeats).map(|_| draws.normal()).collect();
            let mean = values.iter().sum::<f64>() / repeats as f64;
            let squares = values.iter().map(|value| (value - mean) * (value - mean)).sum();
            let scatter = pooled(nothing_before, squares, repeats as f64 - 1.0);
            held += u32::from(mean.abs() <= scatter.of_mean(repeats).expanded());
        }
        // Five standard deviations of a share of so many draws.
        let share = f64::from(held) / f64::from(DRAWS);
        assert!((share - 0.9545).abs() < 0.0105, "{repeats}: {share}");
    }
    assert!(coverage_factor(2.0) > 4.5);
}
