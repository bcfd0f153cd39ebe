//! The sides that `compare` is given, and the books that they are in: notebooks, revisions, dates, riders.

use std::ops::Deref;
use std::path::{Path, PathBuf};
use std::rc::Rc;

use jiff::civil::Date;

use crate::advice;
use crate::book::{Book, Day};
use crate::finding::{Finding, Severity};
use crate::render::mark::Form;
use crate::session::{Compiled, Session};
use crate::source::{BookFolder, Disk, FileId, Repository, RevisionError, Store, named};
use crate::speech::say;

use super::called;
use super::failure::Failure;
use super::latest::last_day_of;
use super::shelf;
use super::why::place;

/// A book, and what was carried through it.
pub(super) struct Desk {
    session: Session<'static>,
    compiled: Compiled,
}

/// One side, found in its book.
pub(super) struct Open {
    pub desk: Rc<Desk>,
    /// As the user named it.
    pub name: String,
    pub file: FileId,
    pub line: Option<u32>,
    /// The revision it was read at, or another word that says when; `None` for what is on disk.
    pub when: Option<String>,
    /// Whether its notebook has another name at the revision asked for.
    pub is_renamed: bool,
}

/// Which of a date's days is meant.
#[derive(Debug, Clone, Copy)]
pub(super) struct Among<'a> {
    pub machine: Option<&'a str>,
    pub rider: Option<&'a str>,
}

impl Among<'_> {
    fn has(self, day: &Day) -> bool {
        let is =
            |name: Option<&str>, of: Option<&String>| name.is_none_or(|name| of.is_some_and(|of| of == name));
        is(self.machine, day.machine.as_ref()) && is(self.rider, day.rider.as_ref())
    }
}

/// Finds sides, and reads each book once.
pub(super) struct Sides<'a> {
    given: Option<&'a Path>,
    among: Among<'a>,
    read: Vec<(PathBuf, Rc<Desk>)>,
    /// The form in which they are printed.
    form: Form,
}

impl Desk {
    fn of(mut session: Session<'static>) -> Self {
        let compiled = session.replay();
        Self { session, compiled }
    }

    /// With the session as this form of output shows it.
    fn told_as(form: Form, session: Session<'static>) -> Self {
        let mut desk = Self::of(session);
        if shelf::is_for_programs(form) && desk.book.is_translated() {
            desk.session.tell_programs();
            desk.compiled = desk.session.replay();
        }
        desk
    }

    /// The book of a folder, with a text in place of one file.
    pub fn with(root: &Path, path: &str, text: Vec<u8>) -> Result<Self, Failure> {
        let mut session = shelf::session(Disk::new(root), root.display())?;
        session.edit(path, text);
        Ok(Self::of(session))
    }

    /// Who of the riders of some of its days is not cleared to ride.
    pub fn stops(&self, is_asked: impl Fn(&Day) -> bool) -> Vec<String> {
        let days = self.book.days.iter().enumerate().filter(|(_, day)| is_asked(day));
        advice::not_cleared(&self.book, &self.advice, days.map(|(index, _)| index))
    }

    /// The book's other files.
    pub fn store(&self) -> &dyn Store {
        self.session.store()
    }
}

impl Deref for Desk {
    type Target = Compiled;

    fn deref(&self) -> &Compiled {
        &self.compiled
    }
}

impl Open {
    /// The notebook's path in its book.
    pub fn path(&self) -> &str {
        self.desk.book.sources.path(self.file)
    }

    /// What was there before a day: the last day of its machine and rider, else the machine with its standard
    /// setting; `None` where there is nothing.
    pub fn before(&self) -> Option<Self> {
        let Compiled { book, season, .. } = &**self.desk;
        let index = book.day_of(self.file)?;
        let previous = season.days.get(index)?.previous.and_then(|previous| book.days.get(previous));
        let notebook = match previous {
            Some(day) => &day.notebook,
            None => book.machine(book.days.get(index)?)?,
        };
        Some(Self {
            desk: Rc::clone(&self.desk),
            name: notebook.path.clone(),
            file: notebook.document.file,
            line: None,
            when: None,
            is_renamed: false,
        })
    }

    /// A word or two that tell it from another place of the same notebook.
    pub fn label(&self, other: &Self) -> String {
        let tongue = self.desk.book.about.units.tongue();
        let when = match (&self.when, &other.when) {
            (Some(when), _) => Some(when.clone()),
            (None, Some(_)) => Some(tongue.say(&say!("now"))),
            (None, None) => None,
        };
        let place = match (self.line, other.line) {
            (Some(line), _) => Some(tongue.say(&say!("line {line}", line))),
            (None, Some(_)) => Some(tongue.say(&say!("the end"))),
            (None, None) => None,
        };
        let parts: Vec<String> = when.into_iter().chain(place).collect();
        if parts.is_empty() { self.name.clone() } else { parts.join(", ") }
    }

