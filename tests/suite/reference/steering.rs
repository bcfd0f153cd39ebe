//! Bars and head bearing.

use loambook::physics::steering;

use super::case::{Inputs, Outputs};

pub fn compute(computation: &str, inputs: &Inputs) -> Option<Outputs> {
    match computation {
        "bars" => Some(bars(inputs)),
        "breakaway" => {
            let torque = steering::breakaway_torque(inputs.number("pull"), inputs.number("radius"));
            Some(Outputs::new().number("torque", torque))
        }
        _ => None,
    }
}

fn bars(inputs: &Inputs) -> Outputs {
    let before = inputs.number("width");
    let width = steering::width_after_cut(before, inputs.number("cut_per_side"));
    Outputs::new()
        .number("width", width)
        .number("less", before - width)
        .number("torque_ratio", steering::torque_ratio(width, before))
}
