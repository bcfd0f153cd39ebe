//! What a row of the vocabulary says about a block, a key or a value.

use crate::quantity::Kind;
use crate::speech::{Message, say};

/// What a notebook is about.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum NotebookKind {
    Machine,
    Rider,
    Track,
    Day,
}

impl NotebookKind {
    pub const ALL: [Self; 4] = [Self::Machine, Self::Rider, Self::Track, Self::Day];

    /// The word in a head's `kind`.
    pub fn word(self) -> &'static str {
        match self {
            Self::Machine => "machine",
            Self::Rider => "rider",
            Self::Track => "track",
            Self::Day => "day",
        }
    }

    /// What people call such a notebook.
    pub fn notebook(self) -> Message {
        match self {
            Self::Machine => say!("a machine's notebook"),
            Self::Rider => say!("a rider's notebook"),
            Self::Track => say!("a track's notebook"),
            Self::Day => say!("a day's notebook"),
        }
    }

    /// The folder of a book for such notebooks.
    pub fn folder(self) -> &'static str {
        match self {
            Self::Machine => "machines",
            Self::Rider => "riders",
            Self::Track => "tracks",
            Self::Day => "days",
        }
    }

    pub fn from_word(word: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|kind| kind.word() == word)
    }
}

/// The second word on a block's fence.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Argument {
    None,
    /// `front` or `rear`.
    End,
    /// A name that the rider chooses.
    Name,
    /// A name, or nothing.
    MaybeName,
    /// One of these words.
    OneOf(&'static [&'static str]),
    /// One of these words, or nothing.
    MaybeOneOf(&'static [&'static str]),
}

/// One row of the table: a kind of block.
#[derive(Debug)]
pub struct BlockSpec {
    pub word: &'static str,
    pub argument: Argument,
    /// The notebooks that it belongs in.
    pub places: &'static [NotebookKind],
    pub help: &'static str,
    pub keys: &'static [KeySpec],
    /// Which keys it takes besides those listed.
    pub open: Open,
}

/// Keys that a block takes beyond those it lists.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Open {
    /// None.
    No,
    /// Any setting, with a value for it.
    Settings,
    /// Any clicker setting, with the clicks or turns its adjuster has.
    Adjusters,
    /// Any figure, reading or setting, with a range or a value.
    Limits,
    /// Any figure, reading or setting, with `aim`, `within`, `want`, `recheck`.
    Bands,
    /// Chambers and tyres, with a pressure; the same again under `found` and `after_ride`.
    Pressures,
    /// What is serviced, with `every` and `last`.
    Services,
    /// Fasteners, with a torque.
    Torques,
    /// `units.TYPE`, with a unit.
    Units,
    /// `units.TYPE` with a unit, and `instrument.NAME` with its resolution, bias and the like.
    Book,
}

/// One key of a block.
#[derive(Debug)]
pub struct KeySpec {
    pub name: &'static str,
    pub value: ValueSpec,
    /// For a key that the block needs: what is missing without it.
    pub needed_for: Option<&'static str>,
    /// Another key that serves as well.
    pub or: Option<&'static str>,
    pub help: &'static str,
}

/// What a key's value may be.
#[derive(Debug, Clone, Copy)]
pub struct ValueSpec {
    pub shape: Shape,
    /// The kinds of quantity that it takes; a bare number means the first.
    pub kinds: &'static [Kind],
    /// The closed list of words, where there is one.
    pub words: &'static [&'static str],
    pub possible: Possible,
}

/// The form of a value.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Shape {
    /// One quantity.
    One,
    /// One quantity, whose unit must be written: the book's unit of bare numbers is that of parts of a machine.
    WithUnit,
    /// Hours, as a meter shows them: `21:30` would be minutes and seconds.
    Hours,
    /// One quantity or several readings of it.
    Repeats,
    /// Several quantities.
    List,
    /// `x..y`.
    Range,
    Text,
    Texts,
    Truth,
    Date,
    TimeOfDay,
    /// A number, `[start, end]`, or `[[wheel, stroke], …]`.
    Leverage,
    /// Lap times, or the path of a file of them.
    Laps,
    /// Whole numbers.
    Counts,
    /// A date, or hours on the meter.
    DateOrHours,
}

/// Which numbers are possible, in the SI base unit.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Possible {
    Any,
    NotNegative,
    Positive,
    Between(f64, f64),
    /// Between these ends on every machine, a child's and an old one too: outside is a slip more often than not,
    /// and gets a warning. Below zero, and at zero where the lower end is above it, there is nothing. Common
    /// practice, no source.
    Usually(f64, f64),
}

impl Possible {
    pub fn allows(self, value: f64) -> bool {
        match self {
            Self::Any => true,
            Self::NotNegative => value >= 0.0,
            Self::Positive => value > 0.0,
            Self::Between(low, high) => (low..=high).contains(&value),
            Self::Usually(low, _) => value > 0.0 || (value == 0.0 && low <= 0.0),
        }
    }

    /// Whether it is a number that such a thing has as a rule.
    pub fn is_usual(self, value: f64) -> bool {
        match self {
            Self::Usually(low, high) => (low..=high).contains(&value),
            _ => true,
        }
    }
}

impl ValueSpec {
    const fn new(shape: Shape, kinds: &'static [Kind], possible: Possible) -> Self {
        Self { shape, kinds, words: &[], possible }
    }
    pub const fn one(kinds: &'static [Kind]) -> Self {
        Self::new(Shape::One, kinds, Possible::Any)
    }
    pub const fn positive(kinds: &'static [Kind]) -> Self {
        Self::new(Shape::One, kinds, Possible::Positive)
    }
    pub const fn not_negative(kinds: &'static [Kind]) -> Self {
        Self::new(Shape::One, kinds, Possible::NotNegative)
    }
    pub const fn between(kinds: &'static [Kind], low: f64, high: f64) -> Self {
        Self::new(Shape::One, kinds, Possible::Between(low, high))
    }
    /// As a rule between these ends, in the SI base unit.
    pub const fn usually(kinds: &'static [Kind], low: f64, high: f64) -> Self {
        Self::new(Shape::One, kinds, Possible::Usually(low, high))
    }
    /// Its unit is always written.
    pub const fn with_unit(self) -> Self {
        Self { shape: Shape::WithUnit, ..self }
    }
    pub const fn hours() -> Self {
        Self::new(Shape::Hours, &[Kind::Time], Possible::NotNegative)
    }
    pub const fn repeats(kinds: &'static [Kind], possible: Possible) -> Self {
        Self::new(Shape::Repeats, kinds, possible)
    }
    pub const fn list(kinds: &'static [Kind], possible: Possible) -> Self {
        Self::new(Shape::List, kinds, possible)
    }
    pub const fn range(kinds: &'static [Kind]) -> Self {
        Self::new(Shape::Range, kinds, Possible::Any)
    }
    pub const fn of(shape: Shape) -> Self {
        Self::new(shape, &[], Possible::Any)
    }
    pub const fn text() -> Self {
        Self::of(Shape::Text)
    }
    pub const fn texts() -> Self {
        Self::of(Shape::Texts)
    }
    pub const fn word(words: &'static [&'static str]) -> Self {
        Self { shape: Shape::Text, kinds: &[], words, possible: Possible::Any }
    }
}

impl BlockSpec {
    pub fn key(&self, name: &str) -> Option<&'static KeySpec> {
        self.keys.iter().find(|key| key.name == name)
    }
}
