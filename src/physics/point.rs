//! A place in the plane of the machine: x forward, y up.

use std::f64::consts::FRAC_PI_2;

use super::Number;

/// A place, or the vector from one place to another.
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

    /// The point this far along a direction, from straight ahead, upwards positive.
    ///
    /// **Units** those of the point; rad.
    pub fn along(self, by: N, direction: N) -> Self {
        self.offset(by * direction.cos(), by * direction.sin())
    }
}

/// The outer tangents of two circles, each as its contacts on the first and on the second: first the one on the left when going
/// from the first to the second, then the one on the right. `None` where one circle is inside the other.
///
/// **Units** one length.
///
/// **Source** Euclid, *Elements* III.18: a tangent is square to the radius at its contact. So both radii are parallel, and the
/// sine of the taper is the difference of the radii over the distance of the centres.
pub fn outer_tangents(
    (first, first_radius): (Point<f64>, f64),
    (second, second_radius): (Point<f64>, f64),
) -> Option<[[Point<f64>; 2]; 2]> {
    let taper = (first_radius - second_radius) / first.distance(second);
    if taper.is_nan() || taper.abs() >= 1.0 {
        return None;
    }
    let tangent = |side: f64| {
        let out = first.direction(second) + side * (FRAC_PI_2 - libm::asin(taper));
        [first.along(first_radius, out), second.along(second_radius, out)]
    };
    Some([tangent(1.0), tangent(-1.0)])
}

#[cfg(test)]
mod tests {
    use super::*;

    /// By hand: centres 5 apart and radii that differ by 3 leave 4 for the tangent, as 3² + 4² = 5².
    #[test]
    fn tangents_touch_both_circles_and_are_as_long_as_pythagoras_has_them() {
        let (first, second) = (Point { x: 1.0, y: 2.0 }, Point { x: 4.0, y: 6.0 });
        let [left, right] = outer_tangents((first, 4.0), (second, 1.0)).unwrap();
        for [from, to] in [left, right] {
            assert!((from.distance(to) - 4.0).abs() < 1e-12);
            assert!((first.distance(from) - 4.0).abs() < 1e-12 && (second.distance(to) - 1.0).abs() < 1e-12);
            // Square to the radius: the dot product vanishes.
            let dot = (from.x - first.x) * (to.x - from.x) + (from.y - first.y) * (to.y - from.y);
            assert!(dot.abs() < 1e-12);
        }
        // Left of the way from (1, 2) to (4, 6) is up and back.
        let ahead = |point: Point<f64>| (point.x - 1.0) * -4.0 + (point.y - 2.0) * 3.0;
        assert!(ahead(left[0]) > 0.0 && ahead(right[0]) < 0.0);
        assert!(outer_tangents((first, 6.0), (second, 1.0)).is_none());
        assert!(outer_tangents((first, 1.0), (first, 1.0)).is_none());
    }
}
