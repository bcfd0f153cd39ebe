//! What kept a file of a book from being read, with the place to say it at.

use super::span::Span;

/// A file or folder that could not be read.
///
/// The file stands in [`Sources`](super::Sources) with as much of its text as could be read, so that the
/// fault has a place like any other.
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
    /// The name holds characters that are no letters: an end of line, or what a terminal obeys.
    NameHasControls,
    /// Larger than a file of its sort may be, in bytes.
    TooLarge { limit: u64 },
    /// The book holds more files than a book may; those behind this one are left out.
    TooMany { limit: usize },
    /// The book holds more notebooks than a book may; those behind this one are left out.
    TooManyNotebooks { found: usize, limit: usize },
    /// The notebooks of the book are larger in all than they may be, in bytes; this one and those behind it are left
    /// out.
    BookTooLarge { found: u64, limit: u64 },
    /// The folder lies deeper than a folder may.
    TooDeep { limit: usize },
    /// A `book.toml` below the book's own: what lies in its folder is another book.
    AnotherBook,
    /// A link to what lies outside the book.
    LeadsOut,
    /// The operating system, or git, said no.
    Unreadable { reason: String },
}
