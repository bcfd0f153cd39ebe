//! What an editor asks of a compiled book: by a notebook's path, and by a byte of it.

use std::collections::BTreeSet;

use jiff::civil::Date;

use crate::book::readings::of_block;
use crate::checks;
use crate::figures::tape::Tape;
use crate::figures::{Bench, Figure, Here};
use crate::finding::{Finding, keep, order};
use crate::notebook::{Block, Extent, Table, Value, parse_table};
use crate::season::State;
use crate::source::{BOOK_FILE, FileId, Span, limits};
use crate::vocabulary::FigureName;

use super::Compiled;

/// What stands at a byte of a notebook.
#[derive(Debug, Clone, PartialEq)]
pub struct Spot<'c> {
    /// The fenced block that the byte is in; `None` in the head and in `book.toml`.
    pub block: Option<&'c Block<Extent>>,
    /// The key at the byte, or whose value is there, with the keys around it: `sag.rear.rider.within`.
    pub key: Option<String>,
    /// The value's place.
    pub value: Option<Span>,
}

/// What a day rests on.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct RestsOn {
    /// Its own notebook, those of its machine, rider and track, `book.toml`, its lap files, and each earlier day
    /// that wrote something which still holds.
    pub files: BTreeSet<FileId>,
    /// Earlier days whose repeats show how far the hand and the instruments can be trusted.
    pub repeats: BTreeSet<FileId>,
}

impl Compiled {
    /// The findings of the whole book judged on a day, as people read them.
    pub fn told(&self, on: Date) -> Vec<Finding> {
        let mut all = self.findings.clone();
        let days: Vec<usize> = (0..self.book.days.len()).collect();
        checks::tell_once(&self.book, &mut all);
        checks::tell_of_last_day(&self.book, &days, |_| false, on, &mut all);
        keep(&mut all, 0, limits::FINDINGS);
        order(&mut all);
        all
    }

    /// The findings in a file, in the order of the file; none where the book has no such file.
    pub fn findings_of(&self, path: &str) -> impl Iterator<Item = &Finding> {
        let file = self.book.sources.find(path);
        self.findings.iter().filter(move |finding| Some(finding.span.file) == file)
    }

    /// The block and the key at a byte of a notebook or of `book.toml`; `None` in prose, and where there is no such file.
    pub fn spot(&self, path: &str, offset: u32) -> Option<Spot<'_>> {
        let file = self.book.sources.find(path)?;
        if path == BOOK_FILE {
            let (table, _) = parse_table(file, self.book.sources.whole(file));
            let (key, value) = key_at(&table, offset).unzip();
            return Some(Spot { block: None, key, value });
        }
        let notebook = self.book.notebook(file)?;
        let document = &notebook.document;
        let tables = self.book.tables(notebook);
        let is_in = |span: Span| span.start <= offset && offset <= span.end;
        let (block, table) = match document.blocks.iter().find(|block| is_in(block.span)) {
            Some(block) => (Some(block), tables.of(block)),
            None => (None, tables.of_head(document.head.filter(|head| is_in(head.span))?)?),
        };
        let (key, value) = key_at(&table, offset).unzip();
        Some(Spot { block, key, value })
    }

    /// The state at a byte of a day's notebook; a block holds from behind its first byte. `None` in any other notebook.
    pub fn state(&self, path: &str, offset: u32) -> Option<&State> {
        let day = self.book.day_of(self.book.sources.find(path)?)?;
        Some(self.season.days.get(day)?.at(offset))
    }

    /// A figure at a byte of a day's notebook; `None` in any other notebook. A figure without a value says why.
    pub fn figure(&self, path: &str, offset: u32, name: FigureName) -> Option<Figure> {
        let day = self.book.day_of(self.book.sources.find(path)?)?;
        let state = self.season.days.get(day)?.at(offset);
        let tape = Tape::new();
        Some(Bench::new(Here::of_day(&self.book, &self.season, day, state)?, &tape).figure(name))
    }

    /// What a day rests on, by its place in the book.
    pub fn rests_on(&self, day: usize) -> RestsOn {
        let book = &*self.book;
        let Some(about) = book.days.get(day) else { return RestsOn::default() };
        let until =
            book.days.iter().filter(|other| about.is_dated && other.is_dated && other.date <= about.date);
        let repeats = until.filter(|other| {
            let mut read = other.notebook.blocks.iter().flat_map(|block| of_block(book, block));
            read.any(|reading| reading.readings.values.len() > 1)
        });
        let repeats = repeats.map(|other| other.notebook.document.file).collect();
        let states = self.season.days.get(day).into_iter().flat_map(|replay| {
            std::iter::once(&replay.start).chain(replay.points.iter().map(|point| &point.state))
        });
        RestsOn { files: self.files_of(day, states), repeats }
    }

    /// The files that the day's end rests on, without those that only lend repeats: the files behind a sheet.
    pub fn files_under(&self, day: usize) -> BTreeSet<FileId> {
        self.files_of(day, self.season.days.get(day).map(|replay| replay.end()))
    }

    fn files_of<'s>(&self, day: usize, states: impl IntoIterator<Item = &'s State>) -> BTreeSet<FileId> {
        let book = &*self.book;
        let Some(about) = book.days.get(day) else { return BTreeSet::new() };
        let notebooks = [Some(&*about.notebook), book.machine(about), book.rider(about), book.track(about)];
        let mut files: BTreeSet<FileId> =
            notebooks.into_iter().flatten().map(|notebook| notebook.document.file).collect();
        files.extend(book.about.file);
        files.extend(states.into_iter().flat_map(State::places).map(|span| span.file));
        files.extend(book.lap_files_of(&about.notebook));
        files
    }
}

/// The innermost key of a table whose name or value a byte is on, with the value's place.
fn key_at(table: &Table, offset: u32) -> Option<(String, Span)> {
    table.entries.iter().rev().find_map(|entry| {
        // A key with dots is a table without a place of its own.
        let inner = match &entry.value.value {
            Value::Table(inner) => key_at(inner, offset),
            _ => None,
        };
        let is_on = entry.key_span.start <= offset && offset <= entry.value.span.end;
        match inner {
            Some((key, value)) => Some((format!("{}.{key}", entry.key), value)),
            None => is_on.then(|| (entry.key.to_string(), entry.value.span)),
        }
    })
}
