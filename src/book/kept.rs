//! What one reading of a book leaves for the next.

use std::collections::{BTreeMap, BTreeSet};
use std::sync::Arc;

use crate::finding::Finding;
use crate::quantity::Units;
use crate::source::{FileId, Sources, Span};

use super::tongues::Tongues;
use super::{Lap, Notebook};

/// What was read of a book, and which of its files have changed since.
///
/// A file is read again where its text is another. A notebook's units come from `book.toml`, so that all are read again
/// where those change.
#[derive(Debug, Default)]
pub struct Kept {
    pub(super) sources: Sources,
    pub(super) units: Units,
    pub(super) tongues: Tongues,
    pub(super) notebooks: BTreeMap<FileId, Read>,
    pub(super) laps: BTreeMap<LapKey, ReadLaps>,
    changed: BTreeSet<String>,
    is_for_programs: bool,
}

/// One notebook as it was read by itself.
#[derive(Debug, Clone)]
pub(super) struct Read {
    /// `None` where it is no notebook.
    pub notebook: Option<Arc<Notebook>>,
    pub findings: Arc<[Finding]>,
    /// How many blocks its text has, as limits count them.
    pub blocks: usize,
}

/// A file of laps as it was asked for: what is wrong is said at the places of its path and its column.
pub(super) type LapKey = (String, String, Span, Option<(String, Span)>);

/// The laps of a file, and what there was to say.
pub(super) type ReadLaps = (Arc<[Lap]>, Arc<[Finding]>);

impl Kept {
    /// Has everything told in English from now on, with decimal points.
    pub fn tell_programs(&mut self) {
        self.is_for_programs = true;
    }

    pub(super) fn is_for_programs(&self) -> bool {
        self.is_for_programs
    }

    /// Says that a file is not what it was.
    pub fn change(&mut self, path: &str) {
        self.changed.insert(path.to_owned());
    }

    /// With nothing kept.
    pub(super) fn emptied(&self) -> Self {
        Self { is_for_programs: self.is_for_programs, ..Self::default() }
    }

    /// Whether a file is what it was when it was read.
    pub(super) fn has_stayed(&self, path: &str) -> bool {
        !self.changed.contains(path)
    }

    /// Goes on from notebooks of which some were read just now, in these texts. Files of laps were not asked for: those that
    /// have changed are still to be read.
    pub(super) fn is_broken_off(&mut self, mut sources: Sources, units: Units, tongues: Tongues) {
        let changed = std::mem::take(&mut self.changed);
        self.laps.retain(|(path, ..), _| !changed.contains(path));
        for (path, ..) in self.laps.keys() {
            sources.take_over(&self.sources, path);
        }
        self.is_read(sources, units, tongues);
    }

    /// Goes on from a book that was read just now, with no more of the former reading than that one used.
    pub(super) fn is_read(&mut self, sources: Sources, units: Units, tongues: Tongues) {
        self.changed.clear();
        (self.sources, self.units, self.tongues) = (sources, units, tongues);
    }
}