    /// How many errors the notebook has: lines with an error do not count.
    pub fn errors(&self) -> usize {
        let is_error =
            |finding: &&Finding| finding.severity == Severity::Error && finding.span.file == self.file;
        self.desk.findings.iter().filter(is_error).count()
    }
}

impl<'a> Sides<'a> {
    pub fn new(given: Option<&'a Path>, among: Among<'a>, form: Form) -> Self {
        Self { given, among, form, read: Vec::new() }
    }

    /// A notebook by its path or its name, with or without a line; a notebook at a revision; or a date.
    pub fn open(&mut self, asked: &str) -> Result<Open, Failure> {
        // A file that exists is meant, whatever else its name could mean.
        if named::is_there(Path::new(asked)) {
            return self.notebook(asked, asked, None);
        }
        let (path, line) = place(asked);
        if line.is_some() && named::is_there(&path) {
            return self.notebook(asked, &path.to_string_lossy(), line);
        }
        if let Some(word) = called::word(&path) {
            if let Ok(date) = word.parse::<Date>() {
                return Ok(Open { line, ..self.date(asked, date, self.among)? });
            }
            let desk = self.desk(None)?;
            let file = called::named(&desk.book, word)?;
            return Ok(Open { desk, name: asked.to_owned(), file, line, when: None, is_renamed: false });
        }
        match asked.split_once(':') {
            Some((revision, _)) if !revision.is_empty() => self.revision(asked),
            _ => Err(Failure::new(format!("there is no {asked}")).help(
                "give a notebook by its path or its name, with `:LINE` behind it or a revision and `:` before, or a date",
            )),
        }
    }

    /// The day of a rider on a date.
    pub fn rider(&mut self, rider: &str, date: Date) -> Result<Open, Failure> {
        let desk = self.desk(None)?;
        if !desk.book.riders.contains_key(rider) {
            let known: Vec<&str> = desk.book.riders.keys().map(String::as_str).collect();
            return Err(Failure::new(format!("the book has no rider `{rider}`"))
                .help(format!("with `--on` both sides are riders; there are {}", known.join(", "))));
        }
        let among = Among { rider: Some(rider), ..self.among };
        // The last day until then: two riders are seldom out on one day.
        let days = desk.book.days.iter().filter(|day| day.is_dated && day.date <= date && among.has(day));
        let last = days.map(|day| day.date).max().unwrap_or(date);
        self.date(rider, last, among)
    }

    /// The last day of a machine and rider; the book's own where they are not named.
    pub fn last(&mut self, machine: Option<&str>, rider: Option<&str>) -> Result<Open, Failure> {
        let desk = self.desk(None)?;
        let among = Among { machine, rider };
        let book = &desk.book;
        let index = match (machine, rider) {
            (None, None) => last_day_of(book),
            _ => book.days.iter().rposition(|day| among.has(day)),
        };
        let day = index.and_then(|index| book.days.get(index));
        let day = day.ok_or_else(|| {
            Failure::new("there is no such day in the book").help("`loambook new day` begins one")
        })?;
        let (name, file) = (day.notebook.path.clone(), day.notebook.document.file);
        Ok(Open { desk: Rc::clone(&desk), name, file, line: None, when: None, is_renamed: false })
    }

    /// The book on disk.
    pub fn desk(&mut self, path: Option<&Path>) -> Result<Rc<Desk>, Failure> {
        let root = shelf::root(self.given, path)?;
        if let Some((_, desk)) = self.read.iter().find(|(known, _)| *known == root) {
            return Ok(Rc::clone(desk));
        }
        let desk =
            Rc::new(Desk::told_as(self.form, shelf::session(Disk::new(root.clone()), root.display())?));
        self.read.push((root, Rc::clone(&desk)));
        Ok(desk)
    }

    fn notebook(&mut self, asked: &str, path: &str, line: Option<u32>) -> Result<Open, Failure> {
        let real = shelf::real(Path::new(path))?;
        let root = shelf::root(self.given, Some(Path::new(path)))?;
        let desk = self.desk(Some(Path::new(path)))?;
        let within = shelf::within(&root, &real)
            .ok_or_else(|| Failure::new(format!("{path} is not in the book {}", root.display())))?;
        let file = desk.book.sources.find(&within);
        Ok(Open {
            file: file.ok_or_else(|| no_notebook(path))?,
            desk,
            name: asked.to_owned(),
            line,
            when: None,
            is_renamed: false,
        })
    }

