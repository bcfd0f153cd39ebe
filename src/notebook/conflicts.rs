//! Marks that git leaves in a file when two versions could not be merged.

use std::ops::Range;

use crate::finding::Finding;
use crate::source::{FileId, Span};
use crate::speech::say;

use super::codes;

const OURS: &str = "<<<<<<< ";
const THEIRS: &str = ">>>>>>> ";

/// The conflicts of one file.
#[derive(Debug)]
pub(super) struct Conflicts {
    file: FileId,
    found: Vec<Conflict>,
}

#[derive(Debug)]
struct Conflict {
    /// The line that opens it.
    opening: Range<usize>,
    /// The line that closes it, where there is one.
    closing: Option<Range<usize>>,
}

impl Conflicts {
    pub fn find(file: FileId, text: &str) -> Self {
        let mut found: Vec<Conflict> = Vec::new();
        // Hardly any text has even one of these signs.
        if memchr::memchr(b'<', text.as_bytes()).is_none() || !text.contains(OURS) {
            return Self { file, found };
        }
        let mut start = 0;
        for line in text.split_inclusive('\n') {
            let place = || start..start + line.trim_end_matches(['\n', '\r']).len();
            if line.starts_with(OURS) {
                found.push(Conflict { opening: place(), closing: None });
            } else if line.starts_with(THEIRS)
                && let Some(open) = found.last_mut()
                && open.closing.is_none()
            {
                open.closing = Some(place());
            }
            start += line.len();
        }
        Self { file, found }
    }

    pub fn findings(&self) -> Vec<Finding> {
        let span = |range: &Range<usize>| Span::new(self.file, range.start, range.end);
        let finding = |conflict: &Conflict| {
            let headline = say!("git could not merge this and left both versions");
            let mut finding = Finding::new(&codes::CONFLICT, span(&conflict.opening), headline)
                .found(say!("one version begins here"));
            if let Some(closing) = &conflict.closing {
                finding = finding.see(span(closing), say!("the other ends here"));
            }
            finding.help(say!(
                "keep the lines that are right and delete the others, with the three lines of marks"
            ))
        };
        self.found.iter().map(finding).collect()
    }

    pub fn is_empty(&self) -> bool {
        self.found.is_empty()
    }

    /// Whether an offset of the file lies in a conflict, marks included.
    pub fn contain(&self, offset: usize) -> bool {
        let before = self.found.partition_point(|conflict| conflict.opening.start <= offset);
        before
            .checked_sub(1)
            .and_then(|at| self.found.get(at))
            .is_some_and(|conflict| conflict.closing.as_ref().is_none_or(|closing| offset <= closing.end))
    }
}
