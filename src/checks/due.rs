//! What is due to be checked or serviced.
//!
//! A band's `recheck` and a service's `every` count days on the calendar or hours ridden. They count from when the
//! thing was last measured, ticked off in `checked`, or serviced. What is wanted before each ride is done on the day's
//! own page or not at all: it is never overdue, and is in no calendar.

use jiff::civil::Date;

use crate::book::{Book, Day, Notebook};
use crate::season::{Season, State};
use crate::source::Span;
use crate::speech::{Message, say};
use crate::vocabulary::Named;
use crate::vocabulary::blocks::{BandBlock, ServiceBlock};
use crate::vocabulary::values::{Interval, IntervalLength, LastDone};

/// Seconds in an hour.
pub(super) const HOUR: f64 = 3600.0;

/// Something to check or service at intervals.
#[derive(Debug, Clone, PartialEq)]
pub struct Due {
    /// The name of the figure, reading, setting or service.
    pub name: String,
    /// The figure, reading or setting with this name; `None` for a service.
    pub named: Option<Named>,
    /// When it was last done.
    pub last: Option<Last>,
    /// Where the interval is written.
    pub span: Span,
    pub interval: IntervalLength,
    /// The last day on which it is not overdue, for intervals of days.
    pub until: Option<Date>,
    /// Hours on the machine up to which it is not overdue, in s.
    pub until_ridden: Option<f64>,
    /// Hours on the machine now, in s.
    pub ridden: Option<f64>,
    pub is_overdue: bool,
}

/// When something was last done.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Last {
    pub date: Option<Date>,
    /// Hours on the machine then, in s.
    pub ridden: Option<f64>,
    pub span: Span,
}

impl Due {
    pub fn is_service(&self) -> bool {
        self.named.is_none()
    }

    /// Whether it belongs to machine and rider together, as sags do; everything else belongs to the machine.
    pub fn is_of_rider(&self) -> bool {
        self.named.and_then(Named::figure).is_some_and(|name| name.info().is_of_rider())
    }

    /// Its label on a sheet.
    pub fn label(&self) -> Message {
        self.named.map_or_else(|| Message::text(&*self.name), Named::label)
    }

    /// Whether a day's page asks for it: overdue then, or wanted before each ride and not done that day.
    pub fn is_wanted(&self, ride: Date) -> bool {
        let is_seen = self.last.and_then(|last| last.date) == Some(ride);
        self.is_overdue || self.interval == IntervalLength::EachRide && !is_seen
    }

    /// Hours left before it is overdue, in s; `None` where it is overdue, or not counted in hours.
    pub fn left(&self) -> Option<f64> {
        let left = self.until_ridden? - self.ridden?;
        (!self.is_overdue && left >= 0.0).then_some(left)
    }

    /// Whether it becomes due within hours soon to be ridden, in s.
    pub fn falls_within(&self, riding: f64) -> bool {
        self.left().is_some_and(|left| left < riding)
    }

    /// Since when, how often it is wanted, and how many hours are left.
    pub fn why(&self) -> Message {
        let every = match self.interval {
            IntervalLength::Days(days) => say!("every {days}", days = counted_days(days)),
            IntervalLength::Ridden(ridden) => say!("every {ridden}", ridden = counted_hours(ridden)),
            IntervalLength::EachRide => say!("before each ride"),
        };
        match self.since() {
            Some(since) => Message::joined([since, every], "; "),
            None => every,
        }
    }

    /// How many hours are left: `0.4 hours left`; `None` as for [`Self::left`].
    pub fn left_told(&self) -> Option<Message> {
        Some(say!("{left} left", left = counted_hours(self.left()?)))
    }

    /// Only since when, for where there is little room.
    pub fn since(&self) -> Option<Message> {
        let Some(Last { date, ridden, .. }) = self.last else { return Some(say!("never on file")) };
        match (self.interval, date, ridden) {
            (IntervalLength::Ridden(_), _, Some(then)) => Some(match self.ridden.unwrap_or(then) - then {
                // The meter shows less than what was written.
                since if since < 0.0 => say!("last at {then}", then = counted_hours(then)),
                since => say!("{since} ridden since", since = counted_hours(since)),
            }),
            (_, Some(date), _) => Some(say!("last on {date}", date)),
            _ => None,
        }
    }
}

/// `30 days`, `1 day`.
pub(super) fn counted_days(days: f64) -> Message {
    match (days * 10.0).round() / 10.0 {
        1.0 => say!("1 day"),
        days => say!("{days} days", days),
    }
}

