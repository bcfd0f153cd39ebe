//! What to look at before riding.

use jiff::civil::Date;
use serde::Serialize;

use crate::book::Notebook;
use crate::checks::{self, Due};
use crate::speech::{Part as _, say};
use crate::vocabulary::blocks::{LOOK_BLED, LOOKS, LookRow};

use super::super::say::Say;
use super::Desk;

/// A check that is due.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Look {
    /// The name of the figure, reading, setting or service.
    pub name: String,
    pub label: String,
    /// Since when, and how often it is wanted.
    pub why: String,
    /// The same, and whether it is overdue.
    pub told: String,
    /// Only since when, or the hours left; nothing where neither is known.
    pub since: Option<String>,
    /// The hours left, where it becomes due only on the ride: `0.4 hours left`.
    pub left: Option<String>,
}

impl Look {
    pub(in crate::pages) fn of(say: Say<'_>, due: Due) -> Self {
        let left = due.left_told().map(|left| left.part());
        let why = match &left {
            Some(left) => say!("{left}; {why}", left, why = due.why()),
            None => due.why().part(),
        };
        let told = match due.is_overdue {
            true => say!("overdue: {why}", why),
            false => why.clone(),
        };
        let since = left.clone().or_else(|| due.since().map(|since| since.part()));
        Self {
            label: say.text(&due.label()),
            why: say.text(&why),
            told: say.text(&told),
            since: since.map(|since| say.text(&since)),
            left: left.map(|left| say.text(&left)),
            name: due.name,
        }
    }
}

/// Checks whose interval has run out, or that were never done; then those that are wanted before the ride or become due
/// on it. Each in the order of the machine's notebook.
pub(super) fn due(desk: &Desk<'_>, on: Date) -> Vec<Look> {
    let due = checks::due(desk.book, desk.season, desk.index, on);
    due.into_iter().map(|due| Look::of(desk.say, due)).collect()
}

/// The looks before any change, without those that the day's notebook shows as done.
pub(super) fn looks(desk: &Desk<'_>) -> Vec<String> {
    let is_done = |word: &str| desk.state().seen(word).is_some_and(|seen| seen.place.day == desk.index);
    looks_of(desk.machine)
        .filter(|look| !is_done(look.word))
        .map(|look| desk.say.units().word(look.ask))
        .collect()
}

/// The looks for a machine: forks are bled only where they have bleed screws.
pub(in crate::pages) fn looks_of(machine: Option<&Notebook>) -> impl Iterator<Item = &'static LookRow> {
    let has_bleeders = machine.is_some_and(Notebook::has_bleeders);
    LOOKS.iter().filter(move |look| look.word != LOOK_BLED || has_bleeders)
}
