//! The history of a season: what was changed, why, and what came of it.
//!
//! Each part asks the replay, the figures and the statistics, and turns their answers into finished text. A
//! history is of one machine and rider; a page may have several.

mod best;
mod charts;
mod complaints;
mod diary;
mod drifts;
mod effects;
mod rides;
mod since;
mod table;

use jiff::civil::Date;
use serde::Serialize;

use crate::advice::{self, Advice};
use crate::book::{Book, Day, Notebook};
use crate::figures::{Days, series};
use crate::season::{Season, State};
use crate::speech::{Tongue, say};

pub(in crate::pages) use rides::{changed, laps_told, order_of_work};

pub use best::{Best, Sureness};

pub use complaints::{Complaint, Trial};
pub use diary::{Cell, ChangeLine, Column, DayLine, StintLine};
pub use drifts::DriftLine;
pub use effects::{Design, Effect, Finding};
pub use since::{Mark, Since};
pub use table::{HEADS, Table, table};

use super::blob_id;
use super::due;
use super::say::Say;

/// The version of the page's JSON; a reader that knows another one should stop.
const SCHEMA: u32 = 1;

/// Which part of a book is shown.
#[derive(Debug, Clone, Default)]
pub struct Options {
    /// The name of a machine; all when not given.
    pub machine: Option<String>,
    /// The name of a rider; all when not given.
    pub rider: Option<String>,
    /// The first date shown.
    pub from: Option<Date>,
    /// The last date shown.
    pub to: Option<Date>,
    /// The date that due checks are judged by; the last date shown when not given.
    pub on: Option<Date>,
    /// The earlier book to compare with, so that new days are marked.
    pub since: Option<Since>,
}

/// The page.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Page {
    pub schema: u32,
    /// The reader's language.
    #[serde(skip)]
    pub tongue: Tongue,
    pub title: String,
    /// The last day shown.
    pub date: Option<String>,
    /// What it was compiled from.
    pub foot: String,
    /// The revision since which days are marked as new; `None` where none was asked for.
    pub since: Option<String>,
    /// One for each machine and rider, by their names.
    pub histories: Vec<History>,
}

/// One machine with one rider.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct History {
    /// The name of the machine's notebook.
    pub machine: String,
    pub machine_title: String,
    pub rider: Option<String>,
    pub rider_title: Option<String>,
    pub from: String,
    pub to: String,
    /// That the rider is not cleared to ride, if so.
    pub not_cleared: Vec<String>,
    /// The columns of the days' figures; columns without a value are left out.
    pub columns: Vec<Column>,
    pub days: Vec<DayLine>,
    pub stints: Vec<StintLine>,
    pub charts: Vec<crate::pages::chart::Chart>,
    pub drifts: Vec<DriftLine>,
    pub effects: Vec<Effect>,
    pub best: Vec<Best>,
    pub complaints: Vec<Complaint>,
    /// The date that due checks are judged by.
    pub on: String,
    pub due: Vec<DueLine>,
}

/// Something checked or serviced at intervals.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct DueLine {
    pub name: String,
    pub label: String,
    pub is_overdue: bool,
    pub when: String,
    pub why: String,
}

/// What all parts of a history need.
struct Desk<'a> {
    book: &'a Book,
    season: &'a Season,
    machine: &'a Notebook,
    rider: Option<&'a str>,
    /// The days shown, by their place in the book.
    days: Vec<usize>,
    advice: &'a Advice,
    say: Say<'a>,
}

impl<'a> Desk<'a> {
    fn rider_title(&self) -> Option<&'a str> {
        self.book.riders.get(self.rider?).map(|rider| rider.title.as_str())
    }

    /// The days from which readings are taken.
    fn readings(&self) -> Days<'a, '_> {
        Days { book: self.book, season: self.season, machine: self.machine, days: &self.days }
    }

    /// The first day and the last.
    fn span(&self) -> Option<(Date, Date)> {
        let date = |index: &usize| self.book.days.get(*index).map(|day| day.date);
        Some((self.days.first().and_then(date)?, self.days.last().and_then(date)?))
    }
}

/// The history of every machine and rider that the options allow, by name.
pub fn page(book: &Book, season: &Season, advice: &Advice, options: &Options) -> Page {
    let mut pairs: std::collections::BTreeMap<(&str, Option<&str>), Vec<usize>> = Default::default();
    let is_told = |day: &Day| {
        let is_named = |name: Option<&String>, wanted: Option<&String>| wanted.is_none() || name == wanted;
        day.is_dated
            && is_named(day.machine.as_ref(), options.machine.as_ref())
            && is_named(day.rider.as_ref(), options.rider.as_ref())
            && options.from.is_none_or(|from| day.date >= from)
            && options.to.is_none_or(|to| day.date <= to)
    };
    for (index, day) in book.days.iter().enumerate().filter(|(_, day)| is_told(day)) {
        let Some(machine) = day.machine.as_deref() else { continue };
        pairs.entry((machine, day.rider.as_deref())).or_default().push(index);
    }
    let told: Vec<usize> = {
        let mut all: Vec<usize> = pairs.values().flatten().copied().collect();
        all.sort_unstable();
        all
    };
    let tongue = reader(book, pairs.keys().map(|(_, rider)| *rider));
    let histories = pairs.into_iter().filter_map(|((machine, rider), days)| {
        let mut units = book.units_for(rider);
        units.speak(tongue.clone());
        let machine = book.machines.get(machine)?;
        let desk = Desk { book, season, machine, rider, days, advice, say: Say::new(&units) };
        history(&desk, options)
    });
    let histories: Vec<History> = histories.collect();
    let date = told.last().and_then(|index| book.days.get(*index)).map(|day| day.date.to_string());
    let since = options.since.as_ref().map(|since| since.revision.clone());
    Page {
        schema: SCHEMA,
        tongue,
        title: title(book, &histories),
        date,
        foot: foot(book, &told),
        since,
        histories,
    }
}

