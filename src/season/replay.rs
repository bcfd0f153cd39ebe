//! The replay itself: one pass over the days in their order.

use std::collections::BTreeMap;
use std::sync::Arc;

use crate::book::{Book, Day, Notebook};
use crate::finding::{self, Finding, closest};
use crate::quantity::Quantity;
use crate::source::{Patience, Span, limits};
use crate::speech::say;
use crate::vocabulary::blocks::{
    AnyBlock, Change, Checked, Hours as HoursBlock, Pressures, RiderBlock, Sag, Scales, Settings, Steering,
    Stint, Valving,
};
use crate::vocabulary::values::{Assignment, Written};
use crate::vocabulary::{End, FigureName, Header, Load, ReadingName, Setting, Symbol};

use super::carry::Ledger;
use super::codes;
use super::judged;
use super::map::Map;
use super::pressure::{Cold, Gate, PressureMark, Step, filled, is_pressure};
use super::rejected::{hot_or_cold, set_elsewhere};
use super::repeats::{RepeatSet, Repeats, sets_of};
use super::settings::{Changed, Entry, Event, Held, HeldMap, HeldValue, How, Standard, Stepped};
use super::standard::{beginning, standard_entries, thread_pitch, unread};
use super::state::{Hours, MachineReadings, PairReadings, Place, SagMark, Seen, State, Today};
use super::undo::{Replaced, Undo, UndoStep};
use super::valving::{Rebuilds, rebuilt};

/// A book replayed.
#[derive(Debug, Default)]
pub struct Season {
    /// One for each of the book's days, in the same order.
    pub days: Vec<Arc<DayReplay>>,
    /// The standard setting of each machine.
    pub standard: BTreeMap<String, Standard>,
    /// What repeated readings tell of hands and instruments.
    pub repeats: Repeats,
}

/// One day replayed.
#[derive(Debug)]
pub struct DayReplay {
    /// What was carried into the day.
    pub start: State,
    /// After each block of the notebook, in its order.
    pub points: Vec<Point>,
    /// What was done to settings, in the order of the notebook.
    pub events: Vec<Event>,
    /// Places of readings that are written and do not count.
    pub rejected: Vec<Span>,
    /// The day of the same machine and rider before this one.
    pub previous: Option<usize>,
    /// What it does to the changes that can be taken back.
    undoing: Undoing,
    /// What its repeated readings tell.
    pub(super) repeats: Arc<[RepeatSet]>,
    /// What there was to say.
    findings: Arc<[Finding]>,
    /// How many settings and readings its places keep; `None` where the book had more than is kept.
    kept: Option<usize>,
    /// The same in a later replay that comes to the same.
    stamp: Arc<()>,
}

/// What a day does to the changes that can be taken back.
#[derive(Debug)]
enum Undoing {
    /// It makes changes and takes none back: what came before it is nothing to it.
    Adds(Box<[UndoStep]>),
    GoesBack {
        start: Undo,
        end: Undo,
    },
}

impl Undoing {
    /// What can be taken back after the day; `None` where that has to be found out, since it goes back to something else.
    fn after(&self, start: &Undo) -> Option<Undo> {
        match self {
            Self::Adds(steps) => {
                let mut undo = start.clone();
                steps.iter().for_each(|step| undo.push(Arc::clone(step)));
                Some(undo)
            }
            Self::GoesBack { start: known, end } => known.leads_back_like(start).then(|| end.clone()),
        }
    }
}

/// The state after one block.
#[derive(Debug)]
pub struct Point {
    /// The block's place in the notebook's `blocks`.
    pub block: usize,
    pub span: Span,
    pub state: State,
}

impl DayReplay {
    /// Whether a replay of an earlier time came to the same, as far as figures and rules can tell.
    pub fn is_as(&self, before: &Self) -> bool {
        Arc::ptr_eq(&self.stamp, &before.stamp)
    }

