//! Paths that the user named, before it is known which book they belong to.

#![expect(clippy::disallowed_methods, reason = "paths that were typed are looked at here")]

use std::fs::{self, File};
use std::io::{self, Read as _};
use std::path::{Path, PathBuf};

use super::BOOK_FILE;

/// How many entries of a folder are searched for notebooks outside the book.
const MOST_BESIDE: usize = 1000;
/// How many first bytes are searched for a notebook's head.
const HEAD_BYTES: u64 = 1024;

/// A path without links and detours.
///
/// # Errors
///
/// Where nothing is there, or it may not be looked at.
pub fn real(path: &Path) -> io::Result<PathBuf> {
    path.canonicalize()
}

/// Whether there is anything; links are followed.
pub fn is_there(path: &Path) -> bool {
    path.exists()
}

/// Whether there is a folder; links are followed.
pub fn is_folder(path: &Path) -> bool {
    path.is_dir()
}

/// Whether there is a file; links are followed.
pub fn is_file(path: &Path) -> bool {
    path.is_file()
}

/// Whether the path itself is a link, wherever it leads.
pub fn is_link(path: &Path) -> bool {
    path.is_symlink()
}

/// Files that look like notebooks and lie beside a book's folder, where nobody reads them; by their paths.
///
/// None where the folder around it is itself a book, which reads them. Links are not followed.
pub fn notebooks_beside(book: &Path) -> Vec<PathBuf> {
    let Some(around) = book.parent().filter(|around| !around.join(BOOK_FILE).exists()) else {
        return Vec::new();
    };
    let entries = fs::read_dir(around).into_iter().flatten().take(MOST_BESIDE).flatten();
    let files = entries.filter(|entry| entry.file_type().is_ok_and(|kind| kind.is_file()));
    let paths = files.map(|entry| entry.path());
    let mut found: Vec<PathBuf> = paths
        .filter(|path| path.extension().is_some_and(|ending| ending == "md") && is_headed(path))
        .collect();
    found.sort();
    found
}

/// Whether a file begins with a head that says its kind.
fn is_headed(path: &Path) -> bool {
    let mut head = Vec::new();
    let read = File::open(path).and_then(|file| file.take(HEAD_BYTES).read_to_end(&mut head));
    let text = String::from_utf8_lossy(&head);
    let mut lines = text.trim_start_matches('\u{feff}').lines();
    let is_head = read.is_ok() && lines.next().is_some_and(|line| line.trim_end() == "+++");
    let says_kind = |line: &str| line.split_once('=').is_some_and(|(key, _)| key.trim() == "kind");
    is_head && lines.take_while(|line| line.trim_end() != "+++").any(says_kind)
}
