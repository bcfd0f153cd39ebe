//! The state at one place of a diary.

use std::sync::Arc;

use jiff::civil::Date;

use crate::finding::Rejected;
use crate::quantity::Quantity;
use crate::source::{FileId, Span};
use crate::vocabulary::blocks::{Conditions, RiderBlock, Sag, Scales, Steering, Stint};
use crate::vocabulary::settings::Owner;
use crate::vocabulary::values::Given;
use crate::vocabulary::{Damper, End, Load, Setting, Symbol, shown};

use super::air::{Cold, Gate};
use super::charge::{Base, Charge, Find, PressureMark, Step};
use super::map::Map;
use super::pressure::AtSag;
use super::settings::{Entry, Held, HeldMap, HeldValue, How, Stepped};

/// A place in the replay where something was written; a later one is greater.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub struct Place {
    /// The day's place in the book.
    pub day: usize,
    /// The block's place in the day.
    pub block: usize,
}

/// What holds at one place: settings in force and the latest readings. Cheap to clone; what a block does not
/// change is shared.
#[derive(Debug, Clone, Default)]
pub struct State {
    /// Settings that stay on the machine.
    pub(super) machine_settings: HeldMap,
    /// Settings of the machine and rider together.
    pub(super) rider_settings: HeldMap,
    /// The last rebuild of each damper.
    pub(super) valving: Valved,
    /// Latest readings of the machine and rider together.
    pub(super) pair: Arc<PairReadings>,
    /// Latest readings of the machine, whoever rides.
    pub(super) machine: Arc<MachineReadings>,
    /// The rider, as last described.
    pub(super) rider: Option<Arc<RiderBlock>>,
    /// The settings of chambers filled through a port, with those of the chambers that fill them.
    pub(super) filled: Map<Setting, Setting>,
    /// What is of this day alone.
    pub(super) today: Arc<Today>,
}

impl State {
    /// Whether a day with the same notebook, machine and rider that begins like this goes on the same, unless it undoes changes.
    pub(super) fn begins_like(&self, other: &Self) -> bool {
        self.machine_settings == other.machine_settings
            && self.rider_settings == other.rider_settings
            && same(&self.machine, &other.machine)
            && same(&self.pair, &other.pair)
            && self.valving == other.valving
            && self.rider == other.rider
    }

    /// Whether both are the same, so that nothing need be compared: blocks such as a note change nothing.
    pub fn is_one_with(&self, other: &Self) -> bool {
        let rider = match (&self.rider, &other.rider) {
            (Some(one), Some(other)) => Arc::ptr_eq(one, other),
            (one, other) => one.is_none() && other.is_none(),
        };
        rider
            && Arc::ptr_eq(&self.today, &other.today)
            && Arc::ptr_eq(&self.pair, &other.pair)
            && Arc::ptr_eq(&self.machine, &other.machine)
            && self.machine_settings.is_one_with(&other.machine_settings)
            && self.rider_settings.is_one_with(&other.rider_settings)
            && self.valving.is_one_with(&other.valving)
            && self.filled.is_one_with(&other.filled)
    }

    /// How many settings and readings this state does not share with another.
    pub(super) fn kept_beside(&self, other: &Self) -> usize {
        fn own<T>(mine: &Arc<T>, others: &Arc<T>, count: impl Fn(&T) -> usize) -> usize {
            if Arc::ptr_eq(mine, others) { 0 } else { count(mine) }
        }
        fn own_entries(mine: &HeldMap, others: &HeldMap) -> usize {
            if mine.is_one_with(others) { 0 } else { mine.len() }
        }
        own_entries(&self.machine_settings, &other.machine_settings)
            + own_entries(&self.rider_settings, &other.rider_settings)
            + own(&self.pair, &other.pair, |pair| pair.seen.len() + 1)
            + own(&self.machine, &other.machine, |machine| {
                // A chamber's charge takes as much room as three settings.
                machine.seen.len() + 3 * machine.charges.len() + machine.read.len() + machine.finds.len() + 1
            })
    }
}

