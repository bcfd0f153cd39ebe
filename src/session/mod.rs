//! A book being worked on: texts and edits in, everything that follows from them out.
//!
//! The one entry for the program, a test and whoever uses the library: nothing else brings reading, replay, checks and
//! advice together. It prints nothing, writes nothing and asks no clock.

mod texts;

use std::sync::Arc;

use jiff::civil::Date;

use crate::advice::{self, Advice};
use crate::book::{self, Book};
use crate::checks;
use crate::finding::{Finding, order};
use crate::season::{self, Season};
use crate::source::{Memory, ReadError, Store};

use texts::Texts;

/// A book being worked on.
pub struct Session<'s> {
    texts: Texts<'s>,
}

/// What follows from the texts of a book. Cheap to clone, and untouched by later edits.
#[derive(Debug, Clone)]
pub struct Compiled {
    pub book: Arc<Book>,
    pub season: Arc<Season>,
    /// What ships, with what the book says of its own over it.
    pub advice: Arc<Advice>,
    /// What is wrong or worth knowing, in the order in which it is shown.
    pub findings: Vec<Finding>,
}

impl Default for Session<'_> {
    fn default() -> Self {
        Self { texts: Texts::of(Box::new(Memory::new()), Default::default()) }
    }
}

impl<'s> Session<'s> {
    /// A book that has nothing in it yet.
    pub fn new() -> Self {
        Self::default()
    }

    /// A book as a store has it.
    ///
    /// # Errors
    /// Where the store cannot be listed. Whatever is wrong inside a file is a finding.
    pub fn over(store: impl Store + 's) -> Result<Self, ReadError> {
        let listing = store.list()?;
        Ok(Self { texts: Texts::of(Box::new(store), listing) })
    }

    /// Puts a text at a path of the book, over what lies there.
    pub fn edit(&mut self, path: impl Into<String>, text: impl Into<Vec<u8>>) {
        self.texts.edit(path.into(), text.into());
    }

    /// Lets what the store has at a path count again, as it is there now; where it has nothing, the file is gone.
    pub fn close(&mut self, path: &str) {
        self.texts.close(path);
    }

    /// The book's files as they are in the session: photos, templates and all others.
    pub fn store(&self) -> &(dyn Store + 's) {
        &self.texts
    }

    /// The notebooks alone, for whoever asks only what is written in them.
    pub fn read(&mut self) -> Arc<Book> {
        Arc::new(book::load(self.texts.listing(), &self.texts).0)
    }

    /// Everything but the rules: with the findings of reading and of replaying.
    pub fn replay(&mut self) -> Compiled {
        let (mut book, mut findings) = book::load(self.texts.listing(), &self.texts);
        let (season, reported) = season::replay(&book);
        findings.extend(reported);
        let (advice, reported) = advice::of_book(&mut book, &self.texts);
        findings.extend(reported);
        order(&mut findings);
        Compiled { book: Arc::new(book), season: Arc::new(season), advice: Arc::new(advice), findings }
    }

    /// Everything, checked. `on` is the date of asking: what lies after it is in the future, and what is due by it is
    /// overdue; without one, neither is looked for.
    pub fn compile(&mut self, on: Option<Date>) -> Compiled {
        let Compiled { book, season, advice, mut findings } = self.replay();
        findings.extend(checks::check(&book, &season, on));
        findings.extend(advice::check(&book, &advice));
        order(&mut findings);
        Compiled { book, season, advice, findings }
    }
}
