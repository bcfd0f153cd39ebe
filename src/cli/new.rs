//! `loambook new`: notebooks to begin with. They are never written over a file.

use std::path::{Path, PathBuf};

use clap::{Args, Subcommand};
use jiff::civil::Date;

use crate::finding::closest;
use crate::pages::starters::{self, DayStarter};
use crate::source::{BOOK_FILE, Disk, named};
use crate::vocabulary::NotebookKind;
use crate::vocabulary::names::is_name;

use super::Verdict;
use super::called;
use super::clock;
use super::failure::Failure;
use super::output::Writer;
use super::screen::Screen;
use super::shelf::{self, Shelf};

/// A book's name for the folder that one is in.
const HERE: &str = ".";

/// Starts a book or a notebook; what it can hold stands in it as comments.
///
/// It never overwrites a file.
#[derive(Debug, Args)]
#[command(after_help = "Example: loambook new day saturday")]
pub(super) struct New {
    #[command(subcommand)]
    what: What,
}

#[derive(Debug, Subcommand)]
enum What {
    /// A folder with a `book.toml`.
    Book(NewBook),
    /// A machine's notebook, `machines/NAME.md`.
    Machine(Named),
    /// A rider's notebook, `riders/NAME.md`.
    Rider(Named),
    /// A track's notebook, `tracks/NAME.md`.
    Track(Named),
    /// A day's notebook, `days/NAME.md`.
    Day(NewDay),
}

#[derive(Debug, Args)]
struct Named {
    /// Letters, digits, `-` and `_`.
    name: String,
}

#[derive(Debug, Args)]
struct NewBook {
    /// Letters, digits, `-` and `_`; `.` is the folder that you are in.
    name: String,
}

#[derive(Debug, Args)]
struct NewDay {
    /// Letters, digits, `-` and `_`; begin it with the date: `2026-04-11`, `2026-04-11-senior`.
    name: String,

    /// The date; the name's own, or today, when not given.
    #[arg(long, value_name = "DATE")]
    date: Option<Date>,

    /// A day, by name, path or date, to go on from: its machine, rider and track, and the settings that it ended on.
    #[arg(long, value_name = "DAY")]
    from: Option<String>,

    /// The machine; the book's default, or its only one, when not given.
    #[arg(long, value_name = "NAME")]
    machine: Option<String>,

    /// The rider; the book's default, or its only one, when not given.
    #[arg(long, value_name = "NAME")]
    rider: Option<String>,

    /// The track; the book's only one, when not given.
    #[arg(long, value_name = "NAME")]
    track: Option<String>,
}

impl New {
    pub fn run(&self, book: Option<&Path>, screen: &mut Screen) -> Result<Verdict, Failure> {
        let path = match &self.what {
            What::Book(new) => new_book(book, &new.name)?,
            What::Machine(named) => standing(book, NotebookKind::Machine, &named.name)?,
            What::Rider(named) => standing(book, NotebookKind::Rider, &named.name)?,
            What::Track(named) => standing(book, NotebookKind::Track, &named.name)?,
            What::Day(day) => day.create(book)?,
        };
        screen.print(&format!("{}\n", path.display()))?;
        Ok(Verdict::Clean)
    }
}

pub(super) fn checked(name: &str) -> Result<&str, Failure> {
    if is_name(name) {
        Ok(name)
    } else {
        Err(Failure::new(format!("`{name}` cannot be a name"))
            .help("take letters, digits, `-` and `_`: others refer to the notebook by it"))
    }
}

