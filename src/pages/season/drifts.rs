//! Whether readings drift, and when they leave their band.

use jiff::civil::{Date, date};
use serde::Serialize;

use crate::physics::statistics::{Drift, drift};
use crate::quantity::{Way, show_change};

use super::Desk;
use super::diary::HOUR;
use super::series::{Point, Series};

/// How many of the last readings a drift is told from: past this, old readings say nothing new.
const LAST_READINGS: usize = 200;
/// Fewer than this are no series.
const FEWEST: usize = 3;
/// What a slope is told over: a hundred days, and ten hours of riding.
const DAYS: f64 = 100.0;
const HOURS: f64 = 10.0;
/// A line is not drawn further than this past its last reading.
const FARTHEST_DAYS: f64 = 3_650.0;

/// A figure's drift since a setting that moves it was last changed.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct DriftLine {
    pub id: String,
    pub label: String,
    pub readings: usize,
    /// The first of those readings.
    pub since: String,
    /// In 100 days, with its interval.
    pub by_time: String,
    /// In 10 hours ridden, with its interval; `None` where the hours are not known.
    pub by_use: Option<String>,
    /// Whether the readings tell it from no drift at all.
    pub is_seen: bool,
    /// The date on which it leaves its band, where it drifts and has one.
    pub leaves: Option<String>,
    pub claim: String,
}

/// A drift with the day that its time counts from.
pub(super) struct Line {
    pub origin: Date,
    pub drift: Drift,
    pub is_seen: bool,
    /// When it leaves its band, where it drifts.
    pub leaves: Option<Date>,
}

/// Days from one date to another.
pub(super) fn days(from: Date, to: Date) -> f64 {
    f64::from((to - from).get_days())
}

/// The drift of a series by the calendar; `None` where there are too few readings.
pub(super) fn line(desk: &Desk<'_>, series: &Series<'_>) -> Option<Line> {
    let run = latest(series);
    let origin = run.first()?.date;
    let points: Vec<(f64, f64)> = run.iter().map(|point| (days(origin, point.date), point.value)).collect();
    if points.len() < FEWEST {
        return None;
    }
    let drift = drift(&points)?;
    let is_seen = drift.interval.is_some_and(|(low, high)| low > 0.0 || high < 0.0);
    let leaves =
        series.within(desk).filter(|_| is_seen).and_then(|band| drift.leaves(band)).and_then(|after| {
            let last = days(origin, run.last()?.date);
            // The last day that is still inside.
            let whole = after.floor();
            let is_near = (-FARTHEST_DAYS..=last + FARTHEST_DAYS).contains(&whole);
            let span = jiff::Span::new().try_days(if is_near { whole as i64 } else { return None }).ok()?;
            origin.checked_add(span).ok()
        });
    Some(Line { origin, drift, is_seen, leaves })
}

/// The drift of everything measured that has readings enough.
pub(super) fn drifts(desk: &Desk<'_>, series: &[Series<'_>]) -> Vec<DriftLine> {
    let measured = series.iter().filter(|series| series.is_measured());
    measured.filter_map(|series| told(desk, series)).collect()
}

fn told(desk: &Desk<'_>, series: &Series<'_>) -> Option<DriftLine> {
    let Line { drift, is_seen, leaves, .. } = line(desk, series)?;
    let run = latest(series);
    let used: Option<Vec<(f64, f64)>> =
        run.iter().map(|point| Some((point.ridden? / HOUR, point.value))).collect();
    let by_use = used.and_then(|points| crate::physics::statistics::drift(&points));
    let last = run.last()?;
    let claim = match (is_seen, leaves) {
        (false, _) if drift.interval.is_none() => "too few readings to say how sure",
        (false, _) => "no drift that the readings could show",
        (true, Some(date)) if date < last.date => "has left its band",
        (true, Some(_)) => "leaves its band on that date if it goes on so",
        (true, None) => "drifts",
    };
    Some(DriftLine {
        id: series.id.clone(),
        label: series.label.clone(),
        readings: run.len(),
        since: run.first()?.date.to_string(),
        by_time: slope(desk, series, &drift, DAYS),
        by_use: by_use.map(|drift| slope(desk, series, &drift, HOURS)),
        is_seen,
        leaves: leaves.map(|date| date.to_string()),
        claim: claim.to_owned(),
    })
}

fn latest<'s, 'a>(series: &'s Series<'a>) -> &'s [Point<'a>] {
    let run = series.run();
    run.get(run.len().saturating_sub(LAST_READINGS)..).unwrap_or_default()
}

/// A slope over so many days or hours: `−0.4 mm (−0.9 to +0.1)`.
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
            format!("{middle} ({} to {})", bare(low), bare(high))
        }
        None => middle.to_string(),
    }
}

/// The day that charts of a span begin on.
pub(super) fn first_of_month(day: Date) -> Date {
    date(day.year(), day.month(), 1)
}
