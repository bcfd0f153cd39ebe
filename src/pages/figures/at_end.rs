//! The figures of a notebook for people.

use std::collections::BTreeSet;

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
    /// The numbers of its notes, in order: `1–3,5`.
    notes: String,
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
            let notes = in_order(remarks.into_iter().map(|remark| page.number(remark)).collect());
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

/// Numbers in order, three and more in a row as from the first to the last.
fn in_order(numbers: BTreeSet<usize>) -> String {
    let numbers: Vec<usize> = numbers.into_iter().collect();
    let rows = numbers.chunk_by(|one, next| one + 1 == *next).map(|row| match row {
        [first, _, .., last] => format!("{first}–{last}"),
        few => few.iter().map(ToString::to_string).collect::<Vec<_>>().join(","),
    });
    rows.collect::<Vec<_>>().join(",")
}

#[cfg(test)]
mod tests {
    use super::in_order;

    #[test]
    fn three_numbers_in_a_row_are_a_range() {
        let told = |numbers: &[usize]| in_order(numbers.iter().copied().collect());
        assert_eq!(told(&[5, 1, 3, 2]), "1–3,5");
        assert_eq!(told(&[2, 1]), "1,2");
        assert_eq!(told(&[]), "");
    }
}
