//! The gas known to be inside a chamber or tyre: how it was read or set, and what was let in or out since.

use std::sync::Arc;

use jiff::civil::Date;

use crate::quantity::Quantity;
use crate::source::Span;
use crate::vocabulary::blocks::Pressures;
use crate::vocabulary::values::{PressureReading, Readings};

use super::air::{Cold, Gate};
use super::settings::Held;
use super::state::Place;

/// One pressure reading, with where and how it was taken.
#[derive(Debug, Clone, PartialEq)]
pub struct PressureMark {
    pub readings: Arc<Readings>,
    /// Its block, with the instrument and the place of the reading.
    pub block: Arc<Pressures>,
    pub gate: Gate,
    pub place: Place,
    pub date: Date,
}

/// Gas known to be inside.
#[derive(Debug, Clone, PartialEq)]
pub struct Charge {
    pub base: Base,
    /// What was let in or out since, on the same day, by the gauge.
    pub steps: Vec<Step>,
    pub date: Date,
}

/// How a charge is known.
#[derive(Debug, Clone, PartialEq)]
pub enum Base {
    Read(Arc<PressureMark>),
    /// Most charges are read: a set one has its own place.
    Set(Box<SetTo>),
}

/// A number that a pressure was set to on a day, cold.
#[derive(Debug, Clone, PartialEq)]
pub struct SetTo {
    pub aim: Held,
    pub cold: Arc<Cold>,
}

/// Pressure let in; negative when let out.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Step {
    /// With its sign.
    pub by: Quantity,
    pub span: Span,
}

/// A chamber as found, and its charge before.
#[derive(Debug, Clone, PartialEq)]
pub struct Find {
    pub mark: Arc<PressureMark>,
    pub before: Option<Arc<Charge>>,
}

impl PressureMark {
    pub(super) fn new(
        block: &Arc<Pressures>,
        reading: &PressureReading,
        gate: Gate,
        place: Place,
        date: Date,
    ) -> Self {
        let (readings, block) = (Arc::clone(&reading.readings), Arc::clone(block));
        Self { readings, block, gate, place, date }
    }

    /// The block's first reading. All readings of the block share one error of an unknown temperature.
    pub fn first_of_block(&self) -> Span {
        let others = &self.block.others;
        let all = others.found.iter().chain(&others.pressures).map(|reading| reading.readings.span);
        all.min_by_key(|span| span.start).unwrap_or(self.readings.span)
    }

    /// The mean of the repeats as a quantity, without its uncertainty.
    pub fn quantity(&self) -> Option<Quantity> {
        let first = self.readings.values.first()?.quantity;
        Some(Quantity { value: self.readings.mean()?, plus_minus: None, ..first })
    }
}

impl Charge {
    pub(super) fn read(mark: Arc<PressureMark>) -> Self {
        let date = mark.date;
        Self { base: Base::Read(mark), steps: Vec::new(), date }
    }

    /// The day on which it was set or read, by its place in the book.
    pub fn day(&self) -> Option<usize> {
        match &self.base {
            Base::Read(mark) => mark.gate.day,
            Base::Set(set) => set.cold.gate.day,
        }
    }

    /// Its gauge number at its own temperature and height, in Pa, without its uncertainty.
    pub fn quantity(&self) -> Option<Quantity> {
        let base = match &self.base {
            Base::Read(mark) => mark.quantity()?,
            Base::Set(set) => *set.aim.value.quantity()?,
        };
        Some(self.steps.iter().fold(base, |sum, step| sum.moved_by(&step.by)))
    }

    /// The reading that gives it, where there is only that.
    pub fn reading(&self) -> Option<&PressureMark> {
        match &self.base {
            Base::Read(mark) => Some(mark),
            Base::Set(..) => None,
        }
    }

    /// Where it was written: the reading, the setting, or the last step since.
    pub fn span(&self) -> Span {
        match (self.steps.last(), &self.base) {
            (Some(step), _) => step.span,
            (None, Base::Read(mark)) => mark.readings.span,
            (None, Base::Set(set)) => set.aim.span,
        }
    }
}
