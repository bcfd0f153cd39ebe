//! Files of lap times.

use crate::finding::{Finding, listed};
use crate::quantity::{Kind, UnitDefaults, quantity};
use crate::source::{Sources, Span, Store, beside, limits};
use crate::vocabulary::values::Written;

use super::codes;

/// The column that is read when the stint names none.
const USUAL_COLUMN: &str = "lap";

/// Lap times read from a file, in s.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct LapFile {
    pub laps: Vec<f64>,
}

/// What a lap file is known by: the path as written, seen from the book, and the column.
pub(super) fn key(path: &Written, column: Option<&Written>) -> (String, Option<String>) {
    (path.text.clone(), column.map(|column| column.text.clone()))
}

/// Reads one file; what cannot be read is reported at its line, and the rest is kept.
pub(super) fn read(
    store: &dyn Store,
    sources: &mut Sources,
    path: &Written,
    column: Option<&Written>,
    findings: &mut Vec<Finding>,
) -> LapFile {
    let unreadable_for = |reason: String, help: &str| {
        Finding::new(&codes::NO_LAP_FILE, path.span, format!("the laps in `{}` cannot be read", path.text))
            .found(reason)
            .help(help)
    };
    let unreadable = |reason: String| {
        unreadable_for(reason, "write the path as seen from the book's folder, such as `laps/2026-04-11.csv`")
    };
    // A path in the book, which never leads out of it.
    let Some(inside) = beside("", &path.text) else {
        findings.push(unreadable("it is no path inside the book".to_owned()));
        return LapFile::default();
    };
    let text = match store.read(&inside, limits::TABLE_BYTES).map(String::from_utf8) {
        Ok(Ok(text)) => text,
        Ok(Err(_)) => {
            let help = "save it from the spreadsheet as CSV with the encoding UTF-8";
            findings.push(unreadable_for("it is not UTF-8 text".to_owned(), help));
            return LapFile::default();
        }
        Err(error) => {
            findings.push(unreadable(error.to_string()));
            return LapFile::default();
        }
    };
    let delimiter = delimiter(&text);
    let file = sources.set(inside, text.clone());
    let mut rows = csv::ReaderBuilder::new()
        .delimiter(delimiter)
        .flexible(true)
        .trim(csv::Trim::All)
        .from_reader(text.as_bytes());
    let wanted = column.map_or(USUAL_COLUMN, |column| column.text.as_str());
    let headings = rows.headers().cloned().unwrap_or_default();
    let place = headings
        .iter()
        .position(|heading| heading.trim_start_matches('\u{feff}').eq_ignore_ascii_case(wanted));
    let Some(place) = place else {
        let known: Vec<&str> = headings.iter().collect();
        let span = column.map_or(path.span, |column| column.span);
        findings.push(
            Finding::new(&codes::NO_LAP_COLUMN, span, format!("`{}` has no column `{wanted}`", path.text))
                .see(Span::top(file), "its first line names the columns")
                .help(format!("write `column = \"…\"`; it has {}", listed(known))),
        );
        return LapFile::default();
    };
    let defaults = UnitDefaults::seconds();
    let mut laps = Vec::new();
    let mut bad = BadRows::default();
    for (row, number) in rows.records().zip(1_usize..) {
        let start = |position: Option<&csv::Position>| {
            position.map_or(0, |position| usize::try_from(position.byte()).unwrap_or(0))
        };
        if number > limits::TABLE_ROWS {
            let at = row.as_ref().map_or(0, |row| start(row.position()));
            findings.push(too_many_rows(Span::new(file, at, at), path));
            break;
        }
        let row = match row {
            Ok(row) => row,
            Err(error) => {
                let at = start(error.position());
                bad.add(Span::new(file, at, at), || "the row cannot be read".to_owned());
                continue;
            }
        };
        let start = start(row.position());
        let cell = row.get(place).unwrap_or_default();
        // Between semicolons a comma marks the decimals.
        let cell = &if delimiter == b';' { cell.replace(',', ".") } else { cell.to_owned() };
        // The line as it lies in the file, without its end.
        let line = text.get(start..).and_then(|rest| rest.lines().next()).unwrap_or_default();
        let span = Span::new(file, start, start + line.len());
        match quantity(cell, &[Kind::Time], &defaults) {
            Ok(lap) if lap.value > 0.0 => laps.push(lap.value),
            _ if cell.is_empty() => bad.add(span, || "the row has no lap time".to_owned()),
            _ => bad.add(span, || format!("`{cell}` is no lap time")),
        }
    }
    findings.extend(bad.finding(path));
    LapFile { laps }
}

/// The rows of one file that hold no lap time: told at the first, with how many more there are, since what is wrong
/// with one is most often wrong with all.
#[derive(Default)]
struct BadRows {
    first: Option<(Span, String)>,
    count: usize,
}

impl BadRows {
    fn add(&mut self, span: Span, what: impl FnOnce() -> String) {
        self.count += 1;
        if self.first.is_none() {
            self.first = Some((span, what()));
        }
    }

    fn finding(self, path: &Written) -> Option<Finding> {
        let (span, what) = self.first?;
        let headline = match self.count - 1 {
            0 => what,
            1 => format!("{what}, and one more row has none that can be read"),
            more => format!("{what}, and {more} more rows have none that can be read"),
        };
        let finding = Finding::new(&codes::BAD_LAP_ROW, span, headline);
        let finding = finding.see(path.span, "the stint reads this file");
        Some(finding.help("write minutes and seconds, such as `2:04.1`; the other rows are kept"))
    }
}

fn too_many_rows(span: Span, path: &Written) -> Finding {
    let most = limits::TABLE_ROWS;
    Finding::new(&codes::TOO_MANY_LAP_ROWS, span, format!("the file has more than {most} rows"))
        .found("this one and those behind it are left out")
        .see(path.span, "the stint reads this file")
        .help("keep the rows of one day in a file")
}

/// What stands between the columns: spreadsheets write semicolons where the comma marks the decimals, and some
/// timers tabs. The line of the headings has the most of it.
fn delimiter(text: &str) -> u8 {
    let headings = text.lines().next().unwrap_or_default();
    let count = |delimiter: u8| headings.bytes().filter(|byte| *byte == delimiter).count();
    // Of equals the last is taken: a comma, where there is one column.
    b"\t;,".iter().copied().max_by_key(|delimiter| count(*delimiter)).unwrap_or(b',')
}
