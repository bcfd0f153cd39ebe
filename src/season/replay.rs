//! The replay itself: one pass over the days in their order.

use std::collections::BTreeMap;
use std::sync::Arc;

use crate::book::{Book, Day, Notebook};
use crate::finding::{self, Finding};
use crate::source::{Patience, Span, limits};
use crate::speech::say;
use crate::vocabulary::Setting;
use crate::vocabulary::blocks::{Change, RiderBlock};

use super::air::{Cold, Gate};
use super::codes;
use super::map::Map;
use super::page::Page;
use super::pressure::filled;
use super::repeats::{RepeatSet, Repeats, sets_of};
use super::settings::{Event, HeldMap, Standard};
use super::standard::{beginning, standard_entries};
use super::state::{MachineReadings, PairReadings, State, Today};
use super::undo::{Undo, UndoStep};
use super::valving::Rebuilds;

/// A book replayed.
#[derive(Debug, Default)]
pub struct Season {
    /// One for each of the book's days, in the same order.
    pub days: Vec<Arc<DayReplay>>,
    /// The standard setting of each machine.
    pub standard: BTreeMap<String, Standard>,
    /// What repeated readings show about hands and instruments.
    pub repeats: Repeats,
}

impl Season {
    /// A machine as in its own notebook, with its standard setting and no readings; `None` for a machine that the book
    /// does not have.
    pub fn as_standard(&self, machine: &str) -> Option<State> {
        Some(State { machine_settings: self.standard.get(machine)?.entries(), ..State::default() })
    }
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
    /// Places of readings that do not count.
    pub rejected: Vec<Span>,
    /// The day of the same machine and rider before this one.
    pub previous: Option<usize>,
    /// Its effect on the changes that can be undone.
    undoing: Undoing,
    /// What its repeated readings give.
    pub(super) repeats: Arc<[RepeatSet]>,
    /// The findings of its replay.
    findings: Arc<[Finding]>,
    /// How many settings and readings its places keep; `None` past the book's limit.
    kept: Option<usize>,
    /// Kept by a later replay with the same result.
    stamp: Arc<()>,
}

/// A day's effect on the changes that can be undone.
#[derive(Debug)]
enum Undoing {
    /// It makes changes and undoes none: the changes before it make no difference.
    Adds(Box<[UndoStep]>),
    GoesBack {
        start: Undo,
        end: Undo,
    },
}

impl Undoing {
    /// What can be undone after the day; `None` where it has to be worked out again, since an undone change leads elsewhere.
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
    /// Whether an earlier replay had the same result, as far as figures and rules can tell.
    pub fn is_as(&self, before: &Self) -> bool {
        Arc::ptr_eq(&self.stamp, &before.stamp)
    }

    /// The state at the day's end.
    pub fn end(&self) -> &State {
        self.points.last().map_or(&self.start, |point| &point.state)
    }

    /// The state at a place in the file: after the last block that begins before it.
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
    /// Where nothing is known: every day's state begins as this.
    blank: State,
    rebuilds: Rebuilds,
    /// What each machine begins with, with the errors in it.
    standard: BTreeMap<&'b str, HeldMap>,
    /// Which of each machine's chambers are filled through a port.
    filled: BTreeMap<&'b str, Map<Setting, Setting>>,
    machine_settings: BTreeMap<&'b str, HeldMap>,
    machine_readings: BTreeMap<&'b str, Arc<MachineReadings>>,
    pairs: BTreeMap<Pair<'b>, CarriedPair>,
    riders: BTreeMap<&'b str, Arc<RiderBlock>>,
    /// How many settings and readings the places kept so far.
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
/// the same beginning, is kept: after an edit, those are the days of other machines and all earlier ones. `None` once
/// nobody waits for it.
pub fn replay(
    book: &Book,
    before: Option<(&Book, &Season)>,
    patience: Patience<'_>,
) -> Option<(Season, Vec<Finding>)> {
    let mut findings = Vec::new();
    let mut season = Season::default();
    // `book.toml` says which instruments there are.
    let before = before.filter(|(then, _)| book.is_about_the_same(then));
    let mut carried = Carried { rebuilds: Rebuilds::of(book), ..Carried::default() };
    // 1. Each machine begins with its hardware and its standard setting, each rider with the rider's own
    // notebook.
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

/// The former replay of a day at the same place of the book, with the same notebooks.
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
    let mut state = carried.blank.clone();
    let mut undo = Undo::default();
    let mut previous = None;
    if let Some(machine) = machine {
        let name = machine.name.as_str();
        // 3. When a rider first meets a machine, the standard setting is divided between them.
        let pair = carried.pairs.entry((name, rider)).or_insert_with(|| {
            let standard = carried.standard.get(name).cloned().unwrap_or_default();
            let (of_machine, settings, reported) = beginning(machine, &standard, book.rider(day));
            findings.extend(reported);
            carried.machine_settings.entry(name).or_insert(of_machine);
            CarriedPair { settings, ..CarriedPair::default() }
        });
        // 4. A day starts on what the last day of the machine, and of the machine and rider, left.
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
    // A missing machine is reported once, and not again for each setting.
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
    // Most days have a single event, and a book keeps thousands.
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

/// Whether a day undoes a change.
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
        .found(say!("what comes after this block changes nothing"))
        .help(say!("use fewer names of your own, or make several books of it"))
}
