//! Pressures from formulas and what the season knows: at the gate, on the bench, at full travel, and leaks.
//!
//! What is in a chamber or tyre comes from [`State::pressure`](crate::season::State::pressure) alone.

use crate::book::readings::Tool;
use crate::physics::Number;
use crate::physics::air::{Surroundings, before_gauge, taken_to};
use crate::season::{Base, BenchPlace, Charge, Cold, Counts, Find, Gate, PressureMark};
use crate::speech::{Message, say};
use crate::vocabulary::blocks::{Chamber, Conditions, Pressures};
use crate::vocabulary::values::Bounds;
use crate::vocabulary::{End, FigureName, Setting, Symbol, Typed, shown};

use super::assumptions;
use super::bench::{Bench, Got, Origin, Part, SourceKey, cannot, missing};
use super::figure::Absent;
use super::recorder::Recorder;
use super::springs::Moment;

/// A pressure that was known, and where and when that counts.
struct Known<'a> {
    counts: Counts<'a>,
    gate: &'a Gate,
    cold: &'a Cold,
}

impl<'a, R: Recorder> Bench<'a, R> {
    fn no_pressure(name: Setting) -> Absent {
        missing("pressures", key_of(name), "day").and(missing("settings", name.as_str(), "day"))
    }

    fn pressure_reading(&self, mark: &PressureMark, key: impl Fn() -> String) -> Got<R::Number> {
        let gauge = self.here.book.read_with(Tool::Gauge, mark.block.gauge.as_ref());
        if mark.readings.values.is_empty() {
            return Err(missing(Pressures::SPEC.word, &key(), "day"));
        }
        Ok(self.readings(&mark.readings, gauge, || [Pressures::SPEC.word, &key()].join(" ")))
    }

    /// The air around a reading of a pressure.
    fn around(&self, mark: &'a PressureMark) -> Got<Surroundings<R::Number>> {
        let day = self.air_at(&mark.gate);
        let block = &mark.block;
        let temperature = match &block.at {
            Some(at) => self.temperature(at, Pressures::at, block.thermometer.as_ref()),
            None => self.air_temperature(day)? + self.legs_in_the_air(mark),
        };
        let elevation = block
            .elevation
            .map(|elevation| self.elevation(&elevation, Pressures::elevation, block.altimeter.as_ref()));
        if elevation.is_none() {
            self.assume_text(say!("pressures read at the track's height"));
        }
        Ok(Surroundings { temperature, atmosphere: self.atmosphere_at(day, elevation) })
    }

    /// How far the legs may differ from the day's air: one error for a block.
    fn legs_in_the_air(&self, mark: &PressureMark) -> R::Number {
        let id = || self.here.book.identity(mark.first_of_block()).assumed(assumptions::LEGS.id);
        let key = SourceKey::AssumedOf(assumptions::LEGS.id, mark.first_of_block());
        self.assume_as(&assumptions::LEGS, key, id)
    }

    pub(super) fn gate(&self) -> Got<Surroundings<R::Number>> {
        self.at_gate(self.here.state.gate())
    }

    fn at_gate(&self, gate: &'a Gate) -> Got<Surroundings<R::Number>> {
        let day = self.air_at(gate);
        Ok(Surroundings { temperature: self.air_temperature(day)?, atmosphere: self.atmosphere(day) })
    }

    /// The one state of a day for which an aim is a number.
    fn cold(&self, cold: &'a Cold) -> Got<Surroundings<R::Number>> {
        let day = self.air_at(&cold.gate);
        if day.is_unknown() {
            return Err(missing("conditions", Conditions::air, "day"));
        }
        let temperature = match &cold.legs {
            Some(legs) => self.temperature(&legs.at, Pressures::at, legs.thermometer.as_ref()),
            None => self.air_temperature(day)?,
        };
        Ok(Surroundings { temperature, atmosphere: self.atmosphere(day) })
    }

    /// A charge's own gauge number, in Pa.
    fn charge_number(&self, charge: &Charge, name: Setting) -> Got<R::Number> {
        let base = match &charge.base {
            Base::Read(mark) => self.pressure_reading(mark, || name.as_str().to_owned())?,
            Base::Set(set) => self.held(name, &set.aim)?,
        };
        Ok(charge
            .steps
            .iter()
            .fold(base, |sum, step| sum + self.written(&step.by, step.span, || Message::text(name.as_str()))))
    }