    /// What the day ends on.
    pub fn end(&self) -> &State {
        self.points.last().map_or(&self.start, |point| &point.state)
    }

    /// What holds at a place in the file: after the last block that begins before it.
    pub fn at(&self, offset: u32) -> &State {
        let before = self.points.partition_point(|point| point.span.start < offset);
        before
            .checked_sub(1)
            .and_then(|index| self.points.get(index))
            .map_or(&self.start, |point| &point.state)
    }
}

type Pair<'b> = (&'b str, Option<&'b str>);

/// What is carried from day to day, by the names of machines and riders.
#[derive(Default)]
struct Carried<'b> {
    rebuilds: Rebuilds,
    /// What each machine begins with, errors included.
    standard: BTreeMap<&'b str, HeldMap>,
    /// Which of each machine's chambers are filled through a port.
    filled: BTreeMap<&'b str, Map<Setting, Setting>>,
    machine_settings: BTreeMap<&'b str, HeldMap>,
    machine_readings: BTreeMap<&'b str, Arc<MachineReadings>>,
    pairs: BTreeMap<Pair<'b>, CarriedPair>,
    riders: BTreeMap<&'b str, Arc<RiderBlock>>,
    /// How many settings and readings the places so far keep.
    kept: usize,
}

#[derive(Default)]
struct CarriedPair {
    settings: HeldMap,
    undo: Undo,
    readings: Arc<PairReadings>,
    last_day: Option<usize>,
}

/// Replays all days of a book in the order of their dates. A day that was replayed before, from the same notebooks and
/// from the same beginning, is taken as it was: after an edit the days of other machines are, and those before it. `None`
/// where nobody waits for it any more.
pub fn replay(
    book: &Book,
    before: Option<(&Book, &Season)>,
    patience: Patience<'_>,
) -> Option<(Season, Vec<Finding>)> {
    let mut findings = Vec::new();
    let mut season = Season::default();
    // `book.toml` tells which instruments there are.
    let before = before.filter(|(then, _)| book.is_about_the_same(then));
    let mut carried = Carried { rebuilds: Rebuilds::of(book), ..Carried::default() };
    // 1. Each machine begins with its hardware and its standard setting, each rider with the rider's own words.
    for (name, machine) in &book.machines {
        let (entries, reported) = standard_entries(machine);
        findings.extend(reported);
        season.standard.insert(name.clone(), Standard::of(&entries));
        carried.standard.insert(name, entries);
        carried.filled.insert(name, filled(machine));
    }
    for (name, rider) in &book.riders {
        if let Some(block) = rider.rider_block() {
            carried.riders.insert(name, Arc::new(block.clone()));
        }
    }
    // 2. Days follow by date, ties by path, as the book has them.
    for (index, day) in book.days.iter().enumerate() {
        if !patience() {
            return None;
        }
        let known = before.and_then(|before| known_day(before, book, day, index));
        let replayed = replay_day(book, day, index, &mut carried, known);
        findings.extend(replayed.findings.iter().cloned());
        season.days.push(replayed);
    }
    season.repeats = Repeats::of(book, &season.days);
    Some((season, findings))
}

/// The former replay of a day that stood at the same place of the book, in the same notebooks.
fn known_day<'b>(
    (book, season): (&'b Book, &'b Season),
    now: &Book,
    day: &Day,
    index: usize,
) -> Option<&'b Arc<DayReplay>> {
    let then = book.days.get(index).filter(|then| Arc::ptr_eq(&then.notebook, &day.notebook))?;
    let same = |one: Option<&Notebook>, other: Option<&Notebook>| match (one, other) {
        (Some(one), Some(other)) => std::ptr::eq(one, other),
        (one, other) => one.is_none() && other.is_none(),
    };
    let is_same = same(book.machine(then), now.machine(day)) && same(book.rider(then), now.rider(day));
    season.days.get(index).filter(|_| is_same && then.machine == day.machine && then.rider == day.rider)
}

