//! Readings of a day with the instruments they were taken with.

use crate::book::Book;
use crate::physics::uncertainty::{self, Component, combine};
use crate::vocabulary::blocks::{AnyBlock, Pressures, Sag, Scales, Steering};
use crate::vocabulary::values::{Given, Instrument, PressureReading, Readings, Written};

/// One reading, or repeats of it.
#[derive(Clone, Copy)]
pub(super) struct Reading<'a> {
    pub key: &'a str,
    pub readings: &'a Readings,
    pub instrument: Option<&'a Instrument>,
}

/// The readings of a machine alone or with its rider: plain, after a push, after a lift.
pub(super) struct Rests<'a> {
    pub plain: Option<Reading<'a>>,
    pub after_push: Option<Reading<'a>>,
    pub after_lift: Option<Reading<'a>>,
}

impl<'a> Reading<'a> {
    fn of(key: &'a str, readings: Option<&'a Readings>, instrument: Option<&'a Instrument>) -> Option<Self> {
        readings.map(|readings| Self { key, readings, instrument })
    }

    /// In the SI base unit.
    pub fn mean(&self) -> Option<f64> {
        self.readings.mean()
    }

    /// What the instrument says about itself, where it measures the same kind of thing.
    fn own(&self, of: impl Fn(&Instrument) -> Option<Given>) -> Option<f64> {
        let kind = self.readings.values.first()?.quantity.kind;
        of(self.instrument?).filter(|given| given.quantity.kind == kind).map(|given| given.value())
    }

    /// The smallest division: the instrument's, else the last digit that was written.
    pub fn division(&self) -> Option<f64> {
        let written = || self.readings.values.iter().map(|given| given.quantity.last_digit).reduce(f64::max);
        self.own(|instrument| instrument.resolution).or_else(written)
    }

    pub fn repeatability(&self) -> Option<f64> {
        self.own(|instrument| instrument.repeatability)
    }

    /// Expanded uncertainty of the mean; `None` where nothing is known about it.
    pub fn expanded(&self) -> Option<f64> {
        let values: Vec<f64> = self.readings.values.iter().map(Given::value).collect();
        let declared =
            self.readings.values.iter().filter_map(|given| given.quantity.plus_minus).reduce(f64::max);
        let own = uncertainty::Reading {
            values: &values,
            division: self.own(|instrument| instrument.resolution),
            repeatability: self.repeatability(),
            declared,
        };
        let bias = Component::of_half_width(self.own(|instrument| instrument.bias).unwrap_or(0.0));
        let parts = [own.standard(), bias];
        let known: Vec<Component> = parts.into_iter().filter(|part| part.u > 0.0).collect();
        (!known.is_empty()).then(|| combine(&known).expanded())
    }

    /// How well the mean is known where it is held against another value: its uncertainty, or half of the
    /// last digit written.
    pub fn doubt(&self) -> f64 {
        let digit = self
            .readings
            .values
            .iter()
            .map(|given| crate::checks::shown::doubt(&given.quantity))
            .fold(0.0, f64::max);
        self.expanded().unwrap_or(digit)
    }
}

impl<'a> Rests<'a> {
    /// The readings that a sag comes from: after a push and after a lift where both are there, else the one.
    pub fn counted(&self) -> Vec<Reading<'a>> {
        match (self.after_push, self.after_lift) {
            (Some(push), Some(lift)) => vec![push, lift],
            (push, lift) => self.plain.or(push).or(lift).into_iter().collect(),
        }
    }

    /// The length that a sag is counted to, in m.
    pub fn length(&self) -> Option<f64> {
        let counted = self.counted();
        let sum: f64 = counted.iter().filter_map(Reading::mean).sum();
        (!counted.is_empty()).then(|| sum / counted.len() as f64)
    }
}

fn instrument<'a>(
    book: &'a Book,
    named: Option<&Written>,
    usual: Option<&Written>,
) -> Option<&'a Instrument> {
    book.instrument(&named.or(usual)?.text)
}

pub(super) fn tape<'a>(book: &'a Book, sag: &Sag) -> Option<&'a Instrument> {
    instrument(book, sag.tape.as_ref(), book.about.tape.as_ref())
}

pub(super) fn hanging<'a>(book: &'a Book, sag: &'a Sag) -> Option<Reading<'a>> {
    Reading::of(Sag::hanging, sag.hanging.as_ref(), tape(book, sag))
}

pub(super) fn alone<'a>(book: &'a Book, sag: &'a Sag) -> Rests<'a> {
    let tape = tape(book, sag);
    Rests {
        plain: Reading::of(Sag::alone, sag.alone.as_ref(), tape),
        after_push: Reading::of(Sag::alone_after_push, sag.alone_after_push.as_ref(), tape),
        after_lift: Reading::of(Sag::alone_after_lift, sag.alone_after_lift.as_ref(), tape),
    }
}

pub(super) fn aboard<'a>(book: &'a Book, sag: &'a Sag) -> Rests<'a> {
    let tape = tape(book, sag);
    Rests {
        plain: Reading::of(Sag::aboard, sag.aboard.as_ref(), tape),
        after_push: Reading::of(Sag::aboard_after_push, sag.aboard_after_push.as_ref(), tape),
        after_lift: Reading::of(Sag::aboard_after_lift, sag.aboard_after_lift.as_ref(), tape),
    }
}

/// One pressure of a block, as left or as found.
pub(super) fn pressure<'a>(book: &'a Book, block: &Pressures, reading: &'a PressureReading) -> Reading<'a> {
    let gauge = instrument(book, block.gauge.as_ref(), book.about.gauge.as_ref());
    Reading { key: &reading.name, readings: &reading.readings, instrument: gauge }
}

/// Masses on the wheels: front and rear alone, front and rear aboard.
pub(super) fn masses<'a>(book: &'a Book, scales: &'a Scales) -> [Option<Reading<'a>>; 4] {
    let scale = instrument(book, scales.scale.as_ref(), book.about.scale.as_ref());
    [
        Reading::of(Scales::front_alone, scales.front_alone.as_ref(), scale),
        Reading::of(Scales::rear_alone, scales.rear_alone.as_ref(), scale),
        Reading::of(Scales::front_aboard, scales.front_aboard.as_ref(), scale),
        Reading::of(Scales::rear_aboard, scales.rear_aboard.as_ref(), scale),
    ]
}

pub(super) fn pull(steering: &Steering) -> Option<Reading<'_>> {
    Reading::of(Steering::pull, steering.pull.as_ref(), None)
}

/// Every reading of a block.
pub(super) fn of_block<'a>(book: &'a Book, block: &'a AnyBlock) -> Vec<Reading<'a>> {
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
