//! Cases of `tests/reference/` about the text of notebooks: units, shown numbers, declared uncertainty.
//!
//! `band`, `recheck` and `settings_accepted` need more than a quantity and are answered elsewhere.

use loambook::quantity::{
    Kind, Unit, UnitDefaults, Units, Way, quantity, show_measured_change, show_with_uncertainty,
};

use crate::reference::case::{self, Case, Inputs, Outputs};

/// The answer to a case about quantities, or nothing when the computation belongs elsewhere.
fn compute(computation: &str, inputs: &Inputs) -> Option<Outputs> {
    Some(match computation {
        "convert" => convert(inputs, |unit| unit.kinds().to_vec()),
        "convert_difference" => convert(inputs, |_| vec![Kind::TemperatureDifference]),
        "declared" => declared(inputs),
        "shown" => shown(inputs),
        "change" => change(inputs),
        _ => return None,
    })
}

fn convert(inputs: &Inputs, kinds: impl Fn(Unit) -> Vec<Kind>) -> Outputs {
    let to = Unit::from_text(inputs.text("unit")).expect("a unit of the table");
    let read = quantity(inputs.text("quantity"), &kinds(to), &UnitDefaults::default()).expect("a quantity");
    Outputs::new().number("value", to.from_si(read.kind, read.value))
}

fn declared(inputs: &Inputs) -> Outputs {
    let read =
        quantity(inputs.text("quantity"), &[Kind::Length], &UnitDefaults::default()).expect("a length");
    Outputs::new().number("value", read.value).maybe("standard", read.standard_uncertainty())
}

fn shown(inputs: &Inputs) -> Outputs {
    let (value, expanded) = (inputs.number("value"), inputs.number("expanded"));
    let shown = show_with_uncertainty(Kind::Number, value, expanded, &Units::default());
    Outputs::new().text("text", &shown.to_string())
}

/// Two readings as a notebook has them, each with its own `±`.
fn change(inputs: &Inputs) -> Outputs {
    let read = |value: &str, u: &str| {
        let (value, expanded) = (inputs.number(value) * 1000.0, 2.0 * inputs.number(u) * 1000.0);
        let text = format!("{value} ± {expanded} mm");
        quantity(&text, &[Kind::Length], &UnitDefaults::default()).expect("a length")
    };
    let change = read("second", "u_second").since(&read("first", "u_first")).expect("of one kind");
    let shown =
        show_measured_change(change.kind, change.value, change.plus_minus, &Units::default(), Way::Plus);
    Outputs::new()
        .number("change", change.value)
        .maybe("expanded", change.plus_minus)
        .truth("within", shown.is_within_measurement)
}

#[test]
fn published_values_about_quantities() {
    let mut faults = Vec::new();
    let mut answered = std::collections::BTreeMap::<String, usize>::new();
    let cases: Vec<Case> = case::files().iter().flat_map(|file| case::read(file)).collect();
    for case in &cases {
        if let Some(outputs) = compute(&case.computation, &case.inputs) {
            *answered.entry(case.computation.clone()).or_default() += 1;
            faults.extend(case.faults(&outputs));
        }
    }
    assert!(faults.is_empty(), "{}", faults.join("\n"));
    let computations: Vec<&str> = answered.keys().map(String::as_str).collect();
    assert_eq!(computations, ["change", "convert", "convert_difference", "declared", "shown"]);
}
