//! The one next change of a day, as a page.

use serde::Serialize;

use crate::advice::{LookState, Next, OnFile, StepState};
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
    /// Every step once: some differ only in what a page does not say.
    steps_told: Vec<&'p StepState>,
    /// How many of them are left out.
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
        let mut steps_told: Vec<&StepState> = Vec::new();
        for step in &next.steps {
            if !steps_told.contains(&step) {
                steps_told.push(step);
            }
        }
        let is_told = |step: &StepState| steps_told.iter().any(|told| std::ptr::eq(*told, step));
        Laid {
            page: self,
            complaint_told: next.complaint.as_ref().map(OnFile::told),
            others_told: next.others.iter().map(OnFile::told).collect(),
            open_looks: next.looks.iter().filter(|look| !look.is_done).collect(),
            skipped: next.skipped().filter(|(step, _)| is_told(step)).count(),
            steps_told,
            is_all,
        }
    }
}
