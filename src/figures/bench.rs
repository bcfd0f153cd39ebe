//! The bench: one place of a notebook with its state, where figures are worked out.
//!
//! Each part is worked out once, when something asks for it. Meanwhile the bench notes the readings that it
//! rests on and what was assumed. It turns every reading into a number that remembers its error.

use std::cell::RefCell;
use std::rc::Rc;
use std::sync::Arc;

use jiff::civil::Date;

use crate::book::{Book, Day, Notebook, SourceId};
use crate::physics::geometry::{Attitude, Setup};
use crate::physics::{Leverage, Number};
use crate::quantity::Kind;
use crate::season::{PoolKey, Repeats, Standard, State};
use crate::source::{FileId, Span};
use crate::speech::{Message, say};
use crate::vocabulary::{End, Header, Load, Setting};

use super::figure::{Absent, Cause, Missing, Pool, Scatter, Source};
use super::geometry::Stance;
use super::margin::{Expanded, Margin, Watch};
use super::once::Once;
use super::recorder::Recorder;
use super::springs::Moment;
use super::trace::Trace;
use super::uncertainty::{Contribution, expanded};

/// A part of a figure, or why it has no value.
pub type Got<T> = Result<T, Absent>;

/// What is known of an error source besides its derivative.
#[derive(Debug, Clone, PartialEq)]
pub struct SourceNote {
    /// For a written value, empty until somebody asks for it.
    pub id: SourceId,
    /// In words, for people: `rear aboard, 2026-04-11`.
    pub label: Message,
    pub kind: Kind,
    /// Standard uncertainty, in the SI base unit of the kind.
    pub u: f64,
    /// The part of `u` that comes from repeated readings.
    pub scatter: Option<Scatter>,
    pub cause: Cause,
    pub nominal: f64,
    pub shape: Shape,
    pub span: Option<Span>,
}

/// How an error is distributed, for drawing from it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Shape {
    Normal,
    /// Anywhere within a half-width, with equal chance: a bias.
    Rectangular,
}

/// How many error sources are made room for at first.
const USUAL_SOURCES: usize = 16;

/// A day, and the place in it to work at.
#[derive(Clone, Copy)]
pub struct Here<'a> {
    pub book: &'a Book,
    pub day: Option<&'a Day>,
    pub machine: Option<&'a Notebook>,
    pub track: Option<&'a Notebook>,
    pub state: &'a State,
    /// The machine's standard setting.
    pub standard: Option<&'a Standard>,
    /// What repeated readings of the book show.
    pub repeats: &'a Repeats,
    /// The last day whose repeats count; all days where there is none.
    pub repeats_until: Option<Date>,
}

/// How far off each source is, for a draw of a Monte Carlo.
pub type Shift<'a> = &'a dyn Fn(&SourceNote) -> f64;

/// One place of a notebook, for working out figures.
pub struct Bench<'a, R: Recorder> {
    pub(super) here: Here<'a>,
    pub(super) recorder: R,
    shift: Option<Shift<'a>>,
    notes: RefCell<Vec<SourceNote>>,
    sources: Once<SourceKey, R::Number>,
    /// Of what is being worked out, the innermost last. Empty where nobody asks what a value rests on.
    pub(super) traces: RefCell<Vec<Trace>>,
    memo: Memo<Part, R::Number>,
    stances: Memo<Stance, Standing<R::Number>>,
    leverages: Once<Span, Rc<Leverage>>,
    /// The scatter with each tool, from repeats.
    pub(super) pools: Once<PoolKey, Arc<Pool>>,
    /// The scatter that an instrument declares for a kind, by the place of its name.
    pub(super) declared: Once<(Span, Kind), Arc<Pool>>,
    /// The intervals that rules were given, and that repeats elsewhere can move.
    watches: RefCell<Vec<Rc<Watch>>>,
}

/// A part that several figures share.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub(super) enum Part {
    Sag(End, Load),
    ExpectedRiderSag(End),
    PreloadWanted(End),
    WheelRate(End),
    Frequency(End),
    SprungLoad(End, Load, Moment),
    Radius(End),
    AxleMove,
    AirDensity,
    JetForAir,
    /// Of the day in a notebook, at its `conditions` block.
    Atmosphere(Option<FileId>, Option<Span>),
    AtGate(Setting),
    /// For the fork's figures.
    InChamber(Setting, Moment),
}

