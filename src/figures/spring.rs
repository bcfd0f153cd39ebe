//! One spring for either end: what carries the machine, and where it comes to rest.
//!
//! The rear moves vertically behind a linkage, the front along its tubes. The questions are the same at both: what
//! it carries where, where it rests, how a coil in it must be preloaded.

use std::rc::Rc;

use crate::physics::springs::{Fitted, fitted, fitted_directly};
use crate::physics::{Fork, Leverage, Number, Rest, Shock as Rear, Unsettled};
use crate::speech::{Message, say};
use crate::vocabulary::{End, Load, Setting};

use super::bench::{Bench, Got, cannot};
use super::figure::Absent;
use super::fork::TrappedAir;
use super::recorder::Recorder;
use super::springs::Moment;

/// What a coil is built into: a linkage with the damper's gas beside the spring, or legs with air over the oil.
pub(super) enum Seat<N> {
    Linkage {
        leverage: Rc<Leverage>,
        gas_force: N,
    },
    /// Each spring carries its share.
    Legs {
        springs: f64,
        air: Option<TrappedAir<N>>,
    },
}

/// A whole end with its spring as set.
pub(super) enum Spring<N> {
    Rear(RearSpring<N>),
    Front {
        fork: Fork<N>,
        /// m. Where it hangs with the wheel off the ground, from full extension: zero unless its negative chamber holds it down.
        hang: N,
    },
}

/// A rear end.
pub(super) struct RearSpring<N> {
    leverage: Rc<Leverage>,
    travel: N,
    rate: N,
    preload: N,
    gas_force: N,
}

/// Values in place of those that are set.
#[derive(Debug, Clone, Copy)]
pub(super) struct Fit<N> {
    /// Of one spring, N/m.
    pub rate: Option<N>,
    /// m.
    pub preload: Option<N>,
}

impl<N> Fit<N> {
    /// All as set.
    pub const AS_SET: Self = Self { rate: None, preload: None };

    pub fn preload(preload: N) -> Self {
        Self { preload: Some(preload), ..Self::AS_SET }
    }
}

pub(super) fn unsettled(why: Unsettled) -> Absent {
    cannot(match why {
        Unsettled::Falls { at } => {
            let at = format!("{:.0}", at * 1000.0);
            say!("the linkage makes the wheel force fall from {at} mm of travel on", at)
        }
        Unsettled::NotANumber => say!("the readings give no number here"),
    })
}

/// A place in the travel, where the linkage table reaches that far.
fn measured<N: Number>(leverage: &Leverage, wheel: N) -> Got<N> {
    match leverage.measured_to() {
        Some(end) if wheel.value() > end => Err(cannot(past_the_table(end))),
        _ => Ok(wheel),
    }
}

fn past_the_table(end: f64) -> Message {
    let end = format!("{:.0}", end * 1000.0);
    say!("the linkage's table ends at {end} mm of wheel travel", end)
}

fn rear<N>(leverage: &Leverage, [travel, rate, preload, gas_force]: [N; 4]) -> Rear<'_, N> {
    Rear { leverage, travel, rate, preload, gas_force }
}

impl<N: Number> Seat<N> {
    /// The preload with which a spring of a rate carries a load at a place of the travel, in m.
    pub fn preload_for(&self, rate: N, load: N, place: N) -> Got<N> {
        match self {
            Self::Linkage { leverage, gas_force } => {
                let wheel = measured(leverage, place)?;
                let zero = N::constant(0.0);
                Ok(rear(leverage, [wheel, rate, zero, *gas_force]).preload_for(load, wheel))
            }
            Self::Legs { springs, air } => {
                let by_air = air.as_ref().map_or(N::constant(0.0), |air| air.settled_force(place));
                Ok((load - by_air) / *springs / rate - place)
            }
        }
    }

    /// Rate and preload of one spring, from two loads and the places where they rested.
    pub fn fitted(&self, light: (N, N), heavy: (N, N)) -> Got<Fitted<N>> {
        let fitted = match self {
            Self::Linkage { leverage, gas_force } => {
                for (_, place) in [light, heavy] {
                    measured(leverage, place)?;
                }
                fitted(leverage, *gas_force, light, heavy)
            }
            Self::Legs { springs, air } => {
                let share = |(load, place): (N, N)| {
                    let by_air = air.as_ref().map_or(N::constant(0.0), |air| air.settled_force(place));
                    ((load - by_air) / *springs, place)
                };
                fitted_directly(share(light), share(heavy))
            }
        };
        fitted.ok_or_else(|| cannot(say!("both sags are the same")))
    }
}

impl<N: Number> RearSpring<N> {
    /// For the formulas, over a part of its travel.
    fn up_to(&self, travel: N) -> Rear<'_, N> {
        rear(&self.leverage, [travel, self.rate, self.preload, self.gas_force])
    }

    fn measured(&self, place: N) -> Got<N> {
        measured(&self.leverage, place)
    }

    /// Vertical rate at the wheel at a place of the travel, in N/m.
    pub fn wheel_rate(&self, place: N) -> Got<N> {
        Ok(self.up_to(self.travel).wheel_rate(self.measured(place)?))
    }

    fn rest(&self, load: N) -> Got<Rest<N>> {
        let end = self.leverage.measured_to().filter(|end| *end < self.travel.value());
        let rest = self.up_to(end.map_or(self.travel, N::constant)).rest(load).map_err(unsettled)?;
        match (rest, end) {
            (Rest::Bottomed, Some(end)) => Err(cannot(past_the_table(end))),
            (rest, _) => Ok(rest),
        }
    }
}

