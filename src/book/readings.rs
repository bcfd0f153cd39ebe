//! Readings of a day, and the tool each was taken with.

use crate::quantity::Kind;
use crate::vocabulary::blocks::{AnyBlock, Pressures, Sag, Scales, Steering};
use crate::vocabulary::values::{Given, Instrument, PressureReading, Readings, Written};

use super::Book;

/// What readings are taken with, whether `book.toml` declares it or not.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Tool {
    Tape,
    Gauge,
    Scale,
    /// For the pull at which the bars begin to turn.
    PullScale,
}

/// One tool: a declared one, or the undeclared one, of which each kind has one.
#[derive(Debug, Clone, Copy)]
pub struct ReadWith<'a> {
    pub tool: Tool,
    pub declared: Option<&'a Instrument>,
}

/// One reading, or its repeats: the values of one key of one block.
#[derive(Debug, Clone, Copy)]
pub struct Reading<'a> {
    pub key: &'a str,
    pub readings: &'a Readings,
    pub with: ReadWith<'a>,
}

/// The rests of a machine alone or with its rider: plain, after a push, after a lift.
pub struct Rests<'a> {
    pub plain: Option<Reading<'a>>,
    pub after_push: Option<Reading<'a>>,
    pub after_lift: Option<Reading<'a>>,
}

impl Tool {
    /// What it reads.
    pub fn kind(self) -> Kind {
        match self {
            Self::Tape => Kind::Length,
            Self::Gauge => Kind::GaugePressure,
            Self::Scale => Kind::Mass,
            Self::PullScale => Kind::Force,
        }
    }

    /// Whether its readings scatter by a share of the value: nobody pulls hard as evenly as lightly.
    pub fn scatters_by_share(self) -> bool {
        self == Self::PullScale
    }
}

impl Instrument {
    /// A declared property, where the tool reads this kind; in the SI base unit.
    pub fn own(&self, kind: Kind, of: impl Fn(&Self) -> Option<Given>) -> Option<f64> {
        let given = of(self)?;
        given.quantity.kind.is_width_of(kind).then(|| given.value())
    }

    /// Whether its declared properties are of this kind; a tool without any reads every kind.
    fn reads(&self, kind: Kind) -> bool {
        let widths = [self.resolution, self.bias, self.repeatability];
        let mut widths = widths.into_iter().flatten().peekable();
        widths.peek().is_none() || widths.any(|width| width.quantity.kind.is_width_of(kind))
    }
}

impl Book {
    /// The tool that a block names, else the book's usual one. One that reads another kind counts as none.
    pub fn read_with(&self, tool: Tool, named: Option<&Written>) -> ReadWith<'_> {
        let usual = match tool {
            Tool::Tape => self.about.tape.as_ref(),
            Tool::Gauge => self.about.gauge.as_ref(),
            Tool::Scale => self.about.scale.as_ref(),
            Tool::PullScale => None,
        };
        let declared = named.or(usual).and_then(|name| self.instrument(&name.text));
        ReadWith { tool, declared: declared.filter(|instrument| instrument.reads(tool.kind())) }
    }
}

impl<'a> Reading<'a> {
    fn of(key: &'a str, readings: Option<&'a Readings>, with: ReadWith<'a>) -> Option<Self> {
        readings.map(|readings| Self { key, readings, with })
    }

    /// In the SI base unit.
    pub fn mean(&self) -> Option<f64> {
        self.readings.mean()
    }

    fn own(&self, of: impl Fn(&Instrument) -> Option<Given>) -> Option<f64> {
        self.with.declared?.own(self.with.tool.kind(), of)
    }

    /// The smallest division: the instrument's, else the last digit written.
    pub fn division(&self) -> Option<f64> {
        let written = || self.readings.values.iter().map(|given| given.quantity.last_digit).reduce(f64::max);
        self.own(|instrument| instrument.resolution).or_else(written)
    }

    /// As the instrument declares it.
    pub fn repeatability(&self) -> Option<f64> {
        self.own(|instrument| instrument.repeatability)
    }
}

