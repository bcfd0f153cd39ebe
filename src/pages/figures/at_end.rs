//! The figures of a notebook for people.

use serde::Serialize;

use crate::speech::say;
use crate::vocabulary::FigureName;

use super::{FigureLine, NotebookFigures};

/// How much is shown.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Extent {
    /// What is set and looked at first.
    First,
    All,
}

/// The figures at the end of a notebook.
#[derive(Debug, Serialize)]
pub struct AtEnd<'p> {
    notebook: &'p str,
    lines: Vec<Known<'p>>,
    lacking: Vec<Lacking>,
    /// What was assumed and what was read only once; lines refer to them by number, from 1.
    notes: Vec<String>,
    /// How many figures are not shown.
    more: usize,
}

/// A figure with a value, and the line since which it holds.
#[derive(Debug, Serialize)]
struct Known<'p> {
    id: FigureName,
    label: String,
    shown: &'p str,
    line: u32,
    notes: Vec<usize>,
}

/// A figure without a value, and what it needs.
#[derive(Debug, Serialize)]
struct Lacking {
    id: FigureName,
    label: String,
    words: String,
}

impl NotebookFigures {
    /// The figures at the end of the notebook, for its template.
    pub fn at_end(&self, extent: Extent) -> AtEnd<'_> {
        let tongue = &self.tongue;
        let mut last: Vec<&FigureLine> = Vec::new();
        for line in &self.figures {
            match last.iter_mut().find(|known| known.id == line.id) {
                Some(known) => *known = line,
                None => last.push(line),
            }
        }
        let all = last.len();
        last.retain(|line| extent == Extent::All || line.id.info().is_first());
        let more = all - last.len();
        let mut page = AtEnd {
            notebook: &self.notebook,
            lines: Vec::new(),
            lacking: Vec::new(),
            notes: Vec::new(),
            more,
        };
        for line in last {
            let (id, label) = (line.id, tongue.say(&line.id.label()));
            let Some(shown) = &line.shown else {
                let wanted = line.missing.join(", ");
                let words = if line.is_wanted { tongue.say(&say!("needs {wanted}", wanted)) } else { wanted };
                page.lacking.push(Lacking { id, label, words });
                continue;
            };
            let mut remarks: Vec<String> =
                line.assumed.iter().map(|what| tongue.say(&say!("assumed: {what}", what))).collect();
            if !line.read_once.is_empty() {
                let what = line.read_once.join(", ");
                remarks.push(tongue.say(&say!("read once, better three times: {what}", what)));
            }
            let notes = remarks.into_iter().map(|remark| page.number(remark)).collect();
            page.lines.push(Known { id, label, shown, line: line.at.line, notes });
        }
        page
    }
}

impl AtEnd<'_> {
    /// The number of a note; each note is listed once.
    fn number(&mut self, note: String) -> usize {
        let at = self.notes.iter().position(|known| *known == note).unwrap_or_else(|| {
            self.notes.push(note);
            self.notes.len() - 1
        });
        at + 1
    }
}
