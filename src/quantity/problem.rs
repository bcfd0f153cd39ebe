//! What can be wrong with a written quantity: facts and a range, without words.

use std::ops::Range;

use super::kind::Kind;
use super::table::Unit;
use super::{Quantity, Way};

/// A fault and where in the text it is.
#[derive(Debug, Clone, PartialEq)]
pub struct Problem {
    pub fault: Fault,
    /// Bytes of the text given; empty for numbers that were not text.
    pub range: Range<usize>,
}

/// What is wrong.
#[derive(Debug, Clone, PartialEq)]
pub enum Fault {
    /// Nothing is written.
    Empty {
        wanted: Vec<Kind>,
    },
    /// What is written is no number.
    NotANumber {
        found: String,
        wanted: Vec<Kind>,
    },
    /// A decimal comma, or a comma between thousands.
    Comma {
        found: String,
    },
    /// A time whose minutes or seconds are not two digits below 60.
    Clock {
        found: String,
    },
    /// A fraction that no ruler has, or with a denominator of zero.
    Fraction {
        found: String,
    },
    MissingUnit {
        number: String,
        wanted: Vec<Kind>,
    },
    UnknownUnit {
        found: String,
        near: Vec<&'static str>,
        wanted: Vec<Kind>,
    },
    /// The unit measures another kind than the one wanted.
    WrongKind {
        number: String,
        unit: Unit,
        found: Kind,
        wanted: Vec<Kind>,
    },
    /// `abs` where a gauge reads.
    AbsoluteWhereGauge,
    /// `gauge` where only the air's own pressure makes sense.
    GaugeWhereAbsolute,
    /// Several values where one is wanted.
    Several {
        count: usize,
    },
    /// `x..y` where one value is wanted.
    RangeWhereOne,
    /// One value where `x..y` is wanted.
    OneWhereRange {
        value: String,
    },
    /// `..` with nothing on either side.
    NoEnds,
    /// *100 mm to 108 mm*.
    Spoken {
        /// With two dots.
        written: String,
    },
    /// `150-154`: a range, or a difference, or a slip.
    Dash {
        low: String,
        high: String,
    },
    /// The upper end is written first.
    UpsideDown {
        low: String,
        high: String,
    },
    /// A direction where a value is wanted, not a change.
    Direction {
        way: Way,
    },
    /// A sign in front and a direction behind.
    TwoDirections {
        sign: Way,
        way: Way,
    },
    /// A part of something that only comes whole.
    NotWhole {
        kind: Kind,
    },
    /// A number that nothing of this kind can have.
    Impossible {
        quantity: Quantity,
        reason: Impossible,
    },
    /// An uncertainty below zero, or beside an end of a range.
    PlusMinus {
        found: String,
    },
    /// Words behind the quantity that mean nothing there.
    LeftOver {
        found: String,
    },
}

/// Why a number is impossible.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Impossible {
    /// A temperature that is not above absolute zero.
    AbsoluteZero,
    /// A pressure below that of a vacuum.
    BelowVacuum,
    /// Below zero, where nothing is.
    Negative,
    /// Zero or below, where there must be something.
    NotPositive,
    /// Outside what is possible, ends in the SI base unit.
    Outside { low: f64, high: f64 },
}
