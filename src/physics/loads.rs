//! What each end of the machine carries.

use super::Number;

/// Standard acceleration of free fall, m/s². **Source** 3rd CGPM (1901), exact.
pub const GRAVITY: f64 = 9.80665;

/// Weight of a mass.
///
/// **Units** kg; N. **Source** `m g`.
pub fn weight<N: Number>(mass: N) -> N {
    mass * GRAVITY
}

/// How the two wheels divide a mass: the one with `share` of it, then the other.
///
/// **Units** kg, a share of one; kg. **Source** arithmetic.
pub fn divided<N: Number>(mass: N, share: N) -> (N, N) {
    (mass * share, mass * (-share + 1.0))
}

/// Mass that the spring carries, from the mass that a scale under the wheel shows.
///
/// **Units** kg. **Source** definition: wheel, axle and their share of swingarm or fork are unsprung.
pub fn sprung<N: Number>(on_wheel: N, unsprung: N) -> N {
    on_wheel - unsprung
}

/// Load along the fork of a vertical load at the front wheel.
///
/// **Units** N, rad. **Source** component along the axis, without friction: `W cos ε`.
pub fn along_fork<N: Number>(vertical: N, rake: N) -> N {
    vertical * rake.cos()
}