/// Whether two are the same, or equal.
fn same<T: PartialEq>(one: &Arc<T>, other: &Arc<T>) -> bool {
    Arc::ptr_eq(one, other) || one == other
}

/// Readings of a machine and rider together.
#[derive(Debug, Clone, Default, PartialEq)]
pub(super) struct PairReadings {
    /// The sag read last, or the error in it: an older one does not replace one that could not be read.
    pub sag: Map<(End, Load), Result<Arc<SagMark>, Rejected>>,
    pub scales: Option<Weighed>,
    pub seen: Map<Symbol, Arc<Seen>>,
    /// What was set and known when each end's rider sag was read.
    pub at_sag: Map<End, Arc<AtSag>>,
}

/// The scales read last, or the error in them.
pub type Weighed = Result<Arc<Scales>, Rejected>;

/// Readings of a machine, whoever rides.
#[derive(Debug, Clone, Default, PartialEq)]
pub(super) struct MachineReadings {
    /// What is in each chamber and tyre, by its setting.
    pub charges: Map<Setting, Arc<Charge>>,
    /// The last reading of each, left or found.
    pub read: Map<Setting, Arc<PressureMark>>,
    pub finds: Map<Setting, Arc<Find>>,
    pub steering: Option<(Arc<Steering>, Place)>,
    pub hours: Option<Hours>,
    /// By the word of a figure, setting, service or look.
    pub seen: Map<Symbol, Arc<Seen>>,
}

/// What belongs to the day alone.
#[derive(Debug, Clone, Default)]
pub(super) struct Today {
    pub date: Option<Date>,
    pub gate: Gate,
    pub cold: Arc<Cold>,
    pub stint: Option<Arc<Stint>>,
    /// The last stint that says where each travel ring was.
    pub used_front: Option<Arc<Stint>>,
    pub used_rear: Option<Arc<Stint>>,
    /// What the last `change` block did, by setting; `None` above the first.
    pub step: Option<Map<Setting, Arc<Stepped>>>,
}

/// The last rebuild of each damper.
pub(super) type Valved = Map<Damper, Held>;

/// A sag block and when it was read.
#[derive(Debug, Clone, PartialEq)]
pub struct SagMark {
    pub block: Arc<Sag>,
    pub place: Place,
    pub date: Date,
    /// The rider, as described then.
    pub rider: Option<Arc<RiderBlock>>,
    /// The scales of that day, else of the last earlier day with scales.
    pub scales: Option<Weighed>,
}

/// The hours on a machine.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Hours {
    /// In s.
    pub ridden: f64,
    /// Whether they come from a meter; else they count from zero.
    pub by_meter: bool,
    pub span: Span,
}

impl Hours {
    /// Whether a meter that showed them cannot show so little now.
    pub fn is_ahead_of(&self, meter: &Quantity) -> bool {
        self.by_meter && meter.value < self.ridden - shown::doubt(meter)
    }
}

/// When something was last looked at or measured.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Seen {
    pub date: Date,
    /// Hours on the machine then, in s, where they are known.
    pub ridden: Option<f64>,
    pub span: Span,
    pub place: Place,
}

impl State {
    /// What was written last for a setting, errors included.
    pub(super) fn entry(&self, name: Setting) -> Option<&Arc<Entry>> {
        match name.info().owner {
            Owner::Machine => self.machine_settings.get(&name),
            // A machine by itself has all of its standard setting.
            Owner::Rider => self.rider_settings.get(&name).or_else(|| self.machine_settings.get(&name)),
        }
    }

    /// A setting in force.
    pub fn setting(&self, name: Setting) -> Option<&Held> {
        (**self.entry(name)?).as_ref().ok()
    }

    /// The error in what was written last for a setting, so that none is in force.
    pub fn rejected_setting(&self, name: Setting) -> Option<Rejected> {
        (**self.entry(name)?).as_ref().err().copied()
    }

