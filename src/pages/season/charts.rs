//! Readings over time, with their bands and the changes that moved them.

use jiff::civil::{Date, date};

use crate::figures::tape::Tape;
use crate::figures::{Bench, Here, Of, Series, SeriesPoint, days_between};
use crate::pages::chart::{Axis, Chart, Curve, Mark, Style, Tick, Tint};
use crate::quantity::{Kind, Unit};
use crate::season::count_changes;
use crate::speech::{Message, Tongue, say};
use crate::vocabulary::figures::FigureId;

use super::super::dates;
use super::super::made::at_gate;
use super::super::say::Say;
use super::Desk;

/// More marks than this would overlap; the latest are kept.
const MOST_MARKS: usize = 6;
/// The vertical axis covers at least this many times a reading's uncertainty.
const LEAST_RANGE: f64 = 5.0;
/// In millimetres.
const HEIGHT: f64 = 44.0;
/// A chart is this many stretches wide; more than two readings in one would cover each other.
const STRETCHES: usize = 150;

/// The charts of the season: rider sags, pressures, rates by the readings, hours.
pub(super) fn charts(desk: &Desk<'_>, series: &[Series<'_>]) -> Vec<Chart> {
    let Some((first, last)) = desk.span() else { return Vec::new() };
    let span = Span { first: date(first.year(), first.month(), 1), last };
    let is_drawn = |series: &&Series<'_>| {
        let is_one = match series.of {
            Of::Figure(name) => matches!(name.row, FigureId::SAG_RIDER | FigureId::SPRING_RATE_FITTED),
            Of::Pressure(_) | Of::Hours => true,
        };
        is_one && series.points.len() > 1
    };
    series.iter().filter(is_drawn).map(|series| chart(desk, series, &span)).collect()
}

/// The days that the charts cover.
struct Span {
    first: Date,
    last: Date,
}

impl Span {
    fn place(&self, date: Date) -> f64 {
        days_between(self.first, date)
    }

    fn axis(&self, say: Say<'_>) -> Axis {
        // At least a day wide, so that a single date has a place too.
        let to = self.place(self.last).max(1.0);
        // If all are in one year it is at the end, not beside a month that it would displace.
        let name = if self.is_one_year() { self.last.strftime("%Y").to_string() } else { String::new() };
        Axis { name, unit: None, from: Some(0.0), to: Some(to), ticks: self.ticks(say) }
    }

    fn is_one_year(&self) -> bool {
        self.first.year() == self.last.year()
    }

    /// The first of each month, of each quarter, or of each year.
    fn ticks(&self, say: Say<'_>) -> Vec<Tick> {
        let length = days_between(self.first, self.last);
        let months = match length {
            days if days < 550.0 => 1,
            days if days < 1_500.0 => 3,
            _ => 12,
        };
        let mut ticks = Vec::new();
        let mut day = self.first;
        while day <= self.last && ticks.len() < 60 {
            let is_tick = (i32::from(day.month()) - 1) % months == 0;
            if is_tick {
                let has_year = !self.is_one_year() && (day.month() == 1 || ticks.is_empty());
                let text = if has_year { dates::month_and_year(day) } else { dates::short_month(day) };
                ticks.push(Tick { at: self.place(day), text: say.text(&text) });
            }
            match day.checked_add(jiff::Span::new().months(1)) {
                Ok(next) => day = next,
                Err(_) => break,
            }
        }
        ticks
    }
}

