//! The contents of a book: its days, newest first, its machines, riders and tracks, and how many findings each
//! has.

use std::collections::BTreeMap;

use serde::Serialize;

use crate::book::Notebook;
use crate::finding::{Finding, tally};
use crate::session::Compiled;
use crate::source::FileId;
use crate::speech::say;

use super::proof::Addresses;

/// The page.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Contents {
    pub title: String,
    /// How many findings the whole book has.
    pub tally: String,
    pub days: Vec<DayEntry>,
    /// Notebooks that are not days.
    pub standing: Vec<Entry>,
}

/// A day.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct DayEntry {
    /// `None` where none was written.
    pub date: Option<String>,
    pub rider: Option<String>,
    pub machine: Option<String>,
    pub track: Option<String>,
    /// Where its sheet is.
    pub sheet: String,
    #[serde(flatten)]
    pub entry: Entry,
}

/// A file of the book.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Entry {
    pub title: String,
    pub path: String,
    pub link: String,
    /// How many findings it has; `None` where there are none.
    pub found: Option<String>,
}

/// The contents of a book; `sheet` gives the address of a day's sheet from its notebook's path.
pub fn contents(
    compiled: &Compiled,
    findings: &[Finding],
    addresses: &dyn Addresses,
    sheet: impl Fn(&str) -> String,
) -> Contents {
    let book = &*compiled.book;
    let tongue = book.about.units.tongue();
    let mut of_file: BTreeMap<FileId, Vec<&Finding>> = BTreeMap::new();
    for finding in findings {
        of_file.entry(finding.span.file).or_default().push(finding);
    }
    let found = |file: FileId| of_file.get(&file).map(|found| tally(found.iter().copied()));
    let entry = |path: &str, title: &str, file: FileId| Entry {
        title: title.to_owned(),
        path: path.to_owned(),
        link: addresses.notebook(path),
        found: found(file).map(|found| tongue.say(&found)),
    };
    let of_notebook = |notebook: &Notebook| entry(&notebook.path, &notebook.title, notebook.document.file);
    let title_of = |notebook: Option<&Notebook>| notebook.map(|notebook| notebook.title.clone());
    let days = book.days.iter().rev().map(|day| DayEntry {
        date: day.is_dated.then(|| day.date.to_string()),
        rider: title_of(book.rider(day)),
        machine: title_of(book.machine(day)),
        track: title_of(book.track(day)),
        sheet: sheet(&day.notebook.path),
        entry: of_notebook(&day.notebook),
    });
    let days: Vec<DayEntry> = days.collect();
    let mut standing: Vec<Entry> = book.standing().map(of_notebook).collect();
    // Other files with findings: `book.toml`, a lap file, a file that could not be read.
    let others = book.sources.files().filter(|file| book.notebook(*file).is_none());
    standing.extend(
        others
            .filter(|file| found(*file).is_some() || book.about.file == Some(*file))
            .map(|file| entry(book.sources.path(file), book.sources.path(file), file)),
    );
    Contents {
        title: book.about.title.clone().unwrap_or_else(|| tongue.say(&say!("The book"))),
        tally: tongue.say(&tally(findings)),
        days,
        standing,
    }
}
