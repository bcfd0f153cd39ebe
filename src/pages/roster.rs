//! The roster: one page for the van, a row a rider with what matters, from the sheets behind it.
//!
//! Others see it: it shows neither a rider's mass, nor words of injury, nor the rider's own words.

use jiff::civil::Date;
use serde::Serialize;

use crate::book::{Book, Day};
use crate::quantity::Units;
use crate::season::{Held, Season, State};
use crate::speech::{Message, Tongue, say};
use crate::vocabulary::Setting;
use crate::vocabulary::blocks::{LOOK_AFTER_CRASH, LOOK_SIGNS, Stint};
use crate::vocabulary::settings::Together;

use super::dates;
use super::gauge::Pump;
use super::say::Say;
use super::sheet::{Look, PressureLine, Sheet, ToSet};

/// What others are shown where a crash must be dealt with: who was hurt and how is not their business.
fn crash() -> Message {
    say!("there was a crash: the rider is asked first, then the machine is looked over; see the sheet")
}

/// Where a change waits to be ridden: it stands beside, among what is to set.
fn ride() -> Message {
    say!("nothing more: ride it first, and write how it felt")
}

/// What a roster says.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Roster {
    /// For bookmarks and windows.
    pub title: String,
    /// The day or the track that it is for.
    pub about: String,
    /// The track or the day, where it is the same for all.
    pub also: Option<String>,
    /// Whether it is for a track, so that its rows may differ in their days; else they may differ in their tracks.
    pub is_of_track: bool,
    /// The last of its days, as ISO 8601 writes it.
    pub date: String,
    /// In the order of riding.
    pub rows: Vec<Row>,
    /// How warm the bench is that the pressures for it are for, where all rows that have such a pressure say the same.
    pub bench: Option<String>,
    /// How many of the rows have something due.
    pub with_due: usize,
    /// How many of the rows have a sheet behind them.
    pub with_sheet: usize,
}

/// One rider on one machine.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Row {
    pub rider: Option<String>,
    pub machine: Option<String>,
    pub track: Option<String>,
    pub date: Option<String>,
    /// The file of the sheet, beside the roster; `None` where all is in one file, or there is no sheet.
    pub file: Option<String>,
    /// How the machine stands before: who left it, and when.
    pub stands: Option<String>,
    /// Whether another rider left it.
    pub is_changeover: bool,
    /// What to change from there, springs first.
    pub changes: Vec<String>,
    /// What to pump at the track, what on the bench where that is another number, and the difference.
    pub pressures: Vec<String>,
    /// How warm the bench is, where it needs another number.
    pub bench: Option<String>,
    /// What the last ride complained of, in the trade's words.
    pub complaint: Option<String>,
    /// The one next thing for it.
    pub next: Option<String>,
    pub due: Vec<String>,
    /// Why there is no sheet.
    pub fault: Option<String>,
}

/// Which days a roster is about.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum About {
    Date(Date),
    /// By the name of its notebook.
    Track(String),
}

/// The days of a roster by their places in the book, in the order of riding: all of a date, or the last at a track for
/// each machine and rider.
pub fn days(book: &Book, about: &About) -> Vec<usize> {
    let mut days = chosen(book, about);
    // The book has the days of one date in the order of riding, where notebooks give one.
    let key = |index: &usize| {
        let day = book.days.get(*index)?;
        let first = day.notebook.all::<Stint>().next();
        let is_said = day.notebook.head.order.is_some() || first.is_some_and(|stint| stint.start.is_some());
        let rider = book.rider(day).map(|rider| by_name(&rider.title));
        let machine = book.machine(day).map(|machine| by_name(&machine.title));
        Some((day.date, !is_said, is_said.then_some(*index), rider, machine))
    };
    days.sort_by_cached_key(key);
    days
}

/// A name in parts of letters and numbers, so that Rider 10 comes after Rider 9.
fn by_name(name: &str) -> Vec<(String, u64)> {
    let mut pieces = vec![(String::new(), 0_u64)];
    let mut was_digit = false;
    for letter in name.chars().flat_map(char::to_lowercase) {
        let digit = letter.to_digit(10);
        if was_digit && digit.is_none() {
            pieces.push((String::new(), 0));
        }
        if let Some(piece) = pieces.last_mut() {
            match digit {
                Some(digit) => piece.1 = piece.1.saturating_mul(10).saturating_add(u64::from(digit)),
                None => piece.0.push(letter),
            }
        }
        was_digit = digit.is_some();
    }
    pieces
}

