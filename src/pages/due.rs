//! What is due on every machine of a book, for people and for calendars.

use std::collections::BTreeMap;
use std::fmt::Write;

use jiff::civil::Date;

use crate::book::{Book, Notebook};
use crate::checks::{self, Due};
use crate::quantity::Kind;
use crate::season::{Season, State, is_of_rider};

use super::blob_id;
use super::say::Say;

/// What is due on all machines.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct DueList {
    /// The date of asking.
    pub on: Date,
    /// Machines that have something at intervals, by name.
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

/// Something at intervals.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Entry {
    /// The same for the same thing in every run, whatever its date.
    pub uid: String,
    /// The name of the figure, reading, setting or service.
    pub name: String,
    pub label: String,
    /// Whose it is, where it belongs to a machine and rider together.
    pub rider: Option<String>,
    pub is_overdue: bool,
    /// The last day on which it is not overdue, for intervals of days.
    pub by: Option<Date>,
    /// Hours on the machine up to which it is not overdue.
    pub at_hours: Option<String>,
    /// Since when, and how often it is wanted.
    pub why: String,
}

/// Everything that is looked at or serviced at intervals, as the book stands on a date: what was written for
/// later days is not known yet.
pub fn due(book: &Book, season: &Season, on: Date) -> DueList {
    let latest = Latest::of(book, season, on);
    let machines = book.machines.iter().filter_map(|(name, machine)| {
        let mut due = latest.due(name, machine, on);
        due.sort_by(|(_, a), (_, b)| {
            let dates =
                (!a.is_overdue, a.until.is_none(), a.until).cmp(&(!b.is_overdue, b.until.is_none(), b.until));
            dates.then(left(a).total_cmp(&left(b)))
        });
        let entries: Vec<Entry> = due.iter().map(|(rider, due)| entry(book, name, *rider, due)).collect();
        (!entries.is_empty()).then(|| MachineDue {
            machine: name.clone(),
            title: machine.title.clone(),
            entries,
        })
    });
    DueList { on, machines: machines.collect() }
}

/// Hours that are left, in s; without hours there is nothing to be ordered by.
fn left(due: &Due) -> f64 {
    due.until_ridden.unwrap_or(0.0) - due.ridden.unwrap_or(0.0)
}

/// How machines and riders stand on a date.
struct Latest<'a> {
    machines: BTreeMap<&'a str, &'a State>,
    riders: BTreeMap<(&'a str, &'a str), &'a State>,
}

impl<'a> Latest<'a> {
    fn of(book: &'a Book, season: &'a Season, on: Date) -> Self {
        let mut latest = Self { machines: BTreeMap::new(), riders: BTreeMap::new() };
        let days = book.days.iter().zip(&season.days).filter(|(day, _)| day.date <= on);
        for (day, replay) in days {
            let Some(machine) = day.machine.as_deref() else { continue };
            latest.machines.insert(machine, replay.end());
            if let Some(rider) = day.rider.as_deref() {
                latest.riders.insert((machine, rider), replay.end());
            }
        }
        latest
    }

    /// What belongs to the machine once; what belongs to machine and rider together for each rider.
    fn due(&self, name: &str, machine: &Notebook, on: Date) -> Vec<(Option<&'a str>, Due)> {
        let nothing = State::default();
        let state = self.machines.get(name).copied().unwrap_or(&nothing);
        let schedule = checks::schedule(machine, state, on).into_iter();
        let mut all: Vec<_> = schedule.filter(|due| !is_of_rider(&due.name)).map(|due| (None, due)).collect();
        for ((_, rider), state) in self.riders.iter().filter(|((of, _), _)| *of == name) {
            let schedule = checks::schedule(machine, state, on).into_iter();
            all.extend(schedule.filter(|due| is_of_rider(&due.name)).map(|due| (Some(*rider), due)));
        }
        all
    }
}

fn entry(book: &Book, machine: &str, rider: Option<&str>, due: &Due) -> Entry {
    let units = book.units_for(rider);
    let title = |name: &str| book.riders.get(name).map_or_else(|| name.to_owned(), |it| it.title.clone());
    Entry {
        uid: uid(machine, rider, &due.name),
        name: due.name.clone(),
        label: due.label(),
        rider: rider.map(title),
        is_overdue: due.is_overdue,
        by: due.until,
        at_hours: due.until_ridden.map(|hours| Say::new(&units).value(Kind::Time, hours).to_string()),
        why: due.why(),
    }
}

/// Made of what the thing is and of nothing else, so that a calendar that is read in again moves the entry and
/// does not add one.
fn uid(machine: &str, rider: Option<&str>, name: &str) -> String {
    let parts = [machine, rider.unwrap_or_default(), name];
    format!("{}@loambook", blob_id(parts.join("\n").as_bytes()))
}

/// The list for people.
pub fn text(list: &DueList) -> String {
    let mut text = String::new();
    for machine in &list.machines {
        let _ = writeln!(text, "{}", machine.title);
        let names: Vec<String> = machine.entries.iter().map(Entry::titled).collect();
        let whens: Vec<String> = machine.entries.iter().map(Entry::when).collect();
        let width = |texts: &[String]| texts.iter().map(|text| text.chars().count()).max().unwrap_or(0);
        let (name_width, when_width) = (width(&names), width(&whens));
        for ((entry, name), when) in machine.entries.iter().zip(&names).zip(&whens) {
            let _ = writeln!(text, "  {when:<when_width$}  {name:<name_width$}  {}", entry.why);
        }
        text.push('\n');
    }
    text
}

impl Entry {
    /// What it is, and whose.
    pub fn titled(&self) -> String {
        match &self.rider {
            Some(rider) => format!("{} ({rider})", self.label),
            None => self.label.clone(),
        }
    }

    /// By when, in words.
    pub fn when(&self) -> String {
        match (self.is_overdue, self.by, &self.at_hours) {
            (true, Some(by), _) => format!("was due by {by}"),
            (true, None, Some(hours)) => format!("was due at {hours}"),
            (true, None, None) => "overdue".to_owned(),
            (false, Some(by), _) => format!("by {by}"),
            (false, None, Some(hours)) => format!("at {hours}"),
            (false, None, None) => "later".to_owned(),
        }
    }
}
