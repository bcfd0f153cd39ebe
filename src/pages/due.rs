//! What is due on every machine of a book, for people and for calendars.

use std::collections::BTreeMap;

use jiff::civil::Date;
use serde::Serialize;

use crate::book::{Book, Day, Notebook};
use crate::checks::{self, Due};
use crate::figures::{Days, series};
use crate::quantity::Units;
use crate::season::{Season, State};
use crate::speech::{Message, Part as _, say};
use crate::vocabulary::values::IntervalLength;

use super::blob_id;

/// In s.
const HOUR: f64 = 3600.0;

/// What is due on all machines.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct DueList {
    /// The date of asking.
    pub on: Date,
    /// Machines with anything at intervals, by name.
    pub machines: Vec<MachineDue>,
}

/// What is due on one machine.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct MachineDue {
    /// The name of its notebook.
    pub machine: String,
    pub title: String,
    /// Overdue first, then by date, then what waits for hours.
    pub entries: Vec<Entry>,
}

/// Something done at intervals.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Entry {
    /// The same for the same thing in every run, whatever its date.
    pub uid: String,
    /// The name of the figure, reading, setting or service.
    pub name: String,
    pub label: String,
    /// Whose it is, where it belongs to machine and rider together.
    pub rider: Option<String>,
    pub is_overdue: bool,
    /// The last day on which it is not overdue: by days, or by the drift of its readings.
    pub by: Option<Date>,
    /// Whether that day is when its drift leaves the band, rather than the interval's end.
    pub is_by_drift: bool,
    /// Hours on the machine at which it becomes overdue.
    pub at_hours: Option<String>,
    /// Hours left: `9.4 h`; `None` where it is overdue, or not counted in hours.
    pub left: Option<String>,
    /// Since when, and how often it is wanted.
    pub why: String,
    when: String,
}

/// Everything checked or serviced at intervals, by the book as of a date: what is written for later days is not
/// known yet.
pub fn due(book: &Book, season: &Season, on: Date) -> DueList {
    let machines =
        book.machines.values().map(|machine| of_machine(book, season, machine, on, &book.about.units));
    DueList { on, machines: machines.filter(|due| !due.entries.is_empty()).collect() }
}

/// The same for one machine, which may have nothing; in the language of some units.
pub fn of_machine(book: &Book, season: &Season, machine: &Notebook, on: Date, units: &Units) -> MachineDue {
    let mut due = Diary::of(book, season, machine, on).due(on);
    due.sort_by(|a, b| {
        let key = |it: &Wanted<'_>| (!it.is_overdue, it.by.is_none(), it.by);
        key(a).cmp(&key(b)).then(left(&a.due).total_cmp(&left(&b.due)))
    });
    MachineDue {
        machine: machine.name.clone(),
        title: machine.title.clone(),
        entries: due.into_iter().map(|wanted| entry(book, &machine.name, wanted, units)).collect(),
    }
}

/// Hours left, in s; without hours there is nothing to sort by.
fn left(due: &Due) -> f64 {
    due.until_ridden.unwrap_or(0.0) - due.ridden.unwrap_or(0.0)
}

/// Something at intervals, of one rider or of none in particular.
struct Wanted<'a> {
    rider: Option<&'a str>,
    due: Due,
    /// The last day on which its readings are inside their band, if they drift on.
    leaves: Option<Date>,
    by: Option<Date>,
    is_overdue: bool,
}

impl<'a> Wanted<'a> {
    /// The earlier of the interval's end and the day on which the drift leaves the band. A day before the last
    /// reading was checked by that reading: what has left its band must be set, not measured again.
    fn new(rider: Option<&'a str>, due: Due, leaves: Option<Date>, on: Date) -> Self {
        let read = due.last.and_then(|last| last.date);
        let is_late_by_hours = due.is_overdue && due.until.is_none();
        let leaves = leaves.filter(|leaves| !is_late_by_hours && read.is_none_or(|read| *leaves > read));
        let by = due.until.into_iter().chain(leaves).min();
        let is_overdue = due.is_overdue || by.is_some_and(|by| by < on);
        Self { rider, due, leaves, by, is_overdue }
    }

    fn is_by_drift(&self) -> bool {
        self.by == self.leaves && self.by != self.due.until
    }

    fn why(&self) -> Message {
        let why = self.due.why().part();
        match self.leaves {
            Some(_) if self.is_by_drift() => say!("by its drift, which leaves the band then; {why}", why),
            Some(leaves) => say!("{why}; its drift leaves the band on {leaves}", why, leaves),
            None => why,
        }
    }
}

/// A machine's days up to a date, and each rider's on it.
struct Diary<'a> {
    book: &'a Book,
    season: &'a Season,
    machine: &'a Notebook,
    days: Vec<usize>,
    riders: BTreeMap<&'a str, Vec<usize>>,
}

impl<'a> Diary<'a> {
    fn of(book: &'a Book, season: &'a Season, machine: &'a Notebook, on: Date) -> Self {
        let mut diary = Self { book, season, machine, days: Vec::new(), riders: BTreeMap::new() };
        let is_its = |day: &Day| day.date <= on && day.machine.as_ref() == Some(&machine.name);
        for (index, day) in book.days.iter().enumerate().filter(|(_, day)| is_its(day)) {
            diary.days.push(index);
            if let Some(rider) = day.rider.as_deref() {
                diary.riders.entry(rider).or_default().push(index);
            }
        }
        diary
    }

