//! What to look at before riding.

use jiff::civil::Date;
use serde::Serialize;

use crate::checks::{self, Due};
use crate::vocabulary::blocks::{AIR, LOOK_BLED, LOOKS};

use super::Desk;

/// A check that is due.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Look {
    /// The name of the figure, reading, setting or service.
    pub name: String,
    pub label: String,
    /// Since when, and how often it is wanted.
    pub why: String,
    /// Since when alone, or the hours that are left; nothing where neither a date nor hours are known.
    pub since: Option<String>,
    /// How many hours are left, where it only falls due on the ride: `0.4 hours left`.
    pub left: Option<String>,
}

impl Look {
    pub(in crate::pages) fn of(due: Due) -> Self {
        let left = due.left_told();
        let why = match &left {
            Some(left) => format!("{left}; {}", due.why()),
            None => due.why(),
        };
        Self { label: due.label(), why, since: left.clone().or_else(|| due.since()), left, name: due.name }
    }
}

/// Checks whose interval has run out or does within the day's riding, or that were never made, in the order of the
/// machine's notebook.
pub(super) fn due(desk: &Desk<'_>, on: Date) -> Vec<Look> {
    let due = checks::due(desk.book, desk.season, desk.index, on);
    due.into_iter().map(Look::of).collect()
}

/// The looks before any change, less what the day's notebook shows as done.
pub(super) fn looks(desk: &Desk<'_>) -> Vec<String> {
    let is_done = |word: &str| desk.state().seen(word).is_some_and(|seen| seen.place.day == desk.index);
    // Of an air fork nobody says so: somebody would press the air valve.
    let has_bleeders = desk.machine.and_then(|machine| machine.fork()).is_some_and(|fork| {
        let is_air = fork.kind.as_ref().is_some_and(|kind| kind.text == AIR);
        !is_air && fork.bleeders.is_some_and(|bleeders| bleeders.value)
    });
    let is_asked = |word: &str| word != LOOK_BLED || has_bleeders;
    LOOKS
        .iter()
        .filter(|look| is_asked(look.word) && !is_done(look.word))
        .map(|look| look.ask.to_owned())
        .collect()
}