fn chosen(book: &Book, about: &About) -> Vec<usize> {
    let all = book.days.iter().enumerate();
    match about {
        About::Date(date) => {
            all.filter(|(_, day)| day.is_dated && day.date == *date).map(|(index, _)| index).collect()
        }
        About::Track(track) => {
            let here: Vec<(usize, &Day)> = all.filter(|(_, day)| day.track.as_ref() == Some(track)).collect();
            let is_last = |index: usize, day: &Day| {
                !here.iter().any(|(other, later)| {
                    *other > index && later.machine == day.machine && later.rider == day.rider
                })
            };
            here.iter().filter(|(index, day)| is_last(*index, day)).map(|(index, _)| *index).collect()
        }
    }
}

/// The roster of some rows; `date` is the last of their days.
pub fn roster(book: &Book, about: &About, date: Date, rows: Vec<Row>) -> Roster {
    let is_of_track = matches!(about, About::Track(_));
    let (about, also) = match about {
        About::Date(date) => {
            (book.about.units.say(&dates::whole(*date)), shared(rows.iter().map(|row| row.track.as_deref())))
        }
        About::Track(name) => {
            let title = book.tracks.get(name).map_or(name.as_str(), |track| track.title.as_str());
            (title.to_owned(), shared(rows.iter().map(|row| row.date.as_deref())))
        }
    };
    let with_due = rows.iter().filter(|row| !row.due.is_empty()).count();
    let with_sheet = rows.iter().filter(|row| row.fault.is_none()).count();
    Roster {
        title: book.about.units.say(&say!("Roster, {about}", about)),
        about,
        also,
        is_of_track,
        bench: shared(rows.iter().filter(|row| row.bench.is_some()).map(|row| row.bench.as_deref())),
        date: date.to_string(),
        rows,
        with_due,
        with_sheet,
    }
}

/// What all of them have, if it is the same.
fn shared<'a>(mut all: impl Iterator<Item = Option<&'a str>>) -> Option<String> {
    let first = all.next()??;
    all.all(|other| other == Some(first)).then(|| first.to_owned())
}

/// The row of a day with its sheet; `file` is the sheet's file beside the roster.
pub fn row(book: &Book, season: &Season, index: usize, sheet: &Sheet, file: Option<String>) -> Row {
    let head = &sheet.head;
    let mut units = book.days.get(index).map(|day| book.units_for(day.rider.as_deref())).unwrap_or_default();
    units.speak(sheet.tongue.clone());
    let say = Say::new(&units);
    let changeover = Changeover::of(book, season, index).map(|it| it.told_in(&sheet.tongue));
    let look = sheet.next.as_ref().and_then(|next| next.check.as_deref());
    let is_crash = look.is_some_and(|check| [LOOK_SIGNS, LOOK_AFTER_CRASH].contains(&check));
    let (complaint, next) = match &sheet.next {
        Some(_) if is_crash => (None, Some(say.text(&crash()))),
        Some(next) if next.is_ride => (Some(next.complaint.clone()), Some(say.text(&ride()))),
        Some(next) => (Some(next.complaint.clone()), Some(next.what.clone())),
        None => (None, None),
    };
    Row {
        rider: head.rider.clone(),
        machine: head.machine.clone(),
        track: head.track.clone(),
        date: head.date_iso.clone(),
        file,
        stands: changeover.as_ref().map(Changeover::told_to_its_rider),
        is_changeover: changeover.as_ref().is_some_and(Changeover::is_of_another),
        changes: changeover.map(|changeover| changeover.changes()).unwrap_or_default(),
        pressures: sheet.pressures.iter().filter_map(|line| pressure(say, line, &sheet.to_set)).collect(),
        bench: sheet.pressures.iter().find_map(|line| line.bench_at.clone()),
        complaint,
        next,
        due: sheet.due.iter().filter(|look| !is_pumped(sheet, look)).map(due).collect(),
        fault: None,
    }
}

/// With how much may still be ridden, where it becomes due only on the day.
fn due(look: &Look) -> String {
    match look.left.as_ref() {
        Some(left) => format!("{}: {left}", look.label),
        None => look.label.clone(),
    }
}

/// Whether it is a pressure, which the same row says to pump.
fn is_pumped(sheet: &Sheet, look: &Look) -> bool {
    let mut pumped = sheet.pressures.iter().filter(|line| line.in_short.is_some());
    pumped.any(|line| line.setting.to_string() == look.name)
}

/// A day's settings compared with how the machine stands before it.
pub(super) struct Changeover<'a> {
    book: &'a Book,
    day: &'a Day,
    wanted: &'a State,
    /// The day that left it, and its state; `None` where the machine is as its own notebook says.
    standing: Option<(&'a Day, &'a State)>,
    standard: State,
    /// The language; the rider's where none is set.
    tongue: Option<Tongue>,
}

