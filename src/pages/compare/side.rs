//! One side of a comparison: a place in a book.

use crate::book::{Book, Day, Notebook};
use crate::figures::{Here, Number};
use crate::quantity::Units;
use crate::season::{Season, State};
use crate::source::FileId;
use crate::vocabulary::NotebookKind;

/// A place to compare, in its own book.
pub struct Side<'a> {
    book: &'a Book,
    season: &'a Season,
    /// As the user named it: `HEAD~1:days/2026-04-11.md`.
    name: String,
    /// Short, for the head of a column: `HEAD~1`.
    label: Option<String>,
    subject: Found<'a>,
    state: Option<State>,
    /// Its notebook's name on the other side, without the ending, if it was renamed between.
    other_stem: Option<String>,
}

/// What to compare.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Subject {
    /// A whole notebook: a day as it ends, a machine on its standard setting.
    Notebook(FileId),
    /// A day as of a line of its notebook, counted from 1.
    Line(FileId, u32),
}

enum Found<'a> {
    Day(&'a Day, usize),
    Standing(&'a Notebook),
}

impl<'a> Side<'a> {
    /// A notebook of a book, or a line of a day; `None` where the file is no notebook, or has no such line.
    pub fn new(
        book: &'a Book,
        season: &'a Season,
        name: impl Into<String>,
        subject: Subject,
    ) -> Option<Self> {
        let (Subject::Notebook(file) | Subject::Line(file, _)) = subject;
        let found = match book.day_of(file) {
            Some(index) => Found::Day(book.days.get(index)?, index),
            None => Found::Standing(book.notebook(file)?),
        };
        let state = match (&found, subject) {
            (Found::Day(_, index), Subject::Notebook(_)) => Some(season.days.get(*index)?.end().clone()),
            (Found::Day(_, index), Subject::Line(file, line)) => {
                let end = book.sources.line(file, line)?.end;
                Some(season.days.get(*index)?.at(end).clone())
            }
            (Found::Standing(machine), Subject::Notebook(_)) if machine.is(NotebookKind::Machine) => {
                season.as_standard(&machine.name)
            }
            (Found::Standing(_), Subject::Notebook(_)) => None,
            // A machine's, rider's or track's notebook says the same at every line.
            (Found::Standing(_), Subject::Line(..)) => return None,
        };
        Some(Self { book, season, name: name.into(), label: None, subject: found, state, other_stem: None })
    }

    /// Notes that the notebook has another path on the other side, so that its readings are recognised there.
    #[must_use]
    pub fn known_there_as(mut self, path: &str) -> Self {
        let stem = path.strip_suffix(".md").unwrap_or(path);
        self.other_stem = (stem != self.stem()).then(|| stem.to_owned());
        self
    }

    /// Gives it a short name, where neither date, rider nor machine distinguishes the two sides.
    #[must_use]
    pub fn labelled(mut self, label: impl Into<String>) -> Self {
        self.label = Some(label.into());
        self
    }

    pub(super) fn label(&self) -> &str {
        self.label.as_deref().unwrap_or(&self.name)
    }

    pub(super) fn name(&self) -> &str {
        &self.name
    }

    pub(super) fn book(&self) -> &'a Book {
        self.book
    }

    pub(super) fn notebook(&self) -> &'a Notebook {
        match self.subject {
            Found::Day(day, _) => &day.notebook,
            Found::Standing(notebook) => notebook,
        }
    }

    pub(super) fn day(&self) -> Option<&'a Day> {
        match self.subject {
            Found::Day(day, _) => Some(day),
            Found::Standing(_) => None,
        }
    }

    /// What is set and was read here; `None` for a rider or a track.
    pub(super) fn state(&self) -> Option<&State> {
        self.state.as_ref()
    }

    /// The track of a day; `None` for a day without one, and for other notebooks.
    pub(super) fn track(&self) -> Option<&'a str> {
        self.day()?.track.as_deref()
    }

    /// The machine that this side is about.
    pub(super) fn machine(&self) -> Option<&'a str> {
        match self.subject {
            Found::Day(day, _) => day.machine.as_deref(),
            Found::Standing(notebook) => Some(notebook.name.as_str()),
        }
    }

    pub(super) fn here(&self) -> Option<Here<'_>> {
        self.here_as(self.state.as_ref()?)
    }

    /// The same place with another state of things.
    pub(super) fn here_as<'s>(&'s self, state: &'s State) -> Option<Here<'s>> {
        match self.subject {
            Found::Day(_, index) => Here::of_day(self.book, self.season, index, state),
            Found::Standing(machine) => Some(Here::of_machine(self.book, self.season, machine, state)),
        }
    }

    pub(in crate::pages) fn units(&self) -> Units {
        self.book.units_for(self.day().and_then(|day| day.rider.as_deref()))
    }

    /// The notebook's text.
    pub(super) fn text(&self) -> &'a str {
        self.book.sources.whole(self.notebook().document.file)
    }

    pub(super) fn prose(&self) -> String {
        self.notebook().document.prose_text(self.text())
    }

    fn stem(&self) -> &'a str {
        let path = &self.notebook().path;
        path.strip_suffix(".md").unwrap_or(path)
    }

    /// A number with its error sources under the names of the other side.
    pub(super) fn named_as_there(&self, number: &Number) -> Number {
        let mut number = number.clone();
        if let Some(stem) = &self.other_stem {
            for source in &mut number.sources {
                if source.id.notebook() == Some(self.stem()) {
                    source.id = source.id.with_notebook(stem);
                }
            }
        }
        number
    }
}
