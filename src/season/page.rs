//! One day's notebook, read down the page, and the settings in it.

use std::sync::Arc;

use crate::book::{Book, Day, Notebook};
use crate::finding::{Finding, closest};
use crate::quantity::Quantity;
use crate::source::{Span, limits};
use crate::speech::say;
use crate::vocabulary::blocks::{AnyBlock, Change, Settings};
use crate::vocabulary::values::{Assignment, Written};
use crate::vocabulary::{Header, Setting};

use super::carry::Ledger;
use super::charge::Step;
use super::codes;
use super::map::Map;
use super::rejected::set_elsewhere;
use super::settings::{Changed, Entry, Event, Held, HeldValue, How, Stepped, in_force};
use super::standard::{thread_pitch, unread};
use super::state::{Place, State};
use super::undo::{Replaced, Undo, UndoStep};

/// One day's notebook, read down the page.
pub(super) struct Page<'a> {
    pub book: &'a Book,
    pub day: &'a Day,
    pub index: usize,
    pub machine: Option<&'a Notebook>,
    pub state: State,
    /// The changes that can be undone here.
    pub undo: Undo,
    /// The changes of this page.
    pub steps: Vec<UndoStep>,
    pub events: Vec<Event>,
    pub rejected: Vec<Span>,
    pub findings: &'a mut Vec<Finding>,
}