    /// What belongs to the machine, once; what belongs to machine and rider together, for each rider.
    fn due(&self, on: Date) -> Vec<Wanted<'a>> {
        let mut all = self.of_days(None, &self.days, on);
        for (rider, days) in &self.riders {
            all.extend(self.of_days(Some(rider), days, on));
        }
        all
    }

    fn of_days(&self, rider: Option<&'a str>, days: &[usize], on: Date) -> Vec<Wanted<'a>> {
        let nothing = State::default();
        let last = days.last().and_then(|day| self.season.days.get(*day));
        let schedule = checks::schedule(self.machine, last.map_or(&nothing, |replay| replay.end()), on);
        // *Before each ride* is no date for a calendar.
        let theirs =
            |due: &Due| due.is_of_rider() == rider.is_some() && due.interval != IntervalLength::EachRide;
        let schedule: Vec<Due> = schedule.into_iter().filter(theirs).collect();
        let days = Days { book: self.book, season: self.season, machine: self.machine, days };
        let read = series(days, |of| {
            of.named().is_some_and(|name| schedule.iter().any(|due| due.named == Some(name)))
        });
        let leaves = |due: &Due| {
            let name = due.named?;
            let series = read.iter().find(|series| series.of.named() == Some(name))?;
            series.trend(self.machine).filter(|_| series.is_measured())?.leaves
        };
        schedule
            .into_iter()
            .map(|due| {
                let leaves = leaves(&due);
                Wanted::new(rider, due, leaves, on)
            })
            .collect()
    }
}

fn entry(book: &Book, machine: &str, wanted: Wanted<'_>, units: &Units) -> Entry {
    let (rider, due) = (wanted.rider, &wanted.due);
    let title = |name: &str| book.riders.get(name).map_or_else(|| name.to_owned(), |it| it.title.clone());
    let (at_hours, left) = (due.until_ridden.map(in_hours), due.left().map(in_hours));
    let when = when(&wanted, at_hours.as_ref(), left.as_ref());
    Entry {
        uid: uid(machine, rider, &due.name),
        name: due.name.clone(),
        label: units.say(&due.label()),
        rider: rider.map(title),
        is_overdue: wanted.is_overdue,
        by: wanted.by,
        is_by_drift: wanted.is_by_drift(),
        at_hours: at_hours.map(|hours| units.say(&hours)),
        left: left.map(|hours| units.say(&hours)),
        why: units.say(&wanted.why()),
        when: units.say(&when),
    }
}

/// Seconds as an hour meter shows them: half an hour is not a lap time.
fn in_hours(seconds: f64) -> Message {
    Message::number(format!("{:.1} h", seconds / HOUR))
}

/// Made only from what the thing is, so that reading a calendar in again moves the entry instead of adding one.
fn uid(machine: &str, rider: Option<&str>, name: &str) -> String {
    let parts = [machine, rider.unwrap_or_default(), name];
    format!("{}@loambook", blob_id(parts.join("\n").as_bytes()))
}

/// The list, for its template.
#[derive(Debug, Serialize)]
pub struct Laid<'l> {
    on: String,
    machines: Vec<LaidMachine<'l>>,
}

#[derive(Debug, Serialize)]
struct LaidMachine<'l> {
    title: &'l str,
    entries: Vec<LaidEntry<'l>>,
}

#[derive(Debug, Serialize)]
struct LaidEntry<'l> {
    titled: String,
    when: &'l str,
    why: &'l str,
    is_overdue: bool,
}

impl DueList {
    /// Prepared for its template.
    pub fn laid(&self) -> Laid<'_> {
        let machines = self.machines.iter().map(MachineDue::laid);
        Laid { on: self.on.to_string(), machines: machines.collect() }
    }
}

impl MachineDue {
    fn laid(&self) -> LaidMachine<'_> {
        LaidMachine { title: &self.title, entries: self.entries.iter().map(Entry::laid).collect() }
    }
}

impl Entry {
    fn laid(&self) -> LaidEntry<'_> {
        let (titled, when) = (self.titled(), self.when());
        LaidEntry { titled, when, why: &self.why, is_overdue: self.is_overdue }
    }

    /// What it is, and whose.
    pub fn titled(&self) -> String {
        match &self.rider {
            Some(rider) => format!("{} ({rider})", self.label),
            None => self.label.clone(),
        }
    }

    /// By when, in words.
    pub fn when(&self) -> &str {
        &self.when
    }
}

fn when(wanted: &Wanted<'_>, at_hours: Option<&Message>, left: Option<&Message>) -> Message {
    let when = match (wanted.is_overdue, wanted.by, at_hours) {
        (false, Some(by), Some(hours)) => say!("by {by}, or at {hours}", by, hours),
        (true, Some(by), _) => say!("was due by {by}", by),
        (true, None, Some(hours)) => say!("was due at {hours}", hours),
        (true, None, None) => say!("overdue"),
        (false, Some(by), _) => say!("by {by}", by),
        (false, None, Some(hours)) => say!("at {hours}", hours),
        (false, None, None) => say!("later"),
    };
    match left {
        Some(left) => say!("{when}, {left} left", when, left),
        None => when,
    }
}
