//! The load on each wheel: from scales where there were any, else worked out and named as assumed.

use crate::book::readings::Tool;
use crate::physics::{Number, loads};
use crate::season::Weighed;
use crate::speech::say;
use crate::vocabulary::blocks::{Frame, RiderBlock, Scales, Wheel};
use crate::vocabulary::values::Readings;
use crate::vocabulary::{End, Load};

use super::assumptions;
use super::bench::{Bench, Got, Origin, Part, cannot, missing};
use super::recorder::Recorder;
use super::springs::Moment;

/// The key of `scales` for a wheel and a load.
fn scale_key(end: End, load: Load) -> &'static str {
    match (end, load) {
        (End::Front, Load::Static) => Scales::front_alone,
        (End::Rear, Load::Static) => Scales::rear_alone,
        (End::Front, Load::Rider) => Scales::front_aboard,
        (End::Rear, Load::Rider) => Scales::rear_aboard,
    }
}

fn on_scales(scales: &Scales, end: End, load: Load) -> Option<&Readings> {
    match (end, load) {
        (End::Front, Load::Static) => scales.front_alone.as_ref(),
        (End::Rear, Load::Static) => scales.rear_alone.as_ref(),
        (End::Front, Load::Rider) => scales.front_aboard.as_ref(),
        (End::Rear, Load::Rider) => scales.rear_aboard.as_ref(),
    }
}

/// Where wheel loads come from: scales, else the masses of machine and rider.
#[derive(Clone, Copy)]
struct Weighing<'a> {
    rider: Option<&'a RiderBlock>,
    scales: Option<&'a Weighed>,
    /// Whether the rider sat when the sag was read.
    is_seated: bool,
}