    /// All settings hidden by an error.
    pub fn rejected_settings(&self) -> impl Iterator<Item = (Setting, Rejected)> {
        let both = self.machine_settings.iter().chain(self.rider_settings.iter());
        both.filter_map(|(name, entry)| Some((*name, *(**entry).as_ref().err()?)))
    }

    /// The same place with one setting changed, as if it were written there.
    #[must_use]
    pub fn with_setting(&self, name: Setting, value: HeldValue) -> Self {
        self.supposed(name, value, None)
    }

    /// The same place with one setting moved, as if the step were written there. The amount has a sign.
    #[must_use]
    pub fn with_step(&self, name: Setting, by: Quantity) -> Self {
        let start = self.start_of(name);
        let Some(from) = start.as_ref().and_then(|held| held.value.quantity()) else { return self.clone() };
        let value = HeldValue::Quantity(from.moved_by(&by));
        let span = self.setting(name).map_or(Span::top(FileId(0)), |held| held.span);
        self.supposed(name, value, Some(Step { by, span }))
    }

    /// Anything supposed comes behind all that is written there, so that no reading is later.
    fn supposed(&self, name: Setting, value: HeldValue, step: Option<Step>) -> Self {
        let mut supposed = self.clone();
        let place = Some(Place { day: usize::MAX, block: usize::MAX });
        let span = self.setting(name).map_or(Span::top(FileId(0)), |held| held.span);
        supposed.put(
            name,
            Some(Arc::new(Ok(Held { value, how: How::Change, span, place, date: None }))),
            step,
        );
        supposed
    }

    /// The errors that hide something here: what was written last does not count.
    pub fn rejections(&self) -> Vec<Rejected> {
        let sags = self.pair.sag.values().filter_map(|read| read.as_ref().err().copied());
        let scales = self.pair.scales.as_ref().and_then(|read| read.as_ref().err().copied());
        let steering = self.machine.steering.as_ref().map(|(steering, _)| &steering.header);
        let headers = self.rider.as_ref().map(|rider| &rider.header).into_iter().chain(steering);
        let unread = headers.flat_map(|header| header.unread.rejections());
        let settings = self.rejected_settings().map(|(_, rejected)| rejected);
        let mut all: Vec<Rejected> = settings.chain(sags).chain(scales).chain(unread).collect();
        all.sort_by_key(|rejected| rejected.span);
        all.dedup();
        all
    }

    /// Where everything that holds here was written: settings, readings, what is in the chambers, the rider, and what does
    /// not count because of an error.
    pub fn places(&self) -> Vec<Span> {
        fn of_charge(charge: &Charge) -> impl Iterator<Item = Span> {
            let base = match &charge.base {
                Base::Read(mark) => mark.readings.span,
                Base::Set(set) => set.aim.span,
            };
            std::iter::once(base).chain(charge.steps.iter().map(|step| step.span))
        }
        let held = |map: &HeldMap| -> Vec<Span> {
            map.values()
                .map(|entry| (**entry).as_ref().map_or_else(|error| error.span, |held| held.span))
                .collect()
        };
        let mut all = held(&self.machine_settings);
        all.extend(held(&self.rider_settings));
        all.extend(self.valving.values().map(|held| held.span));
        all.extend(self.rejections().into_iter().map(|rejected| rejected.span));
        let weighed = |weighed: &Option<Weighed>| {
            weighed.as_ref().and_then(|scales| scales.as_ref().ok()).map(|scales| scales.header.span)
        };
        let ridden = |rider: &Option<Arc<RiderBlock>>| rider.as_ref().map(|rider| rider.header.span);
        all.extend(weighed(&self.pair.scales));
        all.extend(ridden(&self.rider));
        for mark in self.pair.sag.values().flatten().map(|mark| &**mark) {
            all.push(mark.block.header.span);
            all.extend(weighed(&mark.scales));
            all.extend(ridden(&mark.rider));
        }
        for then in self.pair.at_sag.values() {
            all.extend(held(&then.machine_settings));
            all.extend(held(&then.rider_settings));
            all.extend(then.charges.values().flat_map(|charge| of_charge(charge)));
        }
        all.extend(self.machine.charges.values().flat_map(|charge| of_charge(charge)));
        all.extend(self.machine.read.values().map(|mark| mark.readings.span));
        for find in self.machine.finds.values() {
            all.push(find.mark.readings.span);
            all.extend(find.before.iter().flat_map(|charge| of_charge(charge)));
        }
        all.extend(self.steering().map(|steering| steering.header.span));
        all.extend(self.hours().map(|hours| hours.span));
        all.extend(self.machine.seen.values().chain(self.pair.seen.values()).map(|seen| seen.span));
        all
    }

