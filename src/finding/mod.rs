//! The finding: what the program has to say about a place in a notebook.
//!
//! This room has the type, the order of findings, and what was most likely meant by a misspelt name. Every room
//! below may make findings. Only `render` lays them out, and only `cli` decides what they do to the exit
//! status.

mod near;

use std::ops::{Deref, DerefMut};
use std::sync::Arc;

use crate::source::Span;
use crate::speech::{Message, Tongue, say};

pub use near::{closest, distance, is_a_letter_off, listed, meant};

/// How much a finding weighs.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Severity {
    Error,
    Warning,
    Note,
}

impl Severity {
    /// From the gravest on.
    pub const ALL: [Self; 3] = [Self::Error, Self::Warning, Self::Note];

    /// Its word, the same in every format.
    pub fn word(self) -> &'static str {
        match self {
            Self::Error => "error",
            Self::Warning => "warning",
            Self::Note => "note",
        }
    }

    /// The sign before a finding where people read it.
    pub fn sign(self) -> &'static str {
        match self {
            Self::Error => "✗",
            Self::Warning => "!",
            Self::Note => "·",
        }
    }
}

/// How many were found, in one line, with the sign of each: `✗ 2 errors, ! 1 warning`; `nothing to report` where
/// there are none.
pub fn tally<'f>(findings: impl IntoIterator<Item = &'f Finding> + Clone) -> Message {
    let count =
        |severity| findings.clone().into_iter().filter(|finding| finding.severity == severity).count();
    let parts: Vec<Message> = Severity::ALL
        .into_iter()
        .map(|severity| (severity, count(severity)))
        .filter(|&(_, count)| count > 0)
        .map(|(severity, count)| {
            let sign = severity.sign();
            match (severity, count) {
                (Severity::Error, 1) => say!("{sign} 1 error", sign),
                (Severity::Error, count) => say!("{sign} {count} errors", sign, count),
                (Severity::Warning, 1) => say!("{sign} 1 warning", sign),
                (Severity::Warning, count) => say!("{sign} {count} warnings", sign, count),
                (Severity::Note, 1) => say!("{sign} 1 note", sign),
                (Severity::Note, count) => say!("{sign} {count} notes", sign, count),
            }
        })
        .collect();
    if parts.is_empty() { say!("nothing to report") } else { Message::joined(parts, ", ") }
}

/// The name of a kind of finding, with the page that explains it.
///
/// Codes are declared as constants beside the code that makes them, and listed once in `advice::catalogue`. A
/// published name is never used for anything else.
#[derive(Debug)]
pub struct Code {
    /// `topic/fault`, naming the fault and not the cure.
    pub name: &'static str,
    pub severity: Severity,
    /// The version that first reported it.
    pub since: &'static str,
    /// Markdown: what is wrong, why it matters, an example, and what to write instead.
    pub page: &'static str,
}

/// One thing that is wrong or worth knowing, with its place.
///
/// Copies share its text until one of them changes it: after each edit a book's findings are gathered anew, and nearly all
/// of them are unchanged.
#[derive(Debug, Clone, PartialEq)]
pub struct Finding {
    pub code: &'static Code,
    pub severity: Severity,
    /// The exact value that the finding is about.
    pub span: Span,
    said: Arc<Said>,
}

/// A finding's text.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Said {
    /// One line, lower case, no full stop; true if it is all that is shown.
    pub headline: Message,
    /// What was found at the finding's own place, in a few words; may be empty.
    pub label: Message,
    /// Other places that belong to it: the band's line, the reading it disagrees with.
    pub labels: Vec<Label>,
    /// What to write or to do.
    pub remedies: Vec<Remedy>,
}

impl Deref for Finding {
    type Target = Said;

    fn deref(&self) -> &Said {
        &self.said
    }
}

impl DerefMut for Finding {
    fn deref_mut(&mut self) -> &mut Said {
        Arc::make_mut(&mut self.said)
    }
}

/// A related place, and what it has to do with the finding.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Label {
    pub span: Span,
    pub text: Message,
}

/// One way to mend it, ready to paste where possible.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Remedy {
    pub text: Message,
    /// Where to put `replacement`, where a plain edit mends it.
    pub edit: Option<Edit>,
}

/// A replacement of the text at a place.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Edit {
    pub span: Span,
    pub replacement: String,
}

/// Something written that does not count, and the error in it. What rests on it waits until that is mended.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Rejected {
    pub code: &'static Code,
    /// Where the error is reported.
    pub span: Span,
}

impl PartialEq for Code {
    fn eq(&self, other: &Self) -> bool {
        self.name == other.name
    }
}

impl Eq for Code {}

impl Finding {
    /// What an error takes out of all computations; a warning takes out nothing.
    pub fn rejects(&self) -> Option<Rejected> {
        (self.severity == Severity::Error).then_some(Rejected { code: self.code, span: self.span })
    }

    /// A finding of the code's own severity, with only a headline.
    #[cold]
    pub fn new(code: &'static Code, span: Span, headline: impl Into<Message>) -> Self {
        let said = Said {
            headline: headline.into(),
            label: Message::default(),
            labels: Vec::new(),
            remedies: Vec::new(),
        };
        Self { code, severity: code.severity, span, said: Arc::new(said) }
    }

    /// Its lines in a language: the headline, what was found, and each remedy.
    pub fn lines(&self, tongue: &Tongue) -> Vec<String> {
        let remedies = self.remedies.iter().map(|remedy| &remedy.text);
        let all = [&self.headline, &self.label].into_iter().chain(remedies);
        all.filter(|message| !message.is_empty()).map(|message| tongue.say(message)).collect()
    }

