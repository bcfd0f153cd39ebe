//! A book being worked on: texts and edits in, everything that follows from them out.
//!
//! The one entry, for the program, the tests and users of the library. Nothing else brings reading, replay, checks and
//! advice together. It prints nothing, writes nothing and asks no clock.

mod feelings;
mod queries;
mod texts;

use std::collections::BTreeSet;
use std::sync::Arc;

use jiff::civil::Date;

use crate::advice::{self, Advice};
use crate::book::{self, Book};
use crate::checks;
use crate::finding::{Finding, order};
use crate::season::{self, Season};
use crate::source::{ENDLESS, Memory, Patience, ReadError, Store};

pub use queries::{RestsOn, Spot};

use feelings::Feelings;
use texts::Texts;

/// A book being worked on.
///
/// Texts need not lie anywhere: an editor hands in what was not saved yet, a test what it made up. What an edit leaves as
/// it was is not worked out again.
///
/// ```
/// use loambook::{End, FigureName, Session};
///
/// let mut session = Session::new();
/// session.edit("machines/whin.md", "+++\nkind = \"machine\"\n+++\n");
/// session.edit("riders/tall.md", "+++\nkind = \"rider\"\n+++\n");
/// session.edit("tracks/hill.md", "+++\nkind = \"track\"\n+++\n");
/// let day = |aboard: &str| {
///     format!(
///         "+++\nkind = \"day\"\ndate = 2026-04-11\nmachine = \"whin\"\nrider = \"tall\"\ntrack = \"hill\"\n+++\n\
///          ```sag rear\nhanging = \"612 mm\"\naboard = \"{aboard}\"\n```\n"
///     )
/// };
/// // A length in kilogrammes is found, at its place.
/// session.edit("days/2026-04-11.md", day("507 kg"));
/// let compiled = session.compile(None);
/// let finding = compiled.findings_of("days/2026-04-11.md").next().ok_or("nothing found")?;
/// assert_eq!(compiled.book.sources.text(finding.span), "kg");
///
/// // Mended, the sag is there: 612 mm hanging less 507 mm with the rider.
/// session.edit("days/2026-04-11.md", day("507 mm"));
/// let compiled = session.compile(None);
/// assert_eq!(compiled.findings, []);
/// let sag = compiled.figure("days/2026-04-11.md", u32::MAX, FigureName::SAG_RIDER.of(End::Rear)).ok_or("no such day")?;
/// assert!((sag.value().ok_or("no sag")? - 0.105).abs() < 1e-9);
/// assert!(sag.expanded().is_some_and(|expanded| expanded < 0.005));
/// # Ok::<(), &str>(())
/// ```
pub struct Session<'s> {
    texts: Texts<'s>,
    read: book::Kept,
    /// The state when it was last asked for, and whether anything has changed since.
    replayed: Option<Compiled>,
    has_changed: bool,
    advice: Option<ReadAdvice>,
    checked: checks::Kept,
    felt: Feelings,
}

/// What follows from the texts of a book. Cheap to clone, and untouched by later edits.
#[derive(Debug, Clone, Default)]
pub struct Compiled {
    pub book: Arc<Book>,
    pub season: Arc<Season>,
    /// The advice that ships, overlaid with the book's own.
    pub advice: Arc<Advice>,
    /// What is wrong or worth knowing, in the order shown.
    pub findings: Vec<Finding>,
}

/// An advice file as it was read, with its findings.
#[derive(Clone)]
struct ReadAdvice {
    advice: Arc<Advice>,
    findings: Arc<[Finding]>,
}

impl Default for Session<'_> {
    fn default() -> Self {
        Self::of(Texts::of(Box::new(Memory::new()), Default::default()))
    }
}

impl<'s> Session<'s> {
    /// A book with nothing in it yet.
    pub fn new() -> Self {
        Self::default()
    }

