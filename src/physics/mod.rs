//! The formulas: pure functions on SI numbers.
//!
//! Knows no notebook, has no defaults, rounds nothing and clamps nothing; each function cites where
//! its formula is from.

mod number;

pub use number::Number;
