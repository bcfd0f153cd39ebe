//! Tyre codes and rollout.

use loambook::physics::tyres::{self, TyreCode};

use super::case::{Inputs, Outputs};

pub fn compute(computation: &str, inputs: &Inputs) -> Option<Outputs> {
    let outputs = Outputs::new();
    match computation {
        "tyre_code" => Some(match TyreCode::parse(inputs.text("tyre")) {
            Some(code) => outputs.number("radius", code.free_radius()),
            None => outputs.truth("error", true),
        }),
        "rollout" => Some(outputs.number("radius", tyres::radius_of_rollout(inputs.number("rollout")))),
        _ => None,
    }
}
