//! A place in the plane of the machine: x forward, y up.

use super::Number;

/// A place, or the way from one place to another.
///
/// **Units** m.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Point<N> {
    pub x: N,
    pub y: N,
}

impl<N: Number> Point<N> {
    /// The point this far ahead of and above another.
    pub fn offset(self, forward: N, up: N) -> Self {
        Point { x: self.x + forward, y: self.y + up }
    }

    pub fn distance(self, other: Self) -> N {
        ((self.x - other.x).squared() + (self.y - other.y).squared()).sqrt()
    }

    /// The direction from `self` to `other`, from straight ahead, upwards positive.
    ///
    /// **Units** rad, −π to π. **Domain** two different places.
    pub fn direction(self, other: Self) -> N {
        (other.y - self.y).atan2(other.x - self.x)
    }
}
