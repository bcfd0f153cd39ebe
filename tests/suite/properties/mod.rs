//! Properties of the formulas: what must hold for every machine, not for one worked example.

pub mod draws;
mod dual;
mod first_order;
mod geometry;
mod springs;
mod statistics;
mod weather;

use dual::Dual;

/// Whether two numbers agree to a fraction of their size, or of `scale` where they are small.
fn close(one: f64, other: f64, relative: f64, scale: f64) -> bool {
    (one - other).abs() <= relative * one.abs().max(other.abs()).max(scale)
}

/// The derivative of a formula at `place`: exact, by a dual number.
fn derivative(formula: impl Fn(Dual) -> Dual, place: f64) -> f64 {
    formula(Dual { value: place, slope: 1.0 }).slope
}

/// The same by central differences of plain numbers, extrapolated once.
fn by_differences(formula: impl Fn(f64) -> f64, place: f64, step: f64) -> f64 {
    let central = |step: f64| (formula(place + step) - formula(place - step)) / (2.0 * step);
    (4.0 * central(step / 2.0) - central(step)) / 3.0
}
