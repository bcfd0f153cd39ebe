//! What a season of readings and stints of laps tell, without faith in any distribution.
//!
//! Medians and ranks: one bad lap or one slipped reading does not turn them. What may be compared, and
//! what it means, belongs to the caller.

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

/// Of the intervals: the share of them that hold what they are for.
pub const CONFIDENCE: f64 = 0.95;
