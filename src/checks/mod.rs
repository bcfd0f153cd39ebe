//! The rules, one a file, over everything above.

pub mod due;

pub use due::{Due, Last, due, schedule};
