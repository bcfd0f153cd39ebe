//! Figures: readings and settings bound to the formulas of `physics`.

pub mod tape;
