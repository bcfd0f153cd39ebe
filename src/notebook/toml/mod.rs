//! TOML of a head or block into a [`Table`], each fault at its place.

mod faults;
mod general;
mod plain;

pub(super) use plain::read as read_plain;

use crate::finding::Finding;
use crate::speech::say;

use super::codes;
use super::conflicts::Conflicts;
use super::segments::Cut;
use super::value::Table;

/// How many findings about TOML a file may still have. Behind the last one comes one that says there are more:
/// ten thousand broken lines have one cause.
#[derive(Debug)]
pub(super) struct Budget(u32);

impl Default for Budget {
    fn default() -> Self {
        Self(50)
    }
}

impl Budget {
    fn report(&mut self, finding: Finding, findings: &mut Vec<Finding>) {
        match self.0 {
            0 => return,
            1 => {
                let headline = say!("there are more lines that are not TOML from here on");
                findings.push(
                    Finding::new(&codes::MORE_ERRORS, finding.span, headline)
                        .help(say!("mend those above first")),
                );
            }
            _ => findings.push(finding),
        }
        self.0 -= 1;
    }
}

/// What to do about faults in the TOML.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Errors {
    Report,
    /// The cause was reported already: broken lines are left out in silence.
    Silence,
}

/// What a file's tables have in common: the conflicts of the file, and where faults go.
pub(super) struct Around<'a> {
    pub conflicts: &'a Conflicts,
    pub errors: Errors,
    pub budget: &'a mut Budget,
    pub findings: &'a mut Vec<Finding>,
}

/// Reads a table from end to end.
pub(super) fn read<'t>(cut: &Cut<'t>, around: Around<'_>) -> Table<'t> {
    let plain = if around.conflicts.is_empty() { plain::read(cut) } else { None };
    plain.unwrap_or_else(|| general::read(cut, around))
}

/// Where a dotted key begins, from the place of one of its parts. The parser gives a part only its own place,
/// and earlier parts the place of the line that first wrote them.
fn path_start(text: &str, mut start: usize) -> usize {
    let is_bare = |c: char| c.is_ascii_alphanumeric() || matches!(c, '_' | '-');
    loop {
        let before = text.get(..start).unwrap_or("").trim_end_matches([' ', '\t']);
        let Some(part) = before.strip_suffix('.').map(|part| part.trim_end_matches([' ', '\t'])) else {
            return start;
        };
        let quote = part.chars().next_back().filter(|&last| matches!(last, '"' | '\''));
        let rest = match quote {
            Some(quote) => {
                part.get(..part.len() - 1).and_then(|open| open.rfind(quote)).unwrap_or(part.len())
            }
            None => part.trim_end_matches(is_bare).len(),
        };
        if rest == part.len() {
            return start;
        }
        start = rest;
    }
}
