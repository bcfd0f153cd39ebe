//! Notebooks that are asked for without their path: by their name, and days by their date.

use std::path::{Path, PathBuf};

use jiff::civil::Date;

use crate::book::{Book, Notebook};
use crate::finding::closest;
use crate::source::{FileId, named};
use crate::vocabulary::names::is_name;

use super::failure::Failure;

/// What was typed, where it is no path of anything, and may be a name or a date.
pub(super) fn word(typed: &Path) -> Option<&str> {
    typed.to_str().filter(|word| is_name(word) && !named::is_there(typed))
}

/// Paths, and words that are none.
pub(super) fn split(typed: &[PathBuf]) -> (Vec<&PathBuf>, Vec<&str>) {
    let paths = typed.iter().filter(|typed| word(typed).is_none()).collect();
    (paths, typed.iter().filter_map(|typed| word(typed)).collect())
}

/// The days of a date, or the notebook of a name.
///
/// # Errors
///
/// Where the book has none, or a name is that of a rider and of a machine as well.
pub(super) fn find(book: &Book, word: &str) -> Result<Vec<FileId>, Failure> {
    let file = |notebook: &Notebook| notebook.document.file;
    if let Ok(date) = word.parse::<Date>() {
        let days = book.days.iter().filter(|day| day.is_dated && day.date == date);
        let days: Vec<FileId> = days.map(|day| file(&day.notebook)).collect();
        if !days.is_empty() {
            return Ok(days);
        }
    }
    let all: Vec<&Notebook> = book.notebooks().collect();
    let called: Vec<&&Notebook> = all.iter().filter(|notebook| notebook.name == word).collect();
    match called.as_slice() {
        [] => {
            let failure = Failure::new(format!("there is no {word}"));
            Err(match closest(word, all.iter().map(|notebook| notebook.name.as_str())).first() {
                Some(near) => failure.help(format!("did you mean `{near}`?")),
                None => failure.help("give a notebook by its path or its name, or a day by its date"),
            })
        }
        [one] => Ok(vec![file(one)]),
        many => {
            let paths: Vec<&str> = many.iter().map(|notebook| notebook.path.as_str()).collect();
            Err(Failure::new(format!("several notebooks are called `{word}`"))
                .help(format!("give the path: {}", paths.join(", "))))
        }
    }
}
