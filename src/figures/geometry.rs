//! The machine's attitude: rake, trail, wheelbase and what follows from them.

use crate::physics::geometry::{
    Attitude, Impossible, Reference, Setup, offset_of_trail, sag_at_reference_length,
};
use crate::physics::{ChainLine, Number, Point};
use crate::speech::say;
use crate::vocabulary::blocks::Frame;
use crate::vocabulary::values::Given;
use crate::vocabulary::{End, FigureName, Load, Setting};

use super::assumptions;
use super::bench::{Bench, Got, Origin, Standing, cannot, missing};
use super::figure::Absent;
use super::recorder::Recorder;
use super::rejected::if_unwritten;

/// Which attitude of the machine.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub(super) enum Stance {
    /// As set today, at the expected rider sags.
    AsSet,
    /// As set today, at the rider sags read last: the attitude for the models of the springs.
    AsMeasured,
    /// As set today, at the static sags read last: the machine alone.
    Alone,
    /// The standard setting at the aimed sags.
    Standard,
    /// Just before the last `change` block, at the rider sags expected now.
    BeforeChange,
    /// Just after it, at the same sags.
    AfterChange,
}

/// Settings that move the geometry, apart from the sags.
const MOVES_GEOMETRY: [Setting; 5] = [
    Setting::FORK_HEIGHT,
    Setting::CLAMP_OFFSET,
    Setting::DRIVE_FRONT,
    Setting::DRIVE_REAR,
    Setting::DRIVE_LINKS,
];

/// Which figure of the geometry.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Geometry {
    Rake,
    Trail,
    NormalTrail,
    Offset,
    Wheelbase,
    Pitch,
    Droop,
    PivotHeight,
    AntiSquat,
    FrontShare,
    Flop,
}

pub(super) fn impossible(why: Impossible) -> Absent {
    cannot(match why {
        Impossible::SwingarmTooShort => {
            say!("the swingarm does not reach from its pivot to the axle's height")
        }
        Impossible::WheelsOverlap => say!("the wheels would overlap"),
    })
}

