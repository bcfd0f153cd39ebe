//! What figures are made from: readings, settings and what was assumed, each as a number that knows its error.

use crate::book::{Book, Day};
use crate::physics::Number;
use crate::physics::uncertainty::{COVERAGE, Component, Reading};
use crate::quantity::{Kind, Quantity};
use crate::season::{Held, HeldValue};
use crate::source::Span;
use crate::vocabulary::values::{Given, Instrument, Readings, Written};

use super::assumptions::Assumption;
use super::bench::{Bench, Got, Origin, Shape, SourceNote, missing};
use super::figure::{Absent, Source};
use super::recorder::Recorder;

/// What the ids of errors begin with that a formula makes by itself.
const OF_MODELS: &str = "model/";
/// What the ids of errors begin with that an instrument brings to all its readings.
const OF_INSTRUMENTS: &str = "instrument#";

impl Source {
    /// Whether a formula makes this error by itself, so that no reading makes it smaller.
    pub fn is_of_model(&self) -> bool {
        self.id.starts_with(OF_MODELS)
    }

    /// Whether all readings of an instrument share it.
    pub fn is_bias(&self) -> bool {
        self.id.starts_with(OF_INSTRUMENTS)
    }
}

/// A reading, or repeats of one, and what it was taken with.
struct Taken<'a> {
    values: &'a [Given],
    span: Span,
    instrument: Option<&'a Instrument>,
}

impl<'a> Taken<'a> {
    fn with(book: &'a Book, values: &'a [Given], span: Span, instrument: Option<&Written>) -> Self {
        Self { values, span, instrument: instrument.and_then(|name| book.instrument(&name.text)) }
    }

    fn kind(&self) -> Kind {
        self.values.first().map_or(Kind::Number, |given| given.quantity.kind)
    }

    /// What the instrument says of itself, where it reads this kind of thing.
    fn own(&self, of: impl Fn(&Instrument) -> Option<Given>) -> Option<f64> {
        let given = of(self.instrument?)?;
        given.quantity.kind.is_width_of(self.kind()).then(|| given.value())
    }

    /// Scatter and division, or what was declared.
    fn scatter(&self) -> Component {
        let values: Vec<f64> = self.values.iter().map(Given::value).collect();
        let declared = self.values.iter().filter_map(|given| given.quantity.plus_minus).reduce(f64::max);
        Reading {
            values: &values,
            division: self.own(|instrument| instrument.resolution),
            repeatability: self.own(|instrument| instrument.repeatability),
            declared,
        }
        .standard()
    }
}

