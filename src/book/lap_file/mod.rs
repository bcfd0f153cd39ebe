//! Lap files.

mod table;

use std::collections::BTreeMap;
use std::sync::Arc;

use crate::finding::{Finding, listed};
use crate::source::{FileId, ReadError, Sources, Span, Store, beside, limits};
use crate::speech::{Message, say};
use crate::vocabulary::values::Written;

use super::codes;
use super::kept::{Kept, LapKey, ReadLaps};
use table::{Choice, Rows, Table, lap_time};

/// The lap files that stints point to, by path in the book and column.
pub(super) type LapFiles = BTreeMap<(String, Option<String>), Arc<[Lap]>>;

/// A lap of a stint.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Lap {
    /// In s.
    pub time: f64,
    /// Which of the stint's laps it is, from 1: the number for `skip`.
    pub number: u32,
    /// Where it was written: in the notebook, or in its row of the file.
    pub span: Span,
}

/// The places where a path in a notebook may lead: from the notebook's folder, then from the book's. Neither leaves
/// the book.
pub(super) fn places(notebook: &str, path: &str) -> impl Iterator<Item = String> {
    let from_notebook = beside(notebook, path);
    let from_book = beside("", path).filter(|path| from_notebook.as_ref() != Some(path));
    from_notebook.into_iter().chain(from_book)
}

/// Reads the lap files that stints ask for, each once.
pub(super) struct LapReader<'a> {
    pub files: LapFiles,
    store: &'a dyn Store,
    sources: &'a mut Sources,
    /// The files of the last reading.
    before: BTreeMap<LapKey, ReadLaps>,
    kept: &'a mut Kept,
    /// What was taken apart in this reading, by path: stints that ask for other columns have it too.
    taken_apart: BTreeMap<String, Rows>,
    findings: &'a mut Vec<Finding>,
}

impl<'a> LapReader<'a> {
    pub fn new(
        store: &'a dyn Store,
        sources: &'a mut Sources,
        before: BTreeMap<LapKey, ReadLaps>,
        kept: &'a mut Kept,
        findings: &'a mut Vec<Finding>,
    ) -> Self {
        let (files, taken_apart) = (LapFiles::new(), BTreeMap::new());
        Self { files, store, sources, before, kept, taken_apart, findings }
    }

    /// Reads the file of one stint, unless another stint asked for it. Rows that cannot be read are reported at
    /// their line; the rest count.
    pub fn read(&mut self, path: &Written, column: Option<&Written>) {
        let notebook = self.sources.path(path.span.file).to_owned();
        let mut fault = None;
        for inside in places(&notebook, &path.text) {
            let key = (inside, column.map(|column| column.text.clone()));
            if self.files.contains_key(&key) {
                return;
            }
            let column_at = column.map(|column| (column.text.clone(), column.span));
            let asked: LapKey = (key.0.clone(), path.text.clone(), path.span, column_at);
            let kept = self.before.get(&asked).filter(|_| self.kept.has_stayed(&key.0)).cloned();
            if let Some((laps, reported)) = kept {
                self.sources.take_over(&self.kept.sources, &key.0);
                self.findings.extend(reported.iter().cloned());
                self.kept.laps.insert(asked, (Arc::clone(&laps), reported));
                self.files.insert(key, laps);
                return;
            }
            match self.rows(&key.0) {
                Ok(Some((file, rows))) => {
                    let mut reported = Vec::new();
                    let laps: Arc<[Lap]> = laps(file, rows, path, column, &mut reported).into();
                    self.findings.extend(reported.iter().cloned());
                    self.kept.laps.insert(asked, (Arc::clone(&laps), reported.into()));
                    self.files.insert(key, laps);
                    return;
                }
                Ok(None) => {
                    let help = say!("save it from the spreadsheet as CSV with the encoding UTF-8");
                    fault = Some(unreadable(path, say!("it is not UTF-8 text"), help));
                    break;
                }
                // The other place is tried as well.
                Err(error @ ReadError::Missing) => fault = Some(unfound(path, why(&error))),
                Err(error) => {
                    fault = Some(unfound(path, why(&error)));
                    break;
                }
            }
        }
        let fault = fault.unwrap_or_else(|| unfound(path, say!("it is not a path inside the book")));
        self.findings.push(fault);
    }

    /// The rows of a file; `None` where it is no text.
    fn rows(&mut self, inside: &str) -> Result<Option<(FileId, Rows)>, ReadError> {
        if let Some((file, rows)) = self.sources.find(inside).zip(self.taken_apart.get(inside)) {
            return Ok(Some((file, rows.clone())));
        }
        let Ok(text) = String::from_utf8(self.store.read(inside, limits::TABLE_BYTES)?) else {
            return Ok(None);
        };
        let rows = Rows::of(&text);
        self.taken_apart.insert(inside.to_owned(), rows.clone());
        Ok(Some((self.sources.set(inside, text), rows)))
    }
}

/// Why a file cannot be read. The system's own words are shown in English only.
fn why(error: &ReadError) -> Message {
    match error {
        ReadError::Missing => say!("there is no such file"),
        ReadError::TooLarge { limit } => say!("it is larger than {limit} bytes", limit),
        ReadError::LeadsOut => say!("it is a link that leads out of the book"),
        ReadError::Unreadable { reason } => Message::foreign(reason.clone()),
    }
}

