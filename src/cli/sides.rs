//! What `compare` is given, and the books it stands in: notebooks, revisions, dates, riders.

use std::path::{Path, PathBuf};
use std::rc::Rc;

use jiff::civil::Date;

use crate::book::{self, Book};
use crate::finding::{Finding, Severity};
use crate::season::{Season, replay};
use crate::source::{BookFolder, Disk, FileId, Memory, ReadError, Repository, RevisionError, Store, limits};

use super::failure::Failure;
use super::shelf;
use super::why::place;

/// A book with what was carried through it.
pub(super) struct Desk {
    pub book: Book,
    pub season: Season,
    pub store: Box<dyn Store>,
    findings: Vec<Finding>,
}

/// One side, found in its book.
pub(super) struct Open {
    pub desk: Rc<Desk>,
    /// As it was asked for.
    pub name: String,
    pub file: FileId,
    pub line: Option<u32>,
    /// The revision that it was read at; `None` for what is on disk.
    pub revision: Option<String>,
    /// Whether its notebook goes by another name at the revision that was asked for.
    pub is_renamed: bool,
}

/// Which of a date's days is meant.
#[derive(Debug, Clone, Copy)]
pub(super) struct Among<'a> {
    pub machine: Option<&'a str>,
    pub rider: Option<&'a str>,
}

/// Finds sides, and reads each book once.
pub(super) struct Sides<'a> {
    given: Option<&'a Path>,
    among: Among<'a>,
    read: Vec<(PathBuf, Rc<Desk>)>,
}

impl Desk {
    fn read(store: Box<dyn Store>, whence: &str) -> Result<Self, Failure> {
        let (book, mut findings) = book::load(&*store).map_err(|error| unreadable(whence, &error))?;
        let (season, reported) = replay(&book);
        findings.extend(reported);
        Ok(Self { book, season, store, findings })
    }
}

fn unreadable(whence: &str, error: &ReadError) -> Failure {
    Failure::new(format!("the book in {whence} cannot be read: {error}"))
}

impl Open {
    /// The notebook's path in its book.
    pub fn path(&self) -> &str {
        self.desk.book.sources.path(self.file)
    }

    /// In a word or two, what sets it apart from another place of the same notebook.
    pub fn label(&self, other: &Self) -> String {
        let when = match (&self.revision, &other.revision) {
            (Some(revision), _) => Some(revision.clone()),
            (None, Some(_)) => Some("now".to_owned()),
            (None, None) => None,
        };
        let place = match (self.line, other.line) {
            (Some(line), _) => Some(format!("line {line}")),
            (None, Some(_)) => Some("the end".to_owned()),
            (None, None) => None,
        };
        let parts: Vec<String> = when.into_iter().chain(place).collect();
        if parts.is_empty() { self.name.clone() } else { parts.join(", ") }
    }

    /// How many errors the notebook has, whose lines count for nothing.
    pub fn errors(&self) -> usize {
        let is_error =
            |finding: &&Finding| finding.severity == Severity::Error && finding.span.file == self.file;
        self.desk.findings.iter().filter(is_error).count()
    }
}

impl<'a> Sides<'a> {
    pub fn new(given: Option<&'a Path>, among: Among<'a>) -> Self {
        Self { given, among, read: Vec::new() }
    }