impl Page<'_> {
    pub fn read(&mut self, any: &AnyBlock, block: usize) {
        let place = Place { day: self.index, block };
        match any {
            AnyBlock::Settings(settings) => self.settings(settings, place),
            AnyBlock::Change(change) => self.change(change, place),
            AnyBlock::RiderBlock(rider) => self.rider(rider),
            AnyBlock::Conditions(conditions) => {
                Arc::make_mut(&mut self.state.today).gate.conditions = Some(Arc::clone(conditions));
            }
            AnyBlock::Sag(sag) => self.sag(sag, place),
            AnyBlock::Pressures(pressures) => self.pressures(pressures, place),
            AnyBlock::Scales(scales) => self.scales(scales, place),
            AnyBlock::Steering(steering) => self.steering(steering, place),
            AnyBlock::Hours(hours) => self.hours(hours),
            AnyBlock::Checked(checked) => self.checked(checked, place),
            AnyBlock::Stint(stint) => self.stint(stint),
            AnyBlock::Valving(valving) => self.valving(valving, place),
            _ => {}
        }
    }

    fn ledger(&self) -> Ledger {
        Ledger { pitch: self.machine.and_then(thread_pitch) }
    }

    /// Puts what a block writes in force; returns what it replaced. With `accepted`, the block says why it is so.
    fn assign_all(
        &mut self,
        (written, accepted): (&[Assignment], Option<&Written>),
        header: &Header,
        how: How,
        place: Place,
    ) -> Vec<Replaced> {
        let ledger = self.ledger();
        let mut replaced = Vec::new();
        for assignment in written {
            let name = assignment.name;
            if let Some(finding) = self.set_elsewhere(name, assignment.name_span) {
                self.findings.push(finding);
                continue;
            }
            let before = self.state.entry(name).cloned();
            let start = match before.as_deref() {
                Some(Err(rejected)) => Some(Err(*rejected)),
                _ => self.state.start_of(name).map(Ok),
            };
            let aim = in_force(before.as_ref()).filter(|_| accepted.is_none());
            let date = Some(self.day.date);
            let held = |value| Held { value, how, span: assignment.span, place: Some(place), date };
            let (after, finding) = ledger.entry(assignment, start.as_ref(), aim, held);
            // An impossible step of a pressure was not made: the charge says what is inside.
            let is_no_step = finding.is_some() && name.is_pressure() && assignment.by().is_some();
            self.findings.extend(finding);
            if is_no_step {
                continue;
            }
            let step = assignment.by().filter(|_| name.is_pressure() && after.is_ok());
            let step = step.and_then(|(size, way)| {
                let direction = name.info().direction(way)?;
                Some(Step { by: Quantity { value: direction * size.value, ..size }, span: assignment.span })
            });
            if let Some(finding) = step.as_ref().and_then(|step| self.emptied(name, step)) {
                self.findings.push(*finding);
                continue;
            }
            let after = Arc::new(after);
            self.state.put(name, Some(Arc::clone(&after)), step);
            if after.is_ok() {
                self.events.push(Event {
                    name: Changed::Setting(name),
                    step: Stepped { before: before.clone(), after: Some(after) },
                    block: place.block,
                    how,
                    span: assignment.span,
                    by: assignment.by(),
                });
            }
            replaced.push(Replaced { name, before, step });
        }
        for (name, entry) in unread(header) {
            let before = self.state.put(name, Some(entry), None);
            replaced.push(Replaced { name, before, step: None });
        }
        replaced
    }

    /// The finding about a value for a chamber that another one fills.
    fn set_elsewhere(&self, name: Setting, span: Span) -> Option<Finding> {
        let source = self.state.filled.get(&name)?;
        Some(set_elsewhere(name, *source, span, self.machine))
    }

    fn settings(&mut self, block: &Settings, place: Place) {
        // A named plan sets nothing until `use` names it.
        if block.header.argument.is_some() {
            return;
        }
        let accepted = block.accepted.as_ref();
        self.use_plan(block.use_plan.as_ref(), accepted, place);
        self.assign_all((&block.others.settings, accepted), &block.header, How::Settings, place);
    }

    fn change(&mut self, block: &Change, place: Place) {
        let goes_back = block.back.is_some_and(|back| back.value);
        let first = self.events.len();
        if goes_back {
            self.back(block, place);
        }
        let accepted = block.accepted.as_ref();
        let mut replaced = self.use_plan(block.use_plan.as_ref(), accepted, place);
        let written = (&*block.others.settings, accepted);
        replaced.extend(self.assign_all(written, &block.header, How::Change, place));
        if !replaced.is_empty() {
            let step = UndoStep::from(replaced);
            self.undo.push(Arc::clone(&step));
            self.steps.push(step);
        }
        let mut step: Map<Setting, Arc<Stepped>> = Map::default();
        for event in self.events.get(first..).unwrap_or_default() {
            let Changed::Setting(name) = event.name else { continue };
            // Written twice, by a plan and by hand: the state before is that before the first.
            let first = step.get(&name).map_or(&event.step, |first| &**first);
            let stepped = Stepped { before: first.before.clone(), after: event.step.after.clone() };
            step.insert(name, Arc::new(stepped));
        }
        Arc::make_mut(&mut self.state.today).step = Some(step);
        if block.because.is_none() && !goes_back {
            self.findings.push(
                Finding::new(&codes::NO_REASON, block.header.fence, say!("the change does not say why"))
                    .help(say!("add `because = \"…\"`: next year it tells whether to do it again")),
            );
        }
    }

    fn back(&mut self, block: &Change, place: Place) {
        let Some(step) = self.undo.pop() else {
            let span = block.back.map_or(block.header.fence, |back| back.span);
            self.findings.push(
                Finding::new(&codes::NOTHING_TO_UNDO, span, say!("there is no change left to undo"))
                    .help(say!("write the setting as it now is")),
            );
            return;
        };
        for replaced in step.iter().rev() {
            let span = block.back.map_or(block.header.fence, |back| back.span);
            let date = Some(self.day.date);
            let opposite = replaced.step.map(|step| Step { by: step.by.negated(), span });
            let after = match opposite.map(|step| self.stepped_back(replaced, &step)) {
                Some(Ok(after)) => after,
                Some(Err(finding)) => {
                    self.findings.push(*finding);
                    continue;
                }
                None => replaced.before.clone(),
            };
            let is_step = after.is_some();
            if let Some(finding) =
                opposite.filter(|_| is_step).and_then(|step| self.emptied(replaced.name, &step))
            {
                self.findings.push(*finding);
                continue;
            }
            let back = |held: &Held| Held { how: How::Back, place: Some(place), date, ..held.clone() };
            let after = after.map(|entry| Arc::new((*entry).as_ref().map(back).map_err(|error| *error)));
            let before = self.state.put(replaced.name, after.clone(), opposite);
            self.events.push(Event {
                name: Changed::Setting(replaced.name),
                step: Stepped { before, after },
                block: place.block,
                how: How::Back,
                span,
                by: None,
            });
        }
    }

    /// An aim with a step undone: the aim before, if nothing was written since. A step without an aim before leaves
    /// none again.
    fn stepped_back(&self, replaced: &Replaced, step: &Step) -> Result<Option<Arc<Entry>>, Box<Finding>> {
        if self.state.rejected_setting(replaced.name).is_some() || replaced.before.is_none() {
            return Ok(replaced.before.clone());
        }
        let Some(now) = self.state.start_of(replaced.name) else { return Ok(None) };
        let value = self.ledger().stepped(replaced.name, &now, &step.by, step.span)?;
        let value = HeldValue::Quantity(value);
        match &replaced.before {
            Some(before) if in_force(Some(before)).is_some_and(|before| before.value.same_as(&value)) => {
                Ok(Some(Arc::clone(before)))
            }
            _ => Ok(Some(Arc::new(Ok(Held { value, ..now })))),
        }
    }

    /// The finding about a step that lets out more than the gauge shows.
    fn emptied(&self, name: Setting, step: &Step) -> Option<Box<Finding>> {
        let charge = self.state.pressure(name).of_today()?;
        let value = HeldValue::Quantity(charge.quantity()?);
        let inside =
            Held { value, how: How::Left, span: charge.span(), place: None, date: Some(charge.date) };
        self.ledger().stepped(name, &inside, &step.by, step.span).err()
    }

    fn use_plan(
        &mut self,
        plan: Option<&Written>,
        accepted: Option<&Written>,
        place: Place,
    ) -> Vec<Replaced> {
        let Some(plan) = plan else { return Vec::new() };
        let found = self.book.plan(self.day, &plan.text, Some(place.block)).cloned();
        match found {
            Some(block) => {
                let accepted = accepted.or(block.accepted.as_ref());
                self.assign_all((&block.others.settings, accepted), &block.header, How::Plan, place)
            }
            None => {
                let headline = say!("there is no plan `{plan}`", plan = plan.text);
                let mut finding = Finding::new(&codes::UNKNOWN_PLAN, plan.span, headline);
                // Beyond this many findings no more are shown, and near names are not searched for.
                let is_told = self.findings.len() < limits::FILE_FINDINGS;
                let known = if is_told { self.book.plans(self.day) } else { Vec::new() };
                for near in closest(&plan.text, known) {
                    finding = finding.help(say!("did you mean `{near}`?", near));
                }
                self.findings.push(finding.help(say!(
                    "write a `settings {plan}` block above, or in the machine's notebook",
                    plan = plan.text
                )));
                Vec::new()
            }
        }
    }
}
