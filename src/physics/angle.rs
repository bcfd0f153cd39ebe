//! Angles from their sines and cosines, where a drawing may not close.

use super::Number;

/// The angle with this sine, in rad; `None` where there is none.
///
/// ±1 counts as none: the angle is at its end there and its derivative is not a number.
pub fn of_sine<N: Number>(sine: N) -> Option<N> {
    (sine.value().abs() < 1.0).then(|| sine.asin())
}

/// The angle with this cosine, in rad from 0 to π; `None` where there is none, as for [`of_sine`].
pub fn of_cosine<N: Number>(cosine: N) -> Option<N> {
    (cosine.value().abs() < 1.0).then(|| cosine.acos())
}
