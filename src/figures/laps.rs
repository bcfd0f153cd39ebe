//! Laps of the day's last stint.

use crate::physics::Number;
use crate::physics::statistics::{median, median_absolute_deviation};
use crate::vocabulary::blocks::Stint;
use crate::vocabulary::values::Laps;

use super::bench::{Bench, Got, missing};
use super::recorder::Recorder;

impl<R: Recorder> Bench<'_, R> {
    /// Lap times of the day's last stint that count, in s.
    fn laps(&self) -> Got<Vec<f64>> {
        let stint = self.here.state.stint().ok_or_else(|| missing("stint", Stint::laps, "day"))?;
        let laps = self.here.book.laps(stint);
        if let Some(span) = stint.laps.as_ref().map(Laps::span) {
            self.rests_on(span);
        }
        if laps.is_empty() { Err(missing("stint", Stint::laps, "day")) } else { Ok(laps) }
    }

    fn of_laps(&self, statistic: impl FnOnce(&[f64]) -> Option<f64>) -> Got<R::Number> {
        let laps = self.laps()?;
        statistic(&laps).map(R::Number::constant).ok_or_else(|| missing("stint", Stint::laps, "day"))
    }

    pub(super) fn best_lap(&self) -> Got<R::Number> {
        self.of_laps(|laps| laps.iter().copied().reduce(f64::min))
    }

    pub(super) fn median_lap(&self) -> Got<R::Number> {
        self.of_laps(median)
    }

    pub(super) fn lap_spread(&self) -> Got<R::Number> {
        self.of_laps(median_absolute_deviation)
    }
}
