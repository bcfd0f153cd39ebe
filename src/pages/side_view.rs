//! The side view: the machine from its right side, to scale, as set over its standard setting.
//!
//! It is drawn only from the places that the geometry's figures were solved for. Parts without numbers in the notebook
//! are left out, and named. It has no maker's shapes.

use serde::Serialize;

use crate::figures::{Bench, Got, Place as OnGround, Posture, Recorder};
use crate::quantity::{Kind, Shown, Unit};
use crate::speech::{Message, say};
use crate::vocabulary::FigureName;

use super::say::{Say, lacking, wanted};

/// How far up the steering axis is drawn where the fork's length is unknown, in radii of the front wheel.
const AXIS: f64 = 3.0;
/// The place of the swingarm's words, as a part of the way from the axle to the pivot.
const ON_SWINGARM: f64 = 0.78;
/// How far below the top of the axis its angle is drawn, as a part of the height there.
const ARC: f64 = 0.3;

/// A place ahead of the rear contact and above the ground, in the view's unit.
pub type Place = (f64, f64);

/// The machine from its right side.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct SideView {
    /// The unit of all places.
    pub unit: &'static str,
    /// In words, for those who cannot see it.
    pub description: String,
    /// As set, at the expected rider sags.
    pub today: Stand,
    /// The standard setting at the aimed sags; `None` where it is the same as today's, or unknown.
    pub standard: Option<Stand>,
    /// Where rake is shown: the top of the steering axis, the angles in degrees from straight ahead, the arc's radius.
    pub rake: Opening,
    pub words: Words,
    /// The parts that are left out, each with what it needs.
    pub left_out: Vec<String>,
}

/// Where everything is.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Stand {
    /// The rear wheel and the front one, and where they touch the ground.
    pub wheels: Vec<Round>,
    pub contacts: Vec<Place>,
    /// From behind the rear wheel to before the front one.
    pub ground: Vec<Place>,
    /// The pivot and the rear axle.
    pub swingarm: Vec<Place>,
    /// Where its words have room: ahead of the rear wheel.
    pub on_swingarm: Place,
    /// From the ground up.
    pub axis: Vec<Place>,
    /// From the axle to the top of the tube; empty where its length is unknown.
    pub fork: Vec<Place>,
    /// The upper clamp, from the fork to the steering axis.
    pub clamp: Vec<Place>,
    /// The paths of the axles from fully out to fully in; empty where the travel is unknown.
    pub ways: Vec<Vec<Place>>,
    /// Pitch circles.
    pub sprockets: Vec<Round>,
    /// The chain's two runs.
    pub chain: Vec<Vec<Place>>,
    pub centre_of_gravity: Option<Place>,
}

/// A circle.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Round {
    pub at: Place,
    pub radius: f64,
}

/// An angle to show.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Opening {
    pub at: Place,
    pub from: f64,
    pub to: f64,
    pub radius: f64,
}

/// The words beside the parts.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Words {
    pub rake: String,
    pub trail: String,
    pub wheelbase: String,
    pub swingarm: String,
    pub fork: Option<String>,
    pub front_sag: String,
    pub rear_sag: String,
}

/// The side view; or what it needs, where it cannot be drawn.
pub(super) fn side_view<R: Recorder>(bench: &Bench<'_, R>, say: Say<'_>) -> Result<SideView, String> {
    let posture = bench.posture().map_err(|absent| say.text(&wanted(&absent)))?;
    let standard = bench.standard_posture();
    let unit = say.unit(Kind::Length);
    let in_unit = Scale { unit };
    let mut left_out = left_out(say, &posture);
    if let Err(absent) = &standard {
        left_out.push(say.text(&say!("standard setting ({why})", why = lacking(absent))));
    }
    let today = in_unit.stand(&posture);
    let standard = standard.ok().map(|posture| in_unit.stand(&posture)).filter(|stand| *stand != today);
    let top = today.axis.last().copied().unwrap_or_default();
    let rake = Opening { at: top, from: -90.0, to: posture.rake.to_degrees() - 90.0, radius: top.1 * ARC };
    let words = words(bench, say, &posture);
    Ok(SideView {
        unit: unit.symbol(),
        description: say.text(&say!(
            "The machine from its right side, to scale: {rake}, {trail}, {wheelbase}; {front_sag}, {rear_sag}",
            rake = words.rake,
            trail = words.trail,
            wheelbase = words.wheelbase,
            front_sag = words.front_sag,
            rear_sag = words.rear_sag,
        )),
        today,
        standard,
        rake,
        words,
        left_out,
    })
}

