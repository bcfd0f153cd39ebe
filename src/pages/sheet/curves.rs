//! The fork's force along its travel, against the last setting.

use serde::Serialize;

use crate::figures::tape::Tape;
use crate::figures::{Bench, Here, Recorder};
use crate::quantity::Kind;

use super::Desk;

/// How many points a curve is drawn from: closer than a printer's line is wide.
const POINTS: usize = 61;

/// The part of the greatest force that two curves must be apart to be seen as two: a line's width on a chart
/// that is 35 mm high.
const SEEN: f64 = 0.01;

/// Curves of the fork's force.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct ForceChart {
    /// The unit along the travel.
    pub travel_unit: String,
    /// The unit of force.
    pub force_unit: String,
    pub curves: Vec<Curve>,
}

/// One curve, in the units of its chart.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Curve {
    pub label: String,
    pub sort: Sort,
    pub points: Vec<(f64, f64)>,
}

/// Which curve it is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "lowercase")]
pub enum Sort {
    /// As set, moving quickly.
    Riding,
    /// As set, at rest: what sag is measured on.
    Settled,
    /// As it was the last time out, moving quickly.
    Last,
}

/// The riding curve and the sag curve as set, and the riding curve of the last time out where it differs;
/// `None` where the fork's force cannot be had.
pub(super) fn force<R: Recorder>(desk: &Desk<'_>, bench: &Bench<'_, R>) -> Option<ForceChart> {
    let riding = bench.fork_curve(POINTS, true).ok()?;
    let mut curves = vec![curve(desk, "fast", Sort::Riding, &riding)];
    if let Ok(settled) = bench.fork_curve(POINTS, false)
        && settled != riding
    {
        curves.push(curve(desk, "slow", Sort::Settled, &settled));
    }
    if let Some((label, last)) = last_curve(desk)
        && differs(&last, &riding)
    {
        curves.push(curve(desk, &label, Sort::Last, &last));
    }
    let (travel, force) = (desk.say.unit(Kind::Length), desk.say.unit(Kind::Force));
    Some(ForceChart {
        travel_unit: travel.symbol().to_owned(),
        force_unit: force.symbol().to_owned(),
        curves,
    })
}

/// Whether two curves would be two lines on paper.
fn differs(a: &[(f64, f64)], b: &[(f64, f64)]) -> bool {
    let most = a.iter().map(|(_, force)| force.abs()).fold(0.0, f64::max);
    a.iter().zip(b).any(|((_, a), (_, b))| (a - b).abs() > SEEN * most)
}

fn last_curve(desk: &Desk<'_>) -> Option<(String, Vec<(f64, f64)>)> {
    let (day, state) = desk.last_time()?;
    let tape = Tape::new();
    let bench = Bench::new(Here::of_day(desk.book, desk.season, desk.replay.previous?, state)?, &tape);
    Some((format!("on {}", day.date.strftime("%-d %b")), bench.fork_curve(POINTS, true).ok()?))
}

fn curve(desk: &Desk<'_>, label: &str, sort: Sort, points: &[(f64, f64)]) -> Curve {
    let (travel, force) = (desk.say.unit(Kind::Length), desk.say.unit(Kind::Force));
    let drawn = |(x, y): &(f64, f64)| (travel.from_si(Kind::Length, *x), force.from_si(Kind::Force, *y));
    Curve { label: label.to_owned(), sort, points: points.iter().map(drawn).collect() }
}
