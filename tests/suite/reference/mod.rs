//! Published and worked values: every case of `tests/reference/` that needs formulas alone.
//!
//! Each file of cases is one test. A case goes to the first subject below that knows its computation;
//! the subject answers in SI, and this module compares in the unit that ends the expected key.

mod air;
pub mod case;
mod chain;
mod geometry;
mod pressures;
mod springs;
mod statistics;
mod steering;
mod tyres;
mod uncertainty;
mod weather;

use case::{Case, Inputs, Outputs};

/// Answers a case, or nothing when the computation belongs to another subject.
type Subject = fn(&str, &Inputs) -> Option<Outputs>;

const SUBJECTS: [Subject; 9] = [
    air::compute,
    chain::compute,
    geometry::compute,
    springs::compute,
    statistics::compute,
    steering::compute,
    tyres::compute,
    uncertainty::compute,
    weather::compute,
];

/// Computations about what a notebook says; `reference_notebook` answers them.
const OF_NOTEBOOKS: [&str; 8] =
    ["band", "change", "convert", "convert_difference", "declared", "recheck", "settings_accepted", "shown"];

const FILES: [&str; 9] =
    ["air", "chain", "geometry", "springs", "statistics", "steering", "tyres", "uncertainty", "weather"];

/// Files whose cases are all about notebooks.
const FILES_OF_NOTEBOOKS: [&str; 1] = ["units"];

fn check(file: &str) {
    let mut faults = Vec::new();
    let mut answered = 0;
    for case in case::read(file) {
        if OF_NOTEBOOKS.contains(&case.computation.as_str()) {
            continue;
        }
        match SUBJECTS.iter().find_map(|subject| subject(&case.computation, &case.inputs)) {
            Some(outputs) => faults.extend(case.faults(&outputs)),
            None => faults.push(format!("{}: no subject computes `{}`", case.name, case.computation)),
        }
        answered += 1;
    }
    assert!(answered > 0, "{file}.toml has no case to check");
    assert!(faults.is_empty(), "{} faults in {file}.toml\n{}", faults.len(), faults.join("\n"));
}

#[test]
fn air_springs_and_pressures() {
    check("air");
}

#[test]
fn chains_and_gearing() {
    check("chain");
}

#[test]
fn geometry_and_anti_squat() {
    check("geometry");
}

#[test]
fn springs_and_sag() {
    check("springs");
}

#[test]
fn drift_and_laps() {
    check("statistics");
}

#[test]
fn bars_and_torque() {
    check("steering");
}

#[test]
fn tyre_codes_and_rollout() {
    check("tyres");
}

#[test]
fn combined_uncertainty() {
    check("uncertainty");
}

#[test]
fn atmosphere_and_corrections() {
    check("weather");
}

#[test]
fn every_file_of_cases_is_walked() {
    let mut known: Vec<&str> = FILES.iter().chain(&FILES_OF_NOTEBOOKS).copied().collect();
    known.sort_unstable();
    assert_eq!(case::files(), known);
    for file in FILES_OF_NOTEBOOKS {
        for case in case::read(file) {
            assert!(OF_NOTEBOOKS.contains(&case.computation.as_str()), "{file}: {}", case.name);
        }
    }
}

#[test]
fn every_case_has_its_own_name_and_a_source() {
    for file in case::files() {
        let cases = case::read(&file);
        for (index, case) in cases.iter().enumerate() {
            assert!(!case.source.is_empty(), "{file}: {} has no source", case.name);
            let twin = cases.iter().skip(index + 1).find(|other| other.name == case.name);
            assert!(twin.is_none(), "{file}: two cases are called {}", case.name);
        }
    }
}

/// The runner itself must be able to fail.
#[test]
fn a_wrong_answer_is_a_fault() {
    let case = Case::parse(
        "name = 'x'\ncomputation = 'c'\nsource = 's'\ntolerance_rel = 1e-3\n\
         [inputs]\n[expected]\nlength_mm = 100.0\nlist_N = [1.0, 2.0]\nstate = 'floating'",
    );
    let answer = |length: f64, list: &[f64], state: &str| {
        Outputs::new().number("length", length).numbers("list", list).text("state", state)
    };
    assert!(case.faults(&answer(0.1, &[1.0, 2.0], "floating")).is_empty());
    assert!(case.faults(&answer(0.1000999, &[1.0, 2.0], "floating")).is_empty());
    assert_eq!(case.faults(&answer(0.1002, &[1.0, 2.0], "floating")).len(), 1);
    assert_eq!(case.faults(&answer(f64::NAN, &[1.0, 2.0], "floating")).len(), 1);
    assert_eq!(case.faults(&answer(0.1, &[1.0], "floating")).len(), 1);
    assert_eq!(case.faults(&answer(0.1, &[1.0, 2.1], "bottomed")).len(), 2);
    assert_eq!(case.faults(&Outputs::new()).len(), 3);
}

#[test]
fn inputs_come_in_si_by_name() {
    let case = Case::parse(
        "name = 'x'\ncomputation = 'c'\nsource = 's'\n[expected]\nx = 1\n[inputs]\nengine_rpm = 6000\n\
         rate_N_per_mm = 54.0\nbench_degC = 6.0\nshares_percent = [10.0, 50.0]\nu = { rake_deg = 180.0 }",
    );
    let inputs = &case.inputs;
    assert_eq!(inputs.number("engine"), 100.0);
    assert_eq!(inputs.number("rate"), 54_000.0);
    assert_eq!(inputs.number("bench"), 279.15);
    assert_eq!(inputs.numbers("shares"), [0.1, 0.5]);
    assert_eq!(inputs.maybe("pressure"), None);
    assert_eq!(inputs.names(), ["bench", "engine", "rate", "shares", "u"]);
    let spread = inputs.maybe_table("u").unwrap();
    assert_eq!(spread.number("rake"), std::f64::consts::PI);
}
