//! Pressures on the bench, at the gate, at full travel, and what leaked.

use crate::physics::Number;
use crate::physics::air::{Surroundings, before_gauge, taken_to};
use crate::season::{BenchPlace, PressureMark, State};
use crate::vocabulary::blocks::{Chamber, Conditions, Pressures};
use crate::vocabulary::names::{fill, opened};
use crate::vocabulary::{End, Typed, settings};

use super::bench::{Bench, Got, Origin, cannot, missing};
use super::recorder::Recorder;
use super::springs::Moment;

/// The latest word on a pressure.
enum Latest<'a> {
    /// Written as a setting, which holds at the gate.
    Setting,
    Reading(&'a PressureMark),
}

impl<'a, R: Recorder> Bench<'a, R> {
    fn latest(state: &'a State, name: &str) -> Option<Latest<'a>> {
        let set = state.setting(name);
        let read = state.pressure_left(name);
        match (set, read) {
            (Some(set), Some(read)) if set.place > Some(read.place) => Some(Latest::Setting),
            (_, Some(read)) => Some(Latest::Reading(read)),
            (Some(_), None) => Some(Latest::Setting),
            (None, None) => None,
        }
    }

    /// Whether the latest word on a pressure is a setting, which holds at the gate whatever the day's air is.
    pub fn is_set_at_gate(&self, name: &str) -> bool {
        matches!(Self::latest(self.here.state, name), Some(Latest::Setting))
    }

    fn no_pressure(name: &str) -> super::figure::Absent {
        // In `pressures` a chamber goes by its own name, a tyre by the setting's.
        let key = opened(settings::CHAMBER, name).unwrap_or(name);
        missing("pressures", key, "day").and(missing("settings", name, "day"))
    }

    fn pressure_reading(&self, mark: &PressureMark, name: &str) -> Got<R::Number> {
        let gauge = mark.gauge.as_ref().or(self.here.book.about.gauge.as_ref());
        self.reading_of_block(&mark.readings, Pressures::SPEC.word, name, gauge)
    }

    /// Air around the place where a pressure was read.
    fn around(&self, mark: &PressureMark) -> Got<Surroundings<R::Number>> {
        let at = mark.at.ok_or_else(|| missing("pressures", Pressures::at, "day"))?;
        let elevation = mark
            .elevation
            .map(|elevation| self.elevation(&elevation, Pressures::elevation, mark.altimeter.as_ref()));
        Ok(Surroundings {
            temperature: self.temperature(&at, Pressures::at, mark.thermometer.as_ref()),
            atmosphere: self.atmosphere_at(elevation),
        })
    }

    pub(super) fn gate(&self) -> Got<Surroundings<R::Number>> {
        Ok(Surroundings { temperature: self.air_temperature()?, atmosphere: self.gate_atmosphere() })
    }

    /// A pressure at the gate by name, in Pa gauge.
    fn gate_of(&self, name: &str) -> Got<R::Number> {
        match Self::latest(self.here.state, name).ok_or_else(|| Self::no_pressure(name))? {
            Latest::Setting => self.setting(name),
            Latest::Reading(mark) => {
                let pressure = self.pressure_reading(mark, name)?;
                Ok(taken_to(pressure, self.around(mark)?, self.gate()?))
            }
        }
    }

    /// A pressure by the setting's name as it was last written, wherever and however warm it was; for where the gate's
    /// cannot be had. `None` where it was never written, or is no number.
    pub fn last_written(&self, name: &str) -> Option<f64> {
        match Self::latest(self.here.state, name)? {
            Latest::Setting => self.here.state.setting(name)?.value.number(),
            Latest::Reading(mark) => mark.readings.mean(),
        }
    }

    /// The chamber that tells another's pressure: itself, or the one that fills it through a port.
    fn source_chamber(&self, name: &str) -> String {
        let from = self
            .here
            .machine
            .and_then(|machine| machine.chamber(name))
            .and_then(|block| block.charged_from.as_ref());
        from.map_or_else(|| name.to_owned(), |from| from.text.clone())
    }

    pub(super) fn gate_chamber(&self, name: &str) -> Got<R::Number> {
        let name = fill(settings::CHAMBER, &self.source_chamber(name));
        self.part(&format!("gate {name}"), |bench| bench.gate_of(&name))
    }

    pub(super) fn gate_tyre(&self, end: End) -> Got<R::Number> {
        self.has_air(end)?;
        let name = fill(settings::TYRE, end.word());
        self.part(&format!("gate {name}"), |bench| bench.gate_of(&name))
    }

    fn has_air(&self, end: End) -> Got<()> {
        match self.word(&fill(settings::INSERT, end.word())) {
            Some(settings::MOUSSE) => Err(cannot("a mousse has no pressure")),
            _ => Ok(()),
        }
    }

    /// A chamber's pressure for the fork's figures: at the gate where that can be had, else as measured.
    pub(super) fn pressure_at_gate(&self, chamber: &str) -> Got<R::Number> {
        let source = self.source_chamber(chamber);
        let name = fill(settings::CHAMBER, &source);
        match Self::latest(self.here.state, &name).ok_or_else(|| Self::no_pressure(&name))? {
            Latest::Setting => self.setting(&name),
            Latest::Reading(mark) => self.reading_at_gate(mark, &name),
        }
    }

    fn reading_at_gate(&self, mark: &PressureMark, name: &str) -> Got<R::Number> {
        let pressure = self.pressure_reading(mark, name)?;
        if self.here.state.conditions().is_some_and(|conditions| conditions.air.is_some())
            && mark.at.is_some()
        {
            return Ok(taken_to(pressure, self.around(mark)?, self.gate()?));
        }
        self.assume_text("pressures as measured, not brought to the gate");
        Ok(pressure)
    }

    /// A chamber's pressure as the settings of a moment have it, for comparing sags by the model.
    ///
    /// Where the setting of now was written over a reading, that reading is what it was before.
    pub(super) fn chamber_setting(&self, moment: Moment, chamber: &str) -> Got<R::Number> {
        let name = fill(settings::CHAMBER, &self.source_chamber(chamber));
        match self.read_between(&name).filter(|_| moment == Moment::AtSag) {
            Some(mark) if self.here.day.is_some_and(|day| day.date == mark.date) => {
                self.reading_at_gate(mark, &name)
            }
            // What that came to at the gate of another day is not known here.
            Some(mark) => {
                self.assume_text("pressures of another day as they were measured");
                self.pressure_reading(mark, &name)
            }
            None => self.setting_at(moment, End::Front, &name).or_else(|_| self.pressure_at_gate(chamber)),
        }
    }

    /// The reading that came over the setting with which the front's rider sag was read, where a newer setting
    /// came over that in turn.
    pub(super) fn read_between(&self, name: &str) -> Option<&'a PressureMark> {
        let state = self.here.state;
        let (now, read) = (state.setting(name)?, state.pressure_left(name)?);
        let then = state.setting_at_sag(End::Front, name).and_then(|held| held.place);
        (then < Some(read.place) && Some(read.place) < now.place).then_some(read)
    }

