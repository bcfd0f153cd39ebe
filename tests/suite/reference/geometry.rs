//! Planar geometry and anti-squat.

use loambook::physics::chain::{self, Chain};
use loambook::physics::geometry::{self, Reference, Setup};
use loambook::physics::{AntiSquat, Attitude, ChainLine, Number, Point};

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

/// The reference attitude, in numbers of any kind; `number` gives them by name.
pub fn reference<N: Number>(number: impl Fn(&str) -> N) -> Reference<N> {
    let (rake, front_radius) = (number("rake"), number("front_radius"));
    Reference {
        rake,
        wheelbase: number("wheelbase"),
        front_radius,
        rear_radius: number("rear_radius"),
        offset: geometry::offset_of_trail(front_radius, rake, number("trail")),
        fork_height: number("fork_height"),
        front_sag: number("front_sag"),
        rear_sag: number("rear_sag"),
        swingarm: number("swingarm"),
        pivot_height: number("pivot_height"),
    }
}

/// The set-up; what `maybe` does not give stays as in the reference.
pub fn setup<N: Number>(maybe: impl Fn(&str) -> Option<N>, reference: &Reference<N>) -> Setup<N> {
    let standard = reference.setup();
    let set = |name: &str, otherwise: N| maybe(name).unwrap_or(otherwise);
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

fn point<N>(maybe: impl Fn(&str) -> Option<N>, x: &str, y: &str) -> Option<Point<N>> {
    Some(Point { x: maybe(x)?, y: maybe(y)? })
}

fn attitude(inputs: &Inputs) -> Outputs {
    let maybe = |name: &str| inputs.maybe(name);
    let reference = reference(|name| inputs.number(name));
    let setup = setup(maybe, &reference);
    let before = Attitude::of(&reference, &reference.setup()).unwrap();
    let after = Attitude::of(&reference, &setup).unwrap();
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
    if let Some(place) = point(maybe, "point_x", "point_y") {
        let height = after.on_ground(place).y;
        outputs = outputs
            .number("point_height", height)
            .number("point_height_change", height - before.on_ground(place).y);
    }
    if let Some(centre) = point(maybe, "cog_ahead_of_rear_axle", "cog_height") {
        outputs = outputs
            .number("front_share", after.front_share(centre))
            .number("cog_height", after.on_ground(centre).y);
        outputs = outputs.number("anti_squat", squat_of(inputs, maybe, &after).unwrap().share);
    }
    outputs
}

/// Anti-squat of an attitude; `inputs` has the sprockets, `maybe` the places.
pub fn squat_of<N: Number>(
    inputs: &Inputs,
    maybe: impl Fn(&str) -> Option<N>,
    attitude: &Attitude<N>,
) -> Option<AntiSquat<N>> {
    let centre = point(&maybe, "cog_ahead_of_rear_axle", "cog_height")?;
    let countershaft = point(&maybe, "countershaft_ahead_of_pivot", "countershaft_above_pivot")?;
    let chain = Chain {
        pitch: chain::pitch(inputs.text("chain"))?,
        front_teeth: inputs.number("front_teeth") as u32,
        rear_teeth: inputs.number("rear_teeth") as u32,
    };
    let radii = [chain.front_radius(), chain.rear_radius()].map(N::constant);
    let line = ChainLine::of(attitude, countershaft, radii[0], radii[1]);
    line.anti_squat(attitude.on_ground(centre).y, attitude.wheelbase)
}

fn anti_squat(inputs: &Inputs) -> Outputs {
    let maybe = |name: &str| inputs.maybe(name);
    let line = ChainLine {
        pivot: point(maybe, "pivot_x", "pivot_y").unwrap(),
        rear_axle: Point { x: 0.0, y: inputs.number("rear_radius") },
        countershaft: point(maybe, "countershaft_x", "countershaft_y").unwrap(),
        front_sprocket: inputs.number("front_sprocket_radius"),
        rear_sprocket: inputs.number("rear_sprocket_radius"),
    };
    let squat = line.anti_squat(inputs.number("cog_height"), inputs.number("wheelbase")).unwrap();
    Outputs::new().number("anti_squat", squat.share).number("squat_angle", squat.squat_angle)
}

fn flop(inputs: &Inputs) -> Outputs {
    let flop = geometry::flop(inputs.number("trail"), inputs.number("rake"));
    Outputs::new().number("flop", flop)
}
