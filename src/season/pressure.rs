//! What is in a chamber or tyre: the aim, and the charge. [`State::pressure`] is the one answer.
//!
//! A gauge pressure means nothing without its temperature and the air around it. The *aim* is the number that a rider
//! runs: what the gauge shows at the track, cold. It belongs to machine and rider together, among their settings. The
//! *charge* is the gas last known to be inside; it stays in the machine, whoever rides. Formulas bring either to
//! another place or temperature; that is another room's work.

use std::sync::Arc;

use crate::book::Notebook;
use crate::vocabulary::blocks::{Chamber, Conditions};
use crate::vocabulary::settings::{self, Owner};
use crate::vocabulary::values::Given;
use crate::vocabulary::{End, Setting};

use super::air::{Cold, Gate};
use super::charge::{Base, Charge, Find, PressureMark, SetTo, Step};
use super::map::Map;
use super::settings::{Entry, Held, HeldMap, HeldValue, How, held};
use super::state::State;

/// What is known of one chamber or tyre at a place of the diary.
#[derive(Debug, Clone, Copy)]
pub struct Pressure<'a> {
    /// What the gauge should show at the track, cold.
    pub aim: Option<&'a Held>,
    pub charge: Option<&'a Charge>,
    day: Option<usize>,
}

/// The pressure that counts at a day's gate.
#[derive(Debug, Clone, Copy)]
pub enum Counts<'a> {
    Charge(&'a Charge),
    /// It will be set before riding.
    Aim(&'a Held),
}

/// The latest thing written about a pressure.
#[derive(Debug, Clone, Copy)]
pub enum LastWord<'a> {
    Aim(&'a Held),
    Reading(&'a PressureMark),
}

/// Where a pressure is set on the bench.
#[derive(Debug, Clone, Copy)]
pub enum BenchPlace<'a> {
    /// Where the day's conditions say that it will be.
    Foreseen(&'a Conditions),
    /// Where it was last read that day.
    Read(&'a PressureMark),
}

/// What was known when an end's rider sag was read.
#[derive(Debug, Clone, Default, PartialEq)]
pub(super) struct AtSag {
    pub machine_settings: HeldMap,
    pub rider_settings: HeldMap,
    pub cold: Arc<Cold>,
    pub gate: Gate,
    /// By the chamber's setting. Where there was no charge yet, the first reading later on the same day counts.
    pub charges: Map<Setting, Arc<Charge>>,
}

/// The settings of chambers that are filled through a port, with that of the chamber that fills each. A chamber
/// filled from itself, or from one that is itself filled from another, is set by itself.
pub(super) fn filled(machine: &Notebook) -> Map<Setting, Setting> {
    let from = |chamber: &Chamber| chamber.charged_from.as_ref().map(|from| from.text.clone());
    let is_source = |name: &str| machine.chamber(name).is_some_and(|chamber| chamber.charged_from.is_none());
    let filled = machine.chambers().filter_map(|(name, chamber)| {
        let source = from(chamber).filter(|source| is_source(source))?;
        Some((Setting::CHAMBER.named(name), Setting::CHAMBER.named(&source)))
    });
    filled.collect()
}

impl<'a> Pressure<'a> {
    /// The charge, where this day has one.
    pub fn of_today(&self) -> Option<&'a Charge> {
        self.charge.filter(|charge| charge.day() == self.day)
    }

    /// The pressure that counts: the day's charge, else the aim, else what was last inside.
    pub fn counts(&self) -> Option<Counts<'a>> {
        let todays = self.of_today().map(Counts::Charge);
        todays.or(self.aim.map(Counts::Aim)).or(self.charge.map(Counts::Charge))
    }
}

impl Counts<'_> {
    /// The number as written, in Pa, at whatever place and temperature.
    pub fn number(&self) -> Option<f64> {
        match self {
            Self::Charge(charge) => charge.quantity().map(|quantity| quantity.value),
            Self::Aim(held) => held.value.number(),
        }
    }
}

impl BenchPlace<'_> {
    /// The temperature there; where none was written, that of the day's air.
    pub fn temperature(self) -> Option<Given> {
        match self {
            Self::Foreseen(conditions) => conditions.bench,
            Self::Read(mark) => {
                mark.block.at.or(mark.gate.conditions.as_ref().and_then(|conditions| conditions.air))
            }
        }
    }
}