/// `2.5 hours`, `1 hour`; from seconds.
pub(super) fn counted_hours(seconds: f64) -> Message {
    match (seconds / HOUR * 10.0).round() / 10.0 {
        1.0 => say!("1 hour"),
        hours => say!("{hours} hours", hours),
    }
}

/// How long a rider rides a machine in a day, in s: the (upper) median of the days on file up to a day. `None` where no
/// day shows it.
pub fn days_riding(book: &Book, season: &Season, day: usize) -> Option<f64> {
    let asked = book.days.get(day)?;
    let is_theirs = |other: &Day| other.machine == asked.machine && other.rider == asked.rider;
    let days = book.days.iter().zip(&season.days).take(day + 1).filter(|(other, _)| is_theirs(other));
    let mut ridden: Vec<f64> = days
        .filter_map(|(_, replay)| Some(replay.end().hours()?.ridden - replay.start.hours()?.ridden))
        .filter(|ridden| *ridden > 0.0)
        .collect();
    ridden.sort_by(f64::total_cmp);
    ridden.get(ridden.len() / 2).copied()
}

/// What is due on a date, by the state at the end of a day: first what is overdue; then what was wanted before that day's
/// ride and not done, and what becomes due within a day's riding.
pub fn due(book: &Book, season: &Season, day: usize, on: Date) -> Vec<Due> {
    let (Some(about), Some(replay)) = (book.days.get(day), season.days.get(day)) else { return Vec::new() };
    let Some(machine) = book.machine(about) else { return Vec::new() };
    let riding = days_riding(book, season, day).unwrap_or(0.0);
    let is_asked = |due: &Due| due.is_wanted(about.date) || due.falls_within(riding);
    let mut due: Vec<Due> = schedule(machine, replay.end(), on).into_iter().filter(is_asked).collect();
    due.sort_by_key(|due| !due.is_overdue);
    due
}

/// Everything on a machine that is checked or serviced at intervals, in the order of its notebook.
pub fn schedule(machine: &Notebook, state: &State, on: Date) -> Vec<Due> {
    let mut all = Vec::new();
    let ridden = state.hours().map(|hours| hours.ridden);
    for band in machine.all::<BandBlock>().flat_map(|block| &block.others.bands) {
        let Some(recheck) = band.recheck else { continue };
        let last = last_seen(state, band.name.as_str());
        all.push(entry(band.name.as_str(), Some(band.name), recheck, last, ridden, on));
    }
    for service in machine.all::<ServiceBlock>().flat_map(|block| &block.others.services) {
        let Some(every) = service.every else { continue };
        let written = service.last.map(|last| match last {
            LastDone::On(dated) => Last { date: Some(dated.date), ridden: None, span: dated.span },
            LastDone::At(given) => Last { date: None, ridden: Some(given.value()), span: given.span },
        });
        // A day's tick is later than what the machine's notebook says.
        let last = last_seen(state, &service.name).or(written);
        all.push(entry(&service.name, None, every, last, ridden, on));
    }
    all
}

fn last_seen(state: &State, name: &str) -> Option<Last> {
    state.seen(name).map(|seen| Last { date: Some(seen.date), ridden: seen.ridden, span: seen.span })
}

fn entry(
    name: &str,
    named: Option<Named>,
    every: Interval,
    last: Option<Last>,
    ridden: Option<f64>,
    on: Date,
) -> Due {
    let mut due = Due {
        name: name.to_owned(),
        named,
        last,
        span: every.span,
        interval: every.length,
        until: None,
        until_ridden: None,
        ridden,
        is_overdue: last.is_none() && every.length != IntervalLength::EachRide,
    };
    match every.length {
        IntervalLength::EachRide => {}
        IntervalLength::Days(days) => {
            let whole = jiff::Span::new().try_days(days.floor() as i64).unwrap_or_default();
            due.until = last.and_then(|last| last.date).and_then(|date| date.checked_add(whole).ok());
            due.is_overdue |= due.until.is_some_and(|until| until < on);
        }
        IntervalLength::Ridden(length) => {
            // If nobody counted hours when it was done, they count from zero.
            due.until_ridden = last.map(|last| last.ridden.unwrap_or(0.0) + length);
            due.is_overdue |= matches!((due.until_ridden, ridden), (Some(until), Some(now)) if now > until);
        }
    }
    due
}