impl<R: Recorder> Bench<'_, R> {
    /// A value that stands in for one that nobody wrote.
    pub(super) fn assume(&self, assumption: &Assumption) -> R::Number {
        self.assume_as(assumption, || assumption.id.to_owned())
    }

    /// The same, as one error of its own for each day.
    pub(super) fn assume_on(&self, assumption: &Assumption, day: Option<&Day>) -> R::Number {
        let Some(day) = day else { return self.assume(assumption) };
        let path = &day.notebook.path;
        let stem = path.strip_suffix(".md").unwrap_or(path);
        self.assume_as(assumption, || format!("{stem}#{}", assumption.id))
    }

    /// The same under an id of its own.
    pub(super) fn assume_as(&self, assumption: &Assumption, id: impl FnOnce() -> String) -> R::Number {
        self.assume_text(assumption.text);
        self.source(assumption.value, || SourceNote {
            id: id(),
            label: assumption.text.to_owned(),
            kind: assumption.kind,
            u: assumption.spread / COVERAGE,
            freedom: f64::INFINITY,
            nominal: assumption.value,
            shape: Shape::Normal,
            span: None,
        })
    }

    /// A factor near 1 that a model is known to be off by.
    pub(super) fn model_spread(&self, id: &'static str, spread: f64, text: &str) -> R::Number {
        self.assume_text(text);
        self.source(1.0, || SourceNote {
            id: format!("{OF_MODELS}{id}"),
            label: text.to_owned(),
            kind: Kind::Number,
            u: spread / COVERAGE,
            freedom: f64::INFINITY,
            nominal: 1.0,
            shape: Shape::Normal,
            span: None,
        })
    }

    /// A quantity as written in a block: exact, or known as well as its `±` says.
    pub(super) fn given(&self, given: &Given, origin: Origin<'_>) -> R::Number {
        self.written(&given.quantity, given.span, || origin.label())
    }

    /// A setting that holds, with its `±` where it has one.
    pub(super) fn held(&self, name: &str, held: &Held) -> Got<R::Number> {
        match &held.value {
            HeldValue::Quantity(quantity) => Ok(self.written(quantity, held.span, || name.to_owned())),
            HeldValue::Word(_) => Err(Absent::Cannot(format!("`{name}` is a word, not a number"))),
        }
    }

    /// A quantity as written, with its `±` where it has one.
    pub(super) fn written(&self, quantity: &Quantity, span: Span, label: impl Fn() -> String) -> R::Number {
        self.rests_on(span);
        let Some(expanded) = quantity.plus_minus else { return R::Number::constant(quantity.value) };
        self.source(quantity.value, || SourceNote {
            id: self.here.book.identity(span),
            label: label(),
            kind: quantity.kind,
            u: expanded / COVERAGE,
            freedom: f64::INFINITY,
            nominal: quantity.value,
            shape: Shape::Normal,
            span: Some(span),
        })
    }

    /// One reading of an instrument, such as the day's air temperature.
    pub(super) fn read_once(&self, given: &Given, label: &str, instrument: Option<&Written>) -> R::Number {
        let taken = Taken::with(self.here.book, std::slice::from_ref(given), given.span, instrument);
        self.taken(&taken, given.value(), || label.to_owned())
    }

    /// The mean of repeated readings with their scatter, the instrument's division and its bias.
    pub(super) fn reading(
        &self,
        readings: &Readings,
        origin: Origin<'_>,
        instrument: Option<&Written>,
    ) -> Got<R::Number> {
        self.reading_of_block(readings, &origin.block(), origin.key, instrument)
    }

    /// The same by the block's name and a key that the table does not list.
    pub(super) fn reading_of_block(
        &self,
        readings: &Readings,
        block: &str,
        key: &str,
        instrument: Option<&Written>,
    ) -> Got<R::Number> {
        let mean = readings.mean().ok_or_else(|| missing(block, key, "day"))?;
        let taken = Taken::with(self.here.book, &readings.values, readings.span, instrument);
        Ok(self.taken(&taken, mean, || format!("{block} {key}")))
    }

    fn taken(&self, taken: &Taken<'_>, mean: f64, label: impl Fn() -> String) -> R::Number {
        self.rests_on(taken.span);
        if !self.keeps_sources() {
            return R::Number::constant(mean);
        }
        let scatter = taken.scatter();
        let number = if scatter.u > 0.0 {
            self.source(mean, || SourceNote {
                id: self.here.book.identity(taken.span),
                label: label(),
                kind: taken.kind(),
                u: scatter.u,
                freedom: scatter.freedom,
                nominal: mean,
                shape: Shape::Normal,
                span: Some(taken.span),
            })
        } else {
            R::Number::constant(mean)
        };
        match self.bias(taken) {
            Some(bias) => number + bias,
            None => number,
        }
    }

    /// The error that all readings of an instrument share.
    fn bias(&self, taken: &Taken<'_>) -> Option<R::Number> {
        let instrument = taken.instrument?;
        let half_width = taken.own(|instrument| instrument.bias).filter(|bias| *bias > 0.0)?;
        Some(self.source(0.0, || {
            let calibrated = instrument.calibrated.map(|dated| dated.date.to_string()).unwrap_or_default();
            SourceNote {
                id: format!("{OF_INSTRUMENTS}{}/bias={calibrated}", instrument.name),
                label: format!("bias of {}", instrument.name),
                kind: taken.kind().difference(),
                u: Component::of_half_width(half_width).u,
                freedom: f64::INFINITY,
                nominal: 0.0,
                shape: Shape::Rectangular,
                span: instrument.bias.map(|bias| bias.span),
            }
        }))
    }

    /// A setting in force, as a number.
    pub(super) fn setting(&self, name: &str) -> Got<R::Number> {
        match self.here.state.setting(name) {
            Some(held) => self.held(name, held),
            None => Err(match self.here.state.rejected_setting(name) {
                Some(rejected) => self.rejected(rejected),
                None => missing("settings", name, "day"),
            }),
        }
    }

    /// A setting of the machine's standard, as a number.
    pub(super) fn standard(&self, name: &str) -> Got<R::Number> {
        match self.here.standard.and_then(|standard| standard.get(name)) {
            Some(held) => self.held(name, held),
            None => Err(missing("settings", name, "machine")),
        }
    }
}
