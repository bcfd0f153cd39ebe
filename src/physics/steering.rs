//! How the bars feel: width, drag of the head bearing, and the wrench that sets it.

use super::Number;

/// Width of the bars after cutting the same from both ends.
///
/// **Units** m. **Source** arithmetic.
pub fn width_after_cut<N: Number>(width: N, cut_per_side: N) -> N {
    width - cut_per_side * 2.0
}

/// Steering torque for the same hand force, against bars of another width.
///
/// **Units** m; a ratio. **Source** lever rule: torque goes with the half-width of the grips.
pub fn torque_ratio<N: Number>(width: N, width_before: N) -> N {
    width / width_before
}

/// How far a hand travels when the bars are turned.
///
/// **Units** m, rad. **Source** definition of the angle: `w δ` with the half-width w.
pub fn hand_travel<N: Number>(width: N, steer: N) -> N {
    width * steer * 0.5
}

/// Torque that starts the fork turning, from a scale pulled square to a known radius.
///
/// **Units** N, m; N m. **Source** definition of torque.
pub fn breakaway_torque<N: Number>(pull: N, radius: N) -> N {
    pull * radius
}

/// What to set on a torque wrench that carries an extension in line with it.
///
/// `wrench` is from the middle of the grip to the square drive.
///
/// **Units** N m, m. **Domain** lengths above zero. **Source** lever rule: `T L / (L + E)`.
pub fn wrench_setting<N: Number>(torque: N, wrench: N, extension: N) -> N {
    torque * wrench / (wrench + extension)
}
