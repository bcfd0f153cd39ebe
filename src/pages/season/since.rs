//! Which days are new, and which have changed, since the book was at a revision.

use std::collections::BTreeMap;

use serde::Serialize;

use crate::book::{Book, Day};
use crate::source::FileId;

/// What happened to the days of a book since a revision.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Since {
    /// As the user named it.
    pub revision: String,
    /// By the notebook's path; unchanged days are not listed.
    marks: BTreeMap<String, Mark>,
}

/// What happened to a day.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "lowercase")]
pub enum Mark {
    /// The book did not have the day.
    New,
    /// Its notebook said something else.
    Changed,
}

impl Mark {
    pub fn word(self) -> &'static str {
        match self {
            Self::New => "new",
            Self::Changed => "changed",
        }
    }
}

impl Since {
    /// Compares a book with an earlier one; `name_then` gives a notebook's earlier path, where it had another.
    pub fn new(revision: &str, then: &Book, now: &Book, name_then: impl Fn(&str) -> Option<String>) -> Self {
        let mark = |day: &Day| {
            let was = match notebook_then(then, day, &name_then) {
                Some(file) => then.sources.whole(file).lines(),
                None => return Some(Mark::New),
            };
            // Line by line, since a checkout may have other line ends than git keeps.
            let is_same = now.sources.whole(day.notebook.document.file).lines().eq(was);
            (!is_same).then_some(Mark::Changed)
        };
        let marks = now.days.iter().filter_map(|day| Some((day.notebook.path.clone(), mark(day)?)));
        Self { revision: revision.to_owned(), marks: marks.collect() }
    }

    pub(super) fn mark(&self, path: &str) -> Option<Mark> {
        self.marks.get(path).copied()
    }
}

/// The notebook that a day was: at its own path or at an earlier one. Otherwise any notebook where date,
/// machine and rider show that it is the same day, as for a file that git does not know yet.
fn notebook_then(then: &Book, day: &Day, name_then: impl Fn(&str) -> Option<String>) -> Option<FileId> {
    let path = &day.notebook.path;
    let by_path = || then.sources.find(path);
    let by_name = || then.sources.find(&name_then(path)?);
    let is_same = |other: &&Day| {
        day.is_dated
            && other.is_dated
            && (other.date, &other.machine, &other.rider) == (day.date, &day.machine, &day.rider)
    };
    let by_date = || Some(then.days.iter().find(is_same)?.notebook.document.file);
    by_path().or_else(by_name).or_else(by_date)
}