    /// A book from a store.
    ///
    /// # Errors
    ///
    /// Where the store cannot be listed. A fault inside a file is a finding.
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
            advice: None,
            checked: Default::default(),
            felt: Default::default(),
        }
    }

    /// Puts a text at a path of the book, in place of what the store has there.
    pub fn edit(&mut self, path: impl Into<String>, text: impl Into<Vec<u8>>) {
        let path = path.into();
        self.change(&path);
        self.texts.edit(path, text.into());
    }

    /// From now on the book speaks English with decimal points, whatever its language: for what programs read.
    pub fn tell_programs(&mut self) {
        self.read.tell_programs();
        self.has_changed = true;
    }

    /// Goes back to what the store now has at a path; where it has nothing, the file is gone.
    pub fn close(&mut self, path: &str) {
        self.change(path);
        self.texts.close(path);
    }

    fn change(&mut self, path: &str) {
        self.read.change(path);
        self.has_changed = true;
        if path == advice::ADVICE_FILE {
            self.advice = None;
        }
    }

    /// The book's files as they are in the session: photos, templates and all others.
    pub fn store(&self) -> &(dyn Store + 's) {
        &self.texts
    }

    /// The notebooks alone, for callers who ask only what is written in them.
    pub fn read(&mut self) -> Arc<Book> {
        let read = book::load(self.texts.listing(), &self.texts, &mut self.read, ENDLESS);
        Arc::new(read.map(|(book, _)| book).unwrap_or_default())
    }

    /// Everything but the rules: the findings are those of reading and replaying.
    pub fn replay(&mut self) -> Compiled {
        self.replay_while(ENDLESS).unwrap_or_default()
    }

    fn replay_while(&mut self, patience: Patience<'_>) -> Option<Compiled> {
        match &self.replayed {
            Some(replayed) if !self.has_changed => Some(replayed.clone()),
            _ => self.replay_again(patience),
        }
    }

    fn replay_again(&mut self, patience: Patience<'_>) -> Option<Compiled> {
        let (mut book, mut findings) =
            book::load(self.texts.listing(), &self.texts, &mut self.read, patience)?;
        let before = self.replayed.as_ref().map(|before| (&*before.book, &*before.season));
        let (season, reported) = season::replay(&book, before, patience)?;
        findings.extend(reported);
        let advice = self.read_advice(&mut book);
        findings.extend(advice.findings.iter().cloned());
        order(&mut findings);
        let replayed =
            Compiled { book: Arc::new(book), season: Arc::new(season), advice: advice.advice, findings };
        self.replayed = Some(replayed.clone());
        self.has_changed = false;
        Some(replayed)
    }

    /// The book's advice, read again where its file has changed.
    fn read_advice(&mut self, book: &mut Book) -> ReadAdvice {
        let before = self.replayed.as_ref().map(|before| &before.book.sources);
        let known = self.advice.as_ref().zip(before.filter(|before| !before.is_crowded()));
        if let Some((known, before)) = known {
            book.sources.take_over(before, advice::ADVICE_FILE);
            return known.clone();
        }
        let (advice, findings) = advice::of_book(book, &self.texts);
        let read = ReadAdvice { advice, findings: findings.into() };
        self.advice = Some(read.clone());
        read
    }

    /// Everything, with the rules. `on` is the date of asking: days after it are in the future, and what was due
    /// before it is overdue. Without a date neither is looked for.
    pub fn compile(&mut self, on: Option<Date>) -> Compiled {
        self.compile_while(on, ENDLESS).unwrap_or_default()
    }

    /// The same for as long as somebody waits; `patience` is asked between one notebook and the next. `None` once nobody
    /// does. What was worked out by then is kept, and the next call goes on from there.
    pub fn compile_while(&mut self, on: Option<Date>, patience: Patience<'_>) -> Option<Compiled> {
        let Compiled { book, season, advice, mut findings } = self.replay_while(patience)?;
        findings.extend(checks::check(&book, &season, on, &mut self.checked, patience)?);
        findings.extend(self.felt.check(&book, &advice));
        order(&mut findings);
        Some(Compiled { book, season, advice, findings })
    }

    /// The findings in the notebooks of some days, by their places in the book, as `compile` has them, and those of reading
    /// and replaying: for a check that comes and goes. Of what it finds elsewhere, what is about none of these days is
    /// missing.
    pub fn findings_about(&mut self, days: &BTreeSet<usize>, on: Option<Date>) -> Vec<Finding> {
        let Compiled { book, season, advice, mut findings } = self.replay();
        findings.extend(checks::check_about(&book, &season, on, days));
        findings.extend(feelings::check_about(&book, &advice, days));
        order(&mut findings);
        findings
    }
}
