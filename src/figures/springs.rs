//! What is fitted, what is wanted, and what follows: the same questions at both ends.

use std::rc::Rc;

use crate::physics::air::gas_force;
use crate::physics::curve::evenly;
use crate::physics::{Leverage, Number, TableFault, fork, springs};
use crate::quantity::Kind;
use crate::season::Held;
use crate::speech::{Message, say};
use crate::vocabulary::blocks::{Link, STANDARD_LINK, Shock};
use crate::vocabulary::values::{Leverage as Written, LeverageForm};
use crate::vocabulary::{End, FigureName, Load, Setting, shown};

use super::assumptions::{predicted, predicted_unread};
use super::bench::{Bench, Got, Origin, Part, cannot, missing};
use super::figure::Absent;
use super::margin::Expanded;
use super::recorder::Recorder;
use super::rejected::if_unwritten;
use super::spring::{Fit, Spring};

/// m. Half of the last digit that a preload is written with: nearer to an end of its range it is at the end.
const SAME_PRELOAD: f64 = 5e-5;

/// The moment whose settings count.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub(super) enum Moment {
    /// In force here.
    Now,
    /// In force when the rider sag was read.
    AtSag,
}

/// A leverage as written, ready for the formulas.
pub(crate) fn leverage_of(written: &Written, travel: f64) -> Result<Leverage, TableFault> {
    match &written.form {
        LeverageForm::Constant(leverage) => Ok(Leverage::Constant(*leverage)),
        LeverageForm::Linear(extended, bottomed) => {
            Ok(Leverage::Linear { extended: *extended, bottomed: *bottomed, travel })
        }
        LeverageForm::Table(rows) => Leverage::table(rows),
    }
}

