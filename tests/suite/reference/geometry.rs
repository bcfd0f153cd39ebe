//! Planar geometry and anti-squat.

use loambook::physics::chain::{self, Chain};
use loambook::physics::geometry::{self, Reference, Setup};
use loambook::physics::{AntiSquat, Attitude, ChainLine, Point};

use super::case::{Inputs, Outputs};

pub fn compute(computation: &str, inputs: &Inputs) -> Option<Outputs> {
    match computation {
        "offset" => Some(offset(inputs)),
        "trail" => Some(trail(inputs)),
        "attitude" => Some(attitude(inputs)),
        "anti_squat" => Some(anti_squat(inputs)),
        "flop" => Some(flop(inputs)),
        _ => None,
    }
}

fn offset(inputs: &Inputs) -> Outputs {
    let (radius, rake) = (inputs.number("front_radius"), inputs.number("rake"));
    Outputs::new().number("offset", geometry::offset_of_trail(radius, rake, inputs.number("trail")))
}

fn trail(inputs: &Inputs) -> Outputs {
    let (radius, rake) = (inputs.number("front_radius"), inputs.number("rake"));
    let offset = inputs.number("offset");
    Outputs::new()
        .number("trail", geometry::trail(radius, rake, offset))
        .number("normal_trail", geometry::normal_trail(radius, rake, offset))
}

pub fn reference(inputs: &Inputs) -> Reference<f64> {
    let (rake, front_radius) = (inputs.number("rake"), inputs.number("front_radius"));
    Reference {
        rake,
        wheelbase: inputs.number("wheelbase"),
        front_radius,
        rear_radius: inputs.number("rear_radius"),
        offset: geometry::offset_of_trail(front_radius, rake, inputs.number("trail")),
        fork_height: inputs.number("fork_height"),
        front_sag: inputs.number("front_sag"),
        rear_sag: inputs.number("rear_sag"),
        swingarm: inputs.number("swingarm"),
        pivot_height: inputs.number("pivot_height"),
    }
}

pub fn setup(inputs: &Inputs, reference: &Reference<f64>) -> Setup<f64> {
    let standard = reference.setup();
    let set = |name: &str, otherwise: f64| inputs.maybe(name).unwrap_or(otherwise);
    Setup {
        front_radius: set("set_front_radius", standard.front_radius),
        rear_radius: set("set_rear_radius", standard.rear_radius),
        offset: set("set_offset", standard.offset),
        fork_height: set("set_fork_height", standard.fork_height),
        front_sag: set("set_front_sag", standard.front_sag),
        rear_sag: set("set_rear_sag", standard.rear_sag),
        axle_move: set("set_axle_move", standard.axle_move),
    }
}

fn point(inputs: &Inputs, x: &str, y: &str) -> Option<Point<f64>> {
    Some(Point { x: inputs.maybe(x)?, y: inputs.maybe(y)? })
}

pub fn attitude(inputs: &Inputs) -> Outputs {
    let reference = reference(inputs);
    let setup = setup(inputs, &reference);
    let before = Attitude::of(&reference, &reference.setup()).unwrap();
    let after = match point(inputs, "mark_x", "mark_y") {
        Some(mark) => Attitude::from_mark(&reference, &setup, mark).unwrap(),
        None => Attitude::of(&reference, &setup).unwrap(),
    };
    let mut outputs = Outputs::new()
        .number("rake", after.rake)
        .number("trail", after.trail)
        .number("normal_trail", after.normal_trail)
        .number("wheelbase", after.wheelbase)
        .number("pitch", after.pitch)
        .number("droop", after.droop)
        .number("pivot_height", after.pivot_height)
        .number("flop", after.flop)
        .number("rake_change", after.rake - before.rake)
        .number("trail_change", after.trail - before.trail)
        .number("wheelbase_change", after.wheelbase - before.wheelbase)
        .number("rake_change_sign", (after.rake - before.rake).signum())
        .number("trail_change_sign", (after.trail - before.trail).signum());
    if let Some(place) = point(inputs, "point_x", "point_y") {
        let height = after.on_ground(place).y;
        outputs = outputs
            .number("point_height", height)
            .number("point_height_change", height - before.on_ground(place).y);
    }
    if let Some(centre) = point(inputs, "cog_ahead_of_rear_axle", "cog_height") {
        outputs = outputs
            .number("front_share", after.front_share(centre))
            .number("cog_height", after.on_ground(centre).y);
        let squat = squat_of(inputs, &after, centre);
        outputs = outputs.number("anti_squat", squat.share);
    }
    outputs
}

fn squat_of(inputs: &Inputs, attitude: &Attitude<f64>, centre: Point<f64>) -> AntiSquat<f64> {
    let countershaft = point(inputs, "countershaft_ahead_of_pivot", "countershaft_above_pivot").unwrap();
    let chain = Chain {
        pitch: chain::pitch(inputs.text("chain")).unwrap(),
        front_teeth: inputs.number("front_teeth") as u32,
        rear_teeth: inputs.number("rear_teeth") as u32,
    };
    let line = ChainLine::of(attitude, countershaft, chain.front_radius(), chain.rear_radius());
    line.anti_squat(attitude.on_ground(centre).y, attitude.wheelbase).unwrap()
}

fn anti_squat(inputs: &Inputs) -> Outputs {
    let line = ChainLine {
        pivot: point(inputs, "pivot_x", "pivot_y").unwrap(),
        rear_axle: Point { x: 0.0, y: inputs.number("rear_radius") },
        countershaft: point(inputs, "countershaft_x", "countershaft_y").unwrap(),
        front_sprocket: inputs.number("front_sprocket_radius"),
        rear_sprocket: inputs.number("rear_sprocket_radius"),
    };
    let squat = line.anti_squat(inputs.number("cog_height"), inputs.number("wheelbase")).unwrap();
    Outputs::new().number("anti_squat", squat.share).number("squat_angle", squat.squat_angle)
}

fn flop(inputs: &Inputs) -> Outputs {
    let flop = geometry::flop(inputs.number("trail"), inputs.number("rake"));
    Outputs::new().number("flop", flop).number("drop", geometry::front_drop(flop, inputs.number("steer")))
}
