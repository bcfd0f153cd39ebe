//! The inputs of figures: readings, settings and assumptions, each as a number that knows its error.

use std::sync::Arc;

use crate::book::{Day, SourceId};
use jiff::civil::Date;

use crate::book::readings::{ReadWith, Reading, Tool};
use crate::physics::Number;
use crate::physics::uncertainty::{COVERAGE, Component, pooled};
use crate::quantity::{Kind, Quantity};
use crate::season::{Held, HeldValue, PoolKey, RepeatSums, Repeats};
use crate::source::Span;
use crate::speech::{Message, say};
use crate::vocabulary::values::{Given, Instrument, Readings, Written};
use crate::vocabulary::{Setting, Symbol};

use super::assumptions::{Assumption, Ordinary, PRIOR_FREEDOM};
use super::bench::{Bench, Got, Origin, Shape, SourceKey, SourceNote, missing};
use super::figure::{Absent, Cause, Pool, Scatter};
use super::margin::Expanded;
use super::recorder::Recorder;
use super::uncertainty::Contribution;

/// An undeclared instrument, in words.
fn ordinary_tool(word: &str) -> Message {
    match word {
        "tape" => say!("tape"),
        "gauge" => say!("gauge"),
        "scale" => say!("scale"),
        other => Message::text(other),
    }
}

/// A reading or its repeats, and the tool.
struct Taken<'a> {
    values: &'a [Given],
    span: Span,
    by: By<'a>,
}

/// The tool of a reading.
#[derive(Clone, Copy)]
enum By<'a> {
    Tool(ReadWith<'a>),
    /// A thermometer, barometer, hygrometer or altimeter: only what it declares is known of it.
    Other(Option<&'a Instrument>),
}

/// The scatter of readings with a tool, from a book's repeats added to the assumption.
fn of_sums(tool: Tool, sums: RepeatSums) -> Component {
    let before = Component { u: Ordinary::of(tool).scatter, freedom: PRIOR_FREEDOM };
    pooled(before, sums.squares, sums.freedom)
}

/// The same up to a date.
pub(super) fn pooled_until(repeats: &Repeats, key: PoolKey, until: Option<Date>) -> Component {
    of_sums(key.0, repeats.until(key, until))
}

/// What is known of a reading's error.
struct Known<'a> {
    /// From the instrument's division, or the `±` that was written.
    steady: Component,
    scatter: Option<Scatter>,
    bias: Option<Bias<'a>>,
}

/// The error that all readings of an instrument share.
#[derive(Clone, Copy)]
enum Bias<'a> {
    Declared(&'a Instrument, f64),
    Ordinary(&'static Ordinary, f64),
}

impl Known<'_> {
    fn standard(&self) -> f64 {
        libm::hypot(self.steady.u, self.scatter.as_ref().map_or(0.0, |scatter| scatter.u))
    }
}

impl Bias<'_> {
    fn half_width(self) -> f64 {
        match self {
            Self::Declared(_, half_width) | Self::Ordinary(_, half_width) => half_width,
        }
    }
}

impl<'a> By<'a> {
    fn declared(self) -> Option<&'a Instrument> {
        match self {
            Self::Tool(with) => with.declared,
            Self::Other(declared) => declared,
        }
    }

    /// The ordinary instrument that it counts as, where none was declared.
    fn ordinary(self) -> Option<&'static Ordinary> {
        match self {
            Self::Tool(ReadWith { tool, declared: None }) => Some(Ordinary::of(tool)),
            _ => None,
        }
    }
}

impl Taken<'_> {
    fn kind(&self) -> Kind {
        self.values.first().map_or(Kind::Number, |given| given.quantity.kind)
    }

    /// What the instrument declares, where it reads this kind.
    fn own(&self, of: impl Fn(&Instrument) -> Option<Given>) -> Option<f64> {
        self.by.declared()?.own(self.kind(), of)
    }

    fn mean(&self) -> f64 {
        self.values.iter().map(Given::value).sum::<f64>() / self.values.len().max(1) as f64
    }

    /// The `±` that was written; of repeats, the widest.
    fn plus_minus(&self) -> Option<f64> {
        self.values.iter().filter_map(|given| given.quantity.plus_minus).reduce(f64::max)
    }
}

