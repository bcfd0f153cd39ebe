//! The fork: coils, the air over the oil, and air chambers, put together from the state.

use crate::physics::air::{Chamber, IDEAL_SPREAD, IDEAL_TO, SQUEEZED_TO, Side, bore_area};
use crate::physics::curve::evenly;
use crate::physics::fork::Coil;
use crate::physics::{Fork, Number, Rest};
use crate::speech::{Message, say};
use crate::vocabulary::blocks::{self, Chamber as ChamberBlock, Fork as ForkBlock};
use crate::vocabulary::{End, Setting};

use super::assumptions::{self, FORK_SPRINGS};
use super::bench::{Bench, Got, Origin, cannot, missing, no_number};
use super::recorder::Recorder;
use super::rejected::if_unwritten;
use super::spring::Fit;
use super::springs::Moment;

/// Legs of a fork.
const LEGS: f64 = 2.0;

/// The air over the oil of a coil fork.
pub(super) struct TrappedAir<N> {
    chamber: Chamber<N>,
    atmosphere: N,
}

impl<N: Number> TrappedAir<N> {
    /// Force at a travel (m) with the air settled, in N.
    pub fn settled_force(&self, travel: N) -> N {
        self.chamber.force(travel, N::constant(1.0), self.atmosphere)
    }
}