impl<'a> Changeover<'a> {
    /// `None` where the day has no machine.
    pub fn of(book: &'a Book, season: &'a Season, index: usize) -> Option<Self> {
        let (day, replay) = (book.days.get(index)?, season.days.get(index)?);
        let machine = book.machine(day)?;
        let standing = season.standing(book, index).and_then(|it| Some((book.days.get(it.day)?, it.state)));
        let standard = season.as_standard(&machine.name).unwrap_or_default();
        Some(Self { book, day, wanted: replay.end(), standing, standard, tongue: None })
    }

    /// The same for planned settings.
    pub fn wanting<'b>(self, wanted: &'b State) -> Changeover<'b>
    where
        'a: 'b,
    {
        Changeover { wanted, ..self }
    }

    /// The same in a language.
    pub fn told_in(self, tongue: &Tongue) -> Self {
        Self { tongue: Some(tongue.clone()), ..self }
    }

    fn units(&self) -> Units {
        let mut units = self.book.units_for(self.day.rider.as_deref());
        if let Some(tongue) = &self.tongue {
            units.speak(tongue.clone());
        }
        units
    }

    fn state(&self) -> &State {
        self.standing.map_or(&self.standard, |(_, state)| state)
    }

    pub fn is_of_another(&self) -> bool {
        self.standing.is_some_and(|(day, _)| day.rider != self.day.rider)
    }

    /// Who left it, and when.
    pub fn told(&self) -> String {
        let units = self.units();
        let Some((day, _)) = self.standing else { return units.say(&say!("the standard setting")) };
        let rider = self.book.rider(day).map(|rider| rider.title.as_str());
        units.say(&left_by(rider.or(day.rider.as_deref()), day))
    }

    /// The same beside the rider's name, who is named again only where another one left it.
    fn told_to_its_rider(&self) -> String {
        match self.standing {
            Some((day, _)) if !self.is_of_another() => self.units().say(&left_by(None, day)),
            _ => self.told(),
        }
    }

    /// What to change, springs first; pressures are pumped anyway.
    pub fn changes(&self) -> Vec<String> {
        let mut wanted = self.wanted.settings();
        wanted.retain(|(name, _)| !name.is_pressure());
        wanted.sort_by_key(|(name, _)| !is_spring(*name));
        wanted.into_iter().filter_map(|(name, held)| self.change(name, held)).collect()
    }

    fn change(&self, name: Setting, held: &Held) -> Option<String> {
        let units = self.units();
        let say = Say::new(&units);
        let machine = self.book.machine(self.day);
        let pump = Pump { say, book: self.book, machine, state: self.wanted };
        let told = format!("{} {}", say.text(&name.label()), pump.setting(name, &held.value).told);
        let Some(stands) = self.state().setting(name) else { return Some(told) };
        if stands.value.same_as(&held.value) {
            return None;
        }
        // Clicks from before a rebuild mean something else.
        let rebuild = |state: &State| {
            let damper = name.info().damper?;
            state.valving(damper).map(|held| held.span)
        };
        if self.standing.is_some() && rebuild(self.state()) != rebuild(self.wanted) {
            return Some(told);
        }
        let change = say.change(name.info(), &stands.value, &held.value)?;
        Some(format!("{told} ({change})"))
    }
}

/// Who left a machine, and when.
fn left_by(rider: Option<&str>, day: &Day) -> Message {
    let date = day.is_dated.then_some(day.date);
    match (rider, date) {
        (Some(rider), Some(date)) => say!("as {rider} left it on {date}", rider, date),
        (Some(rider), None) => say!("as {rider} left it", rider),
        (None, Some(date)) => say!("as it was left on {date}", date),
        (None, None) => say!("as it was left"),
    }
}

fn is_spring(name: Setting) -> bool {
    matches!(name.info().together, Some(Together::RearSpring | Together::FrontSpring))
}

/// The row of a day without a sheet, and why.
pub fn row_without_sheet(book: &Book, day: &Day, fault: &str) -> Row {
    Row {
        rider: book.rider(day).map(|rider| rider.title.clone()),
        machine: book.machine(day).map(|machine| machine.title.clone()),
        track: book.track(day).map(|track| track.title.clone()),
        date: day.is_dated.then(|| day.date.to_string()),
        file: None,
        stands: None,
        is_changeover: false,
        changes: Vec::new(),
        pressures: Vec::new(),
        bench: None,
        complaint: None,
        next: None,
        due: Vec::new(),
        fault: Some(fault.to_owned()),
    }
}

/// What a pressure is set to, with the change of its aim, which is then not among the other settings.
fn pressure(say: Say<'_>, line: &PressureLine, to_set: &ToSet) -> Option<String> {
    let in_short = line.in_short.as_ref()?;
    let change =
        to_set.changed().find(|other| other.id == line.setting).and_then(|other| other.change.as_ref());
    let change = change.map(|change| format!(" ({change})")).unwrap_or_default();
    let label = say.text(&line.setting.label());
    Some(format!("{label}: {in_short}{change}"))
}
