//! Where the files of a book come from.

mod blobs;
mod disk;
mod git;
mod memory;
mod repository;
mod revision;
mod stamps;

use super::fault::FaultKind;
use super::limits;

pub use disk::{Disk, read_input, read_named};
pub use memory::Memory;
pub use repository::{BookFolder, Earlier, Located, Repository};
pub use revision::{Revision, RevisionError};
pub use stamps::Stamps;

/// The files of one book. Paths are relative to it, with `/` between folders.
pub trait Store: Sync {
    /// Lists the book's files in the order of their paths, without hidden ones.
    ///
    /// # Errors
    /// Where there is no such book.
    fn list(&self) -> Result<Listing, ReadError>;

    /// Reads one file, text or photo.
    ///
    /// # Errors
    /// Where the file is missing, larger than `limit` bytes, or cannot be read.
    fn read(&self, path: &str, limit: u64) -> Result<Vec<u8>, ReadError>;
}

impl<S: Store + ?Sized> Store for &S {
    fn list(&self) -> Result<Listing, ReadError> {
        (**self).list()
    }

    fn read(&self, path: &str, limit: u64) -> Result<Vec<u8>, ReadError> {
        (**self).read(path, limit)
    }
}

/// The files of a book, and what could not be listed.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Listing {
    /// Sorted by path.
    pub files: Vec<Listed>,
    /// Folders and names that could not be read, sorted by path.
    pub problems: Vec<(String, FaultKind)>,
}

impl Listing {
    /// Whether it lists a file.
    pub fn has(&self, path: &str) -> bool {
        self.files.binary_search_by(|listed| listed.path.as_str().cmp(path)).is_ok()
    }
}

/// One file of a book.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub struct Listed {
    pub path: String,
    pub bytes: u64,
}

/// Why a file could not be read.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum ReadError {
    Missing,
    TooLarge {
        limit: u64,
    },
    /// It is outside the book, by a link or by the path itself.
    LeadsOut,
    Unreadable {
        reason: String,
    },
}

impl From<ReadError> for FaultKind {
    fn from(error: ReadError) -> Self {
        match error {
            ReadError::Missing => Self::Unreadable { reason: error.to_string() },
            ReadError::TooLarge { limit } => Self::TooLarge { limit },
            ReadError::LeadsOut => Self::LeadsOut,
            ReadError::Unreadable { reason } => Self::Unreadable { reason },
        }
    }
}

impl std::fmt::Display for ReadError {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        match self {
            Self::Missing => write!(f, "there is no such file"),
            Self::TooLarge { limit } => write!(f, "it is larger than {limit} bytes"),
            Self::LeadsOut => write!(f, "it is a link that leads out of the book"),
            Self::Unreadable { reason } => write!(f, "{reason}"),
        }
    }
}

impl std::error::Error for ReadError {}

/// Whether a path has a hidden folder or is hidden itself.
fn is_hidden(path: &str) -> bool {
    path.split('/').any(|part| part.starts_with('.'))
}
