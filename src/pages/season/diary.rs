//! A line a day, and a line a stint.

use serde::Serialize;

use crate::book::Day;
use crate::figures::tape::Tape;
use crate::figures::{Bench, Here, Of};
use crate::quantity::Kind;
use crate::season::{DayReplay, Difference, Event, How, State};
use crate::source::side_by_side::*;
use crate::speech::{Message, say};
use crate::vocabulary::blocks::AnyBlock;
use crate::vocabulary::{End, FigureName, Setting};

use super::super::say::Say;
use super::rides::{Ride, changed, order_of_work, time};
use super::{Desk, Mark, Since, soil};

/// A day.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct DayLine {
    pub date: String,
    /// Relative to the book.
    pub notebook: String,
    /// What happened to it since the revision asked for; `None` where none was asked for, or nothing happened.
    pub mark: Option<Mark>,
    pub track: Option<String>,
    pub soil: Option<String>,
    pub changes: Vec<ChangeLine>,
    /// One for each of the history's columns.
    pub figures: Vec<Cell>,
    /// The best and the middle lap of the stint with the fastest middle lap.
    pub best: Option<String>,
    pub median: Option<String>,
    /// What the rider said of each stint, numbered where there was more than one.
    pub verdict: Option<String>,
}

/// What one block changed, and why.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct ChangeLine {
    pub what: String,
    pub because: Option<String>,
}

/// A figure that has a column.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Column {
    pub id: Of,
    pub label: String,
    /// The unit that `shown` is in.
    pub unit: String,
    /// In SI, the unit of `value`.
    pub si: &'static str,
    #[serde(skip)]
    pub kind: Kind,
    /// Whether it is in the diary itself, and not in the table behind it.
    pub is_key: bool,
}

/// A figure on a day.
#[derive(Debug, Clone, PartialEq, Default, Serialize)]
pub struct Cell {
    /// With its uncertainty, without its unit; empty where there is none.
    pub shown: String,
    /// In the column's SI unit.
    pub value: Option<f64>,
}

/// A stint.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct StintLine {
    pub date: String,
    pub track: Option<String>,
    /// Counted from 1, on its day.
    pub number: usize,
    /// What was changed for it, since the stint before or since the day began.
    pub changed: String,
    pub because: String,
    pub laps: usize,
    pub best: Option<String>,
    pub median: Option<String>,
    /// The median distance from the middle lap.
    pub spread: Option<String>,
    pub feel: String,
    pub verdict: Option<String>,
    /// Lap times that count, in s.
    pub times: Vec<f64>,
    /// The figures when it was ridden, one for each of the history's columns.
    #[serde(skip)]
    pub figures: Vec<Cell>,
}

/// The key figures of a machine: sags in the diary, where changes need the room; the rest behind it.
pub(super) fn columns(desk: &Desk<'_>) -> Vec<Column> {
    let figure = |name: FigureName, label: Message, is_key: bool| {
        let kind = name.info().kind().unwrap_or(Kind::Number);
        column(desk.say, Of::Figure(name), desk.say.text(&label), kind, is_key)
    };
    let mut all = vec![
        figure(FigureName::SAG_RIDER.of(End::Front), say!("sag front"), true),
        figure(FigureName::SAG_RIDER.of(End::Rear), say!("sag rear"), true),
        figure(FigureName::CHANGE_RAKE, say!("rake against standard"), false),
        figure(FigureName::CHANGE_TRAIL, say!("trail against standard"), false),
    ];
    let chambers = desk.machine.chambers().map(|(name, _)| Setting::CHAMBER.named(name));
    let tyres = End::BOTH.into_iter().map(|end| Setting::TYRE.of(end));
    all.extend(chambers.chain(tyres).map(|name| {
        let label = desk.say.text(&name.label());
        column(desk.say, Of::Pressure(name), label, Kind::GaugePressure, false)
    }));
    all.extend(End::BOTH.into_iter().map(|end| {
        let label = match end {
            End::Front => say!("front spring, by the readings"),
            End::Rear => say!("rear spring, by the readings"),
        };
        figure(FigureName::SPRING_RATE_FITTED.of(end), label, false)
    }));
    all.push(column(desk.say, Of::Hours, desk.say.text(&say!("hours ridden")), Kind::Time, false));
    all
}