fn unreadable(path: &Written, reason: Message, help: Message) -> Finding {
    Finding::new(
        &codes::NO_LAP_FILE,
        path.span,
        say!("the laps in `{path}` cannot be read", path = path.text),
    )
    .found(reason)
    .help(help)
}

fn unfound(path: &Written, reason: Message) -> Finding {
    let help =
        say!("write the path as seen from this notebook or from the book, such as `laps/2026-04-11.csv`");
    unreadable(path, reason, help)
}

/// The file that a notebook means, by its path in the book, and its laps; `None` where it was not read.
pub(super) fn find<'f>(
    files: &'f LapFiles,
    notebook: &str,
    path: &Written,
    column: Option<&Written>,
) -> Option<(&'f str, &'f [Lap])> {
    let column = column.map(|column| column.text.clone());
    let mut read =
        places(notebook, &path.text).filter_map(|inside| files.get_key_value(&(inside, column.clone())));
    read.next().map(|((inside, _), laps)| (inside.as_str(), &**laps))
}

fn laps(
    file: FileId,
    rows: Rows,
    path: &Written,
    column: Option<&Written>,
    findings: &mut Vec<Finding>,
) -> Vec<Lap> {
    let table = Table::of(rows, column.map(|column| column.text.as_str()));
    let chosen = match column {
        _ if table.is_empty() => {
            Err(Finding::new(&codes::NO_LAP_FILE, path.span, say!("`{path}` is empty", path = path.text))
                .help(say!("put the laps into it, one a line, or delete the line")))
        }
        Some(column) => table.column(&column.text).ok_or_else(|| {
            let headline = say!("`{path}` has no column `{column}`", path = path.text, column = column.text);
            unchosen(headline, column.span, Span::top(file), &table.names())
        }),
        None => match table.laps() {
            Choice::Column(column) => Ok(column),
            Choice::Several(columns) => {
                let names: Vec<String> = columns.iter().map(|column| table.name(*column)).collect();
                let headline = say!(
                    "{count} columns of `{path}` could be the laps",
                    count = names.len(),
                    path = path.text
                );
                Err(unchosen(headline, path.span, Span::top(file), &names))
            }
            Choice::None => {
                let headline = say!("no column of `{path}` looks like lap times", path = path.text);
                Err(unchosen(headline, path.span, Span::top(file), &table.names()))
            }
        },
    };
    let chosen = match chosen {
        Ok(chosen) => chosen,
        Err(finding) => {
            findings.push(finding);
            return Vec::new();
        }
    };
    let mut laps = Vec::new();
    let mut bad = BadRows::default();
    for row in &table.rows {
        let span = Span::new(file, row.range.start, row.range.end);
        let cell = row.cell(chosen).unwrap_or_default();
        match lap_time(cell) {
            Some(time) => {
                let number = u32::try_from(laps.len() + 1).unwrap_or(u32::MAX);
                laps.push(Lap { time, number, span });
            }
            None if cell.is_empty() => bad.add(span, || say!("the row has no lap time")),
            None => bad.add(span, || say!("`{cell}` is not a lap time", cell)),
        }
    }
    findings.extend(bad.finding(path));
    if let Some(at) = table.left_out_from {
        findings.push(too_many_rows(Span::new(file, at, at), path));
    }
    laps
}

/// A finding that asks which column is meant.
fn unchosen(headline: Message, span: Span, file: Span, names: &[String]) -> Finding {
    let all: Vec<String> = names.iter().map(|name| format!("`column = \"{name}\"`")).collect();
    let finding = Finding::new(&codes::NO_LAP_COLUMN, span, headline).see(file, say!("its first line"));
    match all.as_slice() {
        [] => finding,
        [one] => finding.help(say!("write {one} in the stint", one)),
        [one, other] => finding.help(say!("write {one} or {other} in the stint", one, other)),
        all => {
            let all = listed(all.iter().map(String::as_str));
            finding.help(say!("write one of {all} in the stint", all))
        }
    }
}

/// The rows of a file without a lap time: one finding at the first of them says how many more there are. What is
/// wrong with one is mostly wrong with all.
#[derive(Default)]
struct BadRows {
    first: Option<(Span, Message)>,
    count: usize,
}

impl BadRows {
    fn add(&mut self, span: Span, what: impl FnOnce() -> Message) {
        self.count += 1;
        if self.first.is_none() {
            self.first = Some((span, what()));
        }
    }

    fn finding(self, path: &Written) -> Option<Finding> {
        let (span, what) = self.first?;
        let headline = match self.count - 1 {
            0 => what,
            1 => say!("{what}, and one more row has none that can be read", what),
            more => say!("{what}, and {more} more rows have none that can be read", what, more),
        };
        let finding = Finding::new(&codes::BAD_LAP_ROW, span, headline);
        let finding = finding.see(path.span, say!("the stint reads this file"));
        Some(finding.help(say!("write minutes and seconds, such as `2:04.1`; the other rows are kept")))
    }
}

fn too_many_rows(span: Span, path: &Written) -> Finding {
    let most = limits::TABLE_ROWS;
    Finding::new(&codes::TOO_MANY_LAP_ROWS, span, say!("the file has more than {most} rows", most))
        .found(say!("this one and those after it are left out"))
        .see(path.span, say!("the stint reads this file"))
        .help(say!("keep the rows of one day in a file"))
}
