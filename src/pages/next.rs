//! The one next change of a day, as a page.

use serde::Serialize;

use crate::advice::{LookState, Next, OnFile};
use crate::speech::Tongue;

/// The version of this format; a reader that knows another one should stop.
const SCHEMA: u32 = 1;

/// A day's advice.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct NextPage {
    pub schema: u32,
    /// The reader's language.
    #[serde(skip)]
    pub tongue: Tongue,
    /// Relative to the book.
    pub notebook: String,
    #[serde(flatten)]
    pub next: Next,
}

/// The page, with what follows from its parts, for its template.
#[derive(Debug, Serialize)]
pub struct Laid<'p> {
    #[serde(flatten)]
    page: &'p NextPage,
    complaint_told: Option<String>,
    others_told: Vec<String>,
    /// What is still to look at.
    open_looks: Vec<&'p LookState>,
    /// How many steps are left out.
    skipped: usize,
    /// Whether every step is shown.
    is_all: bool,
}

impl NextPage {
    pub fn new(notebook: String, next: Next) -> Self {
        Self { schema: SCHEMA, tongue: Tongue::ENGLISH, notebook, next }
    }

    /// For a reader of this language, in which the advice was made.
    #[must_use]
    pub fn told_in(self, tongue: &Tongue) -> Self {
        Self { tongue: tongue.clone(), ..self }
    }

    /// Prepared for its template.
    pub fn laid(&self, is_all: bool) -> Laid<'_> {
        let next = &self.next;
        Laid {
            page: self,
            complaint_told: next.complaint.as_ref().map(OnFile::told),
            others_told: next.others.iter().map(OnFile::told).collect(),
            open_looks: next.looks.iter().filter(|look| !look.is_done).collect(),
            skipped: next.skipped().count(),
            is_all,
        }
    }
}