impl<'a, R: Recorder> Bench<'a, R> {
    fn at(&self, moment: Moment, end: End, name: Setting) -> Option<&'a Held> {
        match moment {
            Moment::Now => self.here.state.setting(name),
            Moment::AtSag => self.here.state.setting_at_sag(end, name),
        }
    }

    pub(super) fn setting_at(&self, moment: Moment, end: End, name: Setting) -> Got<R::Number> {
        match (self.at(moment, end, name), moment) {
            (Some(held), _) => self.held(name, held),
            (None, Moment::Now) => self.setting(name),
            (None, Moment::AtSag) => Err(missing("settings", name.as_str(), "day")),
        }
    }

    fn shock(&self) -> Got<&'a Shock> {
        self.machine()?.shock().ok_or_else(|| missing("shock", Shock::leverage, "machine"))
    }

    /// The leverage of the linkage in use.
    pub(super) fn leverage(&self, moment: Moment) -> Got<Rc<Leverage>> {
        let machine = self.machine()?;
        let link = self.at(moment, End::Rear, Setting::SHOCK_LINK).and_then(|held| held.value.word());
        let written = match link.filter(|name| *name != STANDARD_LINK) {
            Some(name) => {
                let link = machine.link(name).and_then(|link| link.leverage.as_ref());
                link.ok_or_else(|| missing(&format!("link {name}"), Link::leverage, "machine"))?
            }
            None => {
                let own = self.shock()?.leverage.as_ref();
                own.ok_or_else(|| missing("shock", Shock::leverage, "machine"))?
            }
        };
        self.rests_on(written.span);
        let travel = self.travel(End::Rear)?.value();
        self.leverages(written.span, || {
            leverage_of(written, travel)
                .map_err(|_| cannot(say!("the linkage's table does not rise from row to row")))
        })
    }

    /// Points of the linkage's leverage for a chart: vertical wheel travel in m, wheel travel over shock stroke there.
    pub fn leverage_curve(&self, points: usize) -> Got<Vec<(f64, f64)>> {
        let (leverage, travel) = (self.leverage(Moment::Now)?, self.travel(End::Rear)?.value());
        let places = evenly(points).map(|share| travel * share);
        Ok(places.map(|place| (place, 1.0 / leverage.motion_ratio(place))).collect())
    }

    pub(super) fn shock_gas(&self) -> Got<R::Number> {
        let shock = self.shock()?;
        let origin = |key| Origin { header: &shock.header, key };
        Ok(match (&shock.gas_force, &shock.gas, &shock.rod) {
            (Some(force), _, _) => self.given(force, origin(Shock::gas_force)),
            (None, Some(gas), Some(rod)) => {
                gas_force(self.given(gas, origin(Shock::gas)), self.given(rod, origin(Shock::rod)))
            }
            // Optional: without it the spring counts as carrying everything.
            _ => {
                for key in [Shock::gas_force, Shock::gas, Shock::rod] {
                    self.may_assume(&shock.header, key)?;
                }
                R::Number::constant(0.0)
            }
        })
    }

    /// A sag that shows a spring's rate: neither topped out nor bottomed.
    fn telling_sag(&self, end: End, load: Load) -> Got<R::Number> {
        let sag = self.sag(end, load)?;
        if sag.value() <= 0.0 {
            return Err(cannot(match load {
                Load::Static => say!("the machine alone is topped out"),
                Load::Rider => say!("the machine with its rider is topped out"),
            }));
        }
        if sag.value() >= self.travel(end)?.value() {
            return Err(cannot(match load {
                Load::Static => say!("the machine alone is bottomed"),
                Load::Rider => say!("the machine with its rider is bottomed"),
            }));
        }
        Ok(sag)
    }

    /// Rate and preload for two loads and two sags, of one spring, as the notebook names them.
    fn fitted(&self, end: End) -> Got<springs::Fitted<R::Number>> {
        let alone = self.telling_sag(end, Load::Static)?;
        let aboard = self.telling_sag(end, Load::Rider)?;
        let seat = self.seat(end, Moment::AtSag).or_else(|_| self.seat(end, Moment::Now))?;
        let light = (self.spring_load(end, Load::Static, Moment::AtSag)?, alone);
        let heavy = (self.spring_load(end, Load::Rider, Moment::AtSag)?, aboard);
        seat.fitted(light, heavy)
    }

    pub(super) fn fitted_rate(&self, end: End) -> Got<R::Number> {
        Ok(self.fitted(end)?.rate)
    }

    pub(super) fn fitted_preload(&self, end: End) -> Got<R::Number> {
        Ok(self.fitted(end)?.preload)
    }

    pub(super) fn needs_aim(&self, end: End) -> Got<R::Number> {
        let name = FigureName::SAG_RIDER.of(end);
        self.aimed_sag(end).ok_or_else(|| missing("band", &format!("{name} = {{ aim = … }}"), "machine"))
    }

    /// The preload for a sag under the rider's load with the spring as set: by the model alone.
    pub(super) fn model_preload(&self, end: End, sag: R::Number) -> Got<R::Number> {
        let seat = self.seat(end, Moment::Now)?;
        let rate = self.setting(Self::spring_setting(end))?;
        seat.preload_for(rate, self.spring_load(end, Load::Rider, Moment::Now)?, sag)
    }

    /// How much more preload brings the rider sag from its reading to its aim, in m.
    fn preload_step(&self, end: End) -> Got<R::Number> {
        let aim = self.needs_aim(end)?;
        if if_unwritten(self.sag(end, Load::Rider))?.is_none() {
            // Without a reading it counts from the preload that is set.
            return Ok(self.aimed_preload(end)? - self.setting(Self::preload_setting(end))?);
        }
        let sag = self.expected_rider_sag(end)?;
        Ok(self.model_preload(end, aim)? - self.model_preload(end, sag)?)
    }

    /// The preload for the aimed rider sag, where the spring can be set to it.
    pub(super) fn preload_wanted(&self, end: End) -> Got<R::Number> {
        let wanted = self.aimed_preload(end)?;
        self.can_be_set(end, wanted)?;
        Ok(wanted)
    }

    /// A preload past its range is nothing to set: what the end of the range gives is said instead.
    fn can_be_set(&self, end: End, wanted: R::Number) -> Got<()> {
        let (least, most) = self.preload_limits(end);
        let is_past = wanted.value() < least - SAME_PRELOAD || wanted.value() > most + SAME_PRELOAD;
        if !is_past {
            return Ok(());
        }
        let (last, spring) = match wanted.value() < least {
            true => (least, say!("a softer spring")),
            false => (most, say!("a stiffer spring")),
        };
        let stop = self.as_preload(end, last, None);
        Err(Absent::Instead(match self.rider_sag_at(end, last) {
            Ok(sag) => say!(
                "the preload's range ends at {stop}, where the rider sag is {sag}: the aim takes {spring}",
                stop,
                sag = self.as_preload(end, sag.value(), self.expanded_by(sag)),
                spring
            ),
            Err(_) => say!("the preload's range ends at {stop}: the aim takes {spring}", stop, spring),
        }))
    }

    /// A length as people read it, in the unit that the end's preload is written in.
    fn as_preload(&self, end: End, value: f64, expanded: Option<Expanded>) -> Message {
        let held = self.here.state.setting(Self::preload_setting(end));
        let unit = held.and_then(|held| held.value.quantity()).map(|preload| preload.unit);
        let alike = |expanded| shown::computed_alike(Kind::Length, value, expanded, unit);
        let expanded = expanded.map(|expanded| expanded.between(alike));
        shown::computed(Kind::Length, value, expanded, unit)
    }

    /// The rider sag with the spring as set and another preload: from the reading, where there is one.
    fn rider_sag_at(&self, end: End, preload: f64) -> Got<R::Number> {
        let rate = self.setting(Self::spring_setting(end))?;
        let then = self.rider_sag_with(end, rate, R::Number::constant(preload))?;
        if if_unwritten(self.sag(end, Load::Rider))?.is_none() {
            return Ok(then);
        }
        let now = self.rider_sag_with(end, rate, self.setting(Self::preload_setting(end))?)?;
        Ok(self.expected_rider_sag(end)? + then - now)
    }

    pub(super) fn aimed_preload(&self, end: End) -> Got<R::Number> {
        self.part(Part::PreloadWanted(end), |bench| {
            if end == End::Front {
                // An air fork has no preload that could be missing.
                bench.spring_count()?;
            }
            let aim = bench.needs_aim(end)?;
            if if_unwritten(bench.sag(end, Load::Rider))?.is_none() {
                bench.assume_text(predicted_unread());
                return bench.model_preload(end, aim);
            }
            // It counts from the reading, so that an error of the label or the collar cancels.
            Ok(bench.setting(Self::preload_setting(end))? + bench.preload_step(end)?)
        })
    }

    pub(super) fn collar_turns(&self, end: End) -> Got<R::Number> {
        if end == End::Front {
            return Err(cannot(say!("a fork's preload is given as a length")));
        }
        let shock = self.shock()?;
        let pitch = shock.thread_pitch.ok_or_else(|| missing("shock", Shock::thread_pitch, "machine"))?;
        let pitch = self.given(&pitch, Origin { header: &shock.header, key: Shock::thread_pitch });
        let step = self.preload_step(end)?;
        // A preload that nobody wrote down is known to no range.
        let (can_be_set, _, _) = self.observed(|bench| match bench.aimed_preload(end) {
            Ok(wanted) => bench.can_be_set(end, wanted),
            Err(_) => Ok(()),
        });
        can_be_set?;
        Ok(step / pitch)
    }

    /// The static sag read last, in m, moved by the model from the spring it was read with to the wanted preload.
    pub(super) fn static_then(&self, end: End) -> Got<R::Number> {
        let wanted = self.spring(end, Moment::Now, Fit::preload(self.preload_wanted(end)?))?;
        let then = self.static_by_model(end)?;
        let load = self.spring_load(end, Load::Static, Moment::Now)?;
        wanted.within_travel(self.sag(end, Load::Static)? + wanted.sag(load)? - then)
    }

    /// Settings that move an end's rider sag, apart from pressures.
    fn moves_sag(end: End) -> [Setting; 3] {
        match end {
            End::Rear => [Setting::SHOCK_SPRING, Setting::SHOCK_PRELOAD, Setting::SHOCK_LINK],
            End::Front => [Setting::FORK_SPRING, Setting::FORK_PRELOAD, Setting::FORK_AIR_GAP],
        }
    }

    /// Whether anything that moves an end's rider sag has changed since it was read.
    fn is_moved(&self, end: End) -> bool {
        let is_set = Self::moves_sag(end).into_iter().any(|name| {
            match (self.at(Moment::AtSag, end, name), self.at(Moment::Now, end, name)) {
                (Some(then), Some(now)) => !then.value.same_as(&now.value),
                // What was first written down after the reading was most likely the same before.
                _ => false,
            }
        });
        let mut chambers = self.here.machine.into_iter().flat_map(|machine| machine.chambers());
        is_set || (end == End::Front && chambers.any(|(name, _)| self.is_other_than_at_sag(name)))
    }

    /// The last rider sag, with what changed since by the model.
    pub(super) fn expected_rider_sag(&self, end: End) -> Got<R::Number> {
        self.part(Part::ExpectedRiderSag(end), |bench| {
            let measured = bench.sag(end, Load::Rider)?;
            let rejected = |name: Setting| bench.here.state.rejected_setting(name);
            if let Some(rejected) = Self::moves_sag(end).into_iter().find_map(rejected) {
                return Err(bench.rejected(rejected));
            }
            // A sag that is not moved does not rest on what could have moved it.
            let (is_moved, _, _) = bench.observed(|bench| bench.is_moved(end));
            if !is_moved {
                return Ok(measured);
            }
            bench.assume_text(predicted());
            let spring = |moment| bench.spring(end, moment, Fit::AS_SET);
            let (now, then) = (spring(Moment::Now)?, spring(Moment::AtSag)?);
            let new = now.sag(bench.spring_load(end, Load::Rider, Moment::Now)?)?;
            let old = then.sag(bench.spring_load(end, Load::Rider, Moment::AtSag)?)?;
            now.within_travel(measured + new - old)
        })
    }

    /// The least and the most preload of a spring, in m; open where no end is known.
    pub(super) fn preload_limits(&self, end: End) -> (f64, f64) {
        let range = match end {
            End::Rear => self.shock().ok().and_then(|shock| shock.preload_range),
            End::Front => None,
        };
        let low = range.and_then(|range| range.low).map_or(0.0, |low| low.value);
        let high = range.and_then(|range| range.high).map_or(f64::INFINITY, |high| high.value);
        (low, high)
    }

    /// Where a spring of another rate comes to rest with the rider aboard, in m.
    pub(super) fn rider_sag_with(&self, end: End, rate: R::Number, preload: R::Number) -> Got<R::Number> {
        let fit = Fit { rate: Some(rate), preload: Some(preload) };
        self.spring(end, Moment::Now, fit)?.sag(self.spring_load(end, Load::Rider, Moment::Now)?)
    }

    /// The model's static sag with the spring as it was when that sag was read, in m.
    pub(super) fn static_by_model(&self, end: End) -> Got<R::Number> {
        // What was changed since the reading is no part of the reading.
        let (is_moved, _, _) = self.observed(|bench| bench.is_moved(end));
        let read_at = if is_moved { Moment::AtSag } else { Moment::Now };
        self.spring(end, read_at, Fit::AS_SET)?.sag(self.spring_load(end, Load::Static, read_at)?)
    }

    /// Vertical rate at a wheel at its rider sag, in N/m.
    pub(super) fn wheel_rate(&self, end: End) -> Got<R::Number> {
        self.part(Part::WheelRate(end), |bench| {
            let sag = bench.sag(end, Load::Rider)?;
            let spring = match end {
                End::Front => bench.spring_of_fork(bench.fork_at_gate()?)?,
                End::Rear => bench.spring(end, Moment::Now, Fit::AS_SET)?,
            };
            let place = spring.hang() + sag;
            match &spring {
                Spring::Front { fork, .. } => {
                    Ok(fork::wheel_rate(bench.riding_stiffness(fork, place)?, bench.rake_here()?))
                }
                Spring::Rear(rear) => rear.wheel_rate(place),
            }
        })
    }

    /// Half of how much more the spring carries after a push than after a lift, in N: at the rear wheel, along the
    /// fork in front. It uses the springs and pressures at the reading.
    pub(super) fn stiction(&self, end: End) -> Got<R::Number> {
        let (after_push, after_lift) = self.sags_both_ways(end)?;
        let spring = |moment| self.spring(end, moment, Fit::AS_SET);
        let spring: Spring<R::Number> = match if_unwritten(spring(Moment::AtSag))? {
            Some(spring) => spring,
            None => spring(Moment::Now)?,
        };
        let carried = |sag: R::Number| spring.carries(spring.hang() + sag);
        Ok(springs::stiction(carried(after_push)?, carried(after_lift)?))
    }

    pub(super) fn frequency(&self, end: End) -> Got<R::Number> {
        self.part(Part::Frequency(end), |bench| {
            Ok(springs::natural_frequency(
                bench.wheel_rate(end)?,
                bench.sprung_mass(end, Load::Rider, Moment::Now)?,
            ))
        })
    }

    /// Natural frequencies, front over rear.
    pub(super) fn frequency_ratio(&self) -> Got<R::Number> {
        Ok(self.frequency(End::Front)? / self.frequency(End::Rear)?)
    }
}