/// Seconds in an hour.
pub(super) const HOUR: f64 = 3600.0;

fn column(say: Say<'_>, id: Of, label: String, kind: Kind, is_key: bool) -> Column {
    // Hours are never shown in the unit of laps.
    let unit = if id == Of::Hours { "h" } else { say.unit(kind).symbol() };
    Column { id, label, unit: unit.to_owned(), si: kind.si_unit(), kind, is_key }
}

/// The lines of the days, each worked out independently.
pub(super) fn lines(
    desk: &Desk<'_>,
    columns: &[Column],
    rides: &[Ride<'_>],
    since: Option<&Since>,
) -> Vec<DayLine> {
    desk.days
        .par_iter()
        .filter_map(|&index| {
            let (day, replay) = (desk.book.days.get(index)?, desk.season.days.get(index)?);
            let from = rides.partition_point(|ride| ride.day < index);
            let of_day = rides.get(from..).unwrap_or_default().iter().take_while(|ride| ride.day == index);
            let of_day: Vec<&Ride<'_>> = of_day.collect();
            let timed = of_day.iter().filter_map(|ride| Some((ride.median()?, ride)));
            let fastest = timed.min_by(|a, b| a.0.total_cmp(&b.0));
            Some(DayLine {
                date: day.date.to_string(),
                notebook: day.notebook.path.clone(),
                mark: since.and_then(|since| since.mark(&day.notebook.path)),
                track: desk.book.track(day).map(|track| track.title.clone()),
                soil: soil(desk.book, day, replay.end()),
                changes: changes(desk, day, replay),
                figures: cells(desk, index, replay.end(), columns),
                best: fastest.and_then(|(_, ride)| ride.best()).map(|best| time(desk.say, best)),
                median: fastest.map(|(median, _)| time(desk.say, median)),
                verdict: verdicts(desk.say, &of_day),
            })
        })
        .collect()
}

/// What the rider said of each stint: `better`, or `2 better, 3 same` where there were several.
fn verdicts(say: Say<'_>, rides: &[&Ride<'_>]) -> Option<String> {
    let said = rides.iter().filter_map(|ride| {
        let verdict = say.text(&ride.verdict_told()?);
        Some(if rides.len() > 1 { format!("{} {verdict}", ride.number) } else { verdict })
    });
    let said: Vec<String> = said.collect();
    (!said.is_empty()).then(|| said.join(", "))
}

/// What each block of the day changed.
fn changes(desk: &Desk<'_>, day: &Day, replay: &DayReplay) -> Vec<ChangeLine> {
    let blocks = replay.events.chunk_by(|one, next| one.block == next.block);
    let lines = blocks.filter_map(|events| {
        let mut sorted: Vec<&Event> = events.iter().collect();
        sorted.sort_by_key(|event| order_of_work(Some(desk.machine), event.name.setting()));
        let what: Vec<String> = sorted.into_iter().filter_map(|event| told(desk.say, event)).collect();
        let because = match day.notebook.blocks.get(events.first()?.block) {
            Some(AnyBlock::Change(change)) => change.because.as_ref().map(|why| why.text.clone()),
            _ => None,
        };
        (!what.is_empty()).then(|| ChangeLine { what: what.join(", "), because })
    });
    let carried = carried(desk, replay);
    carried.into_iter().chain(lines).collect()
}

/// What was done to the machine since its last day with the rider, not on a day of theirs: a damper rebuilt on the
/// bench, a sprocket that another rider left.
fn carried(desk: &Desk<'_>, replay: &DayReplay) -> Option<ChangeLine> {
    let previous = desk.season.days.get(replay.previous?)?;
    let what = desk.changed(&previous.end().differences(&replay.start));
    (!what.is_empty()).then_some(ChangeLine { what, because: None })
}

