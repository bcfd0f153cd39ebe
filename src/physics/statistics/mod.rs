//! What a season of readings and stints of laps show, without assuming any distribution.
//!
//! Medians and ranks: one bad lap or one misread value does not change them much. What may be compared, and
//! what it means, is the caller's concern.

mod drift;
mod power;
mod quantiles;
mod spread;
mod stints;

pub use drift::{Drift, drift};
pub use power::{deviation, laps_to_show, least_shown, power};
pub use quantiles::{normal_quantile, student_for_normal, student_quantile};
pub use spread::{median, median_absolute_deviation};
pub use stints::{Comparison, FEWEST_LAPS, Interval, Uncompared, compare};

/// Of the intervals: the share of them that contain the true value.
pub const CONFIDENCE: f64 = 0.95;