fn replay_day<'b>(
    book: &'b Book,
    day: &'b Day,
    index: usize,
    carried: &mut Carried<'b>,
    known: Option<&Arc<DayReplay>>,
) -> Arc<DayReplay> {
    let mut findings = Vec::new();
    let machine = book.machine(day);
    let rider = day.rider.as_deref();
    let mut state = State::default();
    let mut undo = Undo::default();
    let mut previous = None;
    if let Some(machine) = machine {
        let name = machine.name.as_str();
        // 3. The first time a rider meets a machine, the standard setting is divided between them.
        let pair = carried.pairs.entry((name, rider)).or_insert_with(|| {
            let standard = carried.standard.get(name).cloned().unwrap_or_default();
            let (of_machine, settings, reported) = beginning(machine, &standard, book.rider(day));
            findings.extend(reported);
            carried.machine_settings.entry(name).or_insert(of_machine);
            CarriedPair { settings, ..CarriedPair::default() }
        });
        // 4. What the last day of the machine, and of the machine and rider, left is where this one starts.
        state.machine_settings = carried.machine_settings.get(name).cloned().unwrap_or_default();
        state.machine = carried.machine_readings.get(name).cloned().unwrap_or_default();
        state.rider_settings = pair.settings.clone();
        state.pair = Arc::clone(&pair.readings);
        state.valving = carried.rebuilds.in_force(name, rider, day.date, index);
        undo = pair.undo.clone();
        previous = pair.last_day;
    }
    state.rider = rider.and_then(|name| carried.riders.get(name)).cloned();

    let known = known.filter(|known| {
        let is_kept = known.kept.is_some_and(|kept| carried.kept + kept <= limits::KEPT);
        is_kept && known.previous == previous && known.start.begins_like(&state)
    });
    if let Some((known, undo)) = known.and_then(|known| Some((known, known.undoing.after(&undo)?))) {
        carried.kept += known.kept.unwrap_or_default();
        carried.leave(day, machine, (known.end(), undo), index);
        return Arc::clone(known);
    }

    // 5. Down the page, block by block.
    let filled = machine.and_then(|machine| carried.filled.get(machine.name.as_str()));
    state.filled = filled.cloned().unwrap_or_default();
    state.today = Arc::new(Today {
        date: Some(day.date),
        gate: Gate::of_block(day, index, 0),
        cold: Arc::new(Cold::of_day(day, index)),
        ..Today::default()
    });
    let start = state.clone();
    let undo_at_start = undo.clone();
    // Of a day without a machine that is told where it is missing, and not once more for each setting.
    let mut unsaid = Vec::new();
    let said = if machine.is_some() { &mut findings } else { &mut unsaid };
    let mut page = Page {
        book,
        day,
        index,
        machine,
        state,
        undo,
        steps: Vec::new(),
        events: Vec::new(),
        rejected: Vec::new(),
        findings: said,
    };
    let kept_before = carried.kept;
    let mut points = Vec::with_capacity(day.notebook.blocks.len());
    for (block, any) in day.notebook.blocks.iter().enumerate() {
        if carried.kept > limits::KEPT {
            break;
        }
        page.read(any, block);
        carried.kept += page.state.kept_beside(points.last().map_or(&start, |point: &Point| &point.state));
        points.push(Point { block, span: any.header().span, state: page.state.clone() });
        if carried.kept > limits::KEPT {
            page.findings.push(too_much_kept(any.header().fence, carried.kept));
        }
    }
    let Page { undo, steps, mut events, rejected, .. } = page;
    // Most days have one, and a book keeps thousands.
    events.shrink_to_fit();

    finding::keep(&mut findings, 0, limits::FILE_FINDINGS);
    let kept = (carried.kept <= limits::KEPT).then(|| carried.kept - kept_before);
    let undoing = if goes_back(day) {
        Undoing::GoesBack { start: undo_at_start, end: undo.clone() }
    } else {
        Undoing::Adds(steps.into())
    };
    let replayed = Arc::new(DayReplay {
        start,
        points,
        events,
        repeats: sets_of(book, day, &rejected),
        rejected,
        previous,
        undoing,
        findings: findings.into(),
        kept,
        stamp: Arc::default(),
    });
    carried.leave(day, machine, (replayed.end(), undo), index);
    replayed
}

