//! Springs: what is fitted, what is wanted, and what follows from it.

use std::rc::Rc;

use crate::physics::air::gas_force;
use crate::physics::{Leverage, Number, Rest, Shock as Rear, TableFault, Unsettled, fork, loads, springs};
use crate::season::Held;
use crate::vocabulary::blocks::{Shock, Springs};
use crate::vocabulary::names::fill;
use crate::vocabulary::values::{Leverage as Written, LeverageForm};
use crate::vocabulary::{End, figures, settings};

use super::bench::{Bench, Got, Origin, cannot, missing, missing_at};
use super::figure::Absent;
use super::recorder::Recorder;
use super::sag::Load;

/// Which settings a spring is taken with.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Moment {
    /// In force here.
    Now,
    /// In force when the rider sag was read.
    AtSag,
}

pub(super) fn unsettled(why: Unsettled) -> Absent {
    cannot(match why {
        Unsettled::Falls { at } => {
            format!("the linkage makes the wheel force fall from {:.0} mm of travel on", at * 1000.0)
        }
        Unsettled::NotANumber => "the readings give no number here".to_owned(),
    })
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

/// The rear suspension with one spring and linkage, ready to be asked.
pub(super) struct RearSpring<N> {
    pub leverage: Rc<Leverage>,
    pub travel: N,
    pub rate: N,
    pub gas_force: N,
}

impl<N: Number> RearSpring<N> {
    pub fn with_preload(&self, preload: N) -> Rear<'_, N> {
        Rear {
            leverage: &self.leverage,
            travel: self.travel,
            rate: self.rate,
            preload,
            gas_force: self.gas_force,
        }
    }

    /// The preload with which the spring carries a load at a wheel travel.
    fn preload_for(&self, load: N, wheel: N) -> N {
        self.with_preload(N::constant(0.0)).preload_for(load, wheel)
    }
}

