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
    read: book::Kept,
    /// As it was when it was last asked for, and whether anything has changed since.
    replayed: Option<Compiled>,
    has_changed: bool,
    checked: checks::Kept,
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
        Self::of(Texts::of(Box::new(Memory::new()), Default::default()))
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
        Ok(Self::of(Texts::of(Box::new(store), listing)))
    }

    fn of(texts: Texts<'s>) -> Self {
        Self {
            texts,
            read: Default::default(),
            replayed: None,
            has_changed: false,
            checked: Default::default(),
        }
    }

    /// Puts a text at a path of the book, over what lies there.
    pub fn edit(&mut self, path: impl Into<String>, text: impl Into<Vec<u8>>) {
        let path = path.into();
        self.change(&path);
        self.texts.edit(path, text.into());
    }

    /// Lets what the store has at a path count again, as it is there now; where it has nothing, the file is gone.
    pub fn close(&mut self, path: &str) {
        self.change(path);
        self.texts.close(path);
    }

    fn change(&mut self, path: &str) {
        self.read.change(path);
        self.has_changed = true;
    }

    /// The book's files as they are in the session: photos, templates and all others.
    pub fn store(&self) -> &(dyn Store + 's) {
        &self.texts
    }

    /// The notebooks alone, for whoever asks only what is written in them.
    pub fn read(&mut self) -> Arc<Book> {
        Arc::new(book::load(self.texts.listing(), &self.texts, &mut self.read).0)
    }

    /// Everything but the rules: with the findings of reading and of replaying.
    pub fn replay(&mut self) -> Compiled {
        match &self.replayed {
            Some(replayed) if !self.has_changed => replayed.clone(),
            _ => self.replay_again(),
        }
    }

    fn replay_again(&mut self) -> Compiled {
        let (mut book, mut findings) = book::load(self.texts.listing(), &self.texts, &mut self.read);
        let before = self.replayed.as_ref().map(|before| (&*before.book, &*before.season));
        let (season, reported) = season::replay(&book, before);
        findings.extend(reported);
        let (advice, reported) = advice::of_book(&mut book, &self.texts);
        findings.extend(reported);
        order(&mut findings);
        let replayed =
            Compiled { book: Arc::new(book), season: Arc::new(season), advice: Arc::new(advice), findings };
        self.replayed = Some(replayed.clone());
        self.has_changed = false;
        replayed
    }

    /// Everything, checked. `on` is the date of asking: what lies after it is in the future, and what is due by it is
    /// overdue; without one, neither is looked for.
    pub fn compile(&mut self, on: Option<Date>) -> Compiled {
        let Compiled { book, season, advice, mut findings } = self.replay();
        findings.extend(checks::check(&book, &season, on, &mut self.checked));
        findings.extend(advice::check(&book, &advice));
        order(&mut findings);
        Compiled { book, season, advice, findings }
    }
}