/// Whether a day takes a change back.
fn goes_back(day: &Day) -> bool {
    day.notebook.all::<Change>().any(|change| change.back.is_some_and(|back| back.value))
}

impl<'b> Carried<'b> {
    // 6. What the day ends on is kept for the next.
    fn leave(
        &mut self,
        day: &'b Day,
        machine: Option<&'b Notebook>,
        (state, undo): (&State, Undo),
        index: usize,
    ) {
        let rider = day.rider.as_deref();
        if let Some(machine) = machine {
            let name = machine.name.as_str();
            self.machine_settings.insert(name, state.machine_settings.clone());
            self.machine_readings.insert(name, Arc::clone(&state.machine));
            let kept = CarriedPair {
                settings: state.rider_settings.clone(),
                undo,
                readings: Arc::clone(&state.pair),
                last_day: Some(index),
            };
            self.pairs.insert((name, rider), kept);
        }
        if let (Some(rider), Some(block)) = (rider, &state.rider) {
            self.riders.insert(rider, Arc::clone(block));
        }
    }
}

fn too_much_kept(place: Span, kept: usize) -> Finding {
    let most = limits::KEPT;
    let headline = say!(
        "up to here the diary keeps {kept} settings and readings at its places, and {most} is the most",
        kept,
        most
    );
    Finding::new(&codes::TOO_MUCH_KEPT, place, headline)
        .found(say!("what stands behind this block changes nothing"))
        .help(say!("keep to few names of your own, and make several books of it"))
}

/// One day's notebook being read down the page.
struct Page<'a> {
    book: &'a Book,
    day: &'a Day,
    index: usize,
    machine: Option<&'a Notebook>,
    state: State,
    /// The changes that can be taken back here.
    undo: Undo,
    /// Those of the page itself.
    steps: Vec<UndoStep>,
    events: Vec<Event>,
    rejected: Vec<Span>,
    findings: &'a mut Vec<Finding>,
}