impl AtSag {
    pub fn setting(&self, name: Setting) -> Option<&Held> {
        held(&self.machine_settings, name).or_else(|| held(&self.rider_settings, name))
    }

    /// What was then known of a chamber.
    pub fn pressure(&self, name: Setting) -> Pressure<'_> {
        let charge = self.charges.get(&name).map(|charge| &**charge);
        Pressure { aim: self.setting(name), charge, day: self.gate.day }
    }

    /// Whether that day already had a charge for a chamber.
    fn has_charge(&self, name: Setting) -> bool {
        self.charges.get(&name).is_some_and(|charge| charge.day() == self.gate.day)
    }
}

impl State {
    /// What is in a chamber or tyre, by its setting: the one answer for all.
    pub fn pressure(&self, name: Setting) -> Pressure<'_> {
        let day = self.today.gate.day;
        let name = self.filled_by(name);
        let charge = self.machine.charges.get(&name).filter(|_| !self.is_solid(name));
        Pressure { aim: self.setting(name), charge: charge.map(|charge| &**charge), day }
    }

    /// What was in it when an end's rider sag was read, with that day's gate and cold.
    pub fn pressure_at_sag(&self, end: End, name: Setting) -> Option<(Pressure<'_>, &Gate, &Cold)> {
        let then = self.pair.at_sag.get(&end)?;
        Some((then.pressure(self.filled_by(name)), &then.gate, &then.cold))
    }

    /// The gate at which an end's rider sag was read.
    pub fn gate_at_sag(&self, end: End) -> Option<&Gate> {
        self.pair.at_sag.get(&end).map(|then| &then.gate)
    }

    /// The setting of the chamber that fills this one through a port; for any other chamber, its own.
    pub fn filled_by(&self, name: Setting) -> Setting {
        self.filled.get(&name).copied().unwrap_or(name)
    }

    /// The day's air here.
    pub fn gate(&self) -> &Gate {
        &self.today.gate
    }

    /// The day with everything cold.
    pub fn cold(&self) -> &Cold {
        &self.today.cold
    }

    /// The last reading of a chamber or tyre, left or found.
    pub fn last_read(&self, name: Setting) -> Option<&PressureMark> {
        self.machine.read.get(&self.filled_by(name)).map(|mark| &**mark)
    }

    /// Where a chamber or tyre is set on the bench: as the day's conditions say, else where it was read that day.
    pub fn bench(&self, name: Setting) -> Option<BenchPlace<'_>> {
        let foreseen = self.conditions().filter(|conditions| conditions.bench.is_some());
        let read = || self.last_read(name).filter(|mark| mark.gate.day == self.today.gate.day);
        foreseen.map(BenchPlace::Foreseen).or_else(|| read().map(BenchPlace::Read))
    }

    /// The last find of a chamber or tyre.
    pub fn found(&self, name: Setting) -> Option<&Find> {
        self.machine.finds.get(&self.filled_by(name)).map(|find| &**find)
    }

    /// The latest thing written about a pressure: an aim or a reading.
    pub fn last_word(&self, name: Setting) -> Option<LastWord<'_>> {
        match (self.setting(name), self.machine.read.get(&name)) {
            (Some(aim), Some(read)) if aim.place > Some(read.place) => Some(LastWord::Aim(aim)),
            (_, Some(read)) => Some(LastWord::Reading(read)),
            (aim, None) => aim.map(LastWord::Aim),
        }
    }

    /// Whether a tyre has no air in it.
    pub fn is_solid(&self, name: Setting) -> bool {
        let end = Setting::TYRE.end_of(name);
        let insert = end.and_then(|end| self.setting(Setting::INSERT.of(end)));
        insert.and_then(|held| held.value.word()) == Some(settings::MOUSSE)
    }

    /// What a relative change starts from: the setting; for a pressure without an aim, what is inside.
    pub fn start_of(&self, name: Setting) -> Option<Held> {
        if let Some(held) = self.setting(name) {
            return Some(held.clone());
        }
        let charge = self.machine.charges.get(&name).filter(|_| name.is_pressure())?;
        let value = HeldValue::Quantity(charge.quantity()?);
        Some(Held { value, how: How::Left, span: charge.span(), place: None, date: Some(charge.date) })
    }

    /// Puts a setting in force, or removes it, and returns the one before. `step` is the size of a relative change.
    /// It moves what is in a chamber, where an absolute change sets it. After an error in what was written, neither
    /// is known.
    pub(super) fn put(
        &mut self,
        name: Setting,
        after: Option<Arc<Entry>>,
        step: Option<Step>,
    ) -> Option<Arc<Entry>> {
        let aim = after.as_ref().and_then(|entry| (**entry).as_ref().ok());
        if name.is_pressure() {
            self.charge(name, aim, step);
        }
        if aim.and_then(|held| held.value.word()) == Some(settings::MOUSSE)
            && let Some(end) = Setting::INSERT.end_of(name)
        {
            Arc::make_mut(&mut self.machine).charges.remove(&Setting::TYRE.of(end));
        }
        let map = match name.info().owner {
            Owner::Machine => &mut self.machine_settings,
            Owner::Rider => &mut self.rider_settings,
        };
        match after {
            Some(entry) => map.insert(name, entry),
            None => map.remove(&name),
        }
    }

    /// What a written aim does to the charge.
    fn charge(&mut self, name: Setting, aim: Option<&Held>, step: Option<Step>) {
        let is_solid = self.is_solid(name);
        let today = self.today.gate.day;
        let cold = Arc::clone(&self.today.cold);
        let charges = &mut Arc::make_mut(&mut self.machine).charges;
        let todays = charges.get(&name).filter(|charge| charge.day() == today);
        let charge = match (aim, step, todays) {
            (None, ..) => {
                charges.remove(&name);
                return;
            }
            _ if is_solid => return,
            (Some(_), Some(step), Some(charge)) => {
                let mut charge = Charge::clone(charge);
                charge.steps.push(step);
                charge
            }
            (Some(aim), ..) => {
                let date = aim.date.or(self.today.date).unwrap_or_default();
                let set = SetTo { aim: aim.clone(), cold };
                Charge { base: Base::Set(Box::new(set)), steps: Vec::new(), date }
            }
        };
        charges.insert(name, Arc::new(charge));
    }

    /// A pressure as left; where the rider never wrote an aim, it becomes the aim.
    pub(super) fn leave(&mut self, name: Setting, mark: &Arc<PressureMark>) {
        let is_written = match self.entry(name).map(|entry| &**entry) {
            Some(Ok(held)) => held.how != How::Left,
            Some(Err(_)) => true,
            None => false,
        };
        if let Some(quantity) = mark.quantity().filter(|_| !is_written) {
            let aim = Held {
                value: HeldValue::Quantity(quantity),
                how: How::Left,
                span: mark.readings.span,
                place: Some(mark.place),
                date: Some(mark.date),
            };
            self.rider_settings.insert(name, Arc::new(Ok(aim)));
        }
        self.read(name, mark);
    }

    /// A reading as found. The air that the hose took goes with the pump: what the gauge showed stays inside.
    pub(super) fn find(&mut self, name: Setting, mark: &Arc<PressureMark>) {
        let before = self.machine.charges.get(&name).cloned();
        let find = Find { mark: Arc::clone(mark), before };
        Arc::make_mut(&mut self.machine).finds.insert(name, Arc::new(find));
        self.read(name, mark);
    }

    fn read(&mut self, name: Setting, mark: &Arc<PressureMark>) {
        let charge = Arc::new(Charge::read(Arc::clone(mark)));
        let is_first = self.pressure(name).of_today().is_none();
        let machine = Arc::make_mut(&mut self.machine);
        machine.read.insert(name, Arc::clone(mark));
        machine.charges.insert(name, Arc::clone(&charge));
        if !is_first {
            return;
        }
        // It was in there when the sag was read, earlier on the same day.
        for end in End::BOTH {
            let then = self.pair.at_sag.get(&end);
            let then = then.filter(|then| then.gate.day == mark.gate.day && !then.has_charge(name));
            if let Some(mut then) = then.cloned() {
                Arc::make_mut(&mut then).charges.insert(name, Arc::clone(&charge));
                Arc::make_mut(&mut self.pair).at_sag.insert(end, then);
            }
        }
    }

    /// What counts for a rider sag that is read here.
    pub(super) fn at_sag(&self) -> AtSag {
        AtSag {
            machine_settings: self.machine_settings.clone(),
            rider_settings: self.rider_settings.clone(),
            cold: Arc::clone(&self.today.cold),
            gate: self.today.gate.clone(),
            charges: self.machine.charges.clone(),
        }
    }
}
