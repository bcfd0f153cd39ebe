//! Settings in force at a place of the diary, and one notebook by itself.

mod alone;

use serde::Serialize;

use crate::book::Book;
use crate::season::{Held, How, Season, standard_settings};
use crate::speech::Tongue;
use crate::vocabulary::Setting;

pub use alone::alone;

use super::figures::At;
use super::gauge::Pump;
use super::say::{Said, Say};

/// The version of this format; a reader that knows another one should stop.
const SCHEMA: u32 = 1;

/// The settings in force at one place.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct InForce {
    pub schema: u32,
    /// The reader's language.
    #[serde(skip)]
    pub tongue: Tongue,
    /// Relative to the book.
    pub notebook: String,
    /// The line asked for; `None` for the notebook's end.
    pub line: Option<u32>,
    /// In the order of the sheet.
    pub settings: Vec<SettingLine>,
}

/// One setting, and the place that set it.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct SettingLine {
    /// Its name in notebooks.
    pub id: Setting,
    /// In the units of the book or the rider.
    pub value: String,
    /// The kind of words that set it.
    pub by: &'static str,
    pub at: At,
}

/// The settings in a day's notebook, at a line or at its end. The day by its place in the book; `None` where
/// there is no such day or line.
pub fn of_day(book: &Book, season: &Season, day: usize, line: Option<u32>) -> Option<InForce> {
    let (this, replay) = (book.days.get(day)?, season.days.get(day)?);
    let state = match line {
        Some(line) => replay.at(book.sources.line(this.notebook.document.file, line)?.end),
        None => replay.end(),
    };
    let units = book.units_for(this.rider.as_deref());
    let pump = Pump { say: Say::new(&units), book, machine: book.machine(this), state };
    let settings =
        state.settings().into_iter().map(|(id, held)| setting(book, pump.setting(id, &held.value), id, held));
    Some(InForce {
        schema: SCHEMA,
        tongue: units.tongue().clone(),
        notebook: this.notebook.path.clone(),
        line,
        settings: settings.collect(),
    })
}

/// The standard setting of a machine; `None` where the book has no such machine.
pub fn of_machine(book: &Book, machine: &str) -> Option<InForce> {
    let machine = book.machines.get(machine)?;
    let (standard, _) = standard_settings(machine);
    let say = Say::new(&book.about.units);
    let settings =
        standard.iter().map(|(id, held)| setting(book, say.setting(id.info(), &held.value), id, held));
    Some(InForce {
        schema: SCHEMA,
        tongue: book.about.units.tongue().clone(),
        notebook: machine.path.clone(),
        line: None,
        settings: settings.collect(),
    })
}

fn setting(book: &Book, said: Said, id: Setting, held: &Held) -> SettingLine {
    let value = match said.unit {
        Some(unit) => format!("{} {unit}", said.value),
        None => said.value,
    };
    SettingLine { id, value, by: by(held.how), at: At::of(&book.sources, held.span) }
}

/// The kind of words that set something.
pub(super) fn by(how: How) -> &'static str {
    match how {
        How::Hardware => "hardware",
        How::Standard => "standard setting",
        How::Rider => "rider's setting",
        How::Settings => "settings",
        How::Plan => "plan",
        How::Change => "change",
        How::Back => "back",
        How::Left => "as last left",
    }
}
