//! How the bars feel: their width, and the drag of the head bearing.

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

/// Torque that starts the fork turning, from a scale pulled square to a known radius.
///
/// **Units** N, m; N m. **Source** definition of torque.
pub fn breakaway_torque<N: Number>(pull: N, radius: N) -> N {
    pull * radius
}
