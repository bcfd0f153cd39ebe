//! A table as spreadsheets and timers write it: what separates its columns, which line names them, and which
//! column holds lap times.

use std::ops::Range;

use crate::quantity::{Kind, UnitDefaults, quantity};
use crate::source::limits;

/// s. No track has a shorter lap: a smaller number is a count, a place or a gap. Common practice, no source.
const SHORTEST_LAP: f64 = 10.0;
/// s. A larger plain number is a year or a transponder. Common practice, no source.
const LONGEST_PLAIN: f64 = 7200.0;
/// How many lines are looked at to tell what separates the columns.
const SAMPLE: usize = 20;

/// The rows of a text, the first of which may name the columns.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Rows {
    rows: Vec<Row>,
    delimiter: u8,
    left_out_from: Option<usize>,
}

/// A table of text.
#[derive(Debug)]
pub(super) struct Table {
    /// The names of the columns, where the first line has them.
    headings: Option<Vec<String>>,
    pub rows: Vec<Row>,
    /// The byte where the first row past the limit begins.
    pub left_out_from: Option<usize>,
}

/// One row, and its bytes in the text.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Row {
    cells: Vec<String>,
    pub range: Range<usize>,
}

/// Which column holds the laps.
#[derive(Debug, PartialEq, Eq)]
pub(super) enum Choice {
    Column(usize),
    /// More than one could hold them.
    Several(Vec<usize>),
    None,
}

/// A time written as a lap's, in s, with a point or a comma before its decimals. `None` for anything else, and for a gap
/// with a sign.
pub(super) fn lap_time(cell: &str) -> Option<f64> {
    let cell = cell.trim();
    if cell.starts_with(['+', '-', '−']) {
        return None;
    }
    let has_comma = !cell.contains('.') && cell.matches(',').count() == 1;
    let cell = if has_comma { cell.replace(',', ".") } else { cell.to_owned() };
    let time = quantity(&cell, &[Kind::Time], &UnitDefaults::seconds()).ok()?;
    (time.value > 0.0).then_some(time.value)
}

impl Rows {
    /// Takes a text apart.
    pub fn of(text: &str) -> Self {
        // A byte-order mark from some editors, and the line by which some spreadsheets name their separator.
        let mut start = if text.starts_with('\u{feff}') { '\u{feff}'.len_utf8() } else { 0 };
        let mut named = None;
        if let Some(mark) = text.get(start..).and_then(|text| text.strip_prefix("sep=")) {
            named = mark.bytes().next().filter(|mark| mark.is_ascii() && !is_line_end(*mark));
            start =
                text.get(start..).and_then(|rest| rest.find('\n')).map_or(text.len(), |end| start + end + 1);
        }
        let body = text.get(start..).unwrap_or_default();
        let delimiter = named.unwrap_or_else(|| delimiter(body));
        let mut rows = Self { rows: Vec::new(), delimiter, left_out_from: None };
        // A reader that knows quotes takes longer to make than most of these files to read.
        if body.contains('"') {
            rows.read_quoted(body, start)
        } else {
            rows.read_plain(body, start)
        }
        rows
    }

    fn read_quoted(&mut self, body: &str, start: usize) {
        let mut reader = csv::ReaderBuilder::new()
            .delimiter(self.delimiter)
            .has_headers(false)
            .flexible(true)
            .trim(csv::Trim::All)
            .from_reader(body.as_bytes());
        for record in reader.records().flatten() {
            let at = record.position().map_or(0, |position| usize::try_from(position.byte()).unwrap_or(0));
            // The reader counts what is left of the last line's end, and empty lines, to the row behind them.
            let at = at + body.bytes().skip(at).position(|byte| !is_line_end(byte)).unwrap_or_default();
            let line =
                body.get(at..).map_or(0, |rest| rest.bytes().take_while(|byte| !is_line_end(*byte)).count());
            if !self.add(record.iter(), start + at..start + at + line) {
                break;
            }
        }
    }

    /// A text without quotes.
    fn read_plain(&mut self, body: &str, start: usize) {
        let mut at = start;
        for line in body.split(['\r', '\n']) {
            let cells = line.split(char::from(self.delimiter)).map(str::trim);
            if !line.is_empty() && !self.add(cells, at..at + line.len()) {
                break;
            }
            at += line.len() + 1;
        }
    }

