//! Reading the notebooks of a book.

#![expect(clippy::disallowed_methods, reason = "a book is looked for upward from a folder")]

use std::collections::BTreeSet;
use std::path::{Path, PathBuf};

use super::fault::{Fault, FaultKind};
use super::limits;
use super::sources::Sources;
use super::span::{FileId, Span};
use super::store::{Listed, Listing, ReadError, Store};

/// The file that makes a folder a book.
pub const BOOK_FILE: &str = "book.toml";

/// The name of the notebook from standard input; no other has it.
pub const STANDARD_INPUT: &str = "-";

const NOTEBOOK_ENDING: &str = ".md";

/// What [`read_book`] found.
#[derive(Debug, Default)]
pub struct BookFiles {
    pub sources: Sources,
    /// `book.toml`, where the book has one that could be read.
    pub book: Option<FileId>,
    /// The notebooks that could be read, by path.
    pub notebooks: Vec<FileId>,
    /// What could not be read.
    pub faults: Vec<Fault>,
}

/// Reads `book.toml` and every notebook that a store lists, in the order of their paths. A file that cannot be read is
/// a [`Fault`]; the others are read all the same.
pub fn read_book(listing: &Listing, store: &dyn Store) -> BookFiles {
    read_again(listing, store, &Sources::new(), |_| false)
}

/// The same for a book that was read before: unchanged files keep their text, and every file keeps its id.
pub fn read_again(
    listing: &Listing,
    store: &dyn Store,
    before: &Sources,
    has_stayed: impl Fn(&str) -> bool,
) -> BookFiles {
    let mut paths: Vec<&str> = listing.files.iter().map(|listed| listed.path.as_str()).collect();
    paths.extend(listing.problems.iter().map(|(path, _)| path.as_str()));
    paths.sort_unstable();
    let mut files = BookFiles { sources: before.numbered(paths.into_iter()), ..BookFiles::default() };
    for (path, kind) in &listing.problems {
        let file = files.sources.set(path.clone(), "");
        files.faults.push(Fault { span: Span::top(file), kind: kind.clone() });
    }
    // What lies under another `book.toml` is another book.
    let others: BTreeSet<String> = listing
        .files
        .iter()
        .filter_map(|listed| Some(listed.path.strip_suffix(BOOK_FILE)?.to_owned()))
        .filter(|folder| folder.ends_with('/'))
        .collect();
    let is_of_another = |path: &str| {
        let mut folders = path.match_indices('/').filter_map(|(at, _)| path.get(..=at));
        !others.is_empty() && folders.any(|folder| others.contains(folder))
    };
    let is_notebook = |listed: &Listed| {
        (listed.path.ends_with(NOTEBOOK_ENDING) || listed.path == STANDARD_INPUT)
            && !is_of_another(&listed.path)
    };
    let found = listing.files.iter().filter(|listed| is_notebook(listed)).count();
    let found_bytes: u64 =
        listing.files.iter().filter(|listed| is_notebook(listed)).map(|listed| listed.bytes).sum();
    let (mut count, mut bytes) = (0, 0);
    for listed in &listing.files {
        let is_book = listed.path == BOOK_FILE;
        if !is_book && !is_notebook(listed) {
            if listed.path.strip_suffix(BOOK_FILE).is_some_and(|folder| folder.ends_with('/')) {
                let file = files.sources.set(listed.path.clone(), "");
                files.faults.push(Fault { span: Span::top(file), kind: FaultKind::AnotherBook });
            }
            continue;
        }
        if listed.path.contains(char::is_control) {
            let file = files.sources.set(listed.path.clone(), "");
            files.faults.push(Fault { span: Span::top(file), kind: FaultKind::NameHasControls });
            continue;
        }
        if !is_book {
            count += 1;
            bytes += listed.bytes;
            let past = if count > limits::NOTEBOOKS {
                Some(FaultKind::TooManyNotebooks { found, limit: limits::NOTEBOOKS })
            } else if bytes > limits::BOOK_BYTES {
                Some(FaultKind::BookTooLarge { found: found_bytes, limit: limits::BOOK_BYTES })
            } else {
                None
            };
            if let Some(kind) = past {
                let file = files.sources.set(listed.path.clone(), "");
                files.faults.push(Fault { span: Span::top(file), kind });
                break;
            }
        }
        let kept = Some(&listed.path).filter(|path| has_stayed(path));
        let kept = kept.and_then(|path| files.sources.take_over(before, path));
        let read = match kept {
            Some((file, fault)) => sound(file, fault, &files.sources),
            None => {
                let read = store.read(&listed.path, limits::TEXT_BYTES);
                text_of(read, listed.path.clone(), &mut files.sources)
            }
        };
        match read {
            Err(fault) => files.faults.push(fault),
            Ok(file) if is_book => files.book = Some(file),
            Ok(file) => files.notebooks.push(file),
        }
    }
    files
}

/// Reads a text of a book that is neither `book.toml` nor a notebook; `None` where the book does not have it.
///
/// # Errors
///
/// Where it exists and cannot be read; the fault has a place.
pub fn read_text(store: &dyn Store, path: &str, sources: &mut Sources) -> Option<Result<FileId, Fault>> {
    match store.read(path, limits::TEXT_BYTES) {
        // A link out of the book was reported by the listing.
        Err(ReadError::Missing | ReadError::LeadsOut) => None,
        read => Some(text_of(read, path.to_owned(), sources)),
    }
}

fn text_of(read: Result<Vec<u8>, ReadError>, path: String, sources: &mut Sources) -> Result<FileId, Fault> {
    let (text, fault) = match read {
        Ok(bytes) => decode(bytes),
        Err(error) => (String::new(), Some(error.into())),
    };
    let file = sources.set_read(path, text, fault.clone());
    sound(file, fault, sources)
}

/// A file, or what is wrong with it, placed at the end of what could be read.
fn sound(file: FileId, fault: Option<FaultKind>, sources: &Sources) -> Result<FileId, Fault> {
    let end = sources.whole(file).len();
    match fault {
        Some(kind) => Err(Fault { span: Span::new(file, end, end), kind }),
        None => Ok(file),
    }
}

/// The text, or as much as comes before the first byte that is not UTF-8.
fn decode(bytes: Vec<u8>) -> (String, Option<FaultKind>) {
    match String::from_utf8(bytes) {
        Ok(text) => (text, None),
        Err(error) => {
            let valid = error.utf8_error().valid_up_to();
            let mut bytes = error.into_bytes();
            bytes.truncate(valid);
            (String::from_utf8(bytes).unwrap_or_default(), Some(FaultKind::NotUtf8))
        }
    }
}

/// The nearest folder with a `book.toml`, upward from a file or folder, which counts itself.
pub fn find_book(from: &Path) -> Option<PathBuf> {
    let from = std::path::absolute(from).ok()?;
    from.ancestors().find(|folder| folder.join(BOOK_FILE).is_file()).map(Path::to_path_buf)
}
