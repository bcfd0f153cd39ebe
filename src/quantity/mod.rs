//! Quantities: numbers with a unit, as riders write them and as they are shown again.
//!
//! SI inside, the notebook's units outside. This room knows text and numbers; where the text stood in
//! a file is the caller's business, so places here are byte ranges within the text given.

mod kind;

use std::ops::Range;

pub use kind::Kind;

/// One number with its unit, as it was written.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Quantity {
    pub kind: Kind,
    /// In the SI base unit of the kind (see [`Kind`]).
    pub value: f64,
    /// The unit it was written in.
    pub unit: Unit,
    /// The expanded uncertainty (k = 2) written behind `±`, in the SI base unit.
    pub plus_minus: Option<f64>,
    /// The place value of the last digit written, in the SI base unit: how exactly it was meant
    /// where two values are held against each other.
    pub last_digit: f64,
}

/// A unit of the unit table, by its place there.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Unit(pub(crate) u16);

/// One or more readings of the same thing; each with its range in the text it was written in.
#[derive(Debug, Clone, PartialEq)]
pub struct Repeats {
    pub values: Vec<(Quantity, Range<usize>)>,
}

/// `x..y`, either end open but not both.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Interval {
    pub low: Option<Quantity>,
    pub high: Option<Quantity>,
}

/// A setting as written: where it is, or how far it went from where it was.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Amount {
    At(Quantity),
    /// The size of the change (not negative) and which way it went.
    By(Quantity, Way),
}

/// Which way a relative change went, in the word or sign it was written with.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Way {
    /// `+3 psi`
    Plus,
    /// `-3 psi`
    Minus,
    In,
    Out,
    Up,
    Down,
}
