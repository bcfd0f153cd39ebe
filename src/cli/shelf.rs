//! Finds the book that a command is about, and its notebooks that were asked for.

use std::collections::BTreeSet;
use std::fmt::Display;
use std::mem::ManuallyDrop;
use std::ops::Deref;
use std::path::{Path, PathBuf};

use jiff::civil::Date;

use crate::book::Book;
use crate::finding::{Finding, Rejected, Severity, closest};
use crate::render::mark::Form;
use crate::session::{Compiled, Session};
use crate::source::side_by_side::take_part;
use crate::source::{
    BOOK_FILE, Disk, FileId, ReadError, STANDARD_INPUT, Store, find_book, limits, named, read_input,
};

use super::called;
use super::failure::Failure;
use super::new::shown;
use super::screen::Screen;

/// A book, read and replayed, and what was asked of it.
pub(super) struct Shelf {
    /// The book's folder.
    pub root: PathBuf,
    pub store: Disk,
    /// A command ends with the program, which frees everything at once. Dropping the book value by value would only take
    /// time.
    session: ManuallyDrop<Session<'static>>,
    /// The session's present state, with the findings of reading and replaying.
    compiled: ManuallyDrop<Compiled>,
    /// The files that were asked for; `None` for the whole book.
    asked: Option<BTreeSet<FileId>>,
    /// Those of them that were named one by one, not by a folder.
    named: BTreeSet<FileId>,
}

impl Deref for Shelf {
    type Target = Compiled;

    fn deref(&self) -> &Compiled {
        &self.compiled
    }
}

/// A session over the book of a folder.
pub(super) fn session<'s>(store: impl Store + 's, whence: impl Display) -> Result<Session<'s>, Failure> {
    Session::over(store)
        .map_err(|error| Failure::new(format!("the book in {whence} cannot be read: {error}")))
}

impl Shelf {
    /// Opens the book of what was typed: the folder given with `--book`; else the nearest folder with a
    /// `book.toml`, upward from the first path; else the current folder. Names of notebooks and dates are looked up in
    /// it.
    pub fn open(given: Option<&Path>, typed: &[PathBuf]) -> Result<Self, Failure> {
        let (paths, words) = called::split(typed);
        let paths: Vec<(PathBuf, PathBuf)> = paths
            .into_iter()
            .map(|path| Ok((path.clone(), there(given, path)?)))
            .collect::<Result<_, Failure>>()?;
        let mut shelf = Self::of(root(given, paths.first().map(|(typed, _)| typed.as_path()))?)?;
        let files: Vec<(PathBuf, PathBuf)> =
            paths.iter().filter(|(_, path)| named::is_file(path)).cloned().collect();
        let mut named = asked(&shelf.book, &shelf.root, &files)?;
        let mut all = asked(&shelf.book, &shelf.root, &paths)?;
        for word in words {
            let called = called::find(&shelf.book, word)?;
            named.extend(&called);
            all.extend(called);
        }
        shelf.named = named;
        shelf.asked = (!typed.is_empty()).then_some(all);
        Ok(shelf)
    }

    /// The book as this form of output shows it: programs read English with decimal points.
    pub fn told_as(mut self, form: Form) -> Self {
        if is_for_programs(form) && self.book.is_translated() {
            self.session.tell_programs();
            self.compiled = ManuallyDrop::new(self.session.replay());
        }
        self
    }

    /// Opens the given book, or that of the current folder, with one more notebook from standard input, which is then asked
    /// for.
    pub fn open_with_input(given: Option<&Path>) -> Result<Self, Failure> {
        let root = root(given, None)?;
        let text = read_input(limits::TEXT_BYTES)
            .map_err(|error| Failure::new(format!("standard input cannot be read: {error}")))?;
        let mut shelf = Self::of(root)?;
        shelf.suppose(STANDARD_INPUT, text);
        Ok(shelf)
    }

    /// The book of a folder; all of it is asked for.
    fn of(root: PathBuf) -> Result<Self, Failure> {
        // Whoever opens a shelf works on it to the end.
        take_part();
        let store = Disk::new(root.clone());
        let mut session = session(store.clone(), root.display())?;
        let compiled = ManuallyDrop::new(session.replay());
        let session = ManuallyDrop::new(session);
        Ok(Self { root, store, session, compiled, asked: None, named: BTreeSet::new() })
    }

