//! Bars, head bearing and torque.

use loambook::physics::steering;

use super::case::{Inputs, Outputs};

pub fn compute(computation: &str, inputs: &Inputs) -> Option<Outputs> {
    match computation {
        "bars" => Some(bars(inputs)),
        "wrench" => {
            let (torque, wrench) = (inputs.number("torque"), inputs.number("wrench"));
            let setting = steering::wrench_setting(torque, wrench, inputs.number("extension"));
            Some(Outputs::new().number("setting", setting))
        }
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
    let travel = inputs.maybe("steer").map(|steer| steering::hand_travel(width, steer));
    Outputs::new()
        .number("width", width)
        .number("less", before - width)
        .number("torque_ratio", steering::torque_ratio(width, before))
        .maybe("hand_travel", travel)
}
