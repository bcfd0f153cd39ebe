//! The formulas: pure functions on SI numbers.
//!
//! It knows no notebook, has no defaults, rounds nothing and clamps nothing. Each function cites the source of
//! its formula.

pub mod air;
mod angle;
mod anti_squat;
pub mod chain;
pub(crate) mod curve;
pub mod engine;
pub mod fork;
pub mod gearing;
pub mod geometry;
mod leverage;
pub mod loads;
mod number;
mod point;
mod rest;
pub mod solve;
pub mod springs;
pub mod statistics;
pub mod steering;
pub mod tyres;
pub mod uncertainty;
pub mod weather;

pub use anti_squat::{AntiSquat, ChainLine};
pub use fork::Fork;
pub use geometry::Attitude;
pub use leverage::{Leverage, TableFault};
pub use number::Number;
pub use point::{Point, outer_tangents};
pub use rest::{Rest, Unsettled};
pub use springs::Shock;
