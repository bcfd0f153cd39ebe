//! What can be wrong with a template, or with what it wrote.

use std::fmt;
use std::ops::Range;

use tera::ErrorKind;

/// A fault of a template.
///
/// Its place is in the template's own text where the engine found it, and in the written text where a layout
/// block could not be read.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct TemplateError {
    pub template: String,
    pub place: Place,
    /// One line, lower case, no full stop.
    pub message: String,
}

/// Where a fault is; lines and columns are counted from 1.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Place {
    /// In the template; the bytes are a range in its text.
    Template { line: usize, column: usize, start: usize, end: usize },
    /// In the Markdown that the template wrote.
    Written { line: usize },
    /// The template as a whole.
    Whole,
}

impl TemplateError {
    pub(super) fn whole(template: &str, message: impl Into<String>) -> Self {
        Self { template: template.to_owned(), place: Place::Whole, message: message.into() }
    }

    pub(super) fn written(template: &str, line: usize, message: impl Into<String>) -> Self {
        Self { template: template.to_owned(), place: Place::Written { line }, message: message.into() }
    }

    /// From the engine's error; `place` finds, by the template's name, a range of its text in what the book has.
    pub(super) fn from_engine(
        template: &str,
        error: &tera::Error,
        place: impl Fn(&str, Range<usize>) -> Place,
    ) -> Self {
        match error.kind() {
            ErrorKind::SyntaxError(report) | ErrorKind::RenderingError(report) => {
                let template = report.filename();
                Self {
                    template: template.to_owned(),
                    place: place(template, report.span().range.clone()),
                    message: one_line(report.message()),
                }
            }
            kind => Self::whole(template, one_line(&kind.to_string())),
        }
    }
}

/// The first line of the engine's message, in the form of a headline.
fn one_line(message: &str) -> String {
    let line = message.lines().next().unwrap_or_default().trim_end_matches('.');
    let mut letters = line.chars();
    match letters.next() {
        Some(first) => first.to_lowercase().chain(letters).collect(),
        None => String::new(),
    }
}

impl fmt::Display for TemplateError {
    fn fmt(&self, formatter: &mut fmt::Formatter<'_>) -> fmt::Result {
        let Self { template, place, message } = self;
        match place {
            Place::Template { line, column, .. } => {
                write!(formatter, "template {template}, line {line}, column {column}: {message}")
            }
            Place::Written { line } => {
                write!(formatter, "template {template}, line {line} of what it wrote: {message}")
            }
            Place::Whole => write!(formatter, "template {template}: {message}"),
        }
    }
}

impl std::error::Error for TemplateError {}
