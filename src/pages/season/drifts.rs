//! Drifts in words.

use serde::Serialize;

use crate::figures::{Of, Series, Trend, days_between};
use crate::physics::statistics::{Drift, drift};
use crate::quantity::{Way, show_change};
use crate::speech::say;

use super::Desk;
use super::diary::HOUR;

/// What a slope is shown over: a hundred days, and ten hours of riding.
const DAYS: f64 = 100.0;
const HOURS: f64 = 10.0;
/// How far ahead a drift is shown, in days.
const YEAR: f64 = 365.0;

/// A figure's drift since a setting that moves it was last changed.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct DriftLine {
    pub id: Of,
    pub label: String,
    pub readings: usize,
    /// The first of those readings.
    pub since: String,
    /// In 100 days, with its interval.
    pub by_time: String,
    /// In 10 hours ridden, with its interval; `None` where the hours are not known.
    pub by_use: Option<String>,
    /// Whether the readings distinguish it from no drift.
    pub is_seen: bool,
    /// The date on which it leaves its band, where it drifts and has one.
    pub leaves: Option<String>,
    pub claim: String,
}

/// The drift of everything measured that has enough readings.
pub(super) fn drifts(desk: &Desk<'_>, series: &[Series<'_>]) -> Vec<DriftLine> {
    let measured = series.iter().filter(|series| series.is_measured());
    measured.filter_map(|series| told(desk, series)).collect()
}

fn told(desk: &Desk<'_>, series: &Series<'_>) -> Option<DriftLine> {
    let Trend { drift: by_time, is_seen, leaves, .. } = series.trend(desk.machine)?;
    let run = series.latest();
    let used: Option<Vec<(f64, f64)>> =
        run.iter().map(|point| Some((point.ridden? / HOUR, point.value))).collect();
    let by_use = used.and_then(|points| drift(&points));
    let last = run.last()?;
    // A drift to a date more than a year ahead is not a date.
    let leaves = leaves.filter(|date| days_between(last.date, *date) <= YEAR);
    let claim = match (is_seen, leaves) {
        (false, _) if by_time.interval.is_none() => say!("too few readings"),
        (false, _) => say!("no drift seen"),
        (true, Some(date)) if date < last.date => say!("out of band"),
        (true, Some(date)) => say!("at this rate out of band on {date}", date),
        (true, None) => say!("drifts"),
    };
    Some(DriftLine {
        id: series.of,
        label: desk.say.text(&series.label),
        readings: run.len(),
        since: run.first()?.date.to_string(),
        by_time: slope(desk, series, &by_time, DAYS),
        by_use: by_use.map(|drift| slope(desk, series, &drift, HOURS)),
        is_seen,
        leaves: leaves.map(|date| date.to_string()),
        claim: desk.say.text(&claim),
    })
}

/// A slope over some days or hours: `−0.4 mm (−0.9 to +0.1)`.
fn slope(desk: &Desk<'_>, series: &Series<'_>, drift: &Drift, over: f64) -> String {
    let told = |slope: f64| show_change(series.kind, slope * over, desk.say.units(), Way::Plus);
    let middle = told(drift.slope);
    match drift.interval {
        Some((low, high)) => {
            let bare = |slope: f64| {
                let change = told(slope);
                let sign = match change.way {
                    Some(Way::Minus) => "−",
                    Some(_) => "+",
                    None => "",
                };
                format!("{sign}{}", change.size.number)
            };
            // The bounds stay on one line.
            desk.say.text(&say!(
                "{middle} ({low}\u{A0}to\u{A0}{high})",
                middle = middle.to_string(),
                low = bare(low),
                high = bare(high)
            ))
        }
        None => middle.to_string(),
    }
}