    /// Goes on with the book as if a text stood at a path, and asks for that file alone. Nothing is written.
    pub fn suppose(&mut self, path: &str, text: impl Into<Vec<u8>>) {
        self.session.edit(path, text);
        self.compiled = ManuallyDrop::new(self.session.replay());
        self.named = self.book.sources.find(path).into_iter().collect();
        self.asked = Some(self.named.clone());
    }

    /// Puts a day's notebook into the book without writing it, and returns its place. Where it has errors they are reported, and
    /// it fails with `refused`.
    pub fn suppose_day(
        &mut self,
        path: &str,
        text: String,
        screen: &mut Screen,
        refused: Failure,
    ) -> Result<usize, Failure> {
        self.suppose(path, text);
        let file = self.book.sources.find(path);
        let day = file.and_then(|file| self.book.day_of(file));
        let date = day.and_then(|day| self.book.days.get(day)).map(|day| day.date);
        let mut errors = self.all_findings(date.unwrap_or_default());
        errors.retain(|finding| finding.severity == Severity::Error && Some(finding.span.file) == file);
        if !errors.is_empty() {
            screen.report_findings(self.book.about.units.tongue(), &errors, &self.book.sources);
            return Err(refused);
        }
        day.ok_or_else(|| Failure::new(format!("{path} is not read as a day's notebook")))
    }

    /// Takes back the text that was supposed at a path.
    pub fn withdraw(&mut self, path: &str) {
        self.session.close(path);
        self.compiled = ManuallyDrop::new(self.session.replay());
    }

    /// Everything that is wrong or worth knowing, judged on a date.
    pub fn all_findings(&mut self, on: Date) -> Vec<Finding> {
        self.session.compile(Some(on)).findings
    }

    /// Everything that is wrong or worth knowing in the files that were asked for, or stands in the way of the days among
    /// them, judged on a date. It may be more.
    pub fn findings(&mut self, on: Date) -> Vec<Finding> {
        let days: BTreeSet<usize> = self.days().into_iter().collect();
        // Any day may say something of a notebook that is not a day's.
        let are_days = self.asked.as_ref().is_some_and(|asked| asked.len() == days.len());
        if are_days { self.session.findings_about(&days, Some(on)) } else { self.all_findings(on) }
    }

    /// The place of one of the book's output folders.
    ///
    /// # Errors
    ///
    /// Where it leads out of the book: only the command line may name such a place.
    pub fn folder(&self, path: &str) -> Result<PathBuf, Failure> {
        folder_of(&self.store, path)
    }

    /// Whether a file was asked for.
    pub fn is_asked(&self, file: FileId) -> bool {
        self.asked.as_ref().is_none_or(|asked| asked.contains(&file))
    }

    /// The lap files that the days asked for read.
    pub fn lap_files(&self) -> BTreeSet<FileId> {
        let days = self.days();
        let days = days.iter().filter_map(|day| self.book.days.get(*day));
        days.flat_map(|day| self.book.lap_files_of(&day.notebook)).collect()
    }

    /// The errors of other days that affect the days asked for.
    pub fn in_the_way(&self) -> Vec<Rejected> {
        if self.asked.is_none() {
            return Vec::new();
        }
        let days = self.days();
        let replays = days.iter().filter_map(|day| self.season.days.get(*day));
        replays.flat_map(|replay| replay.end().rejections()).collect()
    }

    /// Whether a file was named by itself.
    pub fn is_named(&self, file: FileId) -> bool {
        self.named.contains(&file)
    }

    /// The days asked for, by their place in the book.
    pub fn days(&self) -> Vec<usize> {
        let days = self.book.days.iter().enumerate();
        days.filter(|(_, day)| self.is_asked(day.notebook.document.file)).map(|(index, _)| index).collect()
    }
}

/// Whether programs read a form of output. They get everything in English with decimal points.
pub(super) fn is_for_programs(form: Form) -> bool {
    matches!(form, Form::Json | Form::Csv | Form::Parquet)
}

/// A text of the book, if it has it.
pub(super) fn own_text(store: &dyn Store, path: &str) -> Result<Option<String>, Failure> {
    match store.read(path, limits::TEXT_BYTES) {
        Ok(bytes) => {
            String::from_utf8(bytes).map(Some).map_err(|_| Failure::new(format!("{path} is not UTF-8 text")))
        }
        Err(ReadError::Missing) => Ok(None),
        Err(error) => Err(Failure::new(format!("{path} cannot be read: {error}"))),
    }
}

