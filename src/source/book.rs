//! Reading the notebooks of a book.

use std::path::{Path, PathBuf};

use super::fault::{Fault, FaultKind};
use super::sources::Sources;
use super::span::{FileId, Span};
use super::store::{ReadError, Store, limits};

/// The file that makes a folder a book.
pub const BOOK_FILE: &str = "book.toml";

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

/// Reads `book.toml` and every notebook of a store, in the order of their paths.
///
/// # Errors
/// The store's own error where the book as a whole cannot be listed. A file that cannot be read is a
/// [`Fault`] and does not keep the others from being read.
pub fn read_book(store: &dyn Store) -> Result<BookFiles, ReadError> {
    let listing = store.list()?;
    let mut files = BookFiles::default();
    for (path, kind) in listing.problems {
        let file = files.sources.set(path, "");
        files.faults.push(Fault { span: Span::top(file), kind });
    }
    for listed in listing.files {
        let is_book = listed.path == BOOK_FILE;
        if !is_book && !listed.path.ends_with(NOTEBOOK_ENDING) {
            continue;
        }
        if listed.path.contains(char::is_control) {
            let file = files.sources.set(listed.path, "");
            files.faults.push(Fault { span: Span::top(file), kind: FaultKind::NameHasControls });
            continue;
        }
        let (text, fault) = match store.read(&listed.path, limits::TEXT_BYTES) {
            Ok(bytes) => decode(bytes),
            Err(error) => (String::new(), Some(error.into())),
        };
        let end = text.len();
        let file = files.sources.set(listed.path, text);
        match fault {
            Some(kind) => files.faults.push(Fault { span: Span::new(file, end, end), kind }),
            None if is_book => files.book = Some(file),
            None => files.notebooks.push(file),
        }
    }
    Ok(files)
}

/// The text, or as much of it as comes before the first byte that is no text.
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

/// The nearest folder upward from a file or folder, itself included, that has a `book.toml`.
pub fn find_book(from: &Path) -> Option<PathBuf> {
    let from = std::path::absolute(from).ok()?;
    from.ancestors().find(|folder| folder.join(BOOK_FILE).is_file()).map(Path::to_path_buf)
}