impl<'a, R: Recorder> Bench<'a, R> {
    fn fork_block(&self) -> Got<&'a ForkBlock> {
        self.machine()?.fork().ok_or_else(|| missing("fork", ForkBlock::kind, "machine"))
    }

    fn is_air_fork(&self) -> Got<bool> {
        let kind =
            self.fork_block()?.kind.as_ref().ok_or_else(|| missing("fork", ForkBlock::kind, "machine"))?;
        Ok(kind.text == blocks::AIR)
    }

    /// How many springs the fork has.
    pub(super) fn spring_count(&self) -> Got<f64> {
        let fork = self.fork_block()?;
        if self.is_air_fork()? {
            return Err(cannot(say!("an air fork has no coil spring")));
        }
        Ok(match &fork.springs {
            Some(count) => {
                self.rests_on(count.span);
                count.value()
            }
            None => {
                self.may_assume(&fork.header, ForkBlock::springs)?;
                self.assume_text(say!("two fork springs"));
                FORK_SPRINGS
            }
        })
    }

    /// The exponent for quick strokes.
    pub(super) fn ride_exponent(&self) -> Got<R::Number> {
        let fork = self.fork_block()?;
        Ok(match &fork.ride_exponent {
            Some(exponent) => {
                self.given(exponent, Origin { header: &fork.header, key: ForkBlock::ride_exponent })
            }
            None => {
                self.may_assume(&fork.header, ForkBlock::ride_exponent)?;
                self.assume(&assumptions::RIDE_EXPONENT)
            }
        })
    }

    /// The air over the oil; `None` where the machine's notebook does not describe it.
    pub(super) fn trapped_air(&self, moment: Moment) -> Got<Option<TrappedAir<R::Number>>> {
        let fork = self.fork_block()?;
        if self.is_air_fork()? {
            return Ok(None);
        }
        let gap = if_unwritten(self.setting_at(moment, End::Front, Setting::FORK_AIR_GAP))?;
        if fork.bore.is_none() {
            self.may_assume(&fork.header, ForkBlock::bore)?;
        }
        let (Some(gap), Some(bore)) = (gap, &fork.bore) else {
            self.assume_text(say!("air over the oil not counted"));
            return Ok(None);
        };
        let bore = self.given(bore, Origin { header: &fork.header, key: ForkBlock::bore });
        let swept = match &fork.swept {
            Some(swept) => self.given(swept, Origin { header: &fork.header, key: ForkBlock::swept }),
            None => {
                self.may_assume(&fork.header, ForkBlock::swept)?;
                bore
            }
        };
        let area = |diameter: R::Number| bore_area(diameter) * LEGS;
        let chamber = Chamber::over_oil(area(bore), gap, area(swept), self.travel(End::Front)?);
        Ok(Some(TrappedAir { chamber, atmosphere: self.atmosphere_of(moment) }))
    }

    /// One air chamber at a pressure, in Pa gauge.
    fn chamber_at(&self, block: &ChamberBlock, name: &str, pressure: R::Number) -> Got<Chamber<R::Number>> {
        let word = format!("chamber {name}");
        let origin = |key| Origin { header: &block.header, key };
        let area = match (&block.area, &block.bore) {
            (Some(area), _) => self.given(area, origin(ChamberBlock::area)),
            (None, Some(bore)) => bore_area(self.given(bore, origin(ChamberBlock::bore))),
            (None, None) => return Err(missing(&word, ChamberBlock::bore, "machine")),
        };
        let volume = block.volume.ok_or_else(|| missing(&word, ChamberBlock::volume, "machine"))?;
        let side = block.side.as_ref().ok_or_else(|| missing(&word, ChamberBlock::side, "machine"))?;
        let side = if side.text == blocks::NEGATIVE { Side::Negative } else { Side::Positive };
        Ok(Chamber { side, area, volume: self.given(&volume, origin(ChamberBlock::volume)), pressure })
    }

    /// The fork with the pressure that counted in each chamber at a moment.
    fn air_fork(&self, moment: Moment) -> Got<Fork<R::Number>> {
        let machine = self.machine()?;
        let names: Vec<&str> = machine.chambers().map(|(name, _)| name).collect();
        if names.is_empty() {
            return Err(missing("chamber NAME", "", "machine"));
        }
        let mut chambers = Vec::new();
        for (name, block) in machine.chambers() {
            chambers.push(self.chamber_at(block, name, self.chamber_pressure(moment, name)?)?);
        }
        self.assemble(moment, None, chambers, &names)
    }

    fn assemble(
        &self,
        moment: Moment,
        coil: Option<Coil<R::Number>>,
        chambers: Vec<Chamber<R::Number>>,
        names: &[&str],
    ) -> Got<Fork<R::Number>> {
        let travel = self.travel(End::Front)?;
        Fork::new(travel, coil, chambers, self.atmosphere_of(moment)).map_err(|short| {
            let name = match names.get(short.chamber) {
                Some(name) => Message::text(*name),
                None => say!("air over the oil"),
            };
            if short.at.value() > travel.value() {
                return cannot(say!(
                    "{name}: less than a twentieth of its room is left at full travel",
                    name
                ));
            }
            let at = format!("{:.0}", short.at.value() * 1000.0);
            cannot(say!("{name}: no room is left at {at} mm of travel", name, at))
        })
    }

    /// A coil fork with springs of a rate (each, N/m) at a preload (m).
    fn fork_of_springs(&self, moment: Moment, rate: R::Number, preload: R::Number) -> Got<Fork<R::Number>> {
        let coil = Coil { rate: rate * self.spring_count()?, preload };
        let air: Vec<Chamber<R::Number>> =
            self.trapped_air(moment)?.into_iter().map(|air| air.chamber).collect();
        self.assemble(moment, Some(coil), air, &[])
    }

    /// The fork with the settings of a moment, except for those given: what the model of the sag compares.
    pub(super) fn fork_with(&self, moment: Moment, fit: Fit<R::Number>) -> Got<Fork<R::Number>> {
        if self.is_air_fork()? {
            return self.air_fork(moment);
        }
        let set = |given: Option<R::Number>, name| match given {
            Some(given) => Ok(given),
            None => self.setting_at(moment, End::Front, name),
        };
        let rate = set(fit.rate, Setting::FORK_SPRING)?;
        let preload = set(fit.preload, Setting::FORK_PRELOAD)?;
        self.fork_of_springs(moment, rate, preload)
    }

    /// The fork as it is at the gate.
    pub(super) fn fork_at_gate(&self) -> Got<Fork<R::Number>> {
        self.fork_with(Moment::Now, Fit::AS_SET)
    }

    fn exponent(&self, riding: bool) -> Got<R::Number> {
        if riding { self.ride_exponent() } else { Ok(R::Number::constant(1.0)) }
    }

    /// Force along the fork at a share of its travel, in N.
    pub(super) fn fork_force(&self, share: f64, riding: bool) -> Got<R::Number> {
        let fork = self.fork_at_gate()?;
        let exponent = self.exponent(riding)?;
        let place = fork.travel() * share;
        let dense = self.dense_gas(&fork, place, exponent, |chamber, absolute| {
            absolute * chamber.area * chamber.side.sign()
        });
        Ok(fork.force(place, exponent) + dense)
    }

    /// Stiffness along the fork at a share of its travel, in N/m.
    pub(super) fn fork_stiffness(&self, share: f64) -> Got<R::Number> {
        let fork = self.fork_at_gate()?;
        let (place, exponent) = (fork.travel() * share, self.ride_exponent()?);
        let atmosphere = self.gate_atmosphere();
        let dense = self
            .dense_gas(&fork, place, exponent, |chamber, _| chamber.stiffness(place, exponent, atmosphere));
        Ok(fork.stiffness(place, exponent) + dense)
    }

    /// Stiffness along the fork for quick strokes about a travel where the air has settled, in N/m.
    pub(super) fn riding_stiffness(&self, fork: &Fork<R::Number>, place: R::Number) -> Got<R::Number> {
        let (settled, exponent) = (R::Number::constant(1.0), self.ride_exponent()?);
        let atmosphere = self.gate_atmosphere();
        let dense = self.dense_gas(fork, place, settled, |chamber, _| {
            chamber.riding_stiffness(place, exponent, atmosphere)
        });
        Ok(fork.riding_stiffness(place, exponent) + dense)
    }

    /// Energy over the whole travel, in J.
    pub(super) fn fork_energy(&self) -> Got<R::Number> {
        let fork = self.fork_at_gate()?;
        let (travel, exponent, atmosphere) = (fork.travel(), self.ride_exponent()?, self.gate_atmosphere());
        let above = |chamber: &Chamber<R::Number>| chamber.work_above(IDEAL_TO, travel, exponent, atmosphere);
        let works = fork.chambers().iter().map(above).filter(|work| work.value() != 0.0);
        let dense = works.fold(R::Number::constant(0.0), |sum, work| sum + self.as_dense_gas(work));
        Ok(fork.energy(travel, exponent) + dense)
    }

    /// Pressure of a chamber with the fork fully in, riding, in Pa gauge; by its index among the chambers.
    pub(super) fn pressure_fully_in(&self, chamber: usize) -> Got<Option<R::Number>> {
        let fork = self.fork_at_gate()?;
        let ideal = fork.pressures(fork.travel(), self.ride_exponent()?).get(chamber).copied();
        Ok(ideal.map(|ideal| {
            let absolute = ideal + self.gate_atmosphere();
            if absolute.value() > IDEAL_TO { ideal + self.as_dense_gas(absolute) } else { ideal }
        }))
    }

    /// Zero, with the error of the ideal gas law at a travel where the pressure is beyond its range. `part` is what
    /// the absolute pressure of such a chamber contributes.
    fn dense_gas(
        &self,
        fork: &Fork<R::Number>,
        place: R::Number,
        exponent: R::Number,
        part: impl Fn(&Chamber<R::Number>, R::Number) -> R::Number,
    ) -> R::Number {
        let atmosphere = self.gate_atmosphere();
        let dense = fork.chambers().iter().filter_map(|chamber| {
            let absolute = chamber.absolute_at(place, exponent, atmosphere);
            (absolute.value() > IDEAL_TO).then(|| self.as_dense_gas(part(chamber, absolute)))
        });
        dense.fold(R::Number::constant(0.0), |sum, error| sum + error)
    }

    /// The error of a value proportional to the absolute pressure of a dense gas: zero, with an uncertainty.
    fn as_dense_gas(&self, ideal: R::Number) -> R::Number {
        let factor = self.model_spread("dense gas", IDEAL_SPREAD, say!("ideal gas past 20 bar, ± 5 %"));
        ideal * (factor - 1.0)
    }

    /// Points of the force curve for a chart: travel in m, force in N; riding or settled.
    pub fn fork_curve(&self, points: usize, riding: bool) -> Got<Vec<(f64, f64)>> {
        let fork = self.fork_at_gate()?;
        let exponent = self.exponent(riding)?;
        let curve: Vec<(f64, f64)> = evenly(points)
            .map(|share| {
                let place = fork.travel() * share;
                (place.value(), fork.force(place, exponent).value())
            })
            .collect();
        match curve.iter().all(|(place, force)| place.is_finite() && force.is_finite()) {
            true => Ok(curve),
            false => Err(no_number()),
        }
    }

    /// How far the fork is held down with the wheel off the ground, in m; `None` where it extends fully.
    pub fn held_down(&self) -> Got<Option<R::Number>> {
        self.hangs_at(&self.fork_at_gate()?)
    }

    /// The same for a fork that is put together.
    pub(super) fn hangs_at(&self, fork: &Fork<R::Number>) -> Got<Option<R::Number>> {
        // Nothing else pulls it in.
        if !fork.chambers().iter().any(|chamber| chamber.side == Side::Negative) || fork.extends_fully() {
            return Ok(None);
        }
        let (hang, assumed, from) = self.observed(|bench| {
            let weight = bench.unsprung(End::Front)? * crate::physics::loads::GRAVITY;
            let along = crate::physics::loads::along_fork(weight, bench.rake_here()?);
            fork.hang(along).map_err(super::spring::unsettled)
        });
        let hang = match hang? {
            Rest::ToppedOut => None,
            held => Some(held.used(fork.travel())),
        };
        // A fork that extends fully depends on neither its wheel's weight nor its rake.
        if hang.is_some() {
            assumed.into_iter().for_each(|text| self.assume_text(text));
            from.into_iter().for_each(|span| self.rests_on(span));
        }
        Ok(hang)
    }

    /// Each chamber that runs out of room within the travel or just beyond, with the travel where it does, in m.
    pub fn rooms(&self) -> Vec<(String, f64)> {
        let (Ok(machine), Ok(travel)) = (self.machine(), self.travel(End::Front)) else { return Vec::new() };
        let rooms = machine.chambers().filter_map(|(name, block)| {
            let chamber = self.chamber_at(block, name, R::Number::constant(0.0)).ok()?;
            Some((name.to_owned(), chamber.room()?.value()))
        });
        rooms.filter(|(_, room)| *room * SQUEEZED_TO <= travel.value()).collect()
    }
}
