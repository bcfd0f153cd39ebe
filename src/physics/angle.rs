//! Angles from their sines, where a drawing may not close.

use super::Number;

/// The angle with this sine, in rad; `None` where there is none.
///
/// ±1 counts as none: the angle is at its end there and its derivative is not a number.
pub fn of_sine<N: Number>(sine: N) -> Option<N> {
    (sine.value().abs() < 1.0).then(|| sine.asin())
}
