//! The one form of a figure: its value, what it rests on, and why it may have none.

use std::sync::Arc;

use crate::book::SourceId;
use crate::finding::Code;
use crate::quantity::Kind;
use crate::season::PoolKey;
use crate::source::Span;
use crate::speech::{Message, say};
use crate::vocabulary::FigureName;

use super::assumptions::Ordinary;
use super::formula::Formula;
use super::margin::{Expanded, is_well_known};

/// A figure at one place of a notebook.
#[derive(Debug, Clone, PartialEq)]
pub struct Figure {
    /// Its name, ends and chambers filled in.
    pub id: FigureName,
    pub outcome: Outcome,
    /// In the order in which they were used, each once.
    pub assumed: Vec<Message>,
    /// Places of the readings and settings that it rests on.
    pub from: Vec<Span>,
    pub formula: &'static Formula,
    /// For a loss, how many days it took.
    pub days: Option<f64>,
}

/// A figure as rules judge it: its value and uncertainty, without the source of each error.
#[derive(Debug, Clone)]
pub struct Measured {
    pub outcome: Result<Measure, Absent>,
    /// As for a [`Figure`].
    pub assumed: Vec<Message>,
    pub from: Vec<Span>,
}

/// A number with its interval.
#[derive(Debug, Clone)]
pub struct Measure {
    pub kind: Kind,
    /// In the SI base unit of the kind.
    pub value: f64,
    /// `None` where no uncertainty is known.
    pub expanded: Option<Expanded>,
}

/// The result of a figure.
#[derive(Debug, Clone, PartialEq)]
pub enum Outcome {
    Number(Number),
    /// It has no value.
    Absent(Absent),
}

/// A number with the error sources that it depends on.
#[derive(Debug, Clone, PartialEq)]
pub struct Number {
    pub kind: Kind,
    /// In the SI base unit of the kind.
    pub value: f64,
    /// By source id; no id twice.
    pub sources: Vec<Source>,
}

/// One error source of a number.
#[derive(Debug, Clone, PartialEq)]
pub struct Source {
    pub id: SourceId,
    /// How much the number moves with the source, in SI units of both.
    pub sensitivity: f64,
    /// Standard uncertainty of the source.
    pub u: f64,
    /// The part of it that comes from repeated readings; the rest counts as known exactly.
    pub scatter: Option<Scatter>,
    pub cause: Cause,
    /// Where it was written; `None` for what was assumed.
    pub span: Option<Span>,
    /// The source's own value, in the SI base unit of its kind.
    pub nominal: f64,
    /// In a few words, for people.
    pub label: Message,
    pub kind: Kind,
}

/// Where an error comes from.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Cause {
    /// A reading, or a number with a `±`.
    Written,
    /// An instrument that `book.toml` declares: all its readings share it.
    Instrument,
    /// An undeclared instrument: all readings with its kind share it.
    OrdinaryInstrument,
    /// A value assumed where none was written.
    Assumed,
    /// A formula itself: no reading makes it smaller.
    Model,
}

/// The scatter in the mean of a reading's repeats.
#[derive(Debug, Clone, PartialEq)]
pub struct Scatter {
    /// The standard uncertainty of the mean that comes from it, in the SI base unit of the source.
    pub u: f64,
    /// How many readings the mean has.
    pub count: usize,
    pub pool: Arc<Pool>,
}

/// How many readings of one thing pages ask for: the third still reduces a figure's uncertainty much, the fourth
/// hardly.
pub const ENOUGH: usize = 3;

impl Scatter {
    /// Whether a page asks for more readings of it. Never of a gauge's: each time it is put on, it lets some air out.
    pub fn wants_more(&self) -> bool {
        self.count == 1 && self.pool.kind != Kind::GaugePressure
    }
}

