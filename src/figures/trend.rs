//! Whether readings drift, and when they leave their band.

use jiff::civil::Date;

use crate::book::Notebook;
use crate::physics::statistics::{Drift, drift};

use super::series::{Series, SeriesPoint};

/// How many of the last readings show a drift: older ones add nothing.
const LAST_READINGS: usize = 200;
/// Fewer than this are no series.
const FEWEST: usize = 3;
/// How far a line is drawn past its last reading, in days.
const FARTHEST_DAYS: f64 = 3_650.0;

/// A drift, and the day that its time counts from.
pub struct Trend {
    pub origin: Date,
    /// SI units a day.
    pub drift: Drift,
    /// Whether the readings distinguish it from no drift.
    pub is_seen: bool,
    /// The last day still inside its band, where it drifts and has one.
    pub leaves: Option<Date>,
}

/// Days from one date to another.
pub fn days_between(from: Date, to: Date) -> f64 {
    f64::from((to - from).get_days())
}

impl<'a> Series<'a> {
    /// The drift by the calendar; `None` where there are too few readings.
    pub fn trend(&self, machine: &'a Notebook) -> Option<Trend> {
        let run = self.latest();
        let origin = run.first()?.date;
        let points: Vec<(f64, f64)> =
            run.iter().map(|point| (days_between(origin, point.date), point.value)).collect();
        if points.len() < FEWEST {
            return None;
        }
        let drift = drift(&points)?;
        let is_seen = drift.interval.is_some_and(|(low, high)| low > 0.0 || high < 0.0);
        let band = self.within(machine).filter(|_| is_seen);
        let leaves = band.and_then(|band| drift.leaves(band)).and_then(|after| {
            let last = days_between(origin, run.last()?.date);
            // The last day still inside.
            let whole = after.floor();
            let is_near = (-FARTHEST_DAYS..=last + FARTHEST_DAYS).contains(&whole);
            let span = jiff::Span::new().try_days(if is_near { whole as i64 } else { return None }).ok()?;
            origin.checked_add(span).ok()
        });
        Some(Trend { origin, drift, is_seen, leaves })
    }

    /// The readings that a drift is worked out from.
    pub fn latest(&self) -> &[SeriesPoint<'a>] {
        let run = self.run();
        run.get(run.len().saturating_sub(LAST_READINGS)..).unwrap_or_default()
    }
}