fn new_book(within: Option<&Path>, name: &str) -> Result<PathBuf, Failure> {
    let within = within.unwrap_or(Path::new(""));
    if name == HERE {
        let path = within.join(BOOK_FILE);
        let folder = named::real(&within.join(HERE)).ok();
        let title = folder.as_deref().and_then(Path::file_name).and_then(|name| name.to_str());
        // A folder may have any name; in the book's title it stands between quotes.
        let is_plain = |name: &&str| name.chars().all(|it| it.is_alphanumeric() || " -_".contains(it));
        Writer::new().create(&path, &starters::book(title.filter(is_plain).unwrap_or("a book")))?;
        return Ok(path);
    }
    let folder = within.join(checked(name)?);
    if named::is_link(&folder) {
        let failure = Failure::new(format!("{} is a link: a book needs a folder", folder.display()));
        return Err(failure.help("name the folder that it leads to with `--book`, or another one"));
    }
    let path = folder.join(BOOK_FILE);
    Writer::new().create(&path, &starters::book(name))?;
    Ok(path)
}

fn standing(book: Option<&Path>, kind: NotebookKind, name: &str) -> Result<PathBuf, Failure> {
    let root = shelf::root(book, None)?;
    let path = place(&Disk::new(root), kind, checked(name)?)?;
    Writer::new().create(&path, &starters::standing(kind, name))?;
    Ok(shown(path))
}

/// `machines/NAME.md` and the like, in the book's folder.
pub(super) fn place(book: &Disk, kind: NotebookKind, name: &str) -> Result<PathBuf, Failure> {
    Ok(shelf::folder_of(book, kind.folder())?.join(format!("{name}.md")))
}

/// The path from the current folder, where it lies in or below it.
pub(super) fn shown(path: PathBuf) -> PathBuf {
    let here = named::real(Path::new(".")).ok();
    here.and_then(|here| path.strip_prefix(here).ok().map(Path::to_path_buf)).unwrap_or(path)
}

impl NewDay {
    fn create(&self, book: Option<&Path>) -> Result<PathBuf, Failure> {
        let name = checked(&self.name)?;
        if self.date.is_none() && is_nearly_dated(name) {
            return Err(Failure::new(format!("`{name}` does not begin with a real date"))
                .help("begin it with year, month and day, as in `2026-04-11`, or give `--date`"));
        }
        let shelf = Shelf::open(book, &[])?;
        let path = place(&shelf.store, NotebookKind::Day, name)?;
        let from = self.from.as_deref().map(|from| called::day(&shelf.book, from)).transpose()?;
        let text = starters::day(
            &shelf.book,
            &shelf.season,
            &DayStarter {
                name,
                date: self.date.or_else(|| date_in(name)).unwrap_or_else(clock::today),
                from,
                machine: known(self.machine.as_deref(), "machine", shelf.book.machines.keys())?,
                rider: known(self.rider.as_deref(), "rider", shelf.book.riders.keys())?,
                track: known(self.track.as_deref(), "track", shelf.book.tracks.keys())?,
            },
        );
        Writer::new().create(&path, &text)?;
        Ok(shown(path))
    }
}

/// The date that a name begins with.
fn date_in(name: &str) -> Option<Date> {
    name.get(..10)?.parse().ok()
}

/// Whether a name begins with three numbers that are no date: `2026-13-45`, `11-04-2026`, `2026-4-1-wet`.
fn is_nearly_dated(name: &str) -> bool {
    let is_number = |part: &str| !part.is_empty() && part.bytes().all(|byte| byte.is_ascii_digit());
    let parts: Vec<&str> = name.split(['-', '_']).take(3).collect();
    parts.len() == 3 && parts.into_iter().all(is_number) && date_in(name).is_none()
}

/// A name given on the command line, if the book has such a notebook.
pub(super) fn known<'a, 'k>(
    given: Option<&'a str>,
    what: &str,
    names: impl Iterator<Item = &'k String> + Clone,
) -> Result<Option<&'a str>, Failure> {
    match given {
        Some(given) if !names.clone().any(|name| name == given) => {
            let failure = Failure::new(format!("the book has no {what} `{given}`"));
            Err(match closest(given, names.map(String::as_str)).first() {
                Some(near) => failure.help(format!("did you mean `{near}`?")),
                None => failure.help(format!("`loambook new {what} {given}` starts one")),
            })
        }
        given => Ok(given),
    }
}
