//! Why a file of a book could not be read, and the place for the finding.

use super::span::Span;

/// A file or folder that could not be read.
///
/// The file is in [`Sources`](super::Sources) with as much of its text as could be read, so that the fault has
/// a place like any other.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Fault {
    pub span: Span,
    pub kind: FaultKind,
}

/// Why it could not be read.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum FaultKind {
    /// The bytes from the span's start on are not UTF-8.
    NotUtf8,
    /// The name, shown as well as it can be, is not UTF-8.
    NameNotUtf8,
    /// The name has control characters: a line break, or what would control a terminal.
    NameHasControls,
    /// Larger than a file of its kind may be, in bytes.
    TooLarge { limit: u64 },
    /// The book has more files than it may; those behind this one are left out.
    TooMany { limit: usize },
    /// The book has more notebooks than it may; those behind this one are left out.
    TooManyNotebooks { found: usize, limit: usize },
    /// The book's notebooks are larger together than they may be, in bytes; this one and those behind it are left
    /// out.
    BookTooLarge { found: u64, limit: u64 },
    /// The folder is nested deeper than it may be.
    TooDeep { limit: usize },
    /// A `book.toml` below the book's own: its folder is another book.
    AnotherBook,
    /// A link that leads out of the book.
    LeadsOut,
    /// The operating system, or git, said no.
    Unreadable { reason: String },
}
