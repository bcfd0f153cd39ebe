//! Springs, sag and wheel rates.

use loambook::physics::air::{self, Chamber};
use loambook::physics::fork::{self, Coil, Fork};
use loambook::physics::springs::{self, Candidate, Shock};
use loambook::physics::{Leverage, Rest, loads};

use super::air::{STANDARD_ATMOSPHERE, settled};
use super::case::{Inputs, Outputs};

pub fn compute(computation: &str, inputs: &Inputs) -> Option<Outputs> {
    match computation {
        "coil_rate" => Some(coil_rate(inputs)),
        "sag_readings" => Some(sag_readings(inputs)),
        "stiction_rear" => Some(stiction_rear(inputs)),
        "stiction_front" => Some(stiction_front(inputs)),
        "rear_sag" => Some(rear_sag(inputs)),
        "leverage" => Some(leverage_at(inputs)),
        "fitted_spring" => Some(fitted_spring(inputs)),
        "preload_from_reading" => Some(preload_from_reading(inputs)),
        "preload_for" => Some(preload_for(inputs)),
        "best_spring" => Some(best_spring(inputs)),
        "front_coil" => Some(front_coil(inputs)),
        _ => None,
    }
}

fn coil_rate(inputs: &Inputs) -> Outputs {
    let wire = inputs.number("wire");
    let mean = inputs.maybe("mean").unwrap_or_else(|| inputs.number("outside") - wire);
    let rate = springs::coil_rate(inputs.number("G"), wire, mean, inputs.number("active_coils"));
    Outputs::new().number("rate", rate)
}

fn sag_readings(inputs: &Inputs) -> Outputs {
    let (hanging, travel) = (inputs.number("hanging"), inputs.number("travel"));
    let mut outputs = Outputs::new();
    if let Some(own) = inputs.maybe("own") {
        outputs = outputs.number("static", hanging - own).number("static_share", (hanging - own) / travel);
    }
    let aboard = match inputs.maybe_numbers("aboard") {
        Some(readings) => readings.iter().sum::<f64>() / readings.len() as f64,
        None => {
            let (push, lift) = (inputs.number("aboard_after_push"), inputs.number("aboard_after_lift"));
            springs::without_friction(push, lift)
        }
    };
    outputs.number("rider", hanging - aboard).number("rider_share", (hanging - aboard) / travel)
}

pub fn leverage(inputs: &Inputs) -> Leverage {
    if let Some(leverage) = inputs.maybe("leverage") {
        return Leverage::Constant(leverage);
    }
    if let Some(ends) = inputs.maybe_numbers("leverage") {
        return Leverage::Linear { extended: ends[0], bottomed: ends[1], travel: inputs.number("travel") };
    }
    let rows: Vec<_> = inputs.numbers("wheel").into_iter().zip(inputs.numbers("stroke")).collect();
    Leverage::table(&rows).unwrap()
}

fn shock<'a>(inputs: &Inputs, leverage: &'a Leverage) -> Shock<'a, f64> {
    Shock {
        leverage,
        travel: inputs.number("travel"),
        rate: inputs.maybe("spring").unwrap_or(f64::NAN),
        preload: inputs.maybe("preload").unwrap_or(f64::NAN),
        gas_force: inputs.maybe("gas_force").unwrap_or(0.0),
    }
}

fn rear_sag(inputs: &Inputs) -> Outputs {
    let leverage = leverage(inputs);
    let shock = shock(inputs, &leverage);
    let mass = inputs.number("load_mass");
    let rest = shock.rest(loads::weight(mass)).unwrap();
    let sag = rest.used(shock.travel);
    let rate = shock.wheel_rate(sag);
    settled(rest, shock.travel)
        .number("stroke", leverage.stroke(sag))
        .number("motion_ratio", leverage.motion_ratio(sag))
        .number("wheel_rate", rate)
        .number("frequency", springs::natural_frequency(rate, mass))
}

fn leverage_at(inputs: &Inputs) -> Outputs {
    let (leverage, place) = (leverage(inputs), inputs.number("at"));
    Outputs::new()
        .number("stroke", leverage.stroke(place))
        .number("motion_ratio", leverage.motion_ratio(place))
        .number("curvature", leverage.curvature(place))
}

fn fitted_spring(inputs: &Inputs) -> Outputs {
    let load = |name: &str| loads::weight(inputs.number(name));
    let fitted = springs::fitted(
        &leverage(inputs),
        inputs.maybe("gas_force").unwrap_or(0.0),
        (load("own_mass"), inputs.number("static")),
        (load("aboard_mass"), inputs.number("rider")),
    );
    let fitted = fitted.unwrap();
    Outputs::new().number("rate", fitted.rate).number("preload", fitted.preload)
}

fn preload_from_reading(inputs: &Inputs) -> Outputs {
    let leverage = leverage(inputs);
    let now = inputs.number("preload_now");
    let shock = Shock { preload: now, ..shock(inputs, &leverage) };
    let aboard = loads::weight(inputs.number("aboard_mass"));
    let preload = now + shock.preload_for(aboard, inputs.number("wanted"))
        - shock.preload_for(aboard, inputs.number("rider"));
    let alone = |preload: f64| {
        let rest = Shock { preload, ..shock }.rest(loads::weight(inputs.number("own_mass")));
        rest.unwrap().used(shock.travel)
    };
    Outputs::new()
        .number("preload", preload)
        .number("collar_turns", (preload - now) / inputs.number("thread_pitch"))
        .number("static_then", inputs.number("static") + alone(preload) - alone(now))
}

