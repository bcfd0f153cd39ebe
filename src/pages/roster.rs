//! The roster: one page for the van, a row a rider with what matters, from the sheets that lie behind it.

use jiff::civil::Date;
use serde::Serialize;

use crate::book::{Book, Day};
use crate::vocabulary::names::fill;
use crate::vocabulary::{End, figures};

use super::sheet::{PressureLine, Reading, SettingLine, Sheet, Tile, ToSet};

/// What a roster says.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Roster {
    /// For bookmarks and windows.
    pub title: String,
    /// The day or the track that it is for.
    pub about: String,
    /// The other of the two, where it is one and the same for all.
    pub also: Option<String>,
    /// The last of its days, as ISO 8601 writes it.
    pub date: String,
    /// In the order of the book.
    pub rows: Vec<Row>,
    /// How many of the rows have something due.
    pub with_due: usize,
}

/// One rider on one machine.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Row {
    pub rider: Option<String>,
    pub machine: Option<String>,
    pub track: Option<String>,
    pub date: Option<String>,
    /// The file of the sheet, beside the roster; `None` where all is in one file, or where there is no sheet.
    pub file: Option<String>,
    /// What the changes are against.
    pub against: Option<String>,
    /// Settings that are not as they were, with how they differ.
    pub changes: Vec<String>,
    /// What to pump, at the track and on the bench; with how it differs.
    pub pressures: Vec<String>,
    /// Rider sags, with where they lie on their bands if that is outside.
    pub sags: Vec<String>,
    pub due: Vec<String>,
    /// Why there is no sheet.
    pub fault: Option<String>,
}

/// Which days a roster is for.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum About {
    Date(Date),
    /// By the name of its notebook.
    Track(String),
}

/// The days of a roster by their places in the book, in the order of the riders' names: all of a date, or the last at
/// a track of each machine and rider.
pub fn days(book: &Book, about: &About) -> Vec<usize> {
    let mut days = chosen(book, about);
    let title = |day: &Day| {
        let rider = book.rider(day).map(|rider| rider.title.as_str()).unwrap_or_default();
        let machine = book.machine(day).map(|machine| machine.title.as_str()).unwrap_or_default();
        (by_name(rider), by_name(machine), day.date)
    };
    days.sort_by_cached_key(|index| book.days.get(*index).map(title));
    days
}

/// A name in pieces of letters and numbers, so that Rider 10 comes behind Rider 9.
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
    let (about, also) = match about {
        About::Date(date) => {
            (date.strftime("%A %-d %B %Y").to_string(), shared(rows.iter().map(|row| row.track.as_deref())))
        }
        About::Track(name) => {
            let title = book.tracks.get(name).map_or(name.as_str(), |track| track.title.as_str());
            (title.to_owned(), shared(rows.iter().map(|row| row.date.as_deref())))
        }
    };
    let with_due = rows.iter().filter(|row| !row.due.is_empty()).count();
    Roster { title: format!("Roster, {about}"), about, also, date: date.to_string(), rows, with_due }
}

/// What all of them have, where it is one and the same.
fn shared<'a>(mut all: impl Iterator<Item = Option<&'a str>>) -> Option<String> {
    let first = all.next()??;
    all.all(|other| other == Some(first)).then(|| first.to_owned())
}

/// The row of a sheet; `file` is where the sheet lies, beside the roster.
pub fn row(sheet: &Sheet, file: Option<String>) -> Row {
    let head = &sheet.head;
    // A pressure stands in its own column, with its change.
    let is_told = |line: &SettingLine| {
        sheet.pressures.iter().any(|pressure| pressure.setting == line.id && pressure.by_hand.is_some())
    };
    Row {
        rider: head.rider.clone(),
        machine: head.machine.clone(),
        track: head.track.clone(),
        date: head.date_iso.clone(),
        file,
        against: sheet.to_set.against.clone(),
        changes: sheet.to_set.changed().filter(|line| !is_told(line)).filter_map(change).collect(),
        pressures: sheet.pressures.iter().filter_map(|line| pressure(line, &sheet.to_set)).collect(),
        sags: rider_sags(&sheet.sags),
        due: sheet.due.iter().map(|look| look.label.clone()).collect(),
        fault: None,
    }
}

/// The row of a day that has no sheet, and why.
pub fn row_without_sheet(book: &Book, day: &Day, fault: &str) -> Row {
    Row {
        rider: book.rider(day).map(|rider| rider.title.clone()),
        machine: book.machine(day).map(|machine| machine.title.clone()),
        track: book.track(day).map(|track| track.title.clone()),
        date: day.is_dated.then(|| day.date.to_string()),
        file: None,
        against: None,
        changes: Vec::new(),
        pressures: Vec::new(),
        sags: Vec::new(),
        due: Vec::new(),
        fault: Some(fault.to_owned()),
    }
}

fn change(line: &SettingLine) -> Option<String> {
    let change = line.change.as_ref()?;
    let value = line.value.as_ref()?;
    let unit = line.unit.as_ref().map(|unit| format!(" {unit}")).unwrap_or_default();
    Some(format!("{} {value}{unit} ({change})", line.label))
}

/// What a pressure is set to, with the change of its aim: it is not told among the other settings once more.
fn pressure(line: &PressureLine, to_set: &ToSet) -> Option<String> {
    let by_hand = line.by_hand.as_ref()?;
    let change =
        to_set.changed().find(|other| other.id == line.setting).and_then(|other| other.change.as_ref());
    let change = change.map(|change| format!(" ({change})")).unwrap_or_default();
    Some(format!("{} {by_hand}{change}", line.label))
}

/// A reading without its uncertainty: that is on the sheet behind.
fn short(reading: &Reading) -> Option<String> {
    let number = reading.value.as_ref()?.split(" ± ").next()?;
    Some(match &reading.unit {
        Some(unit) => format!("{number} {unit}"),
        None => number.to_owned(),
    })
}

fn rider_sags(tiles: &[Tile]) -> Vec<String> {
    let sags = End::BOTH.into_iter().filter_map(|end| {
        let name = fill(figures::SAG_RIDER, end.word());
        let label = figures::row(&name)?.label_for(&name);
        let tile = tiles.iter().find(|tile| tile.label == label)?;
        let outside = tile.verdict.filter(|verdict| !verdict.starts_with("in "));
        let outside = outside.map(|verdict| format!(", {verdict}")).unwrap_or_default();
        Some(format!("{end} {}{outside}", short(&tile.reading)?))
    });
    sags.collect()
}