/// All that is known of how readings with one instrument scatter.
#[derive(Debug, Clone, PartialEq)]
pub struct Pool {
    /// The instrument's name, or the word for an undeclared one.
    pub id: String,
    /// The kind of `deviation`: a share where readings scatter by a share of their value.
    pub kind: Kind,
    /// Standard deviation of one reading, in the SI base unit.
    pub deviation: f64,
    /// Infinite where the instrument declares its repeatability.
    pub freedom: f64,
    /// How many sets of repeats it comes from.
    pub sets: usize,
    /// Finds the book's repeats with it; `None` where the instrument declares its repeatability.
    pub key: Option<PoolKey>,
    /// What was assumed of it before anybody read twice; `None` where the instrument declares it.
    pub assumed: Option<&'static Ordinary>,
}

impl Pool {
    /// Whether repeats far outweigh what was assumed.
    pub fn is_well_known(&self) -> bool {
        self.assumed.is_none() || is_well_known(self.freedom)
    }
}

/// Why a figure has no value.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Absent {
    /// These must be written first.
    Missing(Vec<Missing>),
    /// It is written, with an error in it.
    Rejected(Faulty),
    /// All inputs are known, and still there is no such value.
    Cannot(Message),
    /// A value that nobody should set: what to do instead.
    Instead(Message),
}

/// An input that nobody wrote.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Missing {
    /// The block to write it in, with its word: `sag rear`.
    pub block: String,
    pub key: String,
    /// The notebook that the block belongs in.
    pub notebook: &'static str,
}

/// An input that is written and does not count because of an error.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Faulty {
    /// The check's code for the error.
    pub code: &'static Code,
    pub span: Span,
    /// The notebook, where it is not the one asked about.
    pub path: Option<String>,
    /// Counted from 1.
    pub line: u32,
}

impl Faulty {
    /// Which error hides it, and where the finding about it is.
    pub fn reason(&self) -> Message {
        match &self.path {
            Some(path) => say!("written, with an error at {path}:{line}", path, line = self.line),
            None => say!("written, with an error at line {line}", line = self.line),
        }
    }
}

impl Missing {
    /// As help: what to add, and where.
    pub fn help(&self) -> Message {
        let Self { block, key, notebook } = self;
        let notebook = match *notebook {
            "machine" => say!("the machine's notebook"),
            "rider" => say!("the rider's notebook"),
            "track" => say!("the track's notebook"),
            _ => say!("the day's notebook"),
        };
        if block.is_empty() {
            say!("add `{key}` to {notebook}", key, notebook)
        } else if key.is_empty() {
            say!("add a `{block}` block to {notebook}", block, notebook)
        } else {
            say!("add `{key}` to `{block}` in {notebook}", key, block, notebook)
        }
    }
}

impl Absent {
    /// Why, in one line.
    pub fn reason(&self) -> Message {
        match self {
            Self::Missing(missing) => Message::joined(missing.iter().map(Missing::help), "; "),
            Self::Rejected(faulty) => faulty.reason(),
            Self::Cannot(reason) | Self::Instead(reason) => reason.clone(),
        }
    }

    /// Adds what another absence asks for.
    #[must_use]
    pub fn and(self, other: Self) -> Self {
        match (self, other) {
            (Self::Missing(mut all), Self::Missing(more)) => {
                for missing in more {
                    if !all.contains(&missing) {
                        all.push(missing);
                    }
                }
                Self::Missing(all)
            }
            // Once the error is mended it will show whether anything else is missing.
            (rejected @ Self::Rejected(_), _) | (_, rejected @ Self::Rejected(_)) => rejected,
            (Self::Missing(all), _) | (_, Self::Missing(all)) => Self::Missing(all),
            (cannot, _) => cannot,
        }
    }
}

impl Figure {
    pub fn number(&self) -> Option<&Number> {
        match &self.outcome {
            Outcome::Number(number) => Some(number),
            Outcome::Absent(_) => None,
        }
    }

    pub fn absent(&self) -> Option<&Absent> {
        match &self.outcome {
            Outcome::Absent(absent) => Some(absent),
            Outcome::Number(_) => None,
        }
    }

    /// In the SI base unit.
    pub fn value(&self) -> Option<f64> {
        self.number().map(|number| number.value)
    }

    /// The expanded uncertainty, in the SI base unit; `None` where no uncertainty is known.
    pub fn expanded(&self) -> Option<f64> {
        self.number().and_then(Number::expanded)
    }
}