impl<R: Recorder> Bench<'_, R> {
    /// The source of the loads here, or when a sag was read.
    fn weighing(&self, end: End, load: Load, moment: Moment) -> Weighing<'_> {
        let state = self.here.state;
        let mark = state.read_sag(end, load).and_then(Result::ok);
        match (moment, mark) {
            (Moment::AtSag, Some(mark)) => {
                let is_seated = load == Load::Rider && mark.block.is_seated();
                Weighing { rider: mark.rider.as_deref(), scales: mark.scales.as_ref(), is_seated }
            }
            _ => Weighing { rider: state.rider(), scales: state.scales(), is_seated: false },
        }
    }

    /// Mass on a wheel, in kg.
    fn wheel_mass(&self, end: End, load: Load, weighing: Weighing<'_>) -> Got<R::Number> {
        let scales =
            weighing.scales.map(|scales| scales.as_ref().map_err(|rejected| self.rejected(*rejected)));
        if let Some(scales) = scales.transpose()? {
            let key = scale_key(end, load);
            if let Some(readings) = on_scales(scales, end, load) {
                let scale = self.here.book.read_with(Tool::Scale, scales.scale.as_ref());
                return self.reading(readings, Origin { header: &scales.header, key }, scale);
            }
            self.may_assume(&scales.header, key)?;
        }
        match load {
            Load::Static => self.machine_mass(end),
            Load::Rider => {
                Ok(self.wheel_mass(end, Load::Static, weighing)? + self.rider_mass(end, weighing)?)
            }
        }
    }

    /// The machine's mass on a wheel, in kg, from its mass and front share.
    fn machine_mass(&self, end: End) -> Got<R::Number> {
        let frame = self.machine()?.frame().ok_or_else(|| missing("frame", Frame::mass, "machine"))?;
        let origin = |key| Origin { header: &frame.header, key };
        let mass = frame.mass.ok_or_else(|| missing("frame", Frame::mass, "machine"))?;
        let share = frame.front_share.ok_or_else(|| missing("frame", Frame::front_share, "machine"))?;
        self.assume_text(say!("wheel loads worked out, not on scales"));
        let mass = self.given(&mass, origin(Frame::mass));
        let front = self.given(&share, origin(Frame::front_share));
        let (on_front, on_rear) = loads::divided(mass, front);
        Ok(match end {
            End::Front => on_front,
            End::Rear => on_rear,
        })
    }

    /// The rider's mass on a wheel, in kg. The usual share is that of a rider who stands.
    fn rider_mass(&self, end: End, weighing: Weighing<'_>) -> Got<R::Number> {
        let rider = weighing.rider.ok_or_else(|| missing("rider", RiderBlock::mass, "rider"))?;
        let origin = |key| Origin { header: &rider.header, key };
        let mass = match rider.mass {
            Some(mass) => mass,
            // The description may be an earlier day's.
            None => {
                self.may_assume(&rider.header, RiderBlock::mass)?;
                return Err(missing("rider", RiderBlock::mass, "rider"));
            }
        };
        let mass = self.given(&mass, origin(RiderBlock::mass));
        let rear = match &rider.rear_share {
            Some(share) => self.given(share, origin(RiderBlock::rear_share)),
            None => {
                self.may_assume(&rider.header, RiderBlock::rear_share)?;
                if weighing.is_seated {
                    return Err(missing("rider", RiderBlock::rear_share, "rider"));
                }
                self.assume(&assumptions::RIDER_REAR_SHARE)
            }
        };
        let (on_rear, on_front) = loads::divided(mass, rear);
        Ok(match end {
            End::Front => on_front,
            End::Rear => on_rear,
        })
    }

    /// Mass that a spring does not carry, in kg.
    pub(super) fn unsprung(&self, end: End) -> Got<R::Number> {
        let wheel = self.machine()?.wheel(end);
        if let Some((wheel, unsprung)) = wheel.and_then(|wheel| Some((wheel, wheel.unsprung.as_ref()?))) {
            return Ok(self.given(unsprung, Origin { header: &wheel.header, key: Wheel::unsprung }));
        }
        if let Some(wheel) = wheel {
            self.may_assume(&wheel.header, Wheel::unsprung)?;
        }
        let (share, alone) = match end {
            End::Front => (&assumptions::UNSPRUNG_FRONT_SHARE, &assumptions::UNSPRUNG_FRONT),
            End::Rear => (&assumptions::UNSPRUNG_REAR_SHARE, &assumptions::UNSPRUNG_REAR),
        };
        let frame = self.machine()?.frame();
        let Some((frame, mass)) = frame.and_then(|frame| Some((frame, frame.mass?))) else {
            if let Some(frame) = frame {
                self.may_assume(&frame.header, Frame::mass)?;
            }
            return Ok(self.assume(alone));
        };
        let mass = self.given(&mass, Origin { header: &frame.header, key: Frame::mass });
        Ok(self.assume(share) * mass)
    }

    /// The same in kg as a plain value; `None` where there is no machine.
    pub fn unsprung_mass(&self, end: End) -> Option<f64> {
        Some(self.unsprung(end).ok()?.value())
    }

    /// Mass that a wheel's spring carries, in kg.
    pub(super) fn sprung_mass(&self, end: End, load: Load, moment: Moment) -> Got<R::Number> {
        let on_wheel = self.wheel_mass(end, load, self.weighing(end, load, moment))?;
        let sprung = loads::sprung(on_wheel, self.unsprung(end)?);
        if sprung.value() <= 0.0 {
            return Err(cannot(match end {
                End::Front => say!("the front wheel carries less than its unsprung mass"),
                End::Rear => say!("the rear wheel carries less than its unsprung mass"),
            }));
        }
        Ok(sprung)
    }

    /// Load on a wheel's spring, vertical, in N.
    pub(super) fn sprung_load(&self, end: End, load: Load, moment: Moment) -> Got<R::Number> {
        self.part(Part::SprungLoad(end, load, moment), |bench| {
            Ok(loads::weight(bench.sprung_mass(end, load, moment)?))
        })
    }
}