/// A spring of a rate, preloaded for the wanted sag.
fn candidate(shock: &Shock<'_, f64>, rate: f64, alone: f64, aboard: f64, wanted: f64) -> Candidate<f64> {
    let shock = Shock { rate, ..*shock };
    let preload = shock.preload_for(aboard, wanted);
    Candidate { rate, preload, alone: Shock { preload, ..shock }.rest(alone).unwrap() }
}

/// The sags after a push and after a lift.
fn both_ways(inputs: &Inputs) -> [f64; 2] {
    ["after_push", "after_lift"].map(|name| inputs.number("hanging") - inputs.number(name))
}

fn stiction_rear(inputs: &Inputs) -> Outputs {
    let leverage = leverage(inputs);
    let shock = shock(inputs, &leverage);
    let [push, lift] = both_ways(inputs).map(|sag| shock.wheel_force(sag));
    Outputs::new().number("stiction", springs::stiction(push, lift))
}

/// Two legs, as every fork has.
fn stiction_front(inputs: &Inputs) -> Outputs {
    let travel = inputs.number("travel");
    let atmosphere = inputs.maybe("atmosphere").unwrap_or(STANDARD_ATMOSPHERE);
    let coil = inputs.maybe("spring");
    let coil = coil.map(|rate| Coil { rate: 2.0 * rate, preload: inputs.number("preload") });
    let chambers = match inputs.maybe("bore") {
        Some(bore) => {
            let area = 2.0 * air::bore_area(bore);
            vec![Chamber::over_oil(area, inputs.number("air_gap"), area, travel)]
        }
        None => super::air::chambers(inputs),
    };
    let fork = Fork::new(travel, coil, chambers, atmosphere).unwrap();
    let [push, lift] = both_ways(inputs).map(|sag| fork.force(sag, 1.0));
    Outputs::new().number("stiction", springs::stiction(push, lift))
}

fn preload_for(inputs: &Inputs) -> Outputs {
    let leverage = leverage(inputs);
    let shock = shock(inputs, &leverage);
    let load = |name: &str| loads::weight(inputs.number(name));
    let Candidate { preload, alone, .. } =
        candidate(&shock, shock.rate, load("own_mass"), load("aboard_mass"), inputs.number("wanted"));
    let turns = (preload - inputs.number("preload_now")) / inputs.number("thread_pitch");
    Outputs::new()
        .number("preload", preload)
        .number("collar_turns", turns)
        .number("static_then", alone.used(shock.travel))
}

fn best_spring(inputs: &Inputs) -> Outputs {
    let leverage = leverage(inputs);
    let shock = shock(inputs, &leverage);
    let load = |name: &str| loads::weight(inputs.number(name));
    let pair = |name: &str| (inputs.numbers(name)[0], inputs.numbers(name)[1]);
    let rates = inputs.numbers("rates").into_iter();
    let set = |rate| candidate(&shock, rate, load("own_mass"), load("aboard_mass"), inputs.number("wanted"));
    let candidates: Vec<_> = rates.map(set).collect();
    let best = springs::best(&candidates, pair("static_band"), pair("preload_limits")).unwrap();
    let preloads: Vec<f64> = candidates.iter().map(|candidate| candidate.preload).collect();
    let statics: Vec<f64> = candidates.iter().map(|candidate| candidate.alone.used(shock.travel)).collect();
    Outputs::new()
        .number("best_rate", candidates[best].rate)
        .numbers("preloads", &preloads)
        .numbers("statics", &statics)
}

fn front_coil(inputs: &Inputs) -> Outputs {
    let (travel, count) = (inputs.number("travel"), inputs.number("springs"));
    let coil = Coil { rate: inputs.number("spring") * count, preload: inputs.number("preload") };
    let chambers = inputs.maybe("bore").map(|bore| {
        let area = air::bore_area(bore) * count;
        Chamber::over_oil(area, inputs.number("air_gap"), area, travel)
    });
    let fork = Fork::new(travel, Some(coil), chambers.into_iter().collect(), STANDARD_ATMOSPHERE).unwrap();
    let exponent = inputs.maybe("exponent").unwrap_or(1.0);
    let forces: Vec<f64> = fork.quarters().iter().map(|&place| fork.force(place, exponent)).collect();
    front(inputs, &fork).numbers("forces", &forces)
}

/// Sag, wheel rate and frequency of a fork under its load.
pub fn front(inputs: &Inputs, fork: &Fork<f64>) -> Outputs {
    let (mass, rake) = (inputs.number("load_mass"), inputs.number("rake"));
    let exponent = inputs.maybe("exponent").unwrap_or(1.0);
    let rest: Rest<f64> = fork.rest(loads::along_fork(loads::weight(mass), rake)).unwrap();
    let sag = rest.used(fork.travel());
    let rate = fork::wheel_rate(fork.riding_stiffness(sag, exponent), rake);
    settled(rest, fork.travel())
        .number("wheel_rate", rate)
        .number("frequency", springs::natural_frequency(rate, mass))
}