impl<N: Number> Spring<N> {
    /// From full extension, in m: vertical at the rear, along the tubes in front.
    pub fn travel(&self) -> N {
        match self {
            Self::Rear(rear) => rear.travel,
            Self::Front { fork, .. } => fork.travel(),
        }
    }

    /// Where it hangs with the wheel off the ground, from full extension, in m: sags count from there.
    pub fn hang(&self) -> N {
        match self {
            Self::Rear(_) => N::constant(0.0),
            Self::Front { hang, .. } => *hang,
        }
    }

    /// What it carries at rest at a place of the travel, in N: vertical at the rear, along the tubes in front.
    pub fn carries(&self, place: N) -> Got<N> {
        match self {
            Self::Rear(rear) => Ok(rear.up_to(rear.travel).wheel_force(rear.measured(place)?)),
            Self::Front { fork, .. } => Ok(fork.force(place, N::constant(1.0))),
        }
    }

    /// Where it comes to rest under a load.
    pub fn rest(&self, load: N) -> Got<Rest<N>> {
        match self {
            Self::Rear(rear) => rear.rest(load),
            Self::Front { fork, .. } => fork.rest(load).map_err(unsettled),
        }
    }

    /// The model's sag under a load, from where it hangs, in m; only where it floats within the travel.
    pub fn sag(&self, load: N) -> Got<N> {
        Ok(floating(self.rest(load)?)? - self.hang())
    }

    /// How it rests at a sag that a reading shows, or that follows from one.
    pub fn rest_of(&self, sag: N) -> Rest<N> {
        let place = sag + self.hang();
        match () {
            () if sag.value() <= 0.0 => Rest::ToppedOut,
            () if place.value() >= self.travel().value() => Rest::Bottomed,
            () => Rest::Floating(place),
        }
    }

    /// A sag predicted from a reading, where it is within the travel.
    pub fn within_travel(&self, sag: N) -> Got<N> {
        if sag.value() <= 0.0 {
            return Err(topped_out());
        }
        if (sag + self.hang()).value() >= self.travel().value() {
            return Err(bottomed());
        }
        Ok(sag)
    }
}

/// The travel used, in m; it is a sag only where the machine floats.
pub(super) fn floating<N: Number>(rest: Rest<N>) -> Got<N> {
    match rest {
        Rest::Floating(place) => Ok(place),
        Rest::ToppedOut => Err(topped_out()),
        Rest::Bottomed => Err(bottomed()),
    }
}

fn topped_out() -> Absent {
    cannot(say!("topped out: by the model it does not sag there"))
}

fn bottomed() -> Absent {
    cannot(say!("bottomed: by the model the travel is not enough"))
}

impl<R: Recorder> Bench<'_, R> {
    pub(super) fn spring_setting(end: End) -> Setting {
        match end {
            End::Front => Setting::FORK_SPRING,
            End::Rear => Setting::SHOCK_SPRING,
        }
    }

    pub(super) fn preload_setting(end: End) -> Setting {
        match end {
            End::Front => Setting::FORK_PRELOAD,
            End::Rear => Setting::SHOCK_PRELOAD,
        }
    }

    /// What the coil of an end is built into.
    pub(super) fn seat(&self, end: End, moment: Moment) -> Got<Seat<R::Number>> {
        Ok(match end {
            End::Rear => Seat::Linkage { leverage: self.leverage(moment)?, gas_force: self.shock_gas()? },
            End::Front => Seat::Legs { springs: self.spring_count()?, air: self.trapped_air(moment)? },
        })
    }

    /// An end with its spring, as set except for the given values.
    pub(super) fn spring(&self, end: End, moment: Moment, fit: Fit<R::Number>) -> Got<Spring<R::Number>> {
        if end == End::Front {
            return self.spring_of_fork(self.fork_with(moment, fit)?);
        }
        let set = |given: Option<R::Number>, name| match given {
            Some(given) => Ok(given),
            None => self.setting_at(moment, end, name),
        };
        Ok(Spring::Rear(RearSpring {
            leverage: self.leverage(moment)?,
            travel: self.travel(end)?,
            rate: set(fit.rate, Self::spring_setting(end))?,
            preload: set(fit.preload, Self::preload_setting(end))?,
            gas_force: self.shock_gas()?,
        }))
    }

    /// A fork already put together, with where it hangs.
    pub(super) fn spring_of_fork(&self, fork: Fork<R::Number>) -> Got<Spring<R::Number>> {
        let hang = self.hangs_at(&fork)?.unwrap_or(R::Number::constant(0.0));
        Ok(Spring::Front { fork, hang })
    }

    /// What an end's spring carries, in N: vertical at the rear; in front along the tubes, at the machine's rake under that
    /// load.
    pub(super) fn spring_load(&self, end: End, load: Load, moment: Moment) -> Got<R::Number> {
        let vertical = self.sprung_load(end, load, moment)?;
        match end {
            End::Rear => Ok(vertical),
            End::Front => Ok(crate::physics::loads::along_fork(vertical, self.rake_under(load)?)),
        }
    }
}