    /// Whether there may be more.
    fn add<'c>(&mut self, cells: impl Iterator<Item = &'c str>, range: Range<usize>) -> bool {
        // Counted with the line of headings.
        if self.rows.len() > limits::TABLE_ROWS {
            self.left_out_from = Some(range.start);
            return false;
        }
        let cells: Vec<String> = cells.map(str::to_owned).collect();
        // Spreadsheets also write rows that nobody filled.
        if cells.iter().any(|cell| !cell.is_empty()) {
            self.rows.push(Row { cells, range });
        }
        true
    }
}

fn is_line_end(byte: u8) -> bool {
    matches!(byte, b'\r' | b'\n')
}

impl Table {
    /// `wanted` is a heading that the first row may have.
    pub fn of(rows: Rows, wanted: Option<&str>) -> Self {
        let Rows { mut rows, delimiter, left_out_from } = rows;
        let is_heading = |row: &Row| {
            let names_wanted = wanted.is_some_and(|wanted| row.position(wanted).is_some());
            names_wanted || row.cells.iter().all(|cell| lap_time(cell).is_none())
        };
        let has_headings = rows.first().is_some_and(is_heading);
        let headings = has_headings.then(|| rows.remove(0).cells);
        let mut table = Self { headings, rows, left_out_from };
        if delimiter == b',' {
            table.join_decimals();
        }
        table
    }

    /// Where commas separate the columns and the decimals too, a time is in two cells. Joins them.
    fn join_decimals(&mut self) {
        let digits =
            |cell: &str| (1..=3).contains(&cell.len()) && cell.bytes().all(|byte| byte.is_ascii_digit());
        let whole = |cell: &str| cell.contains(':') && !cell.contains(['.', ',']) && lap_time(cell).is_some();
        let is_split = |row: &Row, at: usize, is_alone: bool| {
            let (Some(cell), Some(behind)) = (row.cells.get(at), row.cells.get(at + 1)) else { return false };
            (whole(cell) || (is_alone && digits(cell))) && digits(behind)
        };
        let width = self.width();
        let named = self.headings.as_ref().map(Vec::len);
        let most = |count: usize| count * 2 > self.rows.len();
        // With headings, such rows are wider than the headings. Without, the cell behind the time must not be a
        // count.
        let wider = |row: &&Row| named.is_none_or(|named| row.cells.len() > named);
        let split = (0..width).find(|&at| {
            let rows = self.rows.iter().filter(wider);
            most(rows.filter(|row| is_split(row, at, named == Some(1))).count())
                && (named.is_some() || !counts_up(&self.times(at + 1)))
        });
        let Some(at) = split else { return };
        for row in &mut self.rows {
            let wider = named.is_none_or(|named| row.cells.len() > named);
            if wider && is_split(row, at, named == Some(1)) {
                let behind = row.cells.remove(at + 1);
                if let Some(cell) = row.cells.get_mut(at) {
                    cell.push('.');
                    cell.push_str(&behind);
                }
            }
        }
    }

    pub fn is_empty(&self) -> bool {
        self.headings.is_none() && self.rows.is_empty()
    }

    fn width(&self) -> usize {
        let widest = self.rows.iter().map(|row| row.cells.len()).max().unwrap_or(0);
        widest.max(self.headings.as_ref().map_or(0, Vec::len))
    }

    /// The column with a name. Where no heading has it, a number counts the columns from 1.
    pub fn column(&self, wanted: &str) -> Option<usize> {
        let named = self.headings.as_ref().and_then(|headings| position(headings, wanted));
        let counted = || wanted.trim().parse::<usize>().ok().and_then(|number| number.checked_sub(1));
        named.or_else(|| counted().filter(|&at| at < self.width()))
    }

    /// What to write for a column: its heading, else its number.
    pub fn name(&self, column: usize) -> String {
        let heading = self.headings.as_ref().and_then(|headings| headings.get(column));
        heading.filter(|heading| !heading.is_empty()).cloned().unwrap_or_else(|| (column + 1).to_string())
    }

    /// What to write for each column.
    pub fn names(&self) -> Vec<String> {
        (0..self.width()).map(|column| self.name(column)).collect()
    }

