//! Quantities: numbers with a unit, as riders write them and as they are shown again.
//!
//! SI inside, the notebook's units outside. This room knows text and numbers, not files: its places are byte
//! ranges within the text given. Which numbers a key may have is for the vocabulary; what no number of a kind
//! can be is refused here.

mod choice;
mod codes;
mod kind;
mod numeral;
mod parse;
mod problem;
mod rounding;
mod show;
mod suffix;
mod table;
mod unit;
mod wording;

use std::ops::Range;

pub use choice::{UnitDefaults, Units};
pub use codes::CODES;
pub use kind::Kind;
pub use parse::{amount, interval, number, quantity, repeats, unit};
pub use problem::{Fault, Impossible, Problem};
pub use show::{
    Change, Shown, from_to, interval_said, show, show_change, show_in, show_interval, show_measured_change,
    show_picked, show_value, show_width, show_with_uncertainty, shown_alike, unit_word, unit_words,
};
pub use table::Unit;
pub(crate) use wording::in_the_same_unit;

/// One number with its unit, as it was written.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Quantity {
    pub kind: Kind,
    /// In the SI base unit of the kind (see [`Kind::si_unit`]).
    pub value: f64,
    /// The unit it was written in.
    pub unit: Unit,
    /// The expanded uncertainty (k = 2) written behind `±`, in the SI base unit.
    pub plus_minus: Option<f64>,
    /// The place value of the last digit written, in the SI base unit: how exactly it was meant when two values
    /// are compared.
    pub last_digit: f64,
}

/// One or more readings of the same thing, each with its range in the text.
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

/// A setting as written: its value, or the change from the value before.
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

impl Quantity {
    /// The standard uncertainty of what was written with `±`, in the SI base unit; `None` where no `±`
    /// was written.
    ///
    /// **Source** JCGM 100:2008, 7.2.3: written uncertainties are expanded with k = 2.
    pub fn standard_uncertainty(&self) -> Option<f64> {
        self.plus_minus.map(|expanded| expanded / 2.0)
    }

    /// The same number in another unit of the kind, for who took one for the other.
    #[must_use]
    pub fn misread_as(&self, unit: Unit) -> Self {
        let number = self.unit.from_si(self.kind, self.value);
        let width = |of_this: f64| unit.width_to_si(self.unit.width_from_si(of_this));
        Self {
            value: unit.to_si(self.kind, number),
            unit,
            plus_minus: self.plus_minus.map(width),
            last_digit: width(self.last_digit),
            ..*self
        }
    }

    /// The same digits with the decimal point elsewhere, for who lost it.
    #[must_use]
    pub fn times(&self, by: f64) -> Self {
        Self { value: self.value * by, last_digit: self.last_digit * by, ..*self }
    }

    /// The value after a change, in its own unit. Its last digit is the finer of the two, and both uncertainties
    /// count as independent.
    #[must_use]
    pub fn moved_by(&self, by: &Self) -> Self {
        let value = self.value + by.value;
        let plus_minus = match (self.plus_minus, by.plus_minus) {
            (Some(one), Some(other)) => Some((one * one + other * other).sqrt()),
            (one, other) => one.or(other),
        };
        Self {
            // The tenth decimal of a click or a micrometre comes from the arithmetic, not from the rider.
            value: if value.abs() < 1e-12 { 0.0 } else { value },
            plus_minus,
            last_digit: self.last_digit.min(by.last_digit),
            ..*self
        }
    }

    /// The same amount the other way.
    #[must_use]
    pub fn negated(&self) -> Self {
        Self { value: -self.value, ..*self }
    }

    /// The difference from an earlier value, with both uncertainties independent; `None` where the two are of
    /// different kinds.
    ///
    /// A value without `±` counts as exact. The coarser of the two last digits is kept.
    pub fn since(&self, earlier: &Self) -> Option<Self> {
        let plus_minus = match (self.plus_minus, earlier.plus_minus) {
            (Some(one), Some(other)) => Some((one * one + other * other).sqrt()),
            (one, other) => one.or(other),
        };
        (self.kind == earlier.kind).then(|| Self {
            kind: self.kind.difference(),
            value: self.value - earlier.value,
            unit: self.unit,
            plus_minus,
            last_digit: self.last_digit.max(earlier.last_digit),
        })
    }
}

impl Way {
    /// The word behind the number, or the sign in front of it.
    pub fn word(self) -> &'static str {
        match self {
            Self::Plus => "+",
            Self::Minus => "-",
            Self::In => "in",
            Self::Out => "out",
            Self::Up => "up",
            Self::Down => "down",
        }
    }

    pub fn opposite(self) -> Self {
        match self {
            Self::Plus => Self::Minus,
            Self::Minus => Self::Plus,
            Self::In => Self::Out,
            Self::Out => Self::In,
            Self::Up => Self::Down,
            Self::Down => Self::Up,
        }
    }
}
