//! The formulas: pure functions on SI numbers.
//!
//! Knows no notebook, has no defaults, rounds nothing and clamps nothing; each function cites where
//! its formula is from.

mod angle;
mod anti_squat;
pub mod chain;
pub mod gearing;
pub mod geometry;
mod number;
mod point;
pub mod solve;
pub mod steering;
pub mod tyres;

pub use anti_squat::{AntiSquat, ChainLine};
pub use geometry::Attitude;
pub use number::Number;
pub use point::Point;