/// For one rider the rider's language, for several the book's.
fn reader<'a>(book: &Book, mut riders: impl Iterator<Item = Option<&'a str>>) -> Tongue {
    match (riders.next(), riders.next()) {
        (Some(one), None) => book.units_for(one).tongue().clone(),
        _ => book.about.units.tongue().clone(),
    }
}

fn title(book: &Book, histories: &[History]) -> String {
    let title =
        book.about.title.as_deref().map_or_else(|| book.about.units.say(&say!("Season")), str::to_owned);
    match histories {
        [one] => {
            let rider = one.rider_title.as_deref().map(|rider| format!("{rider} · ")).unwrap_or_default();
            format!("{rider}{}", one.machine_title)
        }
        _ => title,
    }
}

/// The notebooks that the page was compiled from, as one id over all of theirs.
fn foot(book: &Book, days: &[usize]) -> String {
    let notebooks = days.iter().filter_map(|index| book.days.get(*index)).map(|day| &day.notebook);
    let ids: Vec<String> =
        notebooks.map(|notebook| blob_id(book.sources.whole(notebook.document.file).as_bytes())).collect();
    let id = blob_id(ids.join("\n").as_bytes());
    book.about.units.say(&say!("{count} notebooks · {id}", count = ids.len(), id))
}

fn history(desk: &Desk<'_>, options: &Options) -> Option<History> {
    let (from, to) = desk.span()?;
    let rides = rides::rides(desk);
    let series = series(desk.readings(), |_| true);
    let effects = effects::effects(desk, &rides);
    let mut columns = diary::columns(desk);
    let mut days = diary::lines(desk, &columns, &rides, options.since.as_ref());
    let mut stints = diary::stints(desk, &columns, &rides);
    keep_used(&mut columns, &mut days, &mut stints);
    let on = options.on.or(options.to).unwrap_or(to);
    Some(History {
        machine: desk.machine.name.clone(),
        machine_title: desk.machine.title.clone(),
        rider: desk.rider.map(str::to_owned),
        rider_title: desk.rider_title().map(str::to_owned),
        from: from.to_string(),
        to: to.to_string(),
        not_cleared: advice::not_cleared(desk.book, desk.advice, desk.days.iter().copied()),
        columns,
        days,
        stints,
        charts: charts::charts(desk, &series),
        drifts: drifts::drifts(desk, &series),
        best: best::best(desk, &rides),
        complaints: complaints::complaints(desk, &rides, &effects),
        effects,
        on: on.to_string(),
        due: due_lines(desk, on),
    })
}

/// Drops columns without a value on any day.
fn keep_used(columns: &mut Vec<Column>, days: &mut [DayLine], stints: &mut [StintLine]) {
    let is_used: Vec<bool> = (0..columns.len())
        .map(|at| days.iter().any(|day| day.figures.get(at).is_some_and(|cell| cell.value.is_some())))
        .collect();
    let mut used = is_used.iter();
    columns.retain(|_| used.next().is_some_and(|used| *used));
    let figures = days.iter_mut().map(|day| &mut day.figures);
    for figures in figures.chain(stints.iter_mut().map(|stint| &mut stint.figures)) {
        let mut used = is_used.iter();
        figures.retain(|_| used.next().is_some_and(|used| *used));
    }
}

/// What is due on the machine, for this rider or for none in particular.
fn due_lines(desk: &Desk<'_>, on: Date) -> Vec<DueLine> {
    let entries =
        due::of_machine(desk.book, desk.season, desk.machine, on, desk.say.units()).entries.into_iter();
    let theirs =
        entries.filter(|entry| entry.rider.is_none() || entry.rider.as_deref() == desk.rider_title());
    let lines = theirs.map(|entry| DueLine {
        when: entry.when().to_owned(),
        name: entry.name,
        label: entry.label,
        is_overdue: entry.is_overdue,
        why: entry.why,
    });
    lines.collect()
}

/// The soil of a day: as written for the day, else the track's.
fn soil(book: &Book, day: &Day, state: &State) -> Option<String> {
    let today = state.conditions().and_then(|conditions| conditions.soil.as_ref());
    let track = book.track(day).and_then(|track| track.track_block()).and_then(|track| track.soil.as_ref());
    today.or(track).map(|soil| soil.text.clone())
}