    /// Where a charge shows its own number.
    fn around_charge(&self, charge: &'a Charge) -> Got<Surroundings<R::Number>> {
        match &charge.base {
            Base::Read(mark) => {
                if self.air_at(&mark.gate).is_unknown() {
                    return Err(missing("conditions", Conditions::air, "day"));
                }
                self.around(mark)
            }
            Base::Set(set) => self.cold(&set.cold),
        }
    }

    fn counted_number(&self, counts: Counts<'a>, name: Setting) -> Got<R::Number> {
        match counts {
            Counts::Charge(charge) => self.charge_number(charge, name),
            Counts::Aim(held) => self.held(name, held),
        }
    }

    /// Taken from one air to another; in the very same air it stays the same to the last bit.
    fn moved(
        &self,
        pressure: R::Number,
        from: Surroundings<R::Number>,
        to: Surroundings<R::Number>,
    ) -> R::Number {
        let is_one = |one, other| self.recorder.is_one(one, other);
        let is_same = is_one(from.temperature, to.temperature) && is_one(from.atmosphere, to.atmosphere);
        if is_same { pressure } else { taken_to(pressure, from, to) }
    }

    /// The pressure that counts, brought to its day's gate, in Pa gauge.
    fn brought_to_gate(&self, known: &Known<'a>, name: Setting) -> Got<R::Number> {
        let from = match known.counts {
            Counts::Charge(charge) => self.around_charge(charge)?,
            Counts::Aim(_) => self.cold(known.cold)?,
        };
        Ok(self.moved(self.counted_number(known.counts, name)?, from, self.at_gate(known.gate)?))
    }