impl<R: Recorder> Bench<'_, R> {
    /// A value assumed where none was written.
    pub(super) fn assume(&self, assumption: &Assumption) -> R::Number {
        self.assume_as(assumption, SourceKey::Assumed(assumption.id), || SourceId::everywhere(assumption.id))
    }

    /// The same, with an error of its own for each day.
    pub(super) fn assume_on(&self, assumption: &Assumption, day: Option<&Day>) -> R::Number {
        let Some(day) = day else { return self.assume(assumption) };
        let key = SourceKey::AssumedOn(assumption.id, day.notebook.document.file);
        self.assume_as(assumption, key, || SourceId::of_notebook(&day.notebook.path, assumption.id))
    }

    /// The same, under its own key and id.
    pub(super) fn assume_as(
        &self,
        assumption: &Assumption,
        key: SourceKey,
        id: impl FnOnce() -> SourceId,
    ) -> R::Number {
        self.assume_text(Message::word(assumption.text));
        self.source(key, assumption.value, || SourceNote {
            id: id(),
            label: Message::word(assumption.text),
            kind: assumption.kind,
            u: assumption.spread / COVERAGE,
            scatter: None,
            cause: Cause::Assumed,
            nominal: assumption.value,
            shape: Shape::Normal,
            span: None,
        })
    }

    /// A factor near 1: how far off a model is known to be.
    pub(super) fn model_spread(&self, id: &'static str, spread: f64, text: Message) -> R::Number {
        self.assume_text(text.clone());
        self.source(SourceKey::Model(id), 1.0, || SourceNote {
            id: SourceId::everywhere(format!("model/{id}")),
            label: text,
            kind: Kind::Number,
            u: spread / COVERAGE,
            scatter: None,
            cause: Cause::Model,
            nominal: 1.0,
            shape: Shape::Normal,
            span: None,
        })
    }

    /// A quantity as written in a block: exact, or with the uncertainty of its `±`.
    pub(super) fn given(&self, given: &Given, origin: Origin<'_>) -> R::Number {
        self.written(&given.quantity, given.span, || Message::text(origin.label()))
    }

    /// A setting in force, with its `±` where it has one.
    pub(super) fn held(&self, name: Setting, held: &Held) -> Got<R::Number> {
        match &held.value {
            HeldValue::Quantity(quantity) => {
                Ok(self.written(quantity, held.span, || Message::text(name.as_str())))
            }
            HeldValue::Word(_) => Err(Absent::Cannot(say!("`{name}` is a word, not a number", name))),
        }
    }

    /// A quantity as written, with its `±` where it has one.
    pub(super) fn written(&self, quantity: &Quantity, span: Span, label: impl Fn() -> Message) -> R::Number {
        self.rests_on(span);
        let Some(expanded) = quantity.plus_minus else { return R::Number::constant(quantity.value) };
        // The error has its centre at zero: a supposed value has its own number, and the uncertainty of what is written
        // there.
        let off = self.source(SourceKey::Written(span), 0.0, || SourceNote {
            id: SourceId::default(),
            label: label(),
            kind: quantity.kind,
            u: expanded / COVERAGE,
            scatter: None,
            cause: Cause::Written,
            nominal: quantity.value,
            shape: Shape::Normal,
            span: Some(span),
        });
        off + R::Number::constant(quantity.value)
    }

    /// One reading of an instrument, such as the day's air temperature.
    pub(super) fn read_once(&self, given: &Given, label: &str, instrument: Option<&Written>) -> R::Number {
        let declared = instrument.and_then(|name| self.here.book.instrument(&name.text));
        let values = std::slice::from_ref(given);
        self.taken(&Taken { values, span: given.span, by: By::Other(declared) }, || Message::text(label))
    }

    /// The mean of repeated readings, with their scatter, the instrument's division and its bias.
    pub(super) fn reading(
        &self,
        readings: &Readings,
        origin: Origin<'_>,
        with: ReadWith<'_>,
    ) -> Got<R::Number> {
        if readings.values.is_empty() {
            return Err(missing(&origin.block(), origin.key, "day"));
        }
        Ok(self.readings(readings, with, || origin.label()))
    }

    /// The same for readings of which there is one at least, with what they are called where somebody is shown them.
    pub(super) fn readings(
        &self,
        readings: &Readings,
        with: ReadWith<'_>,
        label: impl Fn() -> String,
    ) -> R::Number {
        let taken = Taken { values: &readings.values, span: readings.span, by: By::Tool(with) };
        self.taken(&taken, || Message::text(label()))
    }

    /// The expanded uncertainty of a reading by itself, with its instrument's bias; `None` where none is known.
    pub fn expanded_of(&self, reading: &Reading<'_>) -> Option<Expanded> {
        let Readings { values, span, .. } = reading.readings;
        let known = self.known(&Taken { values, span: *span, by: By::Tool(reading.with) });
        let bias = known.bias.map(|bias| Component::of_half_width(bias.half_width()).u);
        let parts = [
            Contribution { sensitivity: 1.0, u: known.standard(), scatter: known.scatter.as_ref() },
            Contribution { sensitivity: 1.0, u: bias.unwrap_or(0.0), scatter: None },
        ];
        self.watched(parts.into_iter())
    }

    /// A `±` includes everything except a bias that the instrument declares.
    ///
    /// **Source** JCGM 100:2008, 4.2.3, 4.3.7 and F.2.2.1: `u² = s²/n + a²/3`, a half a division.
    fn known<'t>(&self, taken: &Taken<'t>) -> Known<'t> {
        let declared_bias = || {
            let half_width = taken.own(|instrument| instrument.bias).filter(|bias| *bias > 0.0)?;
            Some(Bias::Declared(taken.by.declared()?, half_width))
        };
        if let Some(expanded) = taken.plus_minus() {
            return Known { steady: Component::of_expanded(expanded), scatter: None, bias: declared_bias() };
        }
        let ordinary = taken.by.ordinary().and_then(|ordinary| Some((ordinary, ordinary.form?)));
        let (division, bias) = match ordinary {
            Some((ordinary, (division, bias))) => (Some(division), Some(Bias::Ordinary(ordinary, bias))),
            None => (taken.own(|instrument| instrument.resolution), declared_bias()),
        };
        let steady = Component::of_half_width(division.unwrap_or(0.0) / 2.0);
        Known { steady, scatter: self.scatter(taken), bias }
    }

    fn scatter(&self, taken: &Taken<'_>) -> Option<Scatter> {
        let repeatability = taken.own(|instrument| instrument.repeatability);
        let pool = match (taken.by.declared(), repeatability, taken.by) {
            (Some(instrument), Some(repeatability), _) => {
                let kind = taken.kind().difference();
                self.declared.get_or(&(instrument.name_span, kind), || {
                    Arc::new(Pool {
                        id: instrument.name.clone(),
                        kind,
                        deviation: repeatability,
                        freedom: f64::INFINITY,
                        sets: 0,
                        key: None,
                        assumed: None,
                    })
                })
            }
            (_, _, By::Tool(with)) => self.pool(with),
            (_, _, By::Other(_)) => return None,
        };
        // A share is one of the value read.
        let whole = if pool.kind == Kind::Share { taken.mean().abs() } else { 1.0 };
        let count = taken.values.len();
        let one = Component { u: pool.deviation * whole, freedom: pool.freedom };
        Some(Scatter { u: one.of_mean(count).u, count, pool })
    }

    /// The scatter of readings with a tool, from the book's repeats up to the bench's day.
    fn pool(&self, with: ReadWith<'_>) -> Arc<Pool> {
        let ordinary = Ordinary::of(with.tool);
        let id = with.declared.map_or(ordinary.word, |instrument| &instrument.name);
        let key = (with.tool, with.declared.map(|instrument| Symbol::of(&instrument.name)));
        self.pools.get_or(&key, || {
            let sums = self.here.repeats.until(key, self.here.repeats_until);
            let Component { u, freedom } = of_sums(with.tool, sums);
            Arc::new(Pool {
                id: id.to_owned(),
                kind: if with.tool.scatters_by_share() { Kind::Share } else { with.tool.kind() },
                deviation: u,
                freedom,
                sets: sums.sets,
                key: Some(key),
                assumed: Some(ordinary),
            })
        })
    }

    fn taken(&self, taken: &Taken<'_>, label: impl Fn() -> Message) -> R::Number {
        self.rests_on(taken.span);
        let known = self.known(taken);
        self.name_assumed(&known);
        let mean = taken.mean();
        if !self.keeps_sources() {
            return R::Number::constant(mean);
        }
        let u = known.standard();
        let number = if u > 0.0 {
            self.source(SourceKey::Written(taken.span), mean, || SourceNote {
                id: SourceId::default(),
                label: label(),
                kind: taken.kind(),
                u,
                scatter: known.scatter,
                cause: Cause::Written,
                nominal: mean,
                shape: Shape::Normal,
                span: Some(taken.span),
            })
        } else {
            R::Number::constant(mean)
        };
        match known.bias {
            Some(bias) => number + self.bias(taken.kind(), bias),
            None => number,
        }
    }

    /// Names what is assumed of the instrument.
    fn name_assumed(&self, known: &Known<'_>) {
        if let Some(Bias::Ordinary(ordinary, _)) = known.bias {
            self.assume_text(Message::word(ordinary.text));
        }
        let pool = known.scatter.as_ref().map(|scatter| &scatter.pool);
        if let Some(ordinary) = pool.filter(|pool| !pool.is_well_known()).and_then(|pool| pool.assumed) {
            self.assume_text(Message::word(ordinary.scatter_text));
        }
    }

    fn bias(&self, kind: Kind, bias: Bias<'_>) -> R::Number {
        let key = match bias {
            Bias::Declared(instrument, _) => SourceKey::Instrument(instrument.name_span),
            Bias::Ordinary(Ordinary { word, .. }, _) => SourceKey::OrdinaryInstrument(word),
        };
        self.source(key, 0.0, || {
            let (id, name, cause, span) = match bias {
                Bias::Declared(instrument, _) => {
                    let name = instrument.name.as_str();
                    let calibrated =
                        instrument.calibrated.map(|dated| dated.date.to_string()).unwrap_or_default();
                    let span = instrument.bias.map(|bias| bias.span);
                    (
                        SourceId::everywhere(format!("instrument#{name}/bias")).written(&calibrated),
                        Message::text(name),
                        Cause::Instrument,
                        span,
                    )
                }
                Bias::Ordinary(Ordinary { word, .. }, _) => (
                    SourceId::everywhere(format!("assumed/bias of the {word}")),
                    ordinary_tool(word),
                    Cause::OrdinaryInstrument,
                    None,
                ),
            };
            SourceNote {
                id,
                label: say!("bias of {name}", name),
                kind: kind.difference(),
                u: Component::of_half_width(bias.half_width()).u,
                scatter: None,
                cause,
                nominal: 0.0,
                shape: Shape::Rectangular,
                span,
            }
        })
    }

    /// A setting in force, as a number.
    pub(super) fn setting(&self, name: Setting) -> Got<R::Number> {
        match self.here.state.setting(name) {
            Some(held) => self.held(name, held),
            None => Err(match self.here.state.rejected_setting(name) {
                Some(rejected) => self.rejected(rejected),
                None => missing("settings", name.as_str(), "day"),
            }),
        }
    }

    /// A setting of the machine's standard, as a number.
    pub(super) fn standard(&self, name: Setting) -> Got<R::Number> {
        match self.here.standard.and_then(|standard| standard.get(name)) {
            Some(held) => self.held(name, held),
            None => Err(missing("settings", name.as_str(), "machine")),
        }
    }
}