/// The parts without numbers.
fn left_out(say: Say<'_>, posture: &Posture) -> Vec<String> {
    fn reason<T>(part: Message, got: &Got<T>) -> Option<Message> {
        got.as_ref().err().map(|absent| say!("{part} ({why})", part, why = lacking(absent)))
    }
    let parts = [
        reason(say!("fork"), &posture.fork),
        reason(say!("front travel"), &posture.front_way),
        reason(say!("rear travel"), &posture.rear_way),
        reason(say!("chain"), &posture.chain),
        reason(say!("centre of gravity"), &posture.centre_of_gravity),
    ];
    parts.into_iter().flatten().map(|part| say.text(&part)).collect()
}

fn words<R: Recorder>(bench: &Bench<'_, R>, say: Say<'_>, posture: &Posture) -> Words {
    // The uncertainty is on the sheet and in the table below; here it would cover the drawing.
    let figure = |label: Message, name: FigureName| {
        let shown = say.figure(&bench.figure(name));
        let shown = shown.map(|shown| Shown { plus_minus: None, ..shown }.to_string());
        say.text(&say!("{label} {shown}", label, shown = shown.unwrap_or_default()))
    };
    let length = |label: Message, metres: f64| {
        say.text(&say!("{label} {shown}", label, shown = say.value(Kind::Length, metres).to_string()))
    };
    let apart = |a: OnGround, b: OnGround| a.distance(b);
    Words {
        rake: figure(say!("rake"), FigureName::RAKE),
        trail: figure(say!("trail"), FigureName::TRAIL),
        wheelbase: figure(say!("wheelbase"), FigureName::WHEELBASE),
        swingarm: length(say!("swingarm"), apart(posture.pivot, posture.rear_axle)),
        fork: posture
            .fork
            .as_ref()
            .ok()
            .map(|fork| length(say!("fork, as set"), apart(posture.front_axle, fork.top))),
        front_sag: length(say!("sag"), posture.front_sag),
        rear_sag: length(say!("sag"), posture.rear_sag),
    }
}

/// Places in the reader's unit.
struct Scale {
    unit: Unit,
}

impl Scale {
    fn length(&self, metres: f64) -> f64 {
        self.unit.from_si(Kind::Length, metres)
    }

    fn place(&self, place: OnGround) -> Place {
        (self.length(place.x), self.length(place.y))
    }

    fn places(&self, places: &[OnGround]) -> Vec<Place> {
        places.iter().map(|place| self.place(*place)).collect()
    }

    fn round(&self, at: OnGround, radius: f64) -> Round {
        Round { at: self.place(at), radius: self.length(radius) }
    }

    fn stand(&self, posture: &Posture) -> Stand {
        let Posture { rear_axle, front_axle, pivot, axis_foot, .. } = *posture;
        let chain = posture.chain.as_ref().ok();
        let ways = [&posture.front_way, &posture.rear_way];
        let up = match &posture.fork {
            Ok(fork) => fork.top.y,
            Err(_) => AXIS * posture.front_radius,
        };
        let contacts = [rear_axle, front_axle].map(|axle| OnGround { x: axle.x, y: 0.0 });
        let ends = [rear_axle.x - posture.rear_radius, front_axle.x + posture.front_radius];
        let on_swingarm = OnGround {
            x: rear_axle.x + ON_SWINGARM * (pivot.x - rear_axle.x),
            y: rear_axle.y + ON_SWINGARM * (pivot.y - rear_axle.y),
        };
        let top = OnGround { x: axis_foot.x - up * libm::tan(posture.rake), y: up };
        Stand {
            wheels: vec![
                self.round(rear_axle, posture.rear_radius),
                self.round(front_axle, posture.front_radius),
            ],
            contacts: self.places(&contacts),
            ground: self.places(&ends.map(|x| OnGround { x, y: 0.0 })),
            swingarm: self.places(&[pivot, rear_axle]),
            on_swingarm: self.place(on_swingarm),
            axis: self.places(&[axis_foot, top]),
            fork: posture.fork.as_ref().map(|fork| self.places(&[front_axle, fork.top])).unwrap_or_default(),
            clamp: posture.fork.as_ref().map(|fork| self.places(&fork.clamp)).unwrap_or_default(),
            ways: ways.into_iter().filter_map(|way| Some(self.places(way.as_ref().ok()?))).collect(),
            sprockets: chain
                .map(|chain| {
                    vec![
                        self.round(rear_axle, chain.rear_radius),
                        self.round(chain.countershaft, chain.front_radius),
                    ]
                })
                .unwrap_or_default(),
            chain: chain.map(|chain| chain.runs.map(|run| self.places(&run)).to_vec()).unwrap_or_default(),
            centre_of_gravity: posture.centre_of_gravity.as_ref().ok().map(|place| self.place(*place)),
        }
    }
}
