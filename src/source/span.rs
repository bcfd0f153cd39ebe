//! Places in source files.

/// Names one file of a [`Sources`](super::Sources) collection.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct FileId(pub(crate) u32);

/// A range of bytes in one file, half-open; always of the file on disk, never of a block cut out of it.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Span {
    pub file: FileId,
    pub start: u32,
    pub end: u32,
}

/// A line and a column, both counted from 1; columns count Unicode scalar values.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Position {
    pub line: u32,
    pub column: u32,
}

impl Span {
    #[inline]
    pub fn new(file: FileId, start: usize, end: usize) -> Self {
        let narrow = |offset: usize| u32::try_from(offset).unwrap_or(u32::MAX);
        Self { file, start: narrow(start), end: narrow(end.max(start)) }
    }

    /// The empty place at the start of a file, for findings about the file as a whole.
    pub fn top(file: FileId) -> Self {
        Self { file, start: 0, end: 0 }
    }

    /// Whether another place is within this one.
    pub fn contains(self, other: Self) -> bool {
        self.file == other.file && self.start <= other.start && other.end <= self.end
    }

    pub fn range(self) -> std::ops::Range<usize> {
        self.start as usize..self.end as usize
    }
}