/// An event in the words of the notebook, where it was written as a step; `None` where nothing moved.
fn told(say: Say<'_>, event: &Event) -> Option<String> {
    if event.step.before().is_none() && event.how == How::Settings {
        return None;
    }
    if let (Some((size, way)), Some(name)) = (event.by, event.name.setting()) {
        let row = name.info();
        let moved = say.moved(row, size.kind, row.direction(way)? * size.value);
        return Some(say.text(&say!("{label} {change}", label = name.label(), change = moved)));
    }
    let difference = Difference { name: event.name, before: event.step.before(), after: event.step.after() };
    Some(changed(say, None, &[difference])).filter(|text| !text.is_empty())
}

fn cells(desk: &Desk<'_>, index: usize, state: &State, columns: &[Column]) -> Vec<Cell> {
    let tape = Tape::new();
    let Some(here) = Here::of_day(desk.book, desk.season, index, state) else {
        return columns.iter().map(|_| Cell::default()).collect();
    };
    let bench = Bench::new(here, &tape);
    columns.iter().map(|column| cell(desk, index, state, &bench, column).unwrap_or_default()).collect()
}

fn cell(
    desk: &Desk<'_>,
    index: usize,
    state: &State,
    bench: &Bench<'_, &Tape>,
    column: &Column,
) -> Option<Cell> {
    let name = match column.id {
        Of::Hours => {
            let ridden = state.hours()?.ridden;
            let shown = Message::number(format!("{:.1}", ridden / HOUR));
            return Some(Cell { shown: desk.say.text(&shown), value: Some(ridden) });
        }
        Of::Pressure(name) => {
            let value = state.pressure(name).counts()?.number()?;
            return Some(Cell { shown: desk.say.value(column.kind, value).number, value: Some(value) });
        }
        Of::Figure(name) => name,
    };
    // A sag, and what follows from it, is a figure of the day on which it was measured.
    if let Some(end) = name.end() {
        let marks = [state.rider_sag(end), state.static_sag(end)];
        if !marks.into_iter().flatten().any(|mark| mark.place.day == index) {
            return None;
        }
    }
    let figure = bench.figure(name);
    let shown = desk.say.figure(&figure)?;
    let shown = match shown.plus_minus {
        Some(spread) => format!("{} ± {spread}", shown.number),
        None => shown.number,
    };
    Some(Cell { shown, value: figure.value() })
}

/// The lines of the stints.
pub(super) fn stints(desk: &Desk<'_>, columns: &[Column], rides: &[Ride<'_>]) -> Vec<StintLine> {
    let starts = rides.iter().map(|ride| ride.state);
    let starts: Vec<Option<&State>> = std::iter::once(None).chain(starts.map(Some)).collect();
    rides
        .par_iter()
        .zip(starts)
        .map(|(ride, before)| StintLine {
            figures: cells(desk, ride.day, ride.state, columns),
            date: ride.date.to_string(),
            track: desk
                .book
                .days
                .get(ride.day)
                .and_then(|day| desk.book.track(day))
                .map(|it| it.title.clone()),
            number: ride.number,
            changed: before.map(|before| desk.changed(&before.differences(ride.state))).unwrap_or_default(),
            because: ride.because.join("; "),
            laps: ride.laps.len(),
            best: ride.best().map(|best| time(desk.say, best)),
            median: ride.median().map(|median| time(desk.say, median)),
            spread: ride.spread().map(|spread| time(desk.say, spread)),
            feel: ride
                .stint
                .feel
                .iter()
                .flat_map(|feel| &feel.values)
                .map(|it| it.text.as_str())
                .collect::<Vec<_>>()
                .join("; "),
            verdict: ride.verdict_told().map(|verdict| desk.say.text(&verdict)),
            times: ride.laps.clone(),
        })
        .collect()
}