/// Identifies an error source on one bench. Its id, which also identifies it in other books and revisions, is worked out
/// when somebody asks for it.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub(super) enum SourceKey {
    /// Something written, by its place.
    Written(Span),
    Assumed(&'static str),
    /// One error for each day.
    AssumedOn(&'static str, FileId),
    /// One error for each `pressures` block, by its first reading.
    AssumedOf(&'static str, Span),
    Model(&'static str),
    /// The bias of a declared instrument, by the place of its name.
    Instrument(Span),
    OrdinaryInstrument(&'static str),
}

/// What was already worked out, with what it rests on; `None` where nobody asks for that.
type Memo<K, T> = Once<K, (Got<T>, Option<Rc<Trace>>)>;

/// An attitude, and the set-up that has it.
pub(super) type Standing<N> = (Attitude<N>, Setup<N>);

/// Where a reading is, for its id.
#[derive(Clone, Copy)]
pub(super) struct Origin<'a> {
    pub header: &'a Header,
    pub key: &'static str,
}

impl<'a, R: Recorder> Bench<'a, R> {
    pub fn new(here: Here<'a>, recorder: R) -> Self {
        Self {
            here,
            recorder,
            shift: None,
            notes: RefCell::default(),
            sources: Once::default(),
            traces: RefCell::new(vec![Trace::default()]),
            memo: Once::default(),
            stances: Once::default(),
            leverages: Once::default(),
            pools: Once::default(),
            declared: Once::default(),
            watches: RefCell::default(),
        }
    }

    /// Whether it works at this very state.
    pub fn is_at(&self, state: &State) -> bool {
        std::ptr::eq(self.here.state, state) || self.here.state.is_one_with(state)
    }

    /// The same place with every error source moved as the function says.
    #[must_use]
    pub fn shifted(mut self, shift: Shift<'a>) -> Self {
        self.shift = Some(shift);
        self
    }

    /// Works a part out, or recalls it. Either way its trace is added to the caller's.
    pub(super) fn part(&self, key: Part, work: impl FnOnce(&Self) -> Got<R::Number>) -> Got<R::Number> {
        let (got, trace) = self.memo.get_or(&key, || self.traced(work));
        self.note(trace);
        got
    }

    /// Works an attitude out, or recalls it.
    pub(super) fn stance(
        &self,
        stance: Stance,
        work: impl FnOnce() -> Got<Standing<R::Number>>,
    ) -> Got<Standing<R::Number>> {
        let (got, trace) = self.stances.get_or(&stance, || self.traced(|_| work()));
        self.note(trace);
        got
    }

    /// An error source: the same key always gives the same number. The note of something written leaves its id open.
    ///
    /// Where nobody asks for uncertainty or draws from it, no note is made.
    pub(super) fn source(
        &self,
        key: SourceKey,
        nominal: f64,
        note: impl FnOnce() -> SourceNote,
    ) -> R::Number {
        if !self.keeps_sources() {
            return R::Number::constant(nominal);
        }
        self.sources.get_or(&key, || {
            let mut note = note();
            let off = self.shift.map_or(0.0, |shift| {
                self.identify(&mut note);
                shift(&note)
            });
            let number = self.recorder.source(nominal + off);
            let mut notes = self.notes.borrow_mut();
            if notes.capacity() == 0 {
                notes.reserve(USUAL_SOURCES);
            }
            notes.push(note);
            number
        })
    }

    /// Works out the id of something written.
    fn identify(&self, note: &mut SourceNote) {
        if let Some(span) = note.span.filter(|_| note.id.is_open()) {
            note.id = self.here.book.identity(span);
        }
    }

    /// Whether error sources are of use: recorded, or moved.
    pub(super) fn keeps_sources(&self) -> bool {
        R::REMEMBERS || self.shift.is_some()
    }

    /// The error sources of a number, sorted by id.
    pub(super) fn sources_of(&self, number: R::Number) -> Vec<Source> {
        let mut notes = self.notes.borrow_mut();
        let mut sources: Vec<Source> = self
            .recorder
            .gradient(number)
            .into_iter()
            .filter(|(_, sensitivity)| *sensitivity != 0.0)
            .filter_map(|(index, sensitivity)| {
                let note = notes.get_mut(index)?;
                self.identify(note);
                Some(Source {
                    id: note.id.clone(),
                    sensitivity,
                    u: note.u,
                    scatter: note.scatter.clone(),
                    cause: note.cause,
                    span: note.span,
                    nominal: note.nominal,
                    label: note.label.clone(),
                    kind: note.kind,
                })
            })
            .collect();
        sources.sort_by(|a, b| a.id.cmp(&b.id));
        sources
    }

    /// The expanded uncertainty of a number, without its sources; `None` where none is known.
    pub(super) fn expanded_by(&self, number: R::Number) -> Option<Expanded> {
        let notes = self.notes.borrow();
        let gradient = self.recorder.gradient(number);
        self.watched(gradient.iter().filter(|(_, sensitivity)| *sensitivity != 0.0).filter_map(
            |(index, sensitivity)| {
                let note = notes.get(*index)?;
                Some(Contribution { sensitivity: *sensitivity, u: note.u, scatter: note.scatter.as_ref() })
            },
        ))
    }

    /// An expanded uncertainty that notes what rules compare it with.
    pub(super) fn watched<'p>(
        &self,
        parts: impl Iterator<Item = Contribution<'p>> + Clone,
    ) -> Option<Expanded> {
        let value = expanded(parts.clone())?;
        Some(match Watch::of(parts, self.here.repeats_until, self.here.repeats) {
            Some(watch) => {
                self.watches.borrow_mut().push(Rc::clone(&watch));
                Expanded::watched(value, watch)
            }
            None => Expanded::fixed(value),
        })
    }

    /// The margins within which rules would come to the same results here.
    pub fn margins(&self) -> Vec<Margin> {
        let known = self.pools.map(|key, pool| Margin::Known(*key, pool.is_well_known()));
        let watches = self.watches.borrow();
        known.into_iter().chain(watches.iter().filter_map(|watch| watch.margin())).collect()
    }

    pub(super) fn machine(&self) -> Got<&'a Notebook> {
        self.here.machine.ok_or_else(|| missing("", "machine", "day"))
    }

    /// Works a linkage out once for each place where it is written.
    pub(super) fn leverages(&self, at: Span, work: impl FnOnce() -> Got<Leverage>) -> Got<Rc<Leverage>> {
        match self.leverages.get(&at) {
            Some(known) => Ok(known),
            None => work().map(|leverage| self.leverages.get_or(&at, || Rc::new(leverage))),
        }
    }
}

impl Origin<'_> {
    pub fn block(&self) -> String {
        block_name(self.header)
    }

    pub fn label(&self) -> String {
        let Header { word, argument, .. } = self.header;
        match argument {
            Some(argument) => [word, argument.text.as_str(), self.key].join(" "),
            None => [word, self.key].join(" "),
        }
    }
}

/// A block's word with its second word.
pub(super) fn block_name(header: &Header) -> String {
    match &header.argument {
        Some(argument) => [header.word, &argument.text].join(" "),
        None => header.word.to_owned(),
    }
}

/// Whether a block has this word and second word.
pub(super) fn is_named(header: &Header, name: &str) -> bool {
    match (name.strip_prefix(header.word), &header.argument) {
        (Some(""), None) => true,
        (Some(rest), Some(argument)) => rest.strip_prefix(' ') == Some(argument.text.as_str()),
        _ => false,
    }
}

/// One missing input.
pub(super) fn missing(block: &str, key: &str, notebook: &'static str) -> Absent {
    Absent::Missing(vec![Missing { block: block.to_owned(), key: key.to_owned(), notebook }])
}

/// One missing input of a block at an end.
pub(super) fn missing_at(word: &str, end: End, key: &str, notebook: &'static str) -> Absent {
    missing(&format!("{word} {}", end.word()), key, notebook)
}

/// Why there is no value where a model cannot give one.
pub(super) fn no_number() -> Absent {
    cannot(say!("the readings give no number here"))
}

/// A value that cannot be reached.
pub(super) fn cannot(reason: Message) -> Absent {
    Absent::Cannot(reason)
}