    /// A notebook, with or without a line; a notebook at a revision; or a date.
    pub fn open(&mut self, asked: &str) -> Result<Open, Failure> {
        // A file that is there is meant, whatever else its name may look like.
        if Path::new(asked).exists() {
            return self.notebook(asked, asked, None);
        }
        let (path, line) = place(asked);
        if line.is_some() && path.exists() {
            return self.notebook(asked, &path.to_string_lossy(), line);
        }
        if let Ok(date) = asked.parse::<Date>() {
            return self.date(asked, date, self.among);
        }
        match asked.split_once(':') {
            Some((revision, _)) if !revision.is_empty() => self.revision(asked),
            _ => Err(Failure::new(format!("there is no {asked}"))
                .help("give a notebook, `PATH:LINE`, `REVISION:PATH`, or a date such as 2026-04-11")),
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
        self.date(rider, date, Among { rider: Some(rider), ..self.among })
    }

    /// The book that lies here.
    pub fn desk(&mut self, path: Option<&Path>) -> Result<Rc<Desk>, Failure> {
        let root = shelf::root(self.given, path)?;
        if let Some((_, desk)) = self.read.iter().find(|(known, _)| *known == root) {
            return Ok(Rc::clone(desk));
        }
        let desk = Rc::new(Desk::read(Box::new(Disk::new(root.clone())), &root.display().to_string())?);
        self.read.push((root, Rc::clone(&desk)));
        Ok(desk)
    }

    fn notebook(&mut self, asked: &str, path: &str, line: Option<u32>) -> Result<Open, Failure> {
        let real = shelf::real(Path::new(path))?;
        let root = shelf::root(self.given, Some(&real))?;
        let desk = self.desk(Some(&real))?;
        let within = shelf::within(&root, &real)
            .ok_or_else(|| Failure::new(format!("{path} is not in the book {}", root.display())))?;
        let file = desk.book.sources.find(&within);
        Ok(Open {
            file: file.ok_or_else(|| no_notebook(path))?,
            desk,
            name: asked.to_owned(),
            line,
            revision: None,
            is_renamed: false,
        })
    }

    fn date(&mut self, asked: &str, date: Date, among: Among<'_>) -> Result<Open, Failure> {
        let desk = self.desk(None)?;
        let is_meant =
            |name: Option<&str>, of: Option<&String>| name.is_none_or(|name| of.is_some_and(|of| of == name));
        let days: Vec<&book::Day> = desk
            .book
            .days
            .iter()
            .filter(|day| day.is_dated && day.date == date)
            .filter(|day| {
                is_meant(among.machine, day.machine.as_ref()) && is_meant(among.rider, day.rider.as_ref())
            })
            .collect();
        let file = match days.as_slice() {
            [day] => day.notebook.document.file,
            [] => {
                let who = [
                    among.machine.map(|it| format!(" of `{it}`")),
                    among.rider.map(|it| format!(" with `{it}`")),
                ];
                let who: String = who.into_iter().flatten().collect();
                return Err(Failure::new(format!("the book has no day on {date}{who}")));
            }
            many => {
                let paths: Vec<&str> = many.iter().map(|day| day.notebook.path.as_str()).collect();
                return Err(Failure::new(format!(
                    "there are {} days on {date}: {}",
                    many.len(),
                    paths.join(", ")
                ))
                .help("say which with `--machine` and `--rider`, or give the notebook"));
            }
        };
        Ok(Open { file, desk, name: asked.to_owned(), line: None, revision: None, is_renamed: false })
    }

    fn revision(&self, asked: &str) -> Result<Open, Failure> {
        let (revision, rest) = asked.split_once(':').unwrap_or((asked, ""));
        let (path, line) = place(rest);
        let repository = Repository::around(self.given.unwrap_or(Path::new(".")))
            .map_err(|error| revision_failure(&error, None))?;
        let folder = if self.given.is_some() { BookFolder::Here } else { BookFolder::Nearest };
        let located = repository
            .locate(revision, &path.to_string_lossy(), folder)
            .map_err(|error| revision_failure(&error, Some(&repository)))?;
        let desk = Desk::read(Box::new(located.store), asked)?;
        let file = desk.book.sources.find(&located.path).ok_or_else(|| no_notebook(asked))?;
        Ok(Open {
            file,
            desk: Rc::new(desk),
            name: asked.to_owned(),
            line,
            revision: Some(revision.to_owned()),
            is_renamed: located.is_renamed,
        })
    }
}

/// A text from anywhere, taken as a state of a notebook of the book: what git hands a difftool.
pub(super) fn stand_in(given: Option<&Path>, file: &str, notebook: &Path) -> Result<Open, Failure> {
    let path = Path::new(file);
    let (folder, name) = (path.parent().unwrap_or(Path::new("")), path.file_name().unwrap_or_default());
    let bytes = Disk::new(folder.to_owned()).read(&name.to_string_lossy(), limits::TEXT_BYTES);
    let bytes = bytes.map_err(|error| match error {
        ReadError::Missing => Failure::new(format!("there is no {file}"))
            .help("a notebook that is new, or gone, has nothing to be compared with"),
        error => Failure::new(format!("{file} cannot be read: {error}")),
    })?;
    // The notebook itself may be gone; its folder tells the book.
    let beside = notebook.parent().filter(|parent| !parent.as_os_str().is_empty()).unwrap_or(Path::new("."));
    let beside = shelf::real(beside)?;
    let root = shelf::root(given, Some(&beside))?;
    let within =
        shelf::within(&root, &beside.join(notebook.file_name().unwrap_or_default())).ok_or_else(|| {
            Failure::new(format!("{} is not in the book {}", notebook.display(), root.display()))
        })?;
    let disk = Disk::new(root.clone());
    let read = {
        let store = Memory::over(&disk).with(within.clone(), bytes);
        book::load(&store)
    };
    let (book, mut findings) = read.map_err(|error| unreadable(&root.display().to_string(), &error))?;
    let (season, reported) = replay(&book);
    findings.extend(reported);
    let file_id = book.sources.find(&within).ok_or_else(|| no_notebook(&notebook.to_string_lossy()))?;
    let desk = Rc::new(Desk { book, season, store: Box::new(disk), findings });
    Ok(Open { desk, name: file.to_owned(), file: file_id, line: None, revision: None, is_renamed: false })
}

/// The failure of a side that is no notebook.
pub(super) fn no_notebook(asked: &str) -> Failure {
    Failure::new(format!("{asked} is no notebook"))
        .help("a notebook ends in `.md` and says its `kind` in the head")
}

/// Why a revision, or a notebook at it, could not be had.
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
        RevisionError::Unknown { .. } => failure.help("`git log --oneline` lists revisions"),
        _ => failure,
    }
}

/// The machine that is meant: the one that was said, the book's own, or its only one.
pub(super) fn machine_of<'b>(book: &'b Book, asked: Option<&'b str>) -> Result<&'b str, Failure> {
    let own = book.about.machine.as_ref().map(|machine| machine.text.as_str());
    let only = match book.machines.len() {
        1 => book.machines.keys().next().map(String::as_str),
        _ => None,
    };
    let name = asked.or(own).or(only).ok_or_else(|| {
        Failure::new("it is not clear which machine is meant").help("say it with `--machine NAME`")
    })?;
    match book.machines.get_key_value(name) {
        Some((name, _)) => Ok(name),
        None => Err(Failure::new(format!("the book has no machine `{name}`"))),
    }
}