    /// What to set on the bench, for the setting in force to hold at the gate.
    fn bench_of(&self, name: &str) -> Got<R::Number> {
        let wanted = self.setting(name)?;
        let today = self.here.day.map(|day| day.date);
        let nowhere = || missing("pressures", Pressures::at, "day");
        let bench = match self.here.state.bench(name, today).ok_or_else(nowhere)? {
            BenchPlace::Read(mark) => self.around(mark)?,
            BenchPlace::Foreseen(conditions) => self.around_foreseen(conditions)?,
        };
        Ok(taken_to(wanted, self.gate()?, bench))
    }

    /// Air around the bench that is foreseen.
    fn around_foreseen(&self, conditions: &Conditions) -> Got<Surroundings<R::Number>> {
        let bench = conditions.bench.ok_or_else(|| missing("conditions", Conditions::bench, "day"))?;
        let elevation = conditions.bench_elevation.map(|height| {
            self.elevation(&height, Conditions::bench_elevation, conditions.altimeter.as_ref())
        });
        Ok(Surroundings {
            temperature: self.temperature(&bench, Conditions::bench, conditions.thermometer.as_ref()),
            atmosphere: self.atmosphere_at(elevation),
        })
    }

    pub(super) fn bench_chamber(&self, name: &str) -> Got<R::Number> {
        let name = fill(settings::CHAMBER, &self.source_chamber(name));
        self.bench_of(&name)
    }

    pub(super) fn bench_tyre(&self, end: End) -> Got<R::Number> {
        self.has_air(end)?;
        self.bench_of(&fill(settings::TYRE, end.word()))
    }

    /// Pressure of a chamber with the fork fully in, riding, in Pa gauge.
    pub(super) fn full_chamber(&self, name: &str) -> Got<R::Number> {
        let none = || cannot(format!("the fork has no chamber `{name}`"));
        let place = self.machine()?.chambers().position(|(known, _)| known == name).ok_or_else(none)?;
        self.pressure_fully_in(place)?.ok_or_else(none)
    }

    /// What a chamber lost since it was last left, at the temperature of the find, in Pa: below zero.
    pub(super) fn leak(&self, chamber: &str) -> Got<R::Number> {
        let name = fill(settings::CHAMBER, &self.source_chamber(chamber));
        let (found, left) = self
            .here
            .state
            .pressure_found(&name)
            .ok_or_else(|| missing("pressures", &found_key(chamber), "day"))?;
        let left = left.ok_or_else(|| cannot("it was never left at a pressure before"))?;
        let (then, now) = (self.around(left)?, self.around(found)?);
        let mut held = self.pressure_reading(found, &found_key(&name))?;
        let gauge = found.gauge.as_ref().or(self.here.book.about.gauge.as_ref());
        let hose =
            gauge.and_then(|gauge| self.here.book.instrument(&gauge.text)).and_then(|gauge| gauge.hose);
        let volume = self.machine()?.chamber(chamber).and_then(|block| Some((block, block.volume.as_ref()?)));
        if let (Some(hose), Some((block, volume))) = (hose, volume) {
            self.rests_on(hose.span);
            let volume = self.given(volume, Origin { header: &block.header, key: Chamber::volume });
            held = before_gauge(held, R::Number::constant(hose.value()), volume);
        }
        let left = self.pressure_reading(left, &name)?;
        Ok(held - taken_to(left, then, now))
    }
}

fn found_key(name: &str) -> String {
    format!("found.{name}")
}
