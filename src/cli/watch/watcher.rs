//! A book's folder, looked at again and again.

use std::path::PathBuf;
use std::sync::Arc;

use jiff::civil::Date;

use crate::session::{Compiled, Session};
use crate::source::{Disk, Stamps};

use super::super::clock;
use super::super::failure::Failure;
use super::super::shelf;
use super::edition::Edition;

/// A session over a book on disk that takes in what others write there.
pub(super) struct Watcher {
    root: PathBuf,
    store: Arc<Disk>,
    session: Session<'static>,
    seen: Stamps,
    /// Files that had only just changed at the last look. What is written in the same moment has the same time stamp, and is
    /// seen only by looking again.
    fresh: Vec<String>,
    compiled: Compiled,
    on: Date,
    number: u32,
}

impl Watcher {
    /// A watcher over the book of a folder.
    ///
    /// # Errors
    ///
    /// Where the folder cannot be listed.
    pub fn over(root: PathBuf) -> Result<Self, Failure> {
        let store = Disk::new(root.clone());
        let unread = |error| Failure::new(format!("the book in {} cannot be read: {error}", root.display()));
        let seen = store.stamps().map_err(unread)?;
        let mut session = shelf::session(store.clone(), root.display())?;
        let on = clock::today();
        let compiled = session.compile(Some(on));
        Ok(Self { store: Arc::new(store), session, seen, fresh: Vec::new(), compiled, on, number: 0, root })
    }

    /// The book as of the last look.
    pub fn edition(&self) -> Edition {
        Edition {
            // A browser left over from another run sees that this is not its own.
            name: format!("{}-{}", std::process::id(), self.number),
            compiled: self.compiled.clone(),
            findings: self.compiled.told(self.on),
            store: self.store.clone(),
        }
    }

    /// Looks at the folder again. Returns the files that changed; `None` where none did, or where the folder could not be
    /// listed for a moment.
    pub fn look(&mut self) -> Option<Vec<String>> {
        let seen = self.store.stamps().ok()?;
        let changed = seen.since(&self.seen);
        let has_other_problems = seen.has_other_problems(&self.seen);
        let on = clock::today();
        let is_next_day = on != self.on;
        let again = std::mem::take(&mut self.fresh);
        if changed.is_empty() && again.is_empty() && !has_other_problems && !is_next_day {
            return None;
        }
        self.seen = seen;
        self.on = on;
        if has_other_problems {
            // A session notes once, when it begins, what could not be listed: begin a new one.
            let store = Disk::new(self.root.clone());
            self.session = shelf::session(store, self.root.display()).ok()?;
        }
        for path in changed.iter().chain(&again) {
            self.session.close(path);
        }
        let before = std::mem::replace(&mut self.compiled, self.session.compile(Some(on)));
        let text = |compiled: &Compiled, path: &str| {
            let sources = &compiled.book.sources;
            sources.find(path).map(|file| sources.whole(file).to_owned())
        };
        let mut told = changed.clone();
        told.extend(
            again
                .into_iter()
                .filter(|path| !changed.contains(path) && text(&before, path) != text(&self.compiled, path)),
        );
        self.fresh = changed;
        if told.is_empty() && !has_other_problems && !is_next_day {
            return None;
        }
        self.number += 1;
        Some(told)
    }
}
