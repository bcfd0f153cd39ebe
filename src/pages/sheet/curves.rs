//! The fork's force and the linkage's leverage along the travel, with the bands of sag.

use serde::Serialize;

use crate::figures::tape::Tape;
use crate::figures::{Bench, Here, Recorder};
use crate::quantity::Kind;
use crate::speech::say;
use crate::vocabulary::figures::FigureId;
use crate::vocabulary::name::OfEnd;
use crate::vocabulary::{End, FigureName, Load};

use super::super::dates;
use super::Desk;

/// How many points a curve is drawn from: closer than a printer's line is wide.
const POINTS: usize = 61;

/// The share of the greatest force by which two curves must differ to be seen as two: a line's width on a chart
/// 35 mm high.
const SEEN: f64 = 0.01;

/// Curves of the fork's force.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct ForceChart {
    /// The unit along the travel.
    pub travel_unit: String,
    /// The unit of force.
    pub force_unit: String,
    pub curves: Vec<Curve>,
    /// Bands of sag.
    pub zones: Vec<Zone>,
    /// Where the fork rests on its slow curve, machine alone and with the rider.
    pub stands: Vec<(f64, f64)>,
}

/// The linkage's leverage along the travel.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct LeverageChart {
    /// The unit along the travel.
    pub travel_unit: String,
    /// Vertical wheel travel, and wheel travel over shock stroke there.
    pub points: Vec<(f64, f64)>,
    pub zones: Vec<Zone>,
    pub stands: Vec<(f64, f64)>,
}

/// A band of a sag along the travel.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Zone {
    pub from: f64,
    pub to: f64,
    pub name: String,
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
    /// As set, for quick strokes.
    Riding,
    /// As set, at rest: the curve that sag is on.
    Settled,
    /// As it was the last time out, for quick strokes.
    Last,
}

/// The riding curve and the sag curve as set, and the riding curve of the last time out where it differs;
/// `None` where the fork's force is unknown.
pub(super) fn force<R: Recorder>(desk: &Desk<'_>, bench: &Bench<'_, R>) -> Option<ForceChart> {
    let riding = bench.fork_curve(POINTS, true).ok()?;
    let mut curves = vec![curve(desk, &desk.say.text(&say!("curve|fast")), Sort::Riding, &riding)];
    if let Ok(settled) = bench.fork_curve(POINTS, false)
        && settled != riding
    {
        curves.push(curve(desk, &desk.say.text(&say!("curve|slow")), Sort::Settled, &settled));
    }
    if let Some((label, last)) = last_curve(desk)
        && differs(&last, &riding)
    {
        curves.push(curve(desk, &label, Sort::Last, &last));
    }
    let (travel, force) = (desk.say.unit(Kind::Length), desk.say.unit(Kind::Force));
    let settled = curves.iter().find(|curve| curve.sort == Sort::Settled).or(curves.first());
    let stands = settled.map(|curve| stands(desk, bench, End::Front, &curve.points)).unwrap_or_default();
    Some(ForceChart {
        travel_unit: travel.symbol().to_owned(),
        force_unit: force.symbol().to_owned(),
        curves,
        zones: zones(desk, bench, End::Front),
        stands,
    })
}

/// The leverage of the linkage in use; `None` where it is constant or unknown.
pub(super) fn leverage<R: Recorder>(desk: &Desk<'_>, bench: &Bench<'_, R>) -> Option<LeverageChart> {
    let travel = desk.say.unit(Kind::Length);
    let points = bench.leverage_curve(POINTS).ok()?;
    let points: Vec<(f64, f64)> =
        points.into_iter().map(|(place, leverage)| (travel.from_si(Kind::Length, place), leverage)).collect();
    let (first, is_even) = (points.first()?.1, |(_, leverage): &(f64, f64)| *leverage);
    if points.iter().map(is_even).all(|leverage| (leverage - first).abs() < 1e-9 * first) {
        return None;
    }
    Some(LeverageChart {
        travel_unit: travel.symbol().to_owned(),
        zones: zones(desk, bench, End::Rear),
        stands: stands(desk, bench, End::Rear, &points),
        points,
    })
}

/// The bands of an end's sags with both edges.
fn zones<R: Recorder>(desk: &Desk<'_>, bench: &Bench<'_, R>, end: End) -> Vec<Zone> {
    let unit = desk.say.unit(Kind::Length);
    let zone = |load: Load| {
        let within = bench.band(FigureName::sag(load, end))?.within?;
        let (low, high) = (within.low?, within.high?);
        let band = desk.say.range(Some(low), Some(high));
        let name = desk.say.text(&match load {
            Load::Static => say!("static {band}", band),
            Load::Rider => say!("rider {band}", band),
        });
        let drawn = |value: f64| unit.from_si(Kind::Length, value);
        Some(Zone { from: drawn(low.value), to: drawn(high.value), name })
    };
    [Load::Static, Load::Rider].into_iter().filter_map(zone).collect()
}

/// Where an end rests on a curve: machine alone and with the rider, as expected.
fn stands<R: Recorder>(
    desk: &Desk<'_>,
    bench: &Bench<'_, R>,
    end: End,
    curve: &[(f64, f64)],
) -> Vec<(f64, f64)> {
    let unit = desk.say.unit(Kind::Length);
    let names = [FigureName::SAG_STATIC, FigureName::SAG_RIDER_EXPECTED];
    let at = |row: OfEnd<FigureId>| {
        let x = unit.from_si(Kind::Length, bench.value(row.of(end))?);
        let pair = curve.windows(2).find(|pair| matches!(pair, [a, b] if a.0 <= x && x <= b.0))?;
        let [a, b] = pair else { return None };
        let part = if b.0 > a.0 { (x - a.0) / (b.0 - a.0) } else { 0.0 };
        Some((x, a.1 + part * (b.1 - a.1)))
    };
    names.into_iter().filter_map(at).collect()
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
    Some((
        desk.say.text(&say!("on {date}", date = dates::short(day.date))),
        bench.fork_curve(POINTS, true).ok()?,
    ))
}

fn curve(desk: &Desk<'_>, label: &str, sort: Sort, points: &[(f64, f64)]) -> Curve {
    let (travel, force) = (desk.say.unit(Kind::Length), desk.say.unit(Kind::Force));
    let drawn = |(x, y): &(f64, f64)| (travel.from_si(Kind::Length, *x), force.from_si(Kind::Force, *y));
    Curve { label: label.to_owned(), sort, points: points.iter().map(drawn).collect() }
}
