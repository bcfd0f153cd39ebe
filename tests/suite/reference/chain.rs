//! Chains, sprockets and gearing.

use std::f64::consts::PI;

use loambook::physics::chain::{self, Chain};
use loambook::physics::{Point, gearing};

use super::case::{Inputs, Outputs};

pub fn compute(computation: &str, inputs: &Inputs) -> Option<Outputs> {
    let outputs = Outputs::new();
    match computation {
        "chain_pitch" => Some(outputs.maybe("pitch", chain::pitch(inputs.text("chain")))),
        "pitch_diameter" => {
            let radius = chain::pitch_radius(inputs.number("pitch"), count(inputs, "teeth"));
            Some(outputs.number("pitch_diameter", 2.0 * radius))
        }
        "chain_links" => {
            let chain = chain_of(inputs, inputs.number("pitch"), "");
            Some(outputs.maybe("links", chain.links(inputs.number("centre"))))
        }
        "chain_centre" => {
            let chain = chain_of(inputs, inputs.number("pitch"), "");
            Some(outputs.maybe("centre", chain.centres(count(inputs, "links"))))
        }
        "chain_links_handbook" => Some(outputs.number("links", links_by_handbook(inputs))),
        "chain_centre_handbook" => Some(outputs.number("centre", centre_by_handbook(inputs))),
        "axle_move" => Some(axle_move(inputs)),
        "road_speed" => Some(road_speed(inputs)),
        _ => None,
    }
}

fn count(inputs: &Inputs, name: &str) -> u32 {
    inputs.number(name) as u32
}

fn chain_of(inputs: &Inputs, pitch: f64, prefix: &str) -> Chain {
    Chain {
        pitch,
        front_teeth: count(inputs, &format!("{prefix}front_teeth")),
        rear_teeth: count(inputs, &format!("{prefix}rear_teeth")),
    }
}

/// The handbook's approximation; the project itself uses the exact method. These two cases make sure that the
/// published example is understood; the two beside them, that the exact method agrees with it.
fn links_by_handbook(inputs: &Inputs) -> f64 {
    let (centre, pitch) = (inputs.number("centre"), inputs.number("pitch"));
    let (front, rear) = (inputs.number("front_teeth"), inputs.number("rear_teeth"));
    let taper = (rear - front) / (2.0 * PI);
    2.0 * centre / pitch + (front + rear) / 2.0 + taper * taper * pitch / centre
}

fn centre_by_handbook(inputs: &Inputs) -> f64 {
    let (links, pitch) = (inputs.number("links"), inputs.number("pitch"));
    let (front, rear) = (inputs.number("front_teeth"), inputs.number("rear_teeth"));
    let runs = links - (front + rear) / 2.0;
    let taper = (rear - front) / (2.0 * PI);
    pitch / 4.0 * (runs + (runs * runs - 8.0 * taper * taper).sqrt())
}

fn axle_move(inputs: &Inputs) -> Outputs {
    let pitch = chain::pitch(inputs.text("chain")).unwrap();
    let countershaft = Point {
        x: inputs.number("countershaft_ahead_of_pivot"),
        y: inputs.number("countershaft_above_pivot"),
    };
    let set = chain_of(inputs, pitch, "set_");
    let place = chain_of(inputs, pitch, "").axle_place(count(inputs, "links"), countershaft, None).unwrap();
    let set_place = set.axle_place(count(inputs, "set_links"), countershaft, None).unwrap();
    Outputs::new()
        .number("axle_move", set_place - place)
        .number("place", place)
        .number("set_place", set_place)
        .number("final", set.final_ratio())
}

fn road_speed(inputs: &Inputs) -> Outputs {
    let final_ratio = chain_of(inputs, 0.0, "").final_ratio();
    let speed = gearing::road_speed(
        inputs.number("engine"),
        inputs.number("rear_radius"),
        inputs.number("primary"),
        inputs.number("gear"),
        final_ratio,
    );
    Outputs::new().number("speed", speed)
}
