//! Whether a repeated measurement drifts, and when it leaves its band.

use super::spread::{median, median_of_sorted, ties};
use super::{CONFIDENCE, normal_quantile};

/// A straight line through repeated measurements.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Drift {
    /// Change of the measurement for each unit of time or use.
    pub slope: f64,
    /// The measurement on the line at zero time or use.
    pub at_zero: f64,
    /// The slopes that the measurements cannot distinguish from it with 95 % confidence; `None` where there are
    /// too few.
    pub interval: Option<(f64, f64)>,
}

/// The line through points of (time or use, measurement); its slope is the median of all pairs' slopes.
///
/// `None` where no two points differ in time.
///
/// **Units** any; the slope in measurement per time. **Shape** any order. **Domain** numbers; time and memory
/// grow with the square of their count.
///
/// **Source** H. Theil (1950); P. K. Sen, *J. Am. Stat. Assoc.* 63 (1968) 1379: of the N sorted slopes the M1-th
/// and the (M2 + 1)-th, `M = (N ∓ z σ)/2` to the nearest whole. The line runs through the median of
/// `y − slope x`.
pub fn drift(points: &[(f64, f64)]) -> Option<Drift> {
    let slopes = pair_slopes(points);
    let slope = median_of_sorted(&slopes)?;
    let rests: Vec<f64> = points.iter().map(|(time, value)| value - slope * time).collect();
    Some(Drift { slope, at_zero: median(&rests)?, interval: interval(points, &slopes) })
}

impl Drift {
    /// The measurement on the line.
    pub fn at(&self, time: f64) -> f64 {
        self.at_zero + self.slope * time
    }

    /// The time or use at which the line leaves a band of (least, most), which may be in the past.
    ///
    /// `None` where the line is flat and never does.
    pub fn leaves(&self, band: (f64, f64)) -> Option<f64> {
        let edge = if self.slope > 0.0 { band.1 } else { band.0 };
        (self.slope != 0.0).then(|| (edge - self.at_zero) / self.slope)
    }
}

/// The slopes of all pairs that differ in time, in rising order.
fn pair_slopes(points: &[(f64, f64)]) -> Vec<f64> {
    let mut slopes: Vec<f64> = points
        .iter()
        .enumerate()
        .flat_map(|(index, from)| points.iter().skip(index + 1).map(move |to| (from, to)))
        .filter(|(from, to)| from.0 != to.0)
        .map(|(from, to)| (to.1 - from.1) / (to.0 - from.0))
        .collect();
    slopes.sort_unstable_by(f64::total_cmp);
    slopes
}

fn interval(points: &[(f64, f64)], slopes: &[f64]) -> Option<(f64, f64)> {
    let z = normal_quantile(0.5 + 0.5 * CONFIDENCE)?;
    let reach = z * variance(points).sqrt();
    let pairs = slopes.len() as f64;
    let first = ((pairs - reach) / 2.0).round();
    let last = ((pairs + reach) / 2.0).round() + 1.0;
    if first < 1.0 {
        return None;
    }
    Some((*slopes.get(first as usize - 1)?, *slopes.get(last as usize - 1)?))
}

/// Variance of Kendall's score among points without a drift, with ties in time or value.
fn variance(points: &[(f64, f64)]) -> f64 {
    let part = |count: usize| {
        let count = count as f64;
        count * (count - 1.0) * (2.0 * count + 5.0)
    };
    let tied = |pick: fn(&(f64, f64)) -> f64| {
        let mut sorted: Vec<f64> = points.iter().map(pick).collect();
        sorted.sort_unstable_by(f64::total_cmp);
        ties(&sorted).map(part).sum::<f64>()
    };
    (part(points.len()) - tied(|point| point.0) - tied(|point| point.1)).max(0.0) / 18.0
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn nothing_to_draw_a_line_through() {
        assert_eq!(drift(&[]), None);
        assert_eq!(drift(&[(1.0, 2.0)]), None);
        assert_eq!(drift(&[(1.0, 2.0), (1.0, 3.0)]), None);
    }

    #[test]
    fn the_order_of_the_points_does_not_matter() {
        let points = [(0.0, 5.0), (3.0, 4.0), (4.0, 7.0), (9.0, 8.0), (9.0, 6.5), (12.0, 9.0)];
        let mut turned = points;
        turned.reverse();
        assert_eq!(drift(&points), drift(&turned));
    }

    #[test]
    fn a_flat_line_never_leaves_its_band() {
        let flat = drift(&[(0.0, 5.0), (1.0, 5.0), (2.0, 5.0)]).unwrap();
        assert_eq!((flat.slope, flat.leaves((4.0, 6.0))), (0.0, None));
        let falls = drift(&[(0.0, 5.0), (1.0, 4.0)]).unwrap();
        assert_eq!((falls.leaves((2.0, 6.0)), falls.at(2.0)), (Some(3.0), 3.0));
    }
}
