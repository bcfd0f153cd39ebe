//! Notebooks that are asked for without their path: by their name, and days by their date.

use std::path::{Path, PathBuf};

use jiff::civil::Date;

use crate::book::{Book, Notebook};
use crate::finding::closest;
use crate::source::{self, FileId};
use crate::vocabulary::names::is_name;

use super::failure::Failure;

/// What was typed, where it is no path of anything, and may be a name or a date.
pub(super) fn word(typed: &Path) -> Option<&str> {
    typed.to_str().filter(|word| is_name(word) && !source::named::is_there(typed))
}

/// Paths, and words that are none.
pub(super) fn split(typed: &[PathBuf]) -> (Vec<&PathBuf>, Vec<&str>) {
    let paths = typed.iter().filter(|typed| word(typed).is_none()).collect();
    (paths, typed.iter().filter_map(|typed| word(typed)).collect())
}

/// The days of a date, or the notebook of a name.
pub(super) fn find(book: &Book, word: &str) -> Result<Vec<FileId>, Failure> {
    let date = word.parse::<Date>().ok();
    let days = book.days.iter().filter(|day| day.is_dated && Some(day.date) == date);
    let days: Vec<FileId> = days.map(|day| day.notebook.document.file).collect();
    if days.is_empty() { Ok(vec![named(book, word)?]) } else { Ok(days) }
}

/// The one day of a name, a path or a date.
///
/// # Errors
///
/// Where the book has none, or several of the date.
pub(super) fn day(book: &Book, typed: &str) -> Result<usize, Failure> {
    let name = typed.rsplit('/').next().unwrap_or(typed);
    let name = name.strip_suffix(".md").unwrap_or(name);
    if let Some(day) = book.days.iter().position(|day| day.notebook.name == name) {
        return Ok(day);
    }
    let files = find(book, name)?;
    let days: Vec<usize> = files.iter().filter_map(|file| book.day_of(*file)).collect();
    match days.as_slice() {
        [day] => Ok(*day),
        [] => Err(Failure::new(format!("{typed} is not a day"))),
        _ => {
            let paths: Vec<&str> = files.iter().map(|file| book.sources.path(*file)).collect();
            Err(Failure::new(format!("there are several days on {name}"))
                .help(format!("give the path: {}", paths.join(", "))))
        }
    }
}

/// The notebook of a name.
///
/// # Errors
///
/// Where the book has none, or the name is that of a rider and of a machine as well.
pub(super) fn named(book: &Book, name: &str) -> Result<FileId, Failure> {
    let called: Vec<&Notebook> = book.notebooks().filter(|notebook| notebook.name == name).collect();
    match called.as_slice() {
        [one] => Ok(one.document.file),
        [] => {
            let failure = Failure::new(format!("there is no {name}"));
            let all = book.notebooks().map(|notebook| notebook.name.as_str());
            Err(match closest(name, all).first() {
                Some(near) => failure.help(format!("did you mean `{near}`?")),
                None => failure.help("give a notebook by its path or its name, or a day by its date"),
            })
        }
        many => {
            let paths: Vec<&str> = many.iter().map(|notebook| notebook.path.as_str()).collect();
            Err(Failure::new(format!("several notebooks are called `{name}`"))
                .help(format!("give the path: {}", paths.join(", "))))
        }
    }
}