impl<'a, R: Recorder> Bench<'a, R> {
    fn at(&self, moment: Moment, end: End, name: &str) -> Option<&'a Held> {
        match moment {
            Moment::Now => self.here.state.setting(name),
            Moment::AtSag => self.here.state.setting_at_sag(end, name),
        }
    }

    pub(super) fn setting_at(&self, moment: Moment, end: End, name: &str) -> Got<R::Number> {
        let held = self.at(moment, end, name).ok_or_else(|| missing("settings", name, "day"))?;
        self.held(name, held)
    }

    fn shock(&self) -> Got<&'a Shock> {
        self.machine()?.shock().ok_or_else(|| missing("shock", Shock::leverage, "machine"))
    }

    /// The leverage of the linkage that is on.
    fn leverage(&self, moment: Moment) -> Got<Rc<Leverage>> {
        let machine = self.machine()?;
        let link = self.at(moment, End::Rear, settings::SHOCK_LINK).and_then(|held| held.value.word());
        let written = match link.and_then(|name| machine.link(name)) {
            Some(link) => link.leverage.as_ref(),
            None => self.shock()?.leverage.as_ref(),
        };
        let written = written.ok_or_else(|| missing("shock", Shock::leverage, "machine"))?;
        self.rests_on(written.span);
        let travel = self.travel(End::Rear)?.value();
        self.leverages(written.span, || {
            leverage_of(written, travel)
                .map_err(|_| cannot("the linkage's table does not rise from row to row"))
        })
    }

    fn shock_gas(&self) -> Got<R::Number> {
        let shock = self.shock()?;
        let origin = |key| Origin { header: &shock.header, key };
        Ok(match (&shock.gas_force, &shock.gas, &shock.rod) {
            (Some(force), _, _) => self.given(force, origin(Shock::gas_force)),
            (None, Some(gas), Some(rod)) => {
                gas_force(self.given(gas, origin(Shock::gas)), self.given(rod, origin(Shock::rod)))
            }
            // Optional: without it the spring is taken to carry everything.
            _ => R::Number::constant(0.0),
        })
    }

    pub(super) fn rear_spring(&self, moment: Moment) -> Got<RearSpring<R::Number>> {
        Ok(RearSpring {
            leverage: self.leverage(moment)?,
            travel: self.travel(End::Rear)?,
            rate: self.setting_at(moment, End::Rear, settings::SHOCK_SPRING)?,
            gas_force: self.shock_gas()?,
        })
    }

    /// Load along the fork, in N.
    pub(super) fn fork_load(&self, load: Load, moment: Moment) -> Got<R::Number> {
        Ok(loads::along_fork(self.sprung_load(End::Front, load, moment)?, self.rake_here()?))
    }

    /// A wheel travel that a spring's rate can be told from: neither topped out nor bottomed.
    fn telling_sag(&self, end: End, load: Load) -> Got<R::Number> {
        let sag = self.sag(end, load)?;
        let what = if load == Load::Static { "the machine alone" } else { "the machine with its rider" };
        if sag.value() <= 0.0 {
            return Err(cannot(format!("{what} is topped out")));
        }
        if sag.value() >= self.travel(end)?.value() {
            return Err(cannot(format!("{what} is bottomed")));
        }
        Ok(sag)
    }

    /// Rate and preload that two loads and two sags ask for, as the notebook names them: of one spring.
    fn fitted(&self, end: End) -> Got<springs::Fitted<R::Number>> {
        let alone = self.telling_sag(end, Load::Static)?;
        let aboard = self.telling_sag(end, Load::Rider)?;
        let same = || cannot("both sags are the same");
        match end {
            End::Rear => {
                let leverage = self.leverage(Moment::AtSag).or_else(|_| self.leverage(Moment::Now))?;
                let light = (self.sprung_load(end, Load::Static, Moment::AtSag)?, alone);
                let heavy = (self.sprung_load(end, Load::Rider, Moment::AtSag)?, aboard);
                springs::fitted(&leverage, self.shock_gas()?, light, heavy).ok_or_else(same)
            }
            End::Front => {
                let air = self.trapped_air(Moment::AtSag).or_else(|_| self.trapped_air(Moment::Now))?;
                let count = self.spring_count()?;
                let carried = |load: Load, place: R::Number| -> Got<(R::Number, R::Number)> {
                    let by_air =
                        air.as_ref().map_or(R::Number::constant(0.0), |air| air.settled_force(place));
                    Ok((self.fork_load(load, Moment::AtSag)? - by_air, place))
                };
                let (light, heavy) = (carried(Load::Static, alone)?, carried(Load::Rider, aboard)?);
                let both = springs::fitted_directly(light, heavy).ok_or_else(same)?;
                Ok(springs::Fitted { rate: both.rate / count, ..both })
            }
        }
    }

    pub(super) fn fitted_rate(&self, end: End) -> Got<R::Number> {
        Ok(self.fitted(end)?.rate)
    }

    pub(super) fn fitted_preload(&self, end: End) -> Got<R::Number> {
        Ok(self.fitted(end)?.preload)
    }

    fn needs_aim(&self, end: End) -> Got<R::Number> {
        let name = fill(figures::SAG_RIDER, end.word());
        self.aimed_sag(end).ok_or_else(|| missing("band", &format!("{name} = {{ aim = … }}"), "machine"))
    }

    /// The preload for a sag under the rider's load with the spring as set: of the model alone.
    fn model_preload(&self, end: End, sag: R::Number) -> Got<R::Number> {
        match end {
            End::Rear => Ok(self
                .rear_spring(Moment::Now)?
                .preload_for(self.sprung_load(end, Load::Rider, Moment::Now)?, sag)),
            End::Front => {
                let air = self.trapped_air(Moment::Now)?;
                let rate = self.setting(settings::FORK_SPRING)? * self.spring_count()?;
                let by_air = air.map_or(R::Number::constant(0.0), |air| air.settled_force(sag));
                Ok((self.fork_load(Load::Rider, Moment::Now)? - by_air) / rate - sag)
            }
        }
    }

    fn preload_setting(end: End) -> &'static str {
        match end {
            End::Front => settings::FORK_PRELOAD,
            End::Rear => settings::SHOCK_PRELOAD,
        }
    }

    /// How much more preload brings the rider sag from the reading to its aim, in m.
    fn preload_step(&self, end: End) -> Got<R::Number> {
        let aim = self.needs_aim(end)?;
        let sag = self.expected_rider_sag(end)?;
        Ok(self.model_preload(end, aim)? - self.model_preload(end, sag)?)
    }

    pub(super) fn preload_wanted(&self, end: End) -> Got<R::Number> {
        self.part(&format!("preload wanted {end}"), |bench| {
            let aim = bench.needs_aim(end)?;
            if bench.sag(end, Load::Rider).is_err() {
                bench.assume_text("predicted: no rider sag was measured");
                return bench.model_preload(end, aim);
            }
            // Anchored on the reading, so that an error of the label or the collar cancels.
            Ok(bench.setting(Self::preload_setting(end))? + bench.preload_step(end)?)
        })
    }

    pub(super) fn collar_turns(&self, end: End) -> Got<R::Number> {
        if end == End::Front {
            return Err(cannot("a fork's preload is given as a length"));
        }
        let shock = self.shock()?;
        let pitch = shock.thread_pitch.ok_or_else(|| missing("shock", Shock::thread_pitch, "machine"))?;
        let pitch = self.given(&pitch, Origin { header: &shock.header, key: Shock::thread_pitch });
        Ok(self.preload_step(end)? / pitch)
    }

    /// Where the model comes to rest, from full extension, in m.
    fn model_sag(&self, end: End, load: Load, preload: R::Number, moment: Moment) -> Got<R::Number> {
        match end {
            End::Rear => {
                let spring = self.rear_spring(moment)?;
                let rest = spring
                    .with_preload(preload)
                    .rest(self.sprung_load(end, load, moment)?)
                    .map_err(unsettled)?;
                Ok(rest.used(spring.travel))
            }
            End::Front => {
                let fork = self.fork_with(moment, Some(preload))?;
                let rest = fork.rest(self.fork_load(load, moment)?).map_err(unsettled)?;
                Ok(rest.used(fork.travel()))
            }
        }
    }

    pub(super) fn static_then(&self, end: End) -> Got<R::Number> {
        let now = self.setting(Self::preload_setting(end))?;
        let wanted = self.preload_wanted(end)?;
        let change = self.model_sag(end, Load::Static, wanted, Moment::Now)?
            - self.model_sag(end, Load::Static, now, Moment::Now)?;
        Ok(self.sag(end, Load::Static)? + change)
    }

    /// Settings that move an end's rider sag, besides what is in the chambers.
    fn moves_sag(end: End) -> [&'static str; 3] {
        match end {
            End::Rear => [settings::SHOCK_SPRING, settings::SHOCK_PRELOAD, settings::SHOCK_LINK],
            End::Front => [settings::FORK_SPRING, settings::FORK_PRELOAD, settings::FORK_AIR_GAP],
        }
    }

    /// Whether something that moves an end's rider sag is not what it was when that was read.
    fn is_moved(&self, end: End) -> bool {
        let is_set = Self::moves_sag(end).iter().any(|name| {
            match (self.at(Moment::AtSag, end, name), self.at(Moment::Now, end, name)) {
                (Some(then), Some(now)) => !then.value.same_as(&now.value),
                // What was first written down after the reading was most likely there before it.
                _ => false,
            }
        });
        let mut chambers = self.here.machine.into_iter().flat_map(|machine| machine.chambers());
        is_set || (end == End::Front && chambers.any(|(name, _)| self.is_other_than_at_sag(name)))
    }

    /// The last rider sag, and what was changed since by the model.
    pub(super) fn expected_rider_sag(&self, end: End) -> Got<R::Number> {
        self.part(&format!("expected rider sag {end}"), |bench| {
            let measured = bench.sag(end, Load::Rider)?;
            // Whether it is moved is no part of what a sag rests on that is not.
            let (is_moved, _, _) = bench.observed(|bench| bench.is_moved(end));
            if !is_moved {
                return Ok(measured);
            }
            bench.assume_text("predicted from the last reading");
            let preload = |moment| match bench.setting_at(moment, end, Self::preload_setting(end)) {
                Ok(preload) => Ok(preload),
                // An air fork has none.
                Err(_) if end == End::Front => Ok(R::Number::constant(0.0)),
                Err(absent) => Err(absent),
            };
            let new = bench.model_sag(end, Load::Rider, preload(Moment::Now)?, Moment::Now)?;
            let old = bench.model_sag(end, Load::Rider, preload(Moment::AtSag)?, Moment::AtSag)?;
            Ok(measured + new - old)
        })
    }

    /// Of the rates on hand, the one whose static sag comes nearest the middle of its band.
    pub(super) fn best_rate(&self, end: End) -> Got<R::Number> {
        let candidates = self.candidates(end)?;
        let name = fill(figures::SAG_STATIC, end.word());
        let band = self
            .within(&name)
            .ok_or_else(|| missing("band", &format!("{name} = {{ within = … }}"), "machine"))?;
        let travel = self.travel(end)?;
        let best = springs::best(&candidates, travel, band, self.preload_limits(end));
        let best = best.and_then(|index| candidates.get(index));
        best.map(|candidate| candidate.rate)
            .ok_or_else(|| cannot("no spring on hand can be preloaded for the wanted sag"))
    }

    /// The least and the most that a spring can be preloaded, in m; without an end where none is known.
    pub(super) fn preload_limits(&self, end: End) -> (f64, f64) {
        let range = match end {
            End::Rear => self.shock().ok().and_then(|shock| shock.preload_range),
            End::Front => None,
        };
        let low = range.and_then(|range| range.low).map_or(0.0, |low| low.value);
        let high = range.and_then(|range| range.high).map_or(f64::INFINITY, |high| high.value);
        (low, high)
    }

    /// Where a spring of another rate comes to rest with the rider aboard, from full extension, in m.
    pub(super) fn rider_sag_with(&self, end: End, rate: R::Number, preload: R::Number) -> Got<R::Number> {
        match end {
            End::Rear => {
                let spring = RearSpring { rate, ..self.rear_spring(Moment::Now)? };
                let rest =
                    spring.with_preload(preload).rest(self.sprung_load(end, Load::Rider, Moment::Now)?);
                let rest = rest.map_err(unsettled)?;
                Ok(rest.used(spring.travel))
            }
            End::Front => {
                let fork = self.fork_of_springs(Moment::Now, rate, preload)?;
                let rest = fork.rest(self.fork_load(Load::Rider, Moment::Now)?).map_err(unsettled)?;
                Ok(rest.used(fork.travel()))
            }
        }
    }

    /// Every spring on hand, preloaded for the wanted rider sag.
    pub fn candidates(&self, end: End) -> Got<Vec<springs::Candidate<R::Number>>> {
        let hand = self.machine()?.springs(end);
        let rates = hand.and_then(|springs| springs.rates.as_ref());
        let rates = rates.ok_or_else(|| missing_at("springs", end, Springs::rates, "machine"))?;
        self.rests_on(rates.span);
        let wanted = self.needs_aim(end)?;
        let (alone, aboard) = match end {
            End::Rear => (
                self.sprung_load(end, Load::Static, Moment::Now)?,
                self.sprung_load(end, Load::Rider, Moment::Now)?,
            ),
            End::Front => {
                (self.fork_load(Load::Static, Moment::Now)?, self.fork_load(Load::Rider, Moment::Now)?)
            }
        };
        let mut candidates = Vec::new();
        for given in &rates.values {
            let rate = R::Number::constant(given.value());
            candidates.push(match end {
                End::Rear => {
                    let spring = self.rear_spring(Moment::Now)?;
                    let shock = spring.with_preload(R::Number::constant(0.0));
                    springs::candidate(&shock, rate, alone, aboard, wanted).map_err(unsettled)?
                }
                End::Front => {
                    let both = rate * self.spring_count()?;
                    let by_air = self.trapped_air(Moment::Now)?;
                    let by_air = by_air.map_or(R::Number::constant(0.0), |air| air.settled_force(wanted));
                    let preload = (aboard - by_air) / both - wanted;
                    let fork = self.fork_of_springs(Moment::Now, rate, preload)?;
                    springs::Candidate { rate, preload, alone: fork.rest(alone).map_err(unsettled)? }
                }
            });
        }
        Ok(candidates)
    }

    /// Vertical rate at a wheel at its rider sag, in N/m.
    pub(super) fn wheel_rate(&self, end: End) -> Got<R::Number> {
        self.part(&format!("wheel rate {end}"), |bench| match end {
            End::Rear => {
                let spring = bench.rear_spring(Moment::Now)?;
                let preload = bench.setting(settings::SHOCK_PRELOAD)?;
                Ok(spring.with_preload(preload).wheel_rate(bench.sag(end, Load::Rider)?))
            }
            End::Front => {
                let fork = bench.fork_at_gate()?;
                let along = bench.riding_stiffness(&fork, bench.sag(end, Load::Rider)?)?;
                Ok(fork::wheel_rate(along, bench.rake_here()?))
            }
        })
    }

    pub(super) fn stiction(&self, end: End) -> Got<R::Number> {
        let (push, lift) = self.rests(end)?;
        Ok(springs::stiction(push, lift, self.wheel_rate(end)?))
    }

    pub(super) fn frequency(&self, end: End) -> Got<R::Number> {
        self.part(&format!("frequency {end}"), |bench| {
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

    /// Where the model says the machine comes to rest with the settings in force, for the checks.
    pub fn rear_rest(&self, load_is_rider: bool) -> Got<Rest<R::Number>> {
        let spring = self.rear_spring(Moment::Now)?;
        let preload = self.setting(settings::SHOCK_PRELOAD)?;
        let load = if load_is_rider { Load::Rider } else { Load::Static };
        spring.with_preload(preload).rest(self.sprung_load(End::Rear, load, Moment::Now)?).map_err(unsettled)
    }
}
