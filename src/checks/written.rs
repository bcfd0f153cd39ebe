//! Every value written for a setting: standard, a rider's own, a day's, a plan's.

use std::collections::BTreeSet;

use crate::book::Notebook;
use crate::figures::Recording;
use crate::quantity::{Amount, Quantity};
use crate::season::{HeldValue, How, Standard};
use crate::source::Span;
use crate::vocabulary::Setting;
use crate::vocabulary::blocks::Settings;
use crate::vocabulary::values::{Assigned, Assignment, Given};

use super::place::{OfDay, OfMachine};

/// A value of a setting and where it was written.
pub(super) struct WrittenSetting<'a> {
    pub machine: &'a Notebook,
    pub name: Setting,
    pub value: HeldValue,
    /// The machine's standard value.
    pub standard: Option<&'a HeldValue>,
    pub span: Span,
    /// Whether only a step was written, so that the value was worked out.
    pub is_step: bool,
}

impl WrittenSetting<'_> {
    pub fn quantity(&self) -> Option<&Quantity> {
        match &self.value {
            HeldValue::Quantity(quantity) => Some(quantity),
            HeldValue::Word(_) => None,
        }
    }

    /// The range of the setting's adjuster, where the machine's notebook gives it.
    pub fn adjuster(&self) -> Option<Given> {
        self.machine.adjuster(self.name)
    }
}

/// The values of plans: absolute ones, not steps.
fn absolute(assignment: &Assignment) -> Option<HeldValue> {
    match &assignment.value {
        Assigned::Word(word) => Some(HeldValue::Word(word.clone())),
        Assigned::Amount(Amount::At(quantity)) => Some(HeldValue::Quantity(*quantity)),
        Assigned::Amount(Amount::By(..)) => None,
    }
}

fn plans(notebook: &Notebook) -> impl Iterator<Item = &Assignment> {
    let named = notebook.all::<Settings>().filter(|settings| settings.header.argument.is_some());
    named.flat_map(|settings| &settings.others.settings)
}

/// The standard setting, the machine's plans, and riders' own settings for it.
pub(super) fn of_machine<'a>(place: &OfMachine<'a, '_, impl Recording>) -> Vec<WrittenSetting<'a>> {
    let machine = place.machine;
    let standard = place.season.standard.get(&machine.name);
    let mut all = Vec::new();
    for (name, held) in standard.into_iter().flat_map(Standard::iter) {
        let (value, span) = (held.value.clone(), held.span);
        all.push(WrittenSetting { machine, name, value, standard: Some(&held.value), span, is_step: false });
    }
    let of_riders = place.book.riders.values().flat_map(|rider| rider.settings_named(&machine.name));
    let of_riders = of_riders.flat_map(|settings| &settings.others.settings);
    for assignment in plans(machine).chain(of_riders) {
        let Some(value) = absolute(assignment) else { continue };
        let name = assignment.name;
        let standard = standard.and_then(|standard| standard.get(name)).map(|held| &held.value);
        all.push(WrittenSetting { machine, name, value, standard, span: assignment.span, is_step: false });
    }
    all
}

/// What was set and changed on a day, and its plans.
pub(super) fn of_day<'a>(place: &OfDay<'a, '_, impl Recording>) -> Vec<WrittenSetting<'a>> {
    let Some(machine) = place.machine else { return Vec::new() };
    let standard = place.season.standard.get(&machine.name);
    let standard = |name: Setting| standard.and_then(|standard| standard.get(name)).map(|held| &held.value);
    let mut all = Vec::new();
    for event in &place.replay.events {
        // Undoing a change restores a value that was checked where it was written.
        let (Some(after), false) = (event.step.after(), event.how == How::Back) else { continue };
        let Some(name) = event.name.setting() else { continue };
        all.push(WrittenSetting {
            machine,
            name,
            value: after.value.clone(),
            standard: standard(name),
            span: event.span,
            is_step: event.by.is_some(),
        });
    }
    let in_force: BTreeSet<Span> = place.replay.events.iter().map(|event| event.span).collect();
    for assignment in plans(&place.day.notebook) {
        let is_in_force = in_force.contains(&assignment.span);
        let (Some(value), false) = (absolute(assignment), is_in_force) else { continue };
        all.push(WrittenSetting {
            machine,
            name: assignment.name,
            value,
            standard: standard(assignment.name),
            span: assignment.span,
            is_step: false,
        });
    }
    all
}
