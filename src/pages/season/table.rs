//! The history as one plain table, a row a stint, for spreadsheets.

use crate::figures::Of;
use crate::quantity::{Kind, Unit, Units, show_in};

use super::diary::{Column, DayLine, HOUR, StintLine};
use super::{History, Mark, Page};

/// Rows under heads.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Table {
    pub heads: Vec<String>,
    pub rows: Vec<Vec<String>>,
}

/// The heads of every table's first columns.
pub const HEADS: [&str; 15] = [
    "machine",
    "rider",
    "date",
    "notebook",
    "track",
    "soil",
    "stint",
    "changed",
    "because",
    "laps",
    "best, s",
    "median, s",
    "times, s",
    "feel",
    "verdict",
];

/// A row a stint, and one row for a day without stints. Figures are those when the stint was ridden, in the units of
/// their heads, which are the book's.
pub fn table(page: &Page, units: &Units) -> Table {
    let mut columns: Vec<&Column> = Vec::new();
    for column in page.histories.iter().flat_map(|history| &history.columns) {
        if !columns.iter().any(|known| known.id == column.id) {
            columns.push(column);
        }
    }
    let figures = columns.iter().map(|column| match column.kind {
        Kind::Time => format!("{}, h", column.id),
        kind => match unit(kind, units).symbol() {
            "" => column.id.to_string(),
            symbol => format!("{}, {symbol}", column.id),
        },
    });
    let since = page.since.iter().map(|revision| format!("since {revision}"));
    // What every other form of the page says above its figures.
    let is_stopped = page.histories.iter().any(|history| !history.not_cleared.is_empty());
    let stop = is_stopped.then(|| "not cleared".to_owned());
    let heads = HEADS.iter().map(|head| (*head).to_owned()).chain(figures).chain(since).chain(stop).collect();
    let is_marked = page.since.is_some();
    let rows_of = |history: &History| {
        let mut rows = rows(history, &columns, units, is_marked);
        if is_stopped {
            rows.iter_mut().for_each(|row| row.push(history.not_cleared.join("; ")));
        }
        rows
    };
    let rows = page.histories.iter().flat_map(rows_of).collect();
    Table { heads, rows }
}

fn unit(kind: Kind, units: &Units) -> Unit {
    units.chosen(kind).unwrap_or(kind.usual_unit())
}

fn rows(history: &History, columns: &[&Column], units: &Units, is_marked: bool) -> Vec<Vec<String>> {
    let mut stints = history.stints.iter().peekable();
    let mut rows = Vec::new();
    for day in &history.days {
        let (before, mut is_first) = (rows.len(), true);
        while let Some(stint) =
            stints.next_if(|stint| stint.date == day.date && (is_first || stint.number > 1))
        {
            is_first = false;
            rows.push(row(history, day, Some(stint), (columns, units)));
        }
        if is_first {
            rows.push(row(history, day, None, (columns, units)));
        }
        if is_marked {
            let mark = day.mark.map_or("", Mark::word);
            rows.iter_mut().skip(before).for_each(|row| row.push(mark.to_owned()));
        }
    }
    rows
}

/// A number as written by hand, with the minus sign that spreadsheets know.
fn told(column: &Column, value: f64, units: &Units) -> String {
    if column.id == Of::Hours {
        return format!("{}", (value / HOUR * 10.0).round() / 10.0);
    }
    show_in(column.kind, value, unit(column.kind, units)).replace('\u{2212}', "-")
}

fn row(
    history: &History,
    day: &DayLine,
    stint: Option<&StintLine>,
    (columns, units): (&[&Column], &Units),
) -> Vec<String> {
    let text = |text: Option<&String>| text.cloned().unwrap_or_default();
    let number = |number: Option<f64>| number.map(|number| format!("{number}")).unwrap_or_default();
    let times = stint.map(|stint| stint.times.as_slice()).unwrap_or_default();
    let laps = times.iter().map(|lap| format!("{lap}")).collect::<Vec<_>>().join(" ");
    let mut cells = vec![
        history.machine.clone(),
        text(history.rider.as_ref()),
        day.date.clone(),
        day.notebook.clone(),
        text(day.track.as_ref()),
        text(day.soil.as_ref()),
        stint.map(|stint| stint.number.to_string()).unwrap_or_default(),
        text(stint.map(|stint| &stint.changed)),
        text(stint.map(|stint| &stint.because)),
        stint.map(|stint| stint.laps.to_string()).unwrap_or_default(),
        number(times.iter().copied().reduce(f64::min)),
        number(crate::physics::statistics::median(times)),
        laps,
        text(stint.map(|stint| &stint.feel)),
        text(stint.and_then(|stint| stint.verdict.as_ref())),
    ];
    cells.extend(columns.iter().map(|column| {
        let at = history.columns.iter().position(|own| own.id == column.id);
        let figures = stint.map_or(&day.figures, |stint| &stint.figures);
        let value = at.and_then(|at| figures.get(at)).and_then(|cell| cell.value);
        value.map(|value| told(column, value, units)).unwrap_or_default()
    }));
    cells
}