impl<'a, R: Recorder> Bench<'a, R> {
    pub(super) fn frame(&self) -> Got<&'a Frame> {
        self.machine()?.frame().ok_or_else(|| missing("frame", Frame::rake, "machine"))
    }

    /// A key of the frame, as a number.
    fn of_frame(&self, given: Option<&Given>, key: &'static str) -> Got<R::Number> {
        let given = given.ok_or_else(|| missing("frame", key, "machine"))?;
        let header = &self.frame()?.header;
        Ok(self.given(given, Origin { header, key }))
    }

    /// Total offset in the reference attitude, in m.
    fn reference_offset(&self) -> Got<R::Number> {
        let frame = self.frame()?;
        if let Some(offset) = &frame.total_offset {
            return self.of_frame(Some(offset), Frame::total_offset);
        }
        self.may_assume(&frame.header, Frame::total_offset)?;
        let rake = self.of_frame(frame.rake.as_ref(), Frame::rake)?;
        let trail = self.of_frame(frame.trail.as_ref(), Frame::trail)?;
        Ok(offset_of_trail(self.radius(End::Front)?, rake, trail))
    }

    /// The frame as measured; what was not written about that is assumed and named.
    pub(super) fn reference(&self) -> Got<Reference<R::Number>> {
        let frame = self.frame()?;
        let fork_height = match (&frame.measured_fork_height, self.standard(Setting::FORK_HEIGHT)) {
            (Some(height), _) => self.of_frame(Some(height), Frame::measured_fork_height)?,
            (None, standard) => {
                self.may_assume(&frame.header, Frame::measured_fork_height)?;
                let assumed = self.assume(&assumptions::MEASURED_FORK_HEIGHT);
                // Only differences count: with no height known at all, the tubes are where they were.
                standard.map_or(assumed, |standard| standard + assumed)
            }
        };
        let front_sag = match &frame.measured_front_sag {
            Some(sag) => self.of_frame(Some(sag), Frame::measured_front_sag)?,
            None => {
                self.may_assume(&frame.header, Frame::measured_front_sag)?;
                self.assume(&assumptions::MEASURED_FRONT_SAG)
            }
        };
        let rear_sag = match &frame.measured_rear_sag {
            Some(sag) => self.of_frame(Some(sag), Frame::measured_rear_sag)?,
            None => {
                self.may_assume(&frame.header, Frame::measured_rear_sag)?;
                self.assume(&assumptions::MEASURED_REAR_SAG)
            }
        };
        Ok(Reference {
            rake: self.of_frame(frame.rake.as_ref(), Frame::rake)?,
            wheelbase: self.of_frame(frame.wheelbase.as_ref(), Frame::wheelbase)?,
            front_radius: self.radius(End::Front)?,
            rear_radius: self.radius(End::Rear)?,
            offset: self.reference_offset()?,
            fork_height,
            front_sag,
            rear_sag,
            swingarm: self.of_frame(frame.swingarm.as_ref(), Frame::swingarm)?,
            pivot_height: self.of_frame(frame.pivot_height.as_ref(), Frame::pivot_height)?,
        })
    }

    /// The rider sag for the geometry: expected or measured, else the aim, named as assumed.
    fn standing_sag(&self, end: End, stance: Stance) -> Got<R::Number> {
        let load = if stance == Stance::Alone { Load::Static } else { Load::Rider };
        let read = self.sag(end, load);
        let aim = if load == Load::Rider { self.aimed_sag(end) } else { None };
        // An aim replaces only a sag that was never read.
        if let (Err(Absent::Missing(_)), Some(aim)) = (&read, aim) {
            self.assume_text(match end {
                End::Front => say!("front rider sag at its aim"),
                End::Rear => say!("rear rider sag at its aim"),
            });
            return Ok(aim);
        }
        let measured = match stance {
            Stance::AsMeasured | Stance::Alone => read?,
            Stance::AsSet | Stance::Standard | Stance::BeforeChange | Stance::AfterChange => {
                self.expected_rider_sag(end)?
            }
        };
        if end == End::Front {
            return Ok(measured);
        }
        let (reference, at_reading) = match (self.reference(), self.axle_move_at_sag()) {
            (Ok(reference), Ok(moved)) => (reference.swingarm, reference.swingarm + moved),
            _ => return Ok(measured),
        };
        Ok(sag_at_reference_length(measured, reference, at_reading))
    }

    /// The aim of the machine's band for a rider sag, in m: as written, or the middle of `within`.
    pub(super) fn aimed_sag(&self, end: End) -> Option<R::Number> {
        let aim = self.aim(FigureName::SAG_RIDER.of(end))?;
        Some(R::Number::constant(aim))
    }

    /// The axle's place when the rear rider sag was read, from that with the standard gearing.
    fn axle_move_at_sag(&self) -> Got<R::Number> {
        // The gearing seldom changes between the reading and here. Where it did, the reading still holds for
        // the length at which it was read.
        let unchanged =
            [Setting::DRIVE_FRONT, Setting::DRIVE_REAR, Setting::DRIVE_LINKS].into_iter().all(|name| {
                let then = self.here.state.setting_at_sag(End::Rear, name);
                let now = self.here.state.setting(name);
                then.map(|held| &held.value) == now.map(|held| &held.value)
            });
        if unchanged { self.axle_move() } else { self.axle_move_then() }
    }

    /// A setting in a stance.
    pub(super) fn setting_in(&self, stance: Stance, name: Setting) -> Got<R::Number> {
        let stepped = self.here.state.last_change().and_then(|step| step.get(&name));
        match (stance, stepped) {
            (Stance::Standard, _) => self.standard(name),
            (Stance::BeforeChange | Stance::AfterChange, Some(stepped)) => {
                let is_before = stance == Stance::BeforeChange;
                let held = if is_before { stepped.before() } else { stepped.after() };
                let held = held.ok_or_else(|| {
                    cannot(match is_before {
                        true => say!("`{name}` has no value just before the last change", name),
                        false => say!("`{name}` has no value just after the last change", name),
                    })
                })?;
                self.held(name, held)
            }
            _ => self.setting(name),
        }
    }

    fn clamp_change(&self, stance: Stance) -> Got<R::Number> {
        let now = if_unwritten(self.setting_in(stance, Setting::CLAMP_OFFSET))?;
        Ok(match (now, self.standard(Setting::CLAMP_OFFSET)) {
            (Some(now), Ok(standard)) => now - standard,
            (Some(_), Err(_)) => {
                self.assume_text(say!("clamp offset as when the frame was measured"));
                R::Number::constant(0.0)
            }
            (None, _) => R::Number::constant(0.0),
        })
    }

    fn setup(&self, stance: Stance, reference: &Reference<R::Number>) -> Got<Setup<R::Number>> {
        let same_as_reference = reference.setup();
        let (height, offset, axle_move, sags) = match stance {
            Stance::BeforeChange | Stance::AfterChange => (
                if_unwritten(self.setting_in(stance, Setting::FORK_HEIGHT))?,
                reference.offset + self.clamp_change(stance)?,
                // A missing reading does not leave out what the change did to the chain.
                self.axle_move_in(stance).map(Ok)?,
                [self.standing_sag(End::Front, stance)?, self.standing_sag(End::Rear, stance)?],
            ),
            Stance::AsSet | Stance::AsMeasured | Stance::Alone => (
                if_unwritten(self.setting(Setting::FORK_HEIGHT))?,
                reference.offset + self.clamp_change(stance)?,
                self.axle_move(),
                [self.standing_sag(End::Front, stance)?, self.standing_sag(End::Rear, stance)?],
            ),
            Stance::Standard => (
                self.standard(Setting::FORK_HEIGHT).ok(),
                reference.offset,
                Ok(R::Number::constant(0.0)),
                [self.standard_sag(End::Front)?, self.standard_sag(End::Rear)?],
            ),
        };
        let fork_height = height.unwrap_or_else(|| {
            self.assume_text(say!("fork height as when the frame was measured"));
            reference.fork_height
        });
        let axle_move = match axle_move {
            Ok(axle_move) => axle_move,
            Err(absent @ Absent::Rejected(_)) => return Err(absent),
            Err(_) => {
                self.assume_text(say!("axle where it was when the frame was measured"));
                R::Number::constant(0.0)
            }
        };
        let [front_sag, rear_sag] = sags;
        Ok(Setup { offset, fork_height, front_sag, rear_sag, axle_move, ..same_as_reference })
    }

    /// The aimed sag, else today's, so that sag cancels in the change against standard.
    fn standard_sag(&self, end: End) -> Got<R::Number> {
        match self.aimed_sag(end) {
            Some(aim) => Ok(aim),
            None => self.standing_sag(end, Stance::AsSet),
        }
    }

    pub(super) fn attitude(&self, stance: Stance) -> Got<Standing<R::Number>> {
        self.stance(stance, || {
            let reference = self.reference()?;
            let setup = self.setup(stance, &reference)?;
            Ok((Attitude::of(&reference, &setup).map_err(impossible)?, setup))
        })
    }

    /// The centre of gravity, rider standing, in chassis coordinates.
    pub(super) fn centre_of_gravity(&self) -> Got<Point<R::Number>> {
        let frame = self.frame()?;
        Ok(Point {
            x: self.of_frame(frame.cog_ahead.as_ref(), Frame::cog_ahead)?,
            y: self.of_frame(frame.cog_height.as_ref(), Frame::cog_height)?,
        })
    }

    fn anti_squat(&self, stance: Stance) -> Got<R::Number> {
        let (attitude, _) = self.attitude(stance)?;
        let gearing = self.gearing(stance)?;
        let radius = R::Number::constant;
        let line = ChainLine::of(
            &attitude,
            self.countershaft()?,
            radius(gearing.chain.front_radius()),
            radius(gearing.chain.rear_radius()),
        );
        let height = attitude.on_ground(self.centre_of_gravity()?).y;
        let squat = line.anti_squat(height, attitude.wheelbase);
        squat.map(|squat| squat.share).ok_or_else(|| cannot(say!("the sprockets would overlap")))
    }

    /// One figure of the geometry, in SI units.
    pub(super) fn geometry(&self, asked: Geometry, stance: Stance) -> Got<R::Number> {
        if asked == Geometry::AntiSquat {
            return self.anti_squat(stance);
        }
        let (attitude, setup) = self.attitude(stance)?;
        Ok(match asked {
            Geometry::Rake => attitude.rake,
            Geometry::Trail => attitude.trail,
            Geometry::NormalTrail => attitude.normal_trail,
            Geometry::Offset => setup.offset,
            Geometry::Wheelbase => attitude.wheelbase,
            Geometry::Pitch => attitude.pitch,
            Geometry::Droop => attitude.droop,
            Geometry::PivotHeight => attitude.pivot_height,
            Geometry::FrontShare => attitude.front_share(self.centre_of_gravity()?),
            Geometry::Flop => attitude.flop,
            Geometry::AntiSquat => return self.anti_squat(stance),
        })
    }

    /// As set, less the standard setting at the aimed sags.
    pub(super) fn geometry_change(&self, asked: Geometry) -> Got<R::Number> {
        self.standard_is_known()?;
        Ok(self.geometry(asked, Stance::AsSet)? - self.geometry(asked, Stance::Standard)?)
    }

    /// What is set and has no standard differs from it by nobody knows how much.
    fn standard_is_known(&self) -> Got<()> {
        let known = |name: Setting| match self.here.state.setting(name) {
            Some(_) => self.standard(name).map(|_| ()),
            None => Ok(()),
        };
        let (known, _, _) = self.observed(|_| MOVES_GEOMETRY.into_iter().try_for_each(known));
        known
    }

    /// The axle's place just before or after the last change; its place now, if the change left the chain alone.
    fn axle_move_in(&self, stance: Stance) -> Got<R::Number> {
        let gearing = [Setting::DRIVE_FRONT, Setting::DRIVE_REAR, Setting::DRIVE_LINKS];
        let step = self.here.state.last_change();
        if step.is_some_and(|step| gearing.iter().any(|name| step.contains_key(name))) {
            return self.axle_move_of(stance);
        }
        match self.axle_move() {
            Ok(axle_move) => Ok(axle_move),
            Err(absent @ Absent::Rejected(_)) => Err(absent),
            Err(_) => {
                self.assume_text(say!("axle where it was when the frame was measured"));
                Ok(R::Number::constant(0.0))
            }
        }
    }

    /// The change that the last `change` block of the day made: just after it, less just before it, at the same
    /// sags.
    pub(super) fn geometry_step(&self, asked: Geometry) -> Got<R::Number> {
        if self.here.state.last_change().is_none() {
            return Err(cannot(say!("there is no `change` above it on this day")));
        }
        Ok(self.geometry(asked, Stance::AfterChange)? - self.geometry(asked, Stance::BeforeChange)?)
    }

    /// Rake of the machine at the sags read last, in rad; the frame's own where those are not known.
    pub(super) fn rake_here(&self) -> Got<R::Number> {
        if let Some(rake) = if_unwritten(self.geometry(Geometry::Rake, Stance::AsMeasured))? {
            return Ok(rake);
        }
        let rake = self.of_frame(self.frame()?.rake.as_ref(), Frame::rake)?;
        self.assume_text(say!("rake as when the frame was measured"));
        Ok(rake)
    }

    /// Rake of the machine under a load, in rad: alone it has another attitude than with its rider.
    pub(super) fn rake_under(&self, load: Load) -> Got<R::Number> {
        if load == Load::Static
            && let Some(rake) = if_unwritten(self.geometry(Geometry::Rake, Stance::Alone))?
        {
            return Ok(rake);
        }
        let rake = self.rake_here()?;
        if load == Load::Static {
            self.assume_text(say!("rake with the machine alone as with its rider"));
        }
        Ok(rake)
    }
}