    fn date(&mut self, asked: &str, date: Date, among: Among<'_>) -> Result<Open, Failure> {
        let desk = self.desk(None)?;
        let days = desk.book.days.iter();
        let days: Vec<&Day> = days.filter(|day| day.is_dated && day.date == date && among.has(day)).collect();
        let file = match days.as_slice() {
            [day] => day.notebook.document.file,
            [] => {
                let who = [
                    among.machine.map(|it| format!(" of `{it}`")),
                    among.rider.map(|it| format!(" with `{it}`")),
                ];
                let who: String = who.into_iter().flatten().collect();
                return Err(Failure::new(format!("the book has no day on {date}{who}"))
                    .help(what_there_is(&desk.book, date, among)));
            }
            many => {
                let paths: Vec<&str> = many.iter().map(|day| day.notebook.path.as_str()).collect();
                return Err(Failure::new(format!(
                    "there are {} days on {date}: {}",
                    many.len(),
                    paths.join(", ")
                ))
                .help("add `--machine` and `--rider`, or give the notebook"));
            }
        };
        Ok(Open { file, desk, name: asked.to_owned(), line: None, when: None, is_renamed: false })
    }

    fn revision(&self, asked: &str) -> Result<Open, Failure> {
        let (revision, rest) = asked.split_once(':').unwrap_or((asked, ""));
        if rest.is_empty() {
            return Err(Failure::new(format!("there is no notebook `{asked}`"))
                .help("write the path behind the colon, as in `HEAD~1:days/2026-04-11.md`"));
        }
        let (path, line) = place(rest);
        let (repository, folder) = match self.given {
            Some(given) => (Repository::named(given), BookFolder::Here),
            None => (Repository::around(Path::new(".")), BookFolder::Nearest),
        };
        let repository = repository.map_err(|error| revision_failure(&error, None))?;
        let located = repository
            .locate(revision, &path.to_string_lossy(), folder)
            .map_err(|error| revision_failure(&error, Some(&repository)))?;
        let desk = Desk::told_as(self.form, shelf::session(located.store, asked)?);
        let file = desk.book.sources.find(&located.path).ok_or_else(|| no_notebook(asked))?;
        Ok(Open {
            file,
            desk: Rc::new(desk),
            name: asked.to_owned(),
            line,
            when: Some(revision.to_owned()),
            is_renamed: located.is_renamed,
        })
    }
}

/// The days that may have been meant instead: those of the date, else the nearest ones before and after it.
fn what_there_is(book: &Book, date: Date, among: Among<'_>) -> String {
    let paths = |days: &[&Day]| {
        let paths: Vec<&str> = days.iter().map(|day| day.notebook.path.as_str()).collect();
        paths.join(", ")
    };
    let on_date: Vec<&Day> = book.days.iter().filter(|day| day.is_dated && day.date == date).collect();
    if !on_date.is_empty() {
        return format!("on that date there is {}", paths(&on_date));
    }
    let theirs = || book.days.iter().filter(|day| day.is_dated && among.has(day));
    let before = theirs().rfind(|day| day.date < date);
    let after = theirs().find(|day| day.date > date);
    let near: Vec<&Day> = before.into_iter().chain(after).collect();
    if near.is_empty() {
        "there is none on any other date".to_owned()
    } else {
        format!("the nearest is {}", paths(&near))
    }
}

/// The failure of a side that is no notebook.
pub(super) fn no_notebook(asked: &str) -> Failure {
    Failure::new(format!("{asked} is not a notebook"))
        .help("a notebook ends in `.md` and says its `kind` in the head")
}

/// Why a revision, or a notebook at it, could not be read.
pub(super) fn revision_failure(error: &RevisionError, repository: Option<&Repository>) -> Failure {
    let failure = Failure::new(error.to_string());
    let is_missing = matches!(error, RevisionError::Unknown { .. } | RevisionError::NoFile { .. });
    if is_missing && repository.is_some_and(Repository::is_shallow) {
        return failure.help("the clone is shallow: `git fetch --unshallow` brings the rest of its history");
    }
    match error {
        RevisionError::NoFile { .. } => {
            failure.help("the path is seen from here, or from the top of the repository")
        }
        RevisionError::NotNamed => failure.help("to compare what is in it, name it with `--book`"),
        RevisionError::Unknown { .. } => failure.help("`git log --oneline` lists revisions"),
        _ => failure,
    }
}

/// The machine that is meant: the one named, the book's own, or its only one.
pub(super) fn machine_of<'b>(book: &'b Book, asked: Option<&'b str>) -> Result<&'b str, Failure> {
    let own = book.about.machine.as_ref().map(|machine| machine.text.as_str());
    let only = match book.machines.len() {
        1 => book.machines.keys().next().map(String::as_str),
        _ => None,
    };
    let name = asked
        .or(own)
        .or(only)
        .ok_or_else(|| Failure::new("it is not clear which machine is meant").help("add `--machine NAME`"))?;
    match book.machines.get_key_value(name) {
        Some((name, _)) => Ok(name),
        None => Err(Failure::new(format!("the book has no machine `{name}`"))),
    }
}
