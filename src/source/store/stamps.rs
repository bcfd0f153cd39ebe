//! How changes of a book on disk are noticed.

use std::collections::BTreeMap;

use jiff::Timestamp;

use super::FaultKind;

/// The length of each file of a book and the time it was written, as the disk gives them.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Stamps {
    pub(super) files: BTreeMap<String, Stamp>,
    /// What could not be looked at.
    pub(super) problems: Vec<(String, FaultKind)>,
}

/// What differs when a file was written again.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Stamp {
    pub bytes: u64,
    /// `None` where the disk does not keep it.
    pub written: Option<Timestamp>,
}

impl Stamps {
    /// The files that came, went or were written since, in the order of their paths.
    pub fn since(&self, before: &Self) -> Vec<String> {
        let came = self.files.iter().filter(|(path, stamp)| before.files.get(*path) != Some(stamp));
        let went = before.files.keys().filter(|path| !self.files.contains_key(*path));
        let mut paths: Vec<String> = came.map(|(path, _)| path).chain(went).cloned().collect();
        paths.sort_unstable();
        paths
    }

    /// Whether other things could not be looked at than before.
    pub fn has_other_problems(&self, before: &Self) -> bool {
        self.problems != before.problems
    }
}
