//! What the formulas compute with: plain numbers, or numbers that remember what they came from.
//!
//! Every formula is written once over this trait. With `f64` it gives a value; with the recording number of
//! `figures` also the exact derivative to every error source.

use std::fmt::Debug;
use std::ops::{Add, Div, Mul, Neg, Sub};

/// A real number that the formulas can be worked out with.
///
/// Branch on [`value`](Number::value) only. An iterative solver runs on plain values and ends with one
/// Newton step in `Self`, which makes the derivative exact.
pub trait Number:
    Copy
    + Debug
    + Add<Output = Self>
    + Sub<Output = Self>
    + Mul<Output = Self>
    + Div<Output = Self>
    + Neg<Output = Self>
    + Add<f64, Output = Self>
    + Sub<f64, Output = Self>
    + Mul<f64, Output = Self>
    + Div<f64, Output = Self>
{
    /// An exact number.
    fn constant(value: f64) -> Self;

    /// The number without its history.
    fn value(self) -> f64;

    /// Applies a function of one argument, given its value and its derivative at this number.
    fn chain(self, value: f64, derivative: f64) -> Self;

    fn squared(self) -> Self {
        self * self
    }
    fn sqrt(self) -> Self {
        let root = self.value().sqrt();
        self.chain(root, 0.5 / root)
    }
    /// Angle in rad.
    fn sin(self) -> Self {
        self.chain(libm::sin(self.value()), libm::cos(self.value()))
    }
    fn cos(self) -> Self {
        self.chain(libm::cos(self.value()), -libm::sin(self.value()))
    }
    /// In rad; not a number outside −1 to 1.
    fn asin(self) -> Self {
        let x = self.value();
        self.chain(libm::asin(x), 1.0 / (1.0 - x * x).sqrt())
    }
    fn atan(self) -> Self {
        let x = self.value();
        self.chain(libm::atan(x), 1.0 / (1.0 + x * x))
    }
    /// The angle of the point (`x`, `self`), in rad.
    fn atan2(self, x: Self) -> Self {
        let (y0, x0) = (self.value(), x.value());
        let square = x0 * x0 + y0 * y0;
        let angle = libm::atan2(y0, x0);
        // The two partial derivatives, one part each; the first part carries the value.
        self.chain(angle, x0 / square) + x.chain(0.0, -y0 / square)
    }
    fn exp(self) -> Self {
        let power = libm::exp(self.value());
        self.chain(power, power)
    }
    /// Natural logarithm.
    fn ln(self) -> Self {
        self.chain(libm::log(self.value()), 1.0 / self.value())
    }
    /// `self` (positive) to an exact power.
    fn powf(self, exponent: f64) -> Self {
        let x = self.value();
        self.chain(libm::pow(x, exponent), exponent * libm::pow(x, exponent - 1.0))
    }
    /// `self` (positive) to a power that is itself uncertain.
    fn pow(self, exponent: Self) -> Self {
        let (x, n) = (self.value(), exponent.value());
        let power = libm::pow(x, n);
        self.chain(power, n * libm::pow(x, n - 1.0)) + exponent.chain(0.0, power * libm::log(x))
    }
}

impl Number for f64 {
    fn constant(value: f64) -> Self {
        value
    }
    fn value(self) -> f64 {
        self
    }
    fn chain(self, value: f64, _derivative: f64) -> Self {
        value
    }
}
