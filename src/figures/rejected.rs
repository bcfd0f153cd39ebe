//! What is written and does not count: its place is named, instead of asking for it again.

use crate::finding::Rejected;
use crate::vocabulary::blocks::Settings;
use crate::vocabulary::{Header, Setting, Typed};

use super::bench::{Bench, Got, is_named};
use super::figure::{Absent, Faulty, Missing};
use super::recorder::Recorder;

/// A part that may be replaced where it was never written. Where it was written, with an error or without such a
/// number, nothing replaces it.
pub(super) fn if_unwritten<T>(got: Got<T>) -> Got<Option<T>> {
    match got {
        Ok(part) => Ok(Some(part)),
        Err(Absent::Missing(_)) => Ok(None),
        Err(absent) => Err(absent),
    }
}

impl<R: Recorder> Bench<'_, R> {
    /// A part that waits until an error is mended.
    pub(super) fn rejected(&self, rejected: Rejected) -> Absent {
        Absent::Rejected(self.faulty(rejected))
    }

    /// An error as figures show it.
    pub fn faulty(&self, rejected: Rejected) -> Faulty {
        let sources = &self.here.book.sources;
        let Rejected { code, span } = rejected;
        let is_here = self.here.day.is_some_and(|day| day.notebook.document.file == span.file);
        let path = (!is_here).then(|| sources.path(span.file).to_owned());
        Faulty { code, span, path, line: sources.start(span).line }
    }

    /// Whether a missing key may be assumed: an error in it must be mended first.
    pub(super) fn may_assume(&self, header: &Header, key: &str) -> Got<()> {
        header.rejected(key).map_or(Ok(()), |rejected| Err(self.rejected(rejected)))
    }

    /// Separates what is missing from what is written with an error in it.
    pub(super) fn explained(&self, absent: Absent) -> Absent {
        match &absent {
            Absent::Missing(all) => {
                let found = all.iter().find_map(|missing| self.error_in(missing));
                found.map_or(absent, |rejected| self.rejected(rejected))
            }
            Absent::Rejected(_) | Absent::Cannot(_) | Absent::Instead(_) => absent,
        }
    }

    fn error_in(&self, missing: &Missing) -> Option<Rejected> {
        if missing.block == Settings::SPEC.word {
            return self.here.state.rejected_setting(Setting::parse(&missing.key)?);
        }
        let day = self.here.day;
        let rider = day.and_then(|day| self.here.book.rider(day));
        let notebooks = [day.map(|day| &*day.notebook), rider, self.here.machine, self.here.track];
        notebooks.into_iter().flatten().filter(|notebook| notebook.has_unread).find_map(|notebook| {
            let block = notebook.blocks.iter().rfind(|block| is_named(block.header(), &missing.block))?;
            block.header().rejected(&missing.key)
        })
    }
}