fn chart(desk: &Desk<'_>, series: &Series<'_>, span: &Span) -> Chart {
    let (unit, symbol) = unit(desk, series);
    let drawn = |value: f64| unit.from_si(series.kind, value);
    let points = series.points.iter().map(|point| (span.place(point.date), drawn(point.value)));
    let points = thinned(points.collect());
    let is_thinned = points.len() < series.points.len();
    let errors: Vec<f64> = match is_thinned {
        true => Vec::new(),
        false => series.points.iter().map(|point| unit.width_from_si(error(desk, series, point))).collect(),
    };
    let y = shown_range(&points, &errors);
    let mut curves = vec![Curve { name: String::new(), style: Style::Points, points, errors, inside: false }];
    let aims: Vec<(f64, f64)> =
        series.points.iter().filter_map(|point| Some((span.place(point.date), drawn(point.aim?)))).collect();
    if aims.len() > 1 {
        curves.push(Curve {
            name: desk.say.text(&say!("aim")),
            style: Style::Solid,
            points: steps(&aims),
            errors: Vec::new(),
            inside: true,
        });
    }
    if let Some(line) = series.trend(desk.machine).filter(|line| line.is_seen && series.is_measured()) {
        let at = |date: Date| (span.place(date), drawn(line.drift.at(days_between(line.origin, date))));
        let points = vec![at(line.origin), at(span.last)];
        curves.push(Curve {
            name: desk.say.text(&say!("drift")),
            style: Style::Dashed,
            points,
            errors: Vec::new(),
            inside: true,
        });
    }
    let band = series.within(desk.machine).map(|(low, high)| Tint {
        low: drawn(low),
        high: drawn(high),
        name: None,
    });
    let marks = marks(desk.say, series, span);
    Chart {
        description: Some(words(desk.say, series, symbol, &marks, is_thinned)),
        title: desk.say.text(&series.label),
        height: Some(HEIGHT),
        x: span.axis(desk.say),
        y: Axis {
            name: symbol.to_owned(),
            unit: None,
            from: y.map(|y| y.0),
            to: y.map(|y| y.1),
            ticks: Vec::new(),
        },
        bands: band.into_iter().collect(),
        zones: Vec::new(),
        curves,
        marks,
        tongue: Tongue::ENGLISH,
    }
}

/// The expanded uncertainty of a reading, in the SI base unit; zero where it is unknown.
fn error(desk: &Desk<'_>, series: &Series<'_>, point: &SeriesPoint<'_>) -> f64 {
    let figure = match series.of {
        Of::Hours => None,
        // For a pressure, the uncertainty at the track: the gauge's part is the same.
        Of::Pressure(name) => at_gate(name),
        Of::Figure(name) => Some(name),
    };
    let tape = Tape::new();
    let here = Here::of_day(desk.book, desk.season, point.day, point.state);
    here.zip(figure)
        .and_then(|(here, figure)| Bench::new(here, &tape).figure(figure).expanded())
        .unwrap_or(0.0)
}

/// An aim holds until the next one: steps, not slopes.
fn steps(aims: &[(f64, f64)]) -> Vec<(f64, f64)> {
    let mut points: Vec<(f64, f64)> = Vec::new();
    for (x, y) in aims {
        if let Some((_, before)) = points.last().copied().filter(|(_, before)| before != y) {
            points.push((*x, before));
        }
        points.push((*x, *y));
    }
    points
}

/// The range of the vertical axis where the readings alone would magnify differences smaller than their uncertainty;
/// `None` where the readings are enough.
fn shown_range(points: &[(f64, f64)], errors: &[f64]) -> Option<(f64, f64)> {
    let widest = errors.iter().copied().fold(0.0, f64::max);
    let ends = points.iter().fold(None, |ends: Option<(f64, f64)>, (_, y)| match ends {
        Some((low, high)) => Some((low.min(*y), high.max(*y))),
        None => Some((*y, *y)),
    });
    let (low, high) = ends?;
    let least = LEAST_RANGE * widest;
    let middle = (low + high) / 2.0;
    (widest > 0.0 && high - low < least).then_some((middle - least / 2.0, middle + least / 2.0))
}

