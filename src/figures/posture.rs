//! Where the parts of a machine are above the ground: the basis of a side view.
//!
//! The places are those of the attitude behind the geometry's figures, turned onto the ground; nothing is worked out
//! a second way. A part without numbers in the notebook is absent, with the reason.

use std::f64::consts::FRAC_PI_2;

use crate::physics::curve::evenly;
use crate::physics::{Number, Point, outer_tangents};
use crate::speech::say;
use crate::vocabulary::End;
use crate::vocabulary::blocks::Fork;

use super::bench::{Bench, Got, Origin, cannot, missing};
use super::geometry::Stance;
use super::recorder::Recorder;

/// A place in m: ahead of the rear contact, and above the ground.
pub type Place = Point<f64>;

/// How many places make the path of the rear axle.
const ALONG_TRAVEL: usize = 13;

/// A machine on the ground, from its right side.
#[derive(Debug, Clone, PartialEq)]
pub struct Posture {
    pub rear_axle: Place,
    pub front_axle: Place,
    /// In m.
    pub rear_radius: f64,
    pub front_radius: f64,
    /// Of the swingarm.
    pub pivot: Place,
    /// Where the steering axis meets the ground.
    pub axis_foot: Place,
    /// Of the axis, from the vertical, in rad.
    pub rake: f64,
    /// Along the fork; vertical; in m.
    pub front_sag: f64,
    pub rear_sag: f64,
    pub fork: Got<ForkSide>,
    /// The axle from fully out to fully in, with the chassis in its attitude.
    pub front_way: Got<Vec<Place>>,
    pub rear_way: Got<Vec<Place>>,
    pub chain: Got<ChainSide>,
    /// Of machine and rider.
    pub centre_of_gravity: Got<Place>,
}

/// A fork of a known length.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ForkSide {
    /// Of the tube.
    pub top: Place,
    /// Of the upper clamp, on the fork and on the steering axis.
    pub clamp: [Place; 2],
}

/// Both sprockets and the chain between them.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ChainSide {
    pub countershaft: Place,
    /// Pitch radii, in m.
    pub front_radius: f64,
    pub rear_radius: f64,
    /// The upper and the lower run, each from the rear sprocket to the front one.
    pub runs: [[Place; 2]; 2],
}

fn plain<N: Number>(place: Point<N>) -> Place {
    Place { x: place.x.value(), y: place.y.value() }
}

impl<R: Recorder> Bench<'_, R> {
    /// The machine as set, at the expected rider sags.
    pub fn posture(&self) -> Got<Posture> {
        self.posture_in(Stance::AsSet)
    }

    /// The machine on its standard setting, at the aimed sags.
    pub fn standard_posture(&self) -> Got<Posture> {
        self.posture_in(Stance::Standard)
    }

    fn posture_in(&self, stance: Stance) -> Got<Posture> {
        let (attitude, setup) = self.attitude(stance)?;
        let reference = self.reference()?;
        let rake = attitude.rake.value();
        // Up the steering axis, and so up the fork.
        let up = FRAC_PI_2 + rake;
        let front_axle = plain(attitude.on_ground(attitude.front_axle));
        let on_axis = plain(attitude.on_ground(reference.on_axis()));
        let axis_foot = on_axis.along(-on_axis.y / libm::cos(rake), up);
        let front_sag = setup.front_sag.value();

        let fork = self.fork_length().map(|length| {
            let top = front_axle.along(length - front_sag, up);
            let clamp = top.along(-setup.fork_height.value(), up);
            // The axis is behind the fork by the total offset.
            let on_axis = clamp.along(setup.offset.value(), up + FRAC_PI_2);
            ForkSide { top, clamp: [clamp, on_axis] }
        });
        let front_way = self.travel(End::Front).map(|travel| {
            [-front_sag, travel.value() - front_sag].map(|by| front_axle.along(by, up)).to_vec()
        });
        let swingarm = reference.swingarm.value() + setup.axle_move.value();
        let pivot = plain(attitude.on_ground(attitude.pivot));
        let pitch = attitude.pitch.value();
        let rear_way = self.travel(End::Rear).and_then(|travel| {
            let places = evenly(ALONG_TRAVEL).map(|share| {
                let sag = travel * share;
                let droop = reference.droop(sag).map_err(super::geometry::impossible)?.value() + pitch;
                Ok(pivot.along(-swingarm, droop))
            });
            places.collect()
        });
        let rear_axle = plain(attitude.on_ground(attitude.rear_axle));
        let chain = self.gearing(stance).and_then(|gearing| {
            let countershaft = self.countershaft()?;
            let centre = attitude.pivot.offset(countershaft.x, countershaft.y);
            let countershaft = plain(attitude.on_ground(centre));
            let (front_radius, rear_radius) = (gearing.chain.front_radius(), gearing.chain.rear_radius());
            let runs = outer_tangents((rear_axle, rear_radius), (countershaft, front_radius))
                .ok_or_else(|| cannot(say!("the sprockets would overlap")))?;
            Ok(ChainSide { countershaft, front_radius, rear_radius, runs })
        });
        Ok(Posture {
            rear_axle,
            front_axle,
            rear_radius: setup.rear_radius.value(),
            front_radius: setup.front_radius.value(),
            pivot,
            axis_foot,
            rake,
            front_sag,
            rear_sag: setup.rear_sag.value(),
            fork,
            front_way,
            rear_way,
            chain,
            centre_of_gravity: self.centre_of_gravity().map(|place| plain(attitude.on_ground(place))),
        })
    }

    /// From the axle to the top of the tube, fully out, in m.
    fn fork_length(&self) -> Got<f64> {
        let fork = self.machine()?.fork().ok_or_else(|| missing("fork", Fork::length, "machine"))?;
        let length = fork.length.as_ref().ok_or_else(|| missing("fork", Fork::length, "machine"))?;
        Ok(self.given(length, Origin { header: &fork.header, key: Fork::length }).value())
    }
}
