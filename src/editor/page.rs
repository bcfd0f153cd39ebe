//! A file of a compiled book, for questions about it.

use std::path::Path;

use lsp_types::{Location, Position, Range, Uri};

use crate::book::{Asked, Book, Day, Notebook, asked};
use crate::figures::Here;
use crate::notebook::Mention;
use crate::pages::why::{Why, why};
use crate::quantity::Units;
use crate::season::State;
use crate::session::Compiled;
use crate::source::{FileId, Span};
use crate::vocabulary::FigureName;

use super::text::Lines;

/// A file, and the editor's addresses for its book's files.
pub(super) struct Page<'c> {
    pub compiled: &'c Compiled,
    pub path: &'c str,
    pub file: FileId,
    pub text: &'c str,
    pub lines: Lines<'c>,
    /// The address of a path in the book.
    pub uri: &'c dyn Fn(&str) -> Option<Uri>,
}

impl<'c> Page<'c> {
    /// `None` where the book has no such file.
    pub fn of(compiled: &'c Compiled, path: &'c str, uri: &'c dyn Fn(&str) -> Option<Uri>) -> Option<Self> {
        let file = compiled.book.sources.find(path)?;
        let text = compiled.book.sources.whole(file);
        Some(Self { compiled, path, file, text, lines: Lines::of(text), uri })
    }

    pub fn book(&self) -> &'c Book {
        &self.compiled.book
    }

    /// `None` for a file that is no notebook, such as `book.toml`.
    pub fn notebook(&self) -> Option<&'c Notebook> {
        self.compiled.book.notebook(self.file)
    }

    pub fn day(&self) -> Option<&'c Day> {
        let day = self.book().day_of(self.file)?;
        self.book().days.get(day)
    }

    /// The machine that the file is about.
    pub fn machine(&self) -> Option<&'c Notebook> {
        match self.day() {
            Some(day) => self.book().machine(day),
            None => self.notebook().filter(|notebook| notebook.is(crate::vocabulary::NotebookKind::Machine)),
        }
    }

    pub fn offset(&self, position: Position) -> u32 {
        super::text::byte(self.lines.offset(position))
    }

    /// A place in this file, as a range.
    pub fn range(&self, span: Span) -> Range {
        self.lines.range(span)
    }

    /// A place in any file of the book, as a location.
    pub fn location(&self, span: Span) -> Option<Location> {
        let sources = &self.book().sources;
        let range = if span.file == self.file {
            self.range(span)
        } else {
            Lines::of(sources.whole(span.file)).range(span)
        };
        Some(Location { uri: (self.uri)(sources.path(span.file))?, range })
    }

    /// A place in words: the file's name and the line.
    pub fn told(&self, span: Span) -> String {
        let sources = &self.book().sources;
        let path = Path::new(sources.path(span.file));
        let name = path.file_name().map(|name| name.to_string_lossy().into_owned()).unwrap_or_default();
        format!("{name}, line {}", sources.start(span).line)
    }

    /// The units in which values are shown here.
    pub fn units(&self) -> Units {
        self.book().units_for(self.day().and_then(|day| day.rider.as_deref()))
    }

    /// The figure span at a byte, with its `@`.
    pub fn mention(&self, offset: u32) -> Option<&'c Mention> {
        let mentions = &self.notebook()?.document.mentions;
        mentions
            .iter()
            .find(|mention| mention.span.start.saturating_sub(1) <= offset && offset <= mention.span.end)
    }

    /// The day that a figure span asks about, and the state there.
    pub fn asks(&self, mention: &'c Mention) -> (Asked<'c>, Option<(usize, State)>) {
        let what = asked(mention);
        let (book, season) = (self.book(), &self.compiled.season);
        let place = match what.day {
            Some(other) => book.other_day(self.day(), other).and_then(|day| {
                let day = book.day_of(day.notebook.document.file)?;
                Some((day, season.days.get(day)?.end().clone()))
            }),
            None => book
                .day_of(self.file)
                .and_then(|day| Some((day, season.days.get(day)?.at(mention.span.start).clone()))),
        };
        (what, place)
    }

    /// A figure's working at a place of a day, or without a day on the machine's standard setting; `None` where there is
    /// neither.
    pub fn why(&self, name: FigureName, place: Option<(usize, &State)>) -> Option<Why> {
        let (book, season) = (self.book(), &*self.compiled.season);
        let units = self.units();
        if let Some((day, state)) = place {
            return Some(why(book, Here::of_day(book, season, day, state)?, name, &units));
        }
        let machine = self.machine().filter(|_| self.day().is_none())?;
        let state = season.as_standard(&machine.name)?;
        Some(why(book, Here::of_machine(book, season, machine, &state), name, &units))
    }
}
