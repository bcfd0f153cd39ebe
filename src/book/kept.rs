//! What one reading of a book keeps for the next.

use std::collections::{BTreeMap, BTreeSet};
use std::sync::Arc;

use crate::finding::Finding;
use crate::quantity::Units;
use crate::source::{FileId, Sources, Span};

use super::tongues::Tongues;
use super::{Lap, Notebook};

/// What was read of a book, and which of its files have changed since.
///
/// A file is read again when its text changes. The units of bare numbers come from `book.toml`, so when those change
/// all notebooks are read again.
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

/// One notebook, read by itself.
#[derive(Debug, Clone)]
pub(super) struct Read {
    /// `None` where it is no notebook.
    pub notebook: Option<Arc<Notebook>>,
    pub findings: Arc<[Finding]>,
    /// How many blocks its text has, as limits count them.
    pub blocks: usize,
}

/// A lap file as a stint asks for it. Its findings are placed at the stint's path and column.
pub(super) type LapKey = (String, String, Span, Option<(String, Span)>);

/// The laps of a file, with its findings.
pub(super) type ReadLaps = (Arc<[Lap]>, Arc<[Finding]>);

impl Kept {
    /// From now on everything is in English with decimal points.
    pub fn tell_programs(&mut self) {
        self.is_for_programs = true;
    }

    pub(super) fn is_for_programs(&self) -> bool {
        self.is_for_programs
    }

    /// Notes that a file has changed.
    pub fn change(&mut self, path: &str) {
        self.changed.insert(path.to_owned());
    }

    /// With nothing kept.
    pub(super) fn emptied(&self) -> Self {
        Self { is_for_programs: self.is_for_programs, ..Self::default() }
    }

    /// Whether a file has not changed since it was read.
    pub(super) fn has_stayed(&self, path: &str) -> bool {
        !self.changed.contains(path)
    }

    /// Goes on from notebooks of which only some were read, in these texts. Lap files were not read yet: those that changed
    /// are still to be read.
    pub(super) fn is_broken_off(&mut self, mut sources: Sources, units: Units, tongues: Tongues) {
        let changed = std::mem::take(&mut self.changed);
        self.laps.retain(|(path, ..), _| !changed.contains(path));
        for (path, ..) in self.laps.keys() {
            sources.take_over(&self.sources, path);
        }
        self.is_read(sources, units, tongues);
    }

    /// Goes on from a book that was read to the end, and drops what it did not use of the former reading.
    pub(super) fn is_read(&mut self, sources: Sources, units: Units, tongues: Tongues) {
        self.changed.clear();
        (self.sources, self.units, self.tongues) = (sources, units, tongues);
    }
}