    /// The pressure that counts here, by its setting.
    fn known_here(&self, name: Setting) -> Got<Known<'a>> {
        let state = self.here.state;
        let counts = state.pressure(name).counts().ok_or_else(|| Self::no_pressure(name))?;
        Ok(Known { counts, gate: state.gate(), cold: state.cold() })
    }

    /// The pressure that counted when the front's rider sag was read.
    fn known_at_sag(&self, name: Setting) -> Got<Known<'a>> {
        let none = || Self::no_pressure(name);
        let (then, gate, cold) = self.here.state.pressure_at_sag(End::Front, name).ok_or_else(none)?;
        Ok(Known { counts: then.counts().ok_or_else(none)?, gate, cold })
    }

    /// The pressure that counts, as written and without its uncertainty, at whatever place and temperature; in Pa,
    /// `None` where none is known.
    pub fn last_written(&self, setting: Setting) -> Option<f64> {
        self.here.state.pressure(setting).counts()?.number()
    }

    /// Whether what counts is a number for the track, cold, and not a reading.
    pub fn is_set(&self, setting: Setting) -> bool {
        match self.here.state.pressure(setting).counts() {
            Some(Counts::Aim(_)) => true,
            Some(Counts::Charge(charge)) => charge.reading().is_none(),
            None => false,
        }
    }

    pub(super) fn gate_chamber(&self, chamber: Symbol) -> Got<R::Number> {
        self.gate_of(Setting::CHAMBER.of(chamber))
    }

    pub(super) fn gate_tyre(&self, end: End) -> Got<R::Number> {
        self.has_air(end)?;
        self.gate_of(Setting::TYRE.of(end))
    }

    fn gate_of(&self, name: Setting) -> Got<R::Number> {
        let name = self.here.state.filled_by(name);
        self.part(Part::AtGate(name), |bench| bench.brought_to_gate(&bench.known_here(name)?, name))
    }

    fn has_air(&self, end: End) -> Got<()> {
        if self.here.state.is_solid(Setting::TYRE.of(end)) {
            return Err(cannot(say!("a mousse has no pressure")));
        }
        Ok(())
    }

    /// A chamber's pressure for the fork's figures: at the gate where that is known, else as written.
    pub(super) fn chamber_pressure(&self, moment: Moment, chamber: &str) -> Got<R::Number> {
        let name = self.here.state.filled_by(Setting::CHAMBER.named(chamber));
        self.part(Part::InChamber(name, moment), |bench| {
            let known = match moment {
                Moment::Now => bench.known_here(name)?,
                // What was first written down after the reading was most likely the same before.
                Moment::AtSag => bench.known_at_sag(name).or_else(|_| bench.known_here(name))?,
            };
            bench.brought_to_gate(&known, name).or_else(|_| {
                bench.assume_text(say!("pressures as written, not brought to the gate"));
                bench.counted_number(known.counts, name)
            })
        })
    }

    /// Whether the pressure that counts in a chamber has changed since the front's rider sag was read.
    pub(super) fn is_other_than_at_sag(&self, chamber: &str) -> bool {
        /// Two ways to one pressure differ only by rounding.
        const SAME: f64 = 1e-9;
        let of = |moment| self.chamber_pressure(moment, chamber).map(|pressure| pressure.value());
        match (of(Moment::AtSag), of(Moment::Now)) {
            (Ok(then), Ok(now)) => (now - then).abs() > SAME * then.abs().max(now.abs()),
            _ => false,
        }
    }

    /// The air at the gate when the front's rider sag was read.
    pub(super) fn atmosphere_of(&self, moment: Moment) -> R::Number {
        let then = (moment == Moment::AtSag).then(|| self.here.state.gate_at_sag(End::Front)).flatten();
        then.map_or_else(|| self.gate_atmosphere(), |gate| self.atmosphere(self.air_at(gate)))
    }

    /// What the gauge should show on the bench, so that the aim holds at the track, cold.
    fn bench_of(&self, name: Setting, figure: FigureName) -> Got<R::Number> {
        let state = self.here.state;
        let name = state.filled_by(name);
        let aim = state.pressure(name).aim.ok_or_else(|| missing("settings", name.as_str(), "day"))?;
        let aim = self.held(name, aim)?;
        self.within_limits(name, aim.value(), Pumped::Aim)?;
        let bench = match state.bench(name) {
            Some(BenchPlace::Foreseen(conditions)) => self.around_foreseen(conditions)?,
            Some(BenchPlace::Read(mark)) => self.around(mark)?,
            None => return Err(missing("conditions", Conditions::bench, "day")),
        };
        let pressure = self.moved(aim, self.cold(state.cold())?, bench);
        if pressure.value() < 0.0 {
            let is_tyre = Setting::TYRE.end_of(name).is_some();
            return Err(Absent::Instead(match is_tyre {
                true => say!("set to 0 at the track: this tyre only"),
                false => say!("set to 0 at the track: this chamber only, wheel off the ground"),
            }));
        }
        self.within_limits(name, pressure.value(), Pumped::OnBench)?;
        let own = self
            .here
            .machine
            .and_then(|machine| machine.limits_on(figure).find(|own| !own.contain(pressure.value())));
        match own {
            Some(bounds) => Err(past(&bounds, pressure.value(), Pumped::OnBench)),
            None => Ok(pressure),
        }
    }

    /// Refuses a number past a limit.
    fn within_limits(&self, name: Setting, pressure: f64, what: Pumped) -> Got<()> {
        let limit = self.here.machine.and_then(|machine| machine.pressure_past(name, pressure));
        limit.map_or(Ok(()), |bounds| Err(past(&bounds, pressure, what)))
    }

    /// The air around the bench as the day's conditions foresee it.
    fn around_foreseen(&self, conditions: &'a Conditions) -> Got<Surroundings<R::Number>> {
        let bench = conditions.bench.ok_or_else(|| missing("conditions", Conditions::bench, "day"))?;
        let elevation = conditions.bench_elevation.map(|height| {
            self.elevation(&height, Conditions::bench_elevation, conditions.altimeter.as_ref())
        });
        Ok(Surroundings {
            temperature: self.temperature(&bench, Conditions::bench, conditions.thermometer.as_ref()),
            atmosphere: self.atmosphere_at(self.air_here(), elevation),
        })
    }

    pub(super) fn bench_chamber(&self, chamber: Symbol) -> Got<R::Number> {
        self.bench_of(Setting::CHAMBER.of(chamber), FigureName::BENCH_CHAMBER.of(chamber))
    }

    pub(super) fn bench_tyre(&self, end: End) -> Got<R::Number> {
        self.has_air(end)?;
        self.bench_of(Setting::TYRE.of(end), FigureName::BENCH_TYRE.of(end))
    }

    /// Pressure of a chamber with the fork fully in, riding, in Pa gauge.
    pub(super) fn full_chamber(&self, name: Symbol) -> Got<R::Number> {
        let none = || cannot(say!("the fork has no chamber `{name}`", name));
        let place =
            self.machine()?.chambers().position(|(known, _)| known == name.as_str()).ok_or_else(none)?;
        self.pressure_fully_in(place)?.ok_or_else(none)
    }

    /// What a chamber lost up to its last find, at that find's temperature and height, in Pa: below zero.
    pub(super) fn leak(&self, chamber: Symbol) -> Got<R::Number> {
        let name = self.here.state.filled_by(Setting::CHAMBER.of(chamber));
        let (find, before) = self.found(name)?;
        if self.air_at(&find.mark.gate).is_unknown() {
            return Err(missing("conditions", Conditions::air, "day"));
        }
        let (then, now) = (self.around_charge(before)?, self.around(&find.mark)?);
        let held = self.held_before_gauge(find, name)?;
        Ok(held - self.moved(self.charge_number(before, name)?, then, now))
    }

    fn found(&self, name: Setting) -> Got<(&'a Find, &'a Charge)> {
        let find = self.here.state.found(name);
        let find = find.ok_or_else(|| missing("pressures", &found_key(name), "day"))?;
        let never = || cannot(say!("what was in it before it was found so is not known"));
        Ok((find, find.before.as_ref().ok_or_else(never)?))
    }

    /// In how many days a chamber lost it.
    pub(super) fn leak_days(&self, chamber: Symbol) -> Option<f64> {
        let name = self.here.state.filled_by(Setting::CHAMBER.of(chamber));
        let (find, before) = self.found(name).ok()?;
        Some(super::days_between(before.date, find.mark.date))
    }

    /// The pressure at which a chamber or tyre was last found (Pa, gauge), with the air that the gauge's hose took added
    /// back; `None` where it was not found.
    pub(super) fn as_found(&self, setting: Setting) -> Option<f64> {
        let find = self.here.state.found(setting)?;
        Some(self.held_before_gauge(find, setting).ok()?.value())
    }

    /// The pressure of a find before the gauge's hose filled from it.
    fn held_before_gauge(&self, find: &Find, name: Setting) -> Got<R::Number> {
        let mark = &find.mark;
        let shown = self.pressure_reading(mark, || format!("found.{name}"))?;
        let gauge = mark.block.gauge.as_ref().or(self.here.book.about.gauge.as_ref());
        let hose =
            gauge.and_then(|gauge| self.here.book.instrument(&gauge.text)).and_then(|gauge| gauge.hose);
        let block = self.machine()?.chamber(key_of(name));
        match (hose, block.and_then(|block| Some((block, block.volume.as_ref()?)))) {
            (Some(hose), Some((block, volume))) => {
                self.rests_on(hose.span);
                let volume = self.given(volume, Origin { header: &block.header, key: Chamber::volume });
                Ok(before_gauge(shown, R::Number::constant(hose.value()), volume))
            }
            _ => Ok(shown),
        }
    }
}

/// Which value would be past a limit.
#[derive(Debug, Clone, Copy)]
enum Pumped {
    Aim,
    OnBench,
}

fn past(bounds: &Bounds, pressure: f64, what: Pumped) -> Absent {
    let is_low = bounds.low.is_some_and(|low| pressure < low.value);
    let limit = shown::end_past(bounds, pressure);
    Absent::Instead(match (what, is_low) {
        (Pumped::Aim, true) => say!("fill it at the track: the aim is below the limit of {limit}", limit),
        (Pumped::Aim, false) => say!("fill it at the track: the aim is above the limit of {limit}", limit),
        (Pumped::OnBench, true) => {
            say!("fill it at the track: on the bench it would be below the limit of {limit}", limit)
        }
        (Pumped::OnBench, false) => {
            say!("fill it at the track: on the bench it would be above the limit of {limit}", limit)
        }
    })
}

/// The key of a pressure in `pressures`: a chamber by its own name, a tyre by the setting's.
fn key_of(name: Setting) -> &'static str {
    Setting::CHAMBER.word_of(name).unwrap_or_else(|| name.as_str())
}

fn found_key(name: Setting) -> String {
    format!("found.{}", key_of(name))
}