    /// Says what was found at the finding's own place.
    #[must_use]
    pub fn found(mut self, text: impl Into<Message>) -> Self {
        self.label = text.into();
        self
    }

    /// Points to a related place.
    #[must_use]
    pub fn see(mut self, span: Span, text: impl Into<Message>) -> Self {
        push_exact(&mut self.labels, Label { span, text: text.into() });
        self
    }

    /// Says what to write or to do.
    #[must_use]
    pub fn help(mut self, text: impl Into<Message>) -> Self {
        push_exact(&mut self.remedies, Remedy { text: text.into(), edit: None });
        self
    }

    /// For a quoted value that is none of those known: offers the nearest in its place, or lists them all.
    #[must_use]
    pub fn one_of(mut self, written: &str, known: &[&str]) -> Self {
        let place = self.span;
        for near in closest(written, known.iter().copied()) {
            self = self.fix(say!("did you mean `{near}`?", near), place, format!("\"{near}\""));
        }
        match self.remedies.is_empty() {
            true => self.help(say!("it has {known}", known = listed(known.iter().copied()))),
            false => self,
        }
    }

    /// Says what to write, and where, as an edit that can be applied.
    #[must_use]
    pub fn fix(mut self, text: impl Into<Message>, span: Span, replacement: impl Into<String>) -> Self {
        let edit = Edit { span, replacement: replacement.into() };
        push_exact(&mut self.remedies, Remedy { text: text.into(), edit: Some(edit) });
        self
    }
}

/// Most findings have one of each, and a book keeps thousands: spare room would be most of their memory.
fn push_exact<T>(all: &mut Vec<T>, one: T) {
    all.reserve_exact(1);
    all.push(one);
}

/// More findings than are shown.
pub static MORE: Code = Code {
    name: "file/more-findings",
    severity: Severity::Error,
    since: "0.1.0",
    page: "A notebook or a book with so many findings that the rest are not shown.

The gravest come first. Most often one fault is behind many findings.

Better: mend those that are shown, and check again.
",
};

/// Every code of this room.
pub static CODES: &[&Code] = &[&MORE];

/// Keeps the gravest of the findings from a place on, at most this many, and says how many more there are. It says so
/// at the place of the first one left out, with that one's severity.
pub fn keep(findings: &mut Vec<Finding>, from: usize, most: usize) {
    if findings.len() <= from.saturating_add(most) {
        return;
    }
    let mut told = findings.split_off(from);
    // In one order, whichever rule found them first.
    order(&mut told);
    told.sort_by_key(|finding| finding.severity);
    let left_out = told.split_off(most.min(told.len()));
    findings.append(&mut told);
    if let Some(first) = left_out.first() {
        let headline = match left_out.len() {
            1 => say!("1 more finding is not shown"),
            more => {
                say!("{more} more findings are not shown; {most} is the most", more, most)
            }
        };
        let mut finding =
            Finding::new(&MORE, first.span, headline).help(say!("mend what is shown, and check again"));
        finding.severity = first.severity;
        findings.push(finding);
    }
}

/// Sorts findings into the order shown: by file, place, severity and name. Findings that are the same word for
/// word are shown once.
pub fn order(findings: &mut Vec<Finding>) {
    findings.sort_by(|a, b| {
        let key = |finding: &Finding| (finding.span.file, finding.span.start, finding.severity);
        // The rest decides only between findings of one rule at one place.
        key(a)
            .cmp(&key(b))
            .then_with(|| a.code.name.cmp(b.code.name))
            .then_with(|| a.span.end.cmp(&b.span.end))
            .then_with(|| a.headline.to_string().cmp(&b.headline.to_string()))
    });
    findings.dedup();
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::source::FileId;

    static FIRST: Code = Code { name: "a/first", severity: Severity::Error, since: "0.1.0", page: "" };
    static LATER: Code = Code { name: "b/later", severity: Severity::Error, since: "0.1.0", page: "" };

    #[test]
    fn of_a_flood_the_weightiest_are_told_and_the_others_counted() {
        let at = |start| Span::new(FileId(0), start, start + 1);
        let mut findings: Vec<Finding> =
            (0..9).map(|start| Finding::new(&FIRST, at(start), Message::text("x"))).collect();
        for finding in findings.iter_mut().take(5) {
            finding.severity = Severity::Note;
        }
        keep(&mut findings, 1, 8);
        assert_eq!(findings.len(), 9);
        keep(&mut findings, 1, 3);
        let starts: Vec<u32> = findings.iter().map(|finding| finding.span.start).collect();
        // Findings before the place stay; then three errors, and at the fourth how many more.
        assert_eq!(starts, [0, 5, 6, 7, 8]);
        let last = findings.last().unwrap();
        assert!(
            last.code.name == MORE.name
                && last.severity == Severity::Error
                && last.headline.to_string().contains("5 more")
        );
    }

    #[test]
    fn findings_stand_in_one_order_whatever_order_they_were_made_in() {
        let at = |file, start| Span::new(FileId(file), start, start + 1);
        let mut note = Finding::new(&FIRST, at(0, 5), Message::text("note"));
        note.severity = Severity::Note;
        let expected = vec![
            Finding::new(&LATER, at(0, 3), Message::text("x")),
            Finding::new(&FIRST, at(0, 5), Message::text("x")),
            Finding::new(&LATER, at(0, 5), Message::text("x")),
            note,
            Finding::new(&FIRST, at(1, 0), Message::text("x")),
        ];
        let mut shuffled: Vec<Finding> = expected.iter().rev().cloned().collect();
        shuffled.push(expected[1].clone());
        order(&mut shuffled);
        assert_eq!(shuffled, expected);
    }
}
