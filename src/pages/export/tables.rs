//! Which tables exist, and their columns.

use super::{Column, Holds};

/// A table.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Table {
    Figures,
    Settings,
    Readings,
    Changes,
    Stints,
    Laps,
    Feels,
}

impl Table {
    pub const ALL: [Self; 7] =
        [Self::Figures, Self::Settings, Self::Readings, Self::Changes, Self::Stints, Self::Laps, Self::Feels];

    /// Its file's name, without the ending.
    pub fn name(self) -> &'static str {
        match self {
            Self::Figures => "figures",
            Self::Settings => "settings",
            Self::Readings => "readings",
            Self::Changes => "changes",
            Self::Stints => "stints",
            Self::Laps => "laps",
            Self::Feels => "feels",
        }
    }

    /// What a row is.
    pub fn row(self) -> &'static str {
        match self {
            Self::Figures => "a figure at a place where something that it rests on changed",
            Self::Settings => "a setting in force at the end of a day's notebook",
            Self::Readings => "one reading; repeats have a row each",
            Self::Changes => "a setting that a block of the day set",
            Self::Stints => "a ride",
            Self::Laps => "a lap that counts",
            Self::Feels => "a complaint of a ride; a ride without one has no row here, and one in `stints`",
        }
    }

    /// The columns of every table, then its own.
    pub fn columns(self) -> impl Iterator<Item = &'static Column> {
        COMMON.iter().chain(self.own())
    }

    /// The names of its columns.
    pub fn heads(self) -> Vec<&'static str> {
        self.columns().map(|column| column.name).collect()
    }

    fn own(self) -> &'static [Column] {
        match self {
            Self::Figures => FIGURES,
            Self::Settings => SETTINGS,
            Self::Readings => READINGS,
            Self::Changes => CHANGES,
            Self::Stints => STINTS,
            Self::Laps => LAPS,
            Self::Feels => FEELS,
        }
    }
}

const fn text(name: &'static str, help: &'static str) -> Column {
    Column { name, holds: Holds::Text, unit: None, unit_in: None, help }
}

const fn count(name: &'static str, help: &'static str) -> Column {
    Column { name, holds: Holds::Count, unit: None, unit_in: None, help }
}

/// A number whose unit is in another column of its row.
const fn number(name: &'static str, unit_in: &'static str, help: &'static str) -> Column {
    Column { name, holds: Holds::Number, unit: None, unit_in: Some(unit_in), help }
}

/// A number of seconds.
const fn seconds(name: &'static str, help: &'static str) -> Column {
    Column { name, holds: Holds::Number, unit: Some("s"), unit_in: None, help }
}

const UNIT: Column = text("unit", "the SI base unit of the row's numbers");
const UNCERTAINTY: Column =
    number("uncertainty", "unit", "expanded uncertainty (k = 2); empty where none is known");
/// At the end, because it came later.
const NOT_CLEARED: Column = text(
    "not_cleared",
    "that the rider is not cleared to ride, as the book stands; nothing here is to be ridden on then",
);
const STINT: Column = count("stint", "the ride's number on its day, from 1");

static COMMON: &[Column] = &[
    text("book", "the name of the book's folder, or the one given with --name"),
    text("machine", "the name of the machine's notebook"),
    text("rider", "the name of the rider's notebook"),
    text("track", "the name of the track's notebook"),
    Column { name: "date", holds: Holds::Date, unit: None, unit_in: None, help: "the day" },
    text("notebook", "the day's notebook, in the book"),
    count("line", "of the notebook, from 1"),
];

static FIGURES: &[Column] = &[
    text("figure", "its name"),
    number("value", "unit", "empty where the figure cannot be had"),
    UNIT,
    UNCERTAINTY,
    text("formula", "the name of the formula"),
    text("missing", "what to write for it to be had, or why there is no such number"),
    text("assumed", "what it takes for granted"),
    NOT_CLEARED,
];

static SETTINGS: &[Column] = &[
    text("setting", "its name"),
    number("value", "unit", "as written; empty for words"),
    text("word", "for settings that are words"),
    UNIT,
    UNCERTAINTY,
    text("by", "what kind of words set it"),
    text("set_in", "the notebook in which it was written last"),
    count("set_line", "the line there"),
    NOT_CLEARED,
];

static READINGS: &[Column] = &[
    text("block", "the block's word"),
    text("of", "what stands behind the block's word, such as an end"),
    text("reading", "its key"),
    count("repeat", "from 1"),
    number("value", "unit", "empty for words"),
    text("word", "for readings that are words"),
    UNIT,
    number("uncertainty", "unit", "what was written behind it as ±; what instruments do is in the figures"),
    text("instrument", "the declared instrument that it was read with"),
];

static CHANGES: &[Column] = &[
    text("setting", "its name"),
    number("before", "unit", "empty for words, and where nothing held that can be held against it"),
    number("after", "unit", "empty for words, and where a step was made from nobody knows where"),
    UNIT,
    text("before_word", "for settings that are words"),
    text("after_word", "for settings that are words"),
    number("difference", "difference_unit", "how far it went, with its sign"),
    text("difference_unit", "the SI base unit of the difference and its uncertainty"),
    number("uncertainty", "difference_unit", "of the difference, from what was written as ±"),
    text("by", "what kind of words set it"),
    text("because", "why, in the rider's words"),
    count("stint", "the first ride of the day on it; empty where there was none"),
];

static STINTS: &[Column] = &[
    STINT,
    text("kind", "practice, qualifying or race, where it was said"),
    count("laps", "laps that count"),
    seconds("best", "the fastest lap"),
    seconds("median", "the middle lap"),
    seconds("spread", "the median distance from the middle lap"),
    text("verdict", "against the ride before: better, worse or same"),
];

static LAPS: &[Column] =
    &[STINT, count("lap", "its number, from 1"), number("value", "unit", "its time"), UNIT, UNCERTAINTY];

static FEELS: &[Column] = &[
    STINT,
    text("complaint", "its word"),
    text("place", "where"),
    count("strength", "1 to 5; empty where it was not said"),
    text("words", "the rider's own, where there is more to them"),
];