impl<'a> Rests<'a> {
    /// The readings that a sag comes from: after a push and after a lift where both exist, else the plain one.
    pub fn counted(&self) -> Vec<Reading<'a>> {
        match (self.after_push, self.after_lift) {
            (Some(push), Some(lift)) => vec![push, lift],
            (push, lift) => self.plain.or(push).or(lift).into_iter().collect(),
        }
    }

    /// The length at rest from which the sag follows, in m.
    pub fn length(&self) -> Option<f64> {
        let counted = self.counted();
        let sum: f64 = counted.iter().filter_map(Reading::mean).sum();
        (!counted.is_empty()).then(|| sum / counted.len() as f64)
    }
}

pub fn tape<'a>(book: &'a Book, sag: &Sag) -> ReadWith<'a> {
    book.read_with(Tool::Tape, sag.tape.as_ref())
}

pub fn hanging<'a>(book: &'a Book, sag: &'a Sag) -> Option<Reading<'a>> {
    Reading::of(Sag::hanging, sag.hanging.as_ref(), tape(book, sag))
}

pub fn alone<'a>(book: &'a Book, sag: &'a Sag) -> Rests<'a> {
    let tape = tape(book, sag);
    Rests {
        plain: Reading::of(Sag::alone, sag.alone.as_ref(), tape),
        after_push: Reading::of(Sag::alone_after_push, sag.alone_after_push.as_ref(), tape),
        after_lift: Reading::of(Sag::alone_after_lift, sag.alone_after_lift.as_ref(), tape),
    }
}

pub fn aboard<'a>(book: &'a Book, sag: &'a Sag) -> Rests<'a> {
    let tape = tape(book, sag);
    Rests {
        plain: Reading::of(Sag::aboard, sag.aboard.as_ref(), tape),
        after_push: Reading::of(Sag::aboard_after_push, sag.aboard_after_push.as_ref(), tape),
        after_lift: Reading::of(Sag::aboard_after_lift, sag.aboard_after_lift.as_ref(), tape),
    }
}

/// One pressure of a block, as left or as found.
pub fn pressure<'a>(book: &'a Book, block: &Pressures, reading: &'a PressureReading) -> Reading<'a> {
    let with = book.read_with(Tool::Gauge, block.gauge.as_ref());
    Reading { key: reading.name.as_str(), readings: &reading.readings, with }
}

/// Masses on the wheels: front and rear alone, front and rear aboard.
pub fn masses<'a>(book: &'a Book, scales: &'a Scales) -> [Option<Reading<'a>>; 4] {
    let scale = book.read_with(Tool::Scale, scales.scale.as_ref());
    [
        Reading::of(Scales::front_alone, scales.front_alone.as_ref(), scale),
        Reading::of(Scales::rear_alone, scales.rear_alone.as_ref(), scale),
        Reading::of(Scales::front_aboard, scales.front_aboard.as_ref(), scale),
        Reading::of(Scales::rear_aboard, scales.rear_aboard.as_ref(), scale),
    ]
}

pub fn pull(steering: &Steering) -> Option<Reading<'_>> {
    Reading::of(Steering::pull, steering.pull.as_ref(), ReadWith { tool: Tool::PullScale, declared: None })
}

/// Every reading of a block.
pub fn of_block<'a>(book: &'a Book, block: &'a AnyBlock) -> Vec<Reading<'a>> {
    match block {
        AnyBlock::Sag(sag) => {
            let (alone, aboard) = (alone(book, sag), aboard(book, sag));
            let rests = [alone, aboard]
                .into_iter()
                .flat_map(|rests| [rests.plain, rests.after_push, rests.after_lift]);
            hanging(book, sag).into_iter().chain(rests.flatten()).collect()
        }
        AnyBlock::Pressures(block) => {
            let others = &block.others;
            let all = others.pressures.iter().chain(&others.found).chain(&others.after_ride);
            all.map(|reading| pressure(book, block, reading)).collect()
        }
        AnyBlock::Scales(scales) => masses(book, scales).into_iter().flatten().collect(),
        AnyBlock::Steering(steering) => pull(steering).into_iter().collect(),
        _ => Vec::new(),
    }
}