/// The book's folder for a path as it was typed, or for the current folder; without links.
///
/// # Errors
///
/// Also where the path lies in a book and is a link out of it.
pub(super) fn root(given: Option<&Path>, path: Option<&Path>) -> Result<PathBuf, Failure> {
    if let Some(given) = given {
        let root = real(given)?;
        return if named::is_folder(&root) {
            Ok(root)
        } else {
            Err(Failure::new(format!("{} is not a folder", given.display()))
                .help("`--book` takes the book's folder"))
        };
    }
    let here = real(Path::new("."))?;
    let from = path.unwrap_or(&here);
    let Some(book) = find_book(from) else {
        return match path {
            Some(path) if named::is_folder(path) => real(path),
            Some(_) => Ok(here),
            None => Err(Failure::new("there is no book here")
                .help("`loambook new book NAME` makes one; `--book` names one elsewhere")),
        };
    };
    let book = real(&book)?;
    if !real(from)?.starts_with(&book) {
        return Err(Failure::new(format!("{} is a link that leads out of the book", from.display()))
            .help("give the path of what it leads to"));
    }
    Ok(book)
}

/// The place of one of a book's output folders.
pub(super) fn folder_of(book: &Disk, path: &str) -> Result<PathBuf, Failure> {
    book.folder_for_writing(path).map_err(|error| match error {
        ReadError::LeadsOut => {
            Failure::new(format!("the book's folder `{path}` leads out of the book, and is not written to"))
                .help("put a folder in its place")
        }
        error => Failure::new(format!("`{path}` cannot be written to: {error}")),
    })
}

/// The path of something that exists, without links and detours.
pub(super) fn real(path: &Path) -> Result<PathBuf, Failure> {
    named::real(path).map_err(|error| match error.kind() {
        std::io::ErrorKind::NotFound => Failure::new(format!("there is no {}", path.display())),
        _ => Failure::new(format!("{} cannot be read: {error}", path.display())),
    })
}

/// The same for a path that was typed: where there is nothing, the book's notebook that is named most like it is
/// offered.
fn there(given: Option<&Path>, typed: &Path) -> Result<PathBuf, Failure> {
    real(typed).map_err(|failure| {
        let book = root(given, None).and_then(Shelf::of).ok().filter(|_| !named::is_there(typed));
        let paths = |shelf: &Shelf| {
            let here = |path: &str| shown(shelf.root.join(path)).to_string_lossy().into_owned();
            shelf.book.notebooks().map(|notebook| here(&notebook.path)).collect::<Vec<_>>()
        };
        let paths = book.as_ref().map(paths).unwrap_or_default();
        let near = closest(&typed.to_string_lossy(), paths.iter().map(String::as_str)).first().copied();
        match near {
            Some(near) => failure.help(format!("did you mean `{near}`?")),
            None => failure,
        }
    })
}

/// A path as the book names it: from its folder, with `/` between folders.
pub(super) fn within(root: &Path, path: &Path) -> Option<String> {
    let within = path.strip_prefix(root).ok()?;
    let parts: Vec<_> = within.components().map(|part| part.as_os_str().to_string_lossy()).collect();
    Some(parts.join("/"))
}

/// The files of the book that lie at or under the paths.
fn asked(book: &Book, root: &Path, paths: &[(PathBuf, PathBuf)]) -> Result<BTreeSet<FileId>, Failure> {
    let mut asked = BTreeSet::new();
    for (typed, path) in paths {
        let Some(within) = within(root, path) else {
            return Err(Failure::new(format!("{} is not in the book {}", typed.display(), root.display()))
                .help("a run is about one book; give the paths of another book to a run of its own"));
        };
        let folder = format!("{within}/");
        let before = asked.len();
        asked.extend(book.sources.files().filter(|file| {
            let path = book.sources.path(*file);
            within.is_empty() || path == within || path.starts_with(&folder)
        }));
        if asked.len() == before && named::is_file(path) {
            return Err(Failure::new(format!("{} is not a notebook", typed.display()))
                .help(format!("notebooks end in `.md`; the book's own file is `{BOOK_FILE}`")));
        }
    }
    Ok(asked)
}