    /// All settings in force, in the order of the sheet.
    pub fn settings(&self) -> Vec<(Setting, &Held)> {
        let both = self.machine_settings.iter().chain(self.rider_settings.iter());
        let held = both.filter_map(|(name, entry)| Some((*name, (**entry).as_ref().ok()?)));
        let mut all: Vec<(Setting, &Held)> = held.collect();
        all.sort_by_key(|(name, _)| *name);
        all
    }

    /// The last rebuild of a damper, in words.
    pub fn valving(&self, damper: Damper) -> Option<&Held> {
        self.valving.get(&damper)
    }

    /// The sag block with the last reading of a sag, or the error in it; `None` where there never was one.
    pub fn read_sag(&self, end: End, load: Load) -> Option<Result<&SagMark, Rejected>> {
        Some(self.pair.sag.get(&(end, load))?.as_ref().map(|mark| &**mark).map_err(|rejected| *rejected))
    }

    /// The sag block with the last static sag, where it counts.
    pub fn static_sag(&self, end: End) -> Option<&SagMark> {
        self.read_sag(end, Load::Static)?.ok()
    }

    /// The sag block with the last rider sag, where it counts.
    pub fn rider_sag(&self, end: End) -> Option<&SagMark> {
        self.read_sag(end, Load::Rider)?.ok()
    }

    /// A setting as it was when an end's rider sag was last read.
    pub fn setting_at_sag(&self, end: End, name: Setting) -> Option<&Held> {
        self.pair.at_sag.get(&end)?.setting(name)
    }

    /// What the day's last `change` block did, by setting; `None` above the first.
    pub fn last_change(&self) -> Option<&Map<Setting, Arc<Stepped>>> {
        self.today.step.as_ref()
    }

    /// The scales read last, or the error in them.
    pub fn scales(&self) -> Option<&Weighed> {
        self.pair.scales.as_ref()
    }

    pub fn rider(&self) -> Option<&RiderBlock> {
        self.rider.as_deref()
    }

    pub fn steering(&self) -> Option<&Steering> {
        self.machine.steering.as_ref().map(|(steering, _)| &**steering)
    }

    pub fn hours(&self) -> Option<Hours> {
        self.machine.hours
    }

    /// The day's own conditions: the last above, else the first below.
    pub fn conditions(&self) -> Option<&Conditions> {
        self.today.gate.conditions.as_deref()
    }

    /// The day's last stint so far.
    pub fn stint(&self) -> Option<&Stint> {
        self.today.stint.as_deref()
    }

    /// Where an end's travel ring stood after the day's last stint that gives it.
    pub fn travel_used(&self, end: End) -> Option<Given> {
        let stint = match end {
            End::Front => &self.today.used_front,
            End::Rear => &self.today.used_rear,
        };
        stint.as_ref()?.travel_used(end)
    }

    /// When a figure, reading, service or look was last looked at.
    pub fn seen(&self, name: &str) -> Option<Seen> {
        let pair = self.pair.seen.get(name);
        let machine = self.machine.seen.get(name);
        pair.into_iter().chain(machine).max_by_key(|seen| seen.place).map(|seen| **seen)
    }
}
