//! Notebooks to begin with: all that they can hold stands in comments, and nothing in them is an error.

use jiff::civil::Date;

use crate::book::{Book, Day};
use crate::season::{HeldValue, Season, State};
use crate::vocabulary::NotebookKind;

use super::say::Say;

const BOOK: &str = include_str!("../../templates/new/book.toml");
const MACHINE: &str = include_str!("../../templates/new/machine.md");
const RIDER: &str = include_str!("../../templates/new/rider.md");
const TRACK: &str = include_str!("../../templates/new/track.md");
const DAY: &str = include_str!("../../templates/new/day.md");

/// What a new day is about.
#[derive(Debug, Clone, Copy)]
pub struct DayStarter<'a> {
    pub name: &'a str,
    pub date: Date,
    /// The day to go on from, by its place in the book.
    pub from: Option<usize>,
    /// Names of notebooks in the book.
    pub machine: Option<&'a str>,
    pub rider: Option<&'a str>,
    pub track: Option<&'a str>,
}

/// A `book.toml`.
pub fn book(name: &str) -> String {
    BOOK.replace("<title>", &title(name))
}

/// A notebook of a machine, rider or track; for a day, one that names none of them.
pub fn standing(kind: NotebookKind, name: &str) -> String {
    let text = match kind {
        NotebookKind::Machine => MACHINE,
        NotebookKind::Rider => RIDER,
        NotebookKind::Track => TRACK,
        NotebookKind::Day => DAY,
    };
    text.replace("<title>", &title(name))
}

/// A day's notebook, with the settings at the end of the day that it goes on from.
pub fn day(book: &Book, season: &Season, starter: &DayStarter<'_>) -> String {
    let from = starter.from.and_then(|index| Some((book.days.get(index)?, season.days.get(index)?.end())));
    DAY.replace("<date>", &starter.date.to_string())
        .replace("<links>", &links(book, starter, from.map(|(day, _)| day)))
        .replace("<title>", &title(starter.name))
        .replace("<settings>", &from.map(|(day, state)| settings(book, day, state)).unwrap_or_default())
}

/// The lines of the head that say what the day is about; a comment where nobody knows.
pub(super) fn links(book: &Book, starter: &DayStarter<'_>, from: Option<&Day>) -> String {
    let about = &book.about;
    let default =
        |written: &Option<crate::vocabulary::values::Written>| written.as_ref().map(|link| link.text.clone());
    let all = [
        (
            "machine",
            starter.machine,
            from.and_then(|day| day.machine.clone()),
            default(&about.machine),
            &book.machines,
        ),
        ("rider", starter.rider, from.and_then(|day| day.rider.clone()), default(&about.rider), &book.riders),
        ("track", starter.track, from.and_then(|day| day.track.clone()), None, &book.tracks),
    ];
    let mut lines = String::new();
    for (what, given, carried, default, notebooks) in all {
        let mut names = notebooks.keys();
        let only = names.next().filter(|_| names.next().is_none()).cloned();
        let default = default.filter(|name| notebooks.contains_key(name));
        let name = given.map(str::to_owned).or(carried).or(default).or(only);
        match name {
            Some(name) => lines.push_str(&format!("{what} = {}\n", quoted(&name))),
            None => lines.push_str(&format!("# {what} = \"NAME\"\n")),
        }
    }
    lines
}

fn settings(book: &Book, day: &Day, state: &State) -> String {
    let units = book.units_for(day.rider.as_deref());
    let say = Say::new(&units);
    let mut text = format!("\n## Settings, as {} ended\n\n```settings\n", day.notebook.name);
    for (name, held) in state.settings() {
        let value = match &held.value {
            HeldValue::Quantity(quantity) => say.quantity(quantity).to_string(),
            HeldValue::Word(word) => word.clone(),
        };
        text.push_str(&format!("{name} = {}\n", quoted(&value)));
    }
    text.push_str("```\n");
    text
}

/// A TOML string; JSON's escapes are among TOML's.
pub(super) fn quoted(text: &str) -> String {
    serde_json::Value::from(text).to_string()
}

/// A name as a title: `corrie-450` is Corrie 450; a date stays as it is.
fn title(name: &str) -> String {
    if name.starts_with(|first: char| first.is_ascii_digit()) {
        return name.to_owned();
    }
    let words = name.split(['-', '_']).filter(|word| !word.is_empty());
    let capital = |word: &str| {
        let mut letters = word.chars();
        letters
            .next()
            .map(|first| first.to_uppercase().chain(letters).collect::<String>())
            .unwrap_or_default()
    };
    words.map(capital).collect::<Vec<_>>().join(" ")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_name_makes_a_title_and_a_date_stays_one() {
        assert_eq!(title("corrie-450"), "Corrie 450");
        assert_eq!(title("2026-04-11-senior"), "2026-04-11-senior");
    }
}
