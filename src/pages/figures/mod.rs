//! The figures of one notebook; for programs, in JSON that stays stable.

mod at_end;

use serde::Serialize;

use crate::book::{Book, Day, Notebook};
use crate::figures::tape::Tape;
use crate::figures::{Absent, Bench, Figure, Here, Number, Source};
use crate::quantity::{Kind, Units};
use crate::season::{DayReplay, Season, State};
use crate::source::{Sources, Span};
use crate::speech::Tongue;
use crate::vocabulary::FigureName;

use super::gauge::Pump;
use super::say::Say;

pub use at_end::{AtEnd, Extent};

/// The version of this format; a reader that knows another one should stop.
const SCHEMA: u32 = 1;

/// Every figure of a notebook, at every place where something that it rests on changes.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct NotebookFigures {
    pub schema: u32,
    /// The reader's language.
    #[serde(skip)]
    pub tongue: Tongue,
    /// Relative to the book.
    pub notebook: String,
    pub figures: Vec<FigureLine>,
}

/// One figure at one place.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct FigureLine {
    pub id: FigureName,
    /// The block after which it holds.
    pub at: At,
    /// In `unit`, an SI base unit; `None` where the figure has no value.
    pub value: Option<f64>,
    pub unit: &'static str,
    /// Expanded uncertainty (k = 2) in `unit`; `None` where none is known.
    pub expanded: Option<f64>,
    /// As a sheet shows it, in the units of the book or the rider.
    pub shown: Option<String>,
    /// The name of the formula.
    pub formula: &'static str,
    pub assumed: Vec<String>,
    /// What to write to have the figure: block and key; or why there is no such value.
    pub missing: Vec<String>,
    /// Whether what is missing only needs to be written.
    #[serde(skip)]
    is_wanted: bool,
    pub sources: Vec<SourceLine>,
    /// Readings that three repeats would improve; for people.
    #[serde(skip)]
    pub read_once: Vec<String>,
    /// Places of the readings and settings that it rests on.
    pub from: Vec<At>,
}

/// One error source of a figure.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct SourceLine {
    pub id: String,
    /// In SI units of the figure and of the source.
    pub sensitivity: f64,
    /// Standard uncertainty of the source.
    pub u: f64,
}

/// A place in the book: lines and columns count from 1, columns in Unicode scalar values.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct At {
    pub file: String,
    pub line: u32,
    pub column: u32,
}

impl At {
    pub(super) fn of(sources: &Sources, span: Span) -> Self {
        let start = sources.start(span);
        Self { file: sources.path(span.file).to_owned(), line: start.line, column: start.column }
    }
}

/// The figures of a day's notebook; the day by its place in the book.
pub fn of_day(book: &Book, season: &Season, day: usize) -> Option<NotebookFigures> {
    let (this, replay) = (book.days.get(day)?, season.days.get(day)?);
    let units = book.units_for(this.rider.as_deref());
    let mut changes = Changes { book, units: &units, last: Vec::new(), lines: Vec::new() };
    for (span, state) in places(this, replay) {
        changes.after(&Here::of_day(book, season, day, state)?, span);
    }
    let notebook = this.notebook.path.clone();
    Some(NotebookFigures { schema: SCHEMA, tongue: units.tongue().clone(), notebook, figures: changes.lines })
}

/// The figures of a machine on its standard setting, before anybody rode it.
pub fn of_machine(book: &Book, season: &Season, machine: &Notebook) -> NotebookFigures {
    let units = book.units_for(None);
    let state = season.as_standard(&machine.name).unwrap_or_default();
    let mut changes = Changes { book, units: &units, last: Vec::new(), lines: Vec::new() };
    changes.after(&Here::of_machine(book, season, machine, &state), Span::top(machine.document.file));
    NotebookFigures {
        schema: SCHEMA,
        tongue: units.tongue().clone(),
        notebook: machine.path.clone(),
        figures: changes.lines,
    }
}

/// Every block with the state after it; a day without blocks has one place, at its top.
fn places<'a>(day: &'a Day, replay: &'a DayReplay) -> Vec<(Span, &'a State)> {
    if replay.points.is_empty() {
        return vec![(Span::top(day.notebook.document.file), &replay.start)];
    }
    replay.points.iter().map(|point| (point.span, &point.state)).collect()
}

/// Figures as they change down a page.
struct Changes<'a> {
    book: &'a Book,
    units: &'a Units,
    /// Each figure as last shown, in the order of the vocabulary.
    last: Vec<Figure>,
    lines: Vec<FigureLine>,
}

impl Changes<'_> {
    fn after(&mut self, here: &Here<'_>, span: Span) {
        let tape = Tape::new();
        let bench = Bench::new(*here, &tape);
        for (index, name) in bench.names().into_iter().enumerate() {
            let figure = bench.figure(name);
            match self.last.get_mut(index) {
                Some(last) if *last == figure => continue,
                Some(last) => last.clone_from(&figure),
                None => self.last.push(figure.clone()),
            }
            self.lines.push(self.line(here, &figure, span));
        }
    }

    fn line(&self, here: &Here<'_>, figure: &Figure, span: Span) -> FigureLine {
        let sources = &self.book.sources;
        let say = Say::new(self.units);
        let pump = Pump { say, book: self.book, machine: here.machine, state: here.state };
        let kind = figure.id.info().kind().unwrap_or(Kind::Number);
        FigureLine {
            id: figure.id,
            at: At::of(sources, span),
            value: figure.value(),
            unit: kind.si_unit(),
            expanded: figure.expanded(),
            shown: say.told(figure).map(|told| pump.told(figure, told)),
            formula: figure.formula.name,
            assumed: figure.assumed.iter().map(|text| say.text(text)).collect(),
            missing: figure.absent().map(|absent| missing(absent, self.units)).unwrap_or_default(),
            is_wanted: matches!(figure.absent(), Some(Absent::Missing(_))),
            read_once: figure
                .number()
                .into_iter()
                .flat_map(Number::read_once)
                .map(|s| say.text(&s.label))
                .collect(),
            sources: figure.number().map(|number| sources_of(&number.sources)).unwrap_or_default(),
            from: figure.from.iter().map(|span| At::of(sources, *span)).collect(),
        }
    }
}

/// Error sources by notebook, block and key. The written value stays in the id only where one key was read
/// twice.
fn sources_of(sources: &[Source]) -> Vec<SourceLine> {
    let mut lines: Vec<SourceLine> = Vec::with_capacity(sources.len());
    for source in sources {
        let short = source.id.without_words();
        let is_taken = lines.iter().any(|line| line.id == short);
        let id = if is_taken { source.id.as_str() } else { short };
        lines.push(SourceLine { id: id.to_owned(), sensitivity: source.sensitivity, u: source.u });
    }
    lines
}

fn missing(absent: &Absent, units: &Units) -> Vec<String> {
    match absent {
        Absent::Missing(all) => all
            .iter()
            .map(|missing| match (missing.block.as_str(), missing.key.as_str()) {
                ("", key) => key.to_owned(),
                (block, "") => block.to_owned(),
                (block, key) => format!("{block}/{key}"),
            })
            .collect(),
        Absent::Rejected(faulty) => vec![units.say(&faulty.reason())],
        Absent::Cannot(reason) | Absent::Instead(reason) => vec![units.say(reason)],
    }
}