    /// The column that looks like lap times: minutes and seconds, else plain seconds.
    pub fn laps(&self) -> Choice {
        if self.width() == 1 {
            return Choice::Column(0);
        }
        let looking = |wanted: fn(&Self, usize) -> bool| -> Vec<usize> {
            (0..self.width()).filter(|&column| wanted(self, column)).collect()
        };
        let clocks = looking(Self::has_clocks);
        let columns = if clocks.is_empty() { looking(Self::has_seconds) } else { clocks };
        match columns.as_slice() {
            [] => Choice::None,
            [one] => Choice::Column(*one),
            _ => Choice::Several(columns),
        }
    }

    fn filled(&self, column: usize) -> impl Iterator<Item = &str> {
        self.rows.iter().filter_map(move |row| row.cell(column)).filter(|cell| !cell.is_empty())
    }

    fn times(&self, column: usize) -> Vec<f64> {
        self.filled(column).filter_map(lap_time).collect()
    }

    /// Minutes and seconds in most rows, and not a running clock.
    fn has_clocks(&self, column: usize) -> bool {
        let clocks =
            self.filled(column).filter(|cell| cell.contains(':') && lap_time(cell).is_some()).count();
        clocks * 2 > self.filled(column).count() && !runs_on(&self.times(column))
    }

    /// Plain numbers in most rows that could be laps in seconds.
    fn has_seconds(&self, column: usize) -> bool {
        let times = self.times(column);
        let possible = times.iter().filter(|time| (SHORTEST_LAP..LONGEST_PLAIN).contains(*time)).count();
        let is_whole = times.iter().all(|time| time.fract() == 0.0);
        // The same in every row: a number plate.
        let is_one = times.len() > 1 && times.windows(2).all(|pair| pair.first() == pair.last());
        let is_no_lap = counts_up(&times) || runs_on(&times) || (is_whole && is_one);
        possible * 2 > self.filled(column).count() && !is_no_lap
    }
}

impl Row {
    pub fn cell(&self, column: usize) -> Option<&str> {
        self.cells.get(column).map(String::as_str)
    }

    fn position(&self, wanted: &str) -> Option<usize> {
        position(&self.cells, wanted)
    }
}

fn position(cells: &[String], wanted: &str) -> Option<usize> {
    let wanted = wanted.trim().to_lowercase();
    cells.iter().position(|cell| cell.to_lowercase() == wanted)
}

/// Whether these count up by one, as lap numbers do.
fn counts_up(values: &[f64]) -> bool {
    let by_one = |pair: &[f64]| matches!(pair, [first, then] if *then == first + 1.0);
    values.len() > 1 && values.iter().all(|value| value.fract() == 0.0) && values.windows(2).all(by_one)
}

/// Whether each is later than the one before by at least a lap: a running time, or a time of day.
fn runs_on(values: &[f64]) -> bool {
    let later = |pair: &[f64]| matches!(pair, [first, then] if then - first >= SHORTEST_LAP);
    values.len() > 2 && values.windows(2).all(later)
}

/// What separates the columns. Spreadsheets write semicolons where the comma marks decimals, and some timers
/// write tabs. The one in most lines counts.
fn delimiter(text: &str) -> u8 {
    let lines = || text.lines().filter(|line| !line.trim().is_empty()).take(SAMPLE);
    let count = |delimiter: u8| lines().filter(|line| line.bytes().any(|byte| byte == delimiter)).count();
    // Between equals the last one counts, since a tab or a semicolon never marks decimals.
    b",;\t".iter().copied().max_by_key(|delimiter| count(*delimiter)).unwrap_or(b',')
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    proptest! {
        #[test]
        fn a_text_without_quotes_is_read_as_the_reader_that_knows_them_reads_it(
            body in "[0-9a:.,; \u{a0}\t\r\n]{0,60}", delimiter in prop::sample::select(vec![b',', b';', b'\t'])
        ) {
            let rows = || Rows { rows: Vec::new(), delimiter, left_out_from: None };
            let (mut plain, mut quoted) = (rows(), rows());
            plain.read_plain(&body, 3);
            quoted.read_quoted(&body, 3);
            prop_assert_eq!(plain, quoted);
        }
    }
}
