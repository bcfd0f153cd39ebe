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

/// Mass on one wheel, from whole masses and the share of each that this wheel carries.
///
/// **Units** kg, shares of one; kg. **Source** arithmetic.
pub fn on_wheel<N: Number>(machine: N, machine_share: N, rider: N, rider_share: N) -> N {
    machine * machine_share + rider * rider_share
}

/// Mass that the spring carries, of the mass that a scale under the wheel shows.
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