impl Page<'_> {
    fn read(&mut self, any: &AnyBlock, block: usize) {
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

    /// Puts what a block writes in force; returns what it replaced.
    fn assign(&mut self, block: &Settings, how: How, place: Place) -> Vec<Replaced> {
        self.assign_all(&block.others.settings, &block.header, how, place)
    }

    fn assign_all(
        &mut self,
        written: &[Assignment],
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
            let date = Some(self.day.date);
            let held = |value| Held { value, how, span: assignment.span, place: Some(place), date };
            let (after, finding) = ledger.entry(assignment, start.as_ref(), held);
            // A step of a pressure that cannot be was not made: what is inside is told by its charge.
            let is_no_step = finding.is_some() && is_pressure(name);
            self.findings.extend(finding);
            if is_no_step {
                continue;
            }
            let step = assignment.by().filter(|_| is_pressure(name) && after.is_ok());
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
            if let Ok(after) = &*after {
                self.events.push(Event {
                    name: Changed::Setting(name),
                    before: in_force(before.as_ref()),
                    after: Some(after.clone()),
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

    /// What is wrong with a value for a chamber that another fills.
    fn set_elsewhere(&self, name: Setting, span: Span) -> Option<Finding> {
        let source = self.state.filled.get(&name)?;
        Some(set_elsewhere(name, *source, span, self.machine))
    }

    fn settings(&mut self, block: &Settings, place: Place) {
        // A named plan is only a plan until something says `use`.
        if block.header.argument.is_some() {
            return;
        }
        self.use_plan(block.use_plan.as_ref(), place);
        self.assign(block, How::Settings, place);
    }

    fn change(&mut self, block: &Change, place: Place) {
        let goes_back = block.back.is_some_and(|back| back.value);
        let first = self.events.len();
        if goes_back {
            self.back(block, place);
        }
        let mut replaced = self.use_plan(block.use_plan.as_ref(), place);
        replaced.extend(self.assign_all(&block.others.settings, &block.header, How::Change, place));
        if !replaced.is_empty() {
            let step = UndoStep::from(replaced);
            self.undo.push(Arc::clone(&step));
            self.steps.push(step);
        }
        let mut step: Map<Setting, Arc<Stepped>> = Map::default();
        for event in self.events.get(first..).unwrap_or_default() {
            let Changed::Setting(name) = event.name else { continue };
            // Written twice, by a plan and by hand: it began where the first began.
            let before = step.get(&name).map_or_else(|| event.before.clone(), |first| first.before.clone());
            step.insert(name, Arc::new(Stepped { before, after: event.after.clone() }));
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
                before: in_force(before.as_ref()),
                after: in_force(after.as_ref()),
                block: place.block,
                how: How::Back,
                span,
                by: None,
            });
        }
    }

    /// An aim with a step taken back: what it was, where nothing was written since. A step from where nobody aimed goes
    /// back to nothing.
    fn stepped_back(&self, replaced: &Replaced, step: &Step) -> Result<Option<Arc<Entry>>, Box<Finding>> {
        if self.state.rejected_setting(replaced.name).is_some() || replaced.before.is_none() {
            return Ok(replaced.before.clone());
        }
        let Some(now) = self.state.start_of(replaced.name) else { return Ok(None) };
        let value = self.ledger().stepped(replaced.name, &now, &step.by, step.span)?;
        let value = HeldValue::Quantity(value);
        let before = in_force(replaced.before.as_ref());
        let before = before.filter(|before| before.value.same_as(&value));
        Ok(Some(Arc::new(Ok(before.unwrap_or(Held { value, ..now })))))
    }

    /// What is wrong with a step that takes out more than the gauge shows of what is in there.
    fn emptied(&self, name: Setting, step: &Step) -> Option<Box<Finding>> {
        let charge = self.state.pressure(name).of_today()?;
        let value = HeldValue::Quantity(charge.quantity()?);
        let inside =
            Held { value, how: How::Left, span: charge.span(), place: None, date: Some(charge.date) };
        self.ledger().stepped(name, &inside, &step.by, step.span).err()
    }

    fn use_plan(&mut self, plan: Option<&Written>, place: Place) -> Vec<Replaced> {
        let Some(plan) = plan else { return Vec::new() };
        let found = self.book.plan(self.day, &plan.text, Some(place.block)).cloned();
        match found {
            Some(block) => self.assign(&block, How::Plan, place),
            None => {
                let headline = say!("there is no plan `{plan}`", plan = plan.text);
                let mut finding = Finding::new(&codes::UNKNOWN_PLAN, plan.span, headline);
                // Behind so many no more are told, and which names are near is not looked for.
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

    fn rider(&mut self, block: &RiderBlock) {
        // What a later description leaves out still holds.
        let mut merged = block.clone();
        if let Some(before) = &self.state.rider {
            carry(&mut merged.header, RiderBlock::mass, &mut merged.mass, (before.mass, &before.header));
            let share = (before.rear_share, &before.header);
            carry(&mut merged.header, RiderBlock::rear_share, &mut merged.rear_share, share);
            merged.level = merged.level.or_else(|| before.level.clone());
        }
        self.state.rider = Some(Arc::new(merged));
    }

    fn seen(&self, span: Span, place: Place) -> Seen {
        Seen { date: self.day.date, ridden: self.state.machine.hours.map(|hours| hours.ridden), span, place }
    }

    fn sag(&mut self, block: &Arc<Sag>, place: Place) {
        let Some(end) = block.header.end() else { return };
        let mark = SagMark {
            block: Arc::clone(block),
            place,
            date: self.day.date,
            rider: self.state.rider.clone(),
            scales: self.state.pair.scales.clone(),
        };
        let mark = Arc::new(mark);
        let seen = self.seen(block.header.fence, place);
        let then = Arc::new(self.state.at_sag());
        let (judged, reported) = judged::sag(block, end, self.machine);
        self.findings.extend(reported);
        let pair = Arc::make_mut(&mut self.state.pair);
        for (load, judged) in judged {
            let counts = judged.is_ok();
            if !counts {
                let rests = block.rests(load);
                let all = [rests.plain, rests.after_push, rests.after_lift].into_iter().flatten();
                self.rejected.extend(all.map(|(_, readings)| readings.span));
            }
            pair.sag.insert((end, load), judged.map(|()| Arc::clone(&mark)));
            if load == Load::Rider {
                pair.at_sag.insert(end, Arc::clone(&then));
            }
            if counts {
                pair.seen.insert(Symbol::of(FigureName::sag(load, end).as_str()), seen);
            }
        }
    }

    fn scales(&mut self, block: &Arc<Scales>, place: Place) {
        let (judged, reported) = judged::scales(block, self.machine, self.state.rider.as_deref());
        self.findings.extend(reported);
        if judged.is_err() {
            let all = [&block.front_alone, &block.rear_alone, &block.front_aboard, &block.rear_aboard];
            self.rejected.extend(all.into_iter().flatten().map(|readings| readings.span));
        }
        let scales = judged.map(|()| Arc::clone(block));
        let pair = Arc::make_mut(&mut self.state.pair);
        // Scales after the tape on one day weigh the same machine and rider.
        let of_today = |(of, mark): (&(End, Load), &Result<Arc<SagMark>, _>)| {
            let mark = mark.as_ref().ok().filter(|mark| mark.place.day == place.day)?;
            Some((*of, SagMark { scales: Some(scales.clone()), ..(**mark).clone() }))
        };
        let weighed: Vec<((End, Load), SagMark)> = pair.sag.iter().filter_map(of_today).collect();
        pair.sag.extend(weighed.into_iter().map(|(of, mark)| (of, Ok(Arc::new(mark)))));
        pair.scales = Some(scales);
    }

    fn pressures(&mut self, block: &Arc<Pressures>, place: Place) {
        let seen = self.seen(block.header.fence, place);
        let gate = self.state.gate().clone();
        let is_hot = block.at.is_none() && self.state.stint().is_some();
        let mut hot = None;
        // As found comes first, wherever it stands in the block: it was so before it was topped up.
        let found = block.others.found.iter().map(|reading| (reading, true));
        let left = block.others.pressures.iter().map(|reading| (reading, false));
        for (reading, is_found) in found.chain(left) {
            let name = reading.name;
            if let Err(finding) = self.state.judged(self.machine, reading, is_found) {
                self.findings.push(*finding);
                self.rejected.push(reading.readings.span);
                continue;
            }
            Arc::make_mut(&mut self.state.machine).seen.insert(Symbol::of(name.as_str()), seen);
            if self.state.is_solid(name) {
                continue;
            }
            if is_hot {
                hot.get_or_insert(reading);
                continue;
            }
            let mark = PressureMark::new(block, reading, gate.clone(), place, self.day.date);
            if is_found {
                self.state.find(name, &Arc::new(mark));
            } else {
                self.state.leave(name, &Arc::new(mark));
            }
        }
        self.findings.extend(hot.map(hot_or_cold));
    }

    fn steering(&mut self, block: &Steering, place: Place) {
        let seen = self.seen(block.header.fence, place);
        let machine = Arc::make_mut(&mut self.state.machine);
        if block.drop.is_some() {
            machine.seen.insert(Symbol::of(ReadingName::SteeringDrop.as_str()), seen);
        }
        if block.pull.is_some() {
            machine.seen.insert(Symbol::of(ReadingName::SteeringPull.as_str()), seen);
            machine.seen.insert(Symbol::of(FigureName::STEERING_BREAKAWAY.as_str()), seen);
        }
        let mut merged = block.clone();
        if let Some((before, _)) = &machine.steering {
            merged.drop = merged.drop.or_else(|| before.drop.clone());
            if merged.pull.is_none() {
                let pull = (before.pull.clone(), &before.header);
                carry(&mut merged.header, Steering::pull, &mut merged.pull, pull);
                merged.radius = merged.radius.or(before.radius);
            }
        }
        machine.steering = Some((Arc::new(merged), place));
    }

    fn hours(&mut self, block: &HoursBlock) {
        let machine = Arc::make_mut(&mut self.state.machine);
        let before = machine.hours.map_or(0.0, |hours| hours.ridden);
        let by_meter = machine.hours.is_some_and(|hours| hours.by_meter);
        machine.hours = match (block.meter, block.ridden) {
            (Some(meter), _) => Some(Hours { ridden: meter.value(), by_meter: true, span: meter.span }),
            (None, Some(ridden)) => {
                Some(Hours { ridden: before + ridden.value(), by_meter, span: ridden.span })
            }
            (None, None) => machine.hours,
        };
    }

    fn checked(&mut self, block: &Checked, place: Place) {
        for done in block.done.iter().flat_map(|done| &done.values) {
            let seen = self.seen(done.span, place);
            let word = Symbol::of(&done.text);
            if is_of_rider(&done.text) {
                Arc::make_mut(&mut self.state.pair).seen.insert(word, seen);
            } else {
                Arc::make_mut(&mut self.state.machine).seen.insert(word, seen);
            }
        }
    }

    fn valving(&mut self, block: &Valving, place: Place) {
        // One of another date was in force when that day began.
        let rebuilt = rebuilt(block, Some((self.day.date, place)));
        let Some((damper, held)) = rebuilt.filter(|(_, held)| held.place.is_some()) else { return };
        let span = held.span;
        let before = self.state.valving.insert(damper, held.clone());
        self.events.push(Event {
            name: Changed::Valving(damper),
            before,
            after: Some(held),
            block: place.block,
            how: How::Change,
            span,
            by: None,
        });
    }

    fn stint(&mut self, block: &Arc<Stint>) {
        if let Some(rode) = block.rode
            && !self.state.machine.hours.is_some_and(|hours| hours.by_meter)
        {
            let machine = Arc::make_mut(&mut self.state.machine);
            let before = machine.hours.map_or(0.0, |hours| hours.ridden);
            machine.hours = Some(Hours { ridden: before + rode.value(), by_meter: false, span: rode.span });
        }
        let today: &mut Today = Arc::make_mut(&mut self.state.today);
        if block.travel_used_front.is_some() {
            today.used_front = Some(Arc::clone(block));
        }
        if block.travel_used_rear.is_some() {
            today.used_rear = Some(Arc::clone(block));
        }
        today.stint = Some(Arc::clone(block));
    }
}

/// What a later block leaves out still holds, errors included; where the later one has an error in it nothing does.
fn carry<T>(header: &mut Header, key: &str, now: &mut Option<T>, (value, from): (Option<T>, &Header)) {
    let is_written = now.is_some() || header.unread.keys.iter().any(|(name, _)| name == key);
    match (is_written, value) {
        (true, _) => {}
        (false, Some(value)) => *now = Some(value),
        (false, None) => {
            if let Some(rejected) = from.rejected(key) {
                header.unread.add(key, rejected);
            }
        }
    }
}

/// What holds of an entry.
fn in_force(entry: Option<&Arc<Entry>>) -> Option<Held> {
    (**entry?).as_ref().ok().cloned()
}

/// Whether what is looked at under a name belongs to a machine and rider together: sags do, everything else to the
/// machine.
pub fn is_of_rider(name: &str) -> bool {
    FigureName::parse(name).is_some_and(|name| name.info().is_of_rider())
}
