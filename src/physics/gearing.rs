//! From engine speed to road speed.

use std::f64::consts::PI;

use super::Number;

/// Road speed in a gear, without slip.
///
/// The ratios are turns of the driving shaft for one of the driven.
///
/// **Units** `engine` in revolutions a second, `rear_radius` in m; m/s. **Domain** ratios above zero.
///
/// **Source** definition: a wheel that rolls covers `2π R` a turn.
pub fn road_speed<N: Number>(engine: N, rear_radius: N, primary: N, gear: N, final_ratio: N) -> N {
    engine / (primary * gear * final_ratio) * rear_radius * (2.0 * PI)
}