/// The readings as they are, or the lowest and the highest in each stretch of time: no outlier is lost.
fn thinned(points: Vec<(f64, f64)>) -> Vec<(f64, f64)> {
    let (Some(first), Some(last)) = (points.first(), points.last()) else { return points };
    if points.len() <= 2 * STRETCHES {
        return points;
    }
    let wide = (last.0 - first.0) / STRETCHES as f64;
    let stretch = |at: f64| ((at - first.0) / wide).floor();
    let mut kept = Vec::with_capacity(2 * STRETCHES);
    for stretch in points.chunk_by(|one, next| stretch(one.0) == stretch(next.0)) {
        let by_value = |a: &&(f64, f64), b: &&(f64, f64)| a.1.total_cmp(&b.1);
        let (low, high) = (stretch.iter().min_by(by_value), stretch.iter().max_by(by_value));
        let mut both: Vec<(f64, f64)> = low.into_iter().chain(high).copied().collect();
        both.sort_by(|a, b| a.0.total_cmp(&b.0));
        both.dedup();
        kept.extend(both);
    }
    kept
}

fn unit(desk: &Desk<'_>, series: &Series<'_>) -> (Unit, &'static str) {
    let unit = if series.kind == Kind::Time { Unit::Hour } else { desk.say.unit(series.kind) };
    (unit, unit.symbol())
}

/// The changes between readings of settings that move them; the latest ones.
fn marks(say: Say<'_>, series: &Series<'_>, span: &Span) -> Vec<Mark> {
    let mut marks: Vec<Mark> = Vec::new();
    for pair in series.points.windows(2) {
        let [before, after] = pair else { continue };
        let differences = before.state.differences(after.state);
        let moved: Vec<_> = differences.into_iter().filter(|it| series.moves_with(it.name)).collect();
        let Some(first) = moved.first() else { continue };
        let label = first.name.setting().map(|name| say.text(&name.label())).unwrap_or_default();
        let name = if count_changes(&moved) > 1 { say.text(&say!("{label} and more", label)) } else { label };
        let x = span.place(after.date);
        // One line for all changes of a day, which would overlap.
        match marks.last_mut() {
            Some(Mark { x: known, name: names, .. }) if *known == x => {
                if !names.split(", ").any(|known| known == name) {
                    names.push_str(", ");
                    names.push_str(&name);
                }
            }
            _ => marks.push(Mark { x, y: None, name }),
        }
    }
    let from = marks.len().saturating_sub(MOST_MARKS);
    marks.split_off(from)
}

/// For those who cannot see it.
fn words(say: Say<'_>, series: &Series<'_>, unit: &str, marks: &[Mark], is_thinned: bool) -> String {
    let (first, last) = (series.points.first(), series.points.last());
    let (label, count) = (&series.label, series.points.len());
    let mut parts = vec![match first.zip(last) {
        Some((first, last)) => say!(
            "{label} in {unit}: {count} readings, {first} to {last}",
            label,
            unit,
            count,
            first = first.date,
            last = last.date,
        ),
        None => say!("{label} in {unit}: {count} readings", label, unit, count),
    }];
    if is_thinned {
        parts.push(say!("of each stretch the lowest and the highest are drawn"));
    }
    if !marks.is_empty() {
        let names: Vec<&str> = marks.iter().map(|mark| mark.name.as_str()).collect();
        parts.push(say!("changes marked: {names}", names = names.join(", ")));
    }
    say.text(&Message::joined(parts, "; "))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn thinning_keeps_the_ends_of_every_stretch_and_few_readings_as_they_are() {
        let few: Vec<(f64, f64)> = (0..300).map(|at| (f64::from(at), 1.0)).collect();
        assert_eq!(thinned(few.clone()), few);
        // One reading stands out upwards, one downwards.
        let at = |day: u32| match day {
            1_234 => 9.0,
            2_345 => -9.0,
            day => f64::from(day % 7) / 7.0,
        };
        let many: Vec<(f64, f64)> = (0..5_000).map(|day| (f64::from(day), at(day))).collect();
        let kept = thinned(many.clone());
        assert!(kept.len() <= 2 * STRETCHES + 2 && kept.len() > STRETCHES, "{}", kept.len());
        assert!(kept.contains(&(1_234.0, 9.0)) && kept.contains(&(2_345.0, -9.0)));
        assert!(kept.iter().all(|point| many.contains(point)));
        assert!(kept.is_sorted_by(|one, next| one.0 < next.0));
    }
}
