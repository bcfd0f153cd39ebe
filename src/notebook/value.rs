//! TOML values with their places in the notebook.

use std::ops::Range;

use crate::source::Span;

/// A value of a head, a block or `book.toml`, with the place it stands at in its file.
#[derive(Debug, Clone, PartialEq)]
pub struct Node {
    /// The whole value as written, quotes included.
    pub span: Span,
    pub value: Value,
}

/// What a value is.
#[derive(Debug, Clone, PartialEq)]
pub enum Value {
    Text(Text),
    Integer(i64),
    /// Finite: `nan` and `inf` are findings and never values.
    Float(f64),
    Boolean(bool),
    /// A TOML date, time or date-time, as written.
    Date(String),
    List(Vec<Node>),
    Table(Table),
}

/// A string and the way back from its decoded bytes to the file's.
#[derive(Debug, Clone, PartialEq)]
pub struct Text {
    pub text: String,
    /// Where in the file each run of decoded bytes came from: `(offset in text, offset in file)`,
    /// sorted; within a run both advance together.
    pub(crate) runs: Vec<(u32, u32)>,
}

/// Keys and values in the order of the file. Dotted keys are nested tables, as TOML has it.
#[derive(Debug, Clone, PartialEq)]
pub struct Table {
    pub span: Span,
    pub entries: Vec<Entry>,
}

/// One key of a table and its value.
#[derive(Debug, Clone, PartialEq)]
pub struct Entry {
    pub key: String,
    pub key_span: Span,
    pub value: Node,
}

impl Node {
    /// Lifts a range of the decoded text of a string value to its place in the file; the whole value
    /// where this is no string.
    pub fn place(&self, range: Range<usize>) -> Span {
        let Value::Text(text) = &self.value else { return self.span };
        let lift = |offset: usize| {
            let offset = u32::try_from(offset).unwrap_or(u32::MAX);
            let at = text.runs.partition_point(|&(decoded, _)| decoded <= offset).checked_sub(1)?;
            let &(decoded, file) = text.runs.get(at)?;
            Some((file + (offset - decoded)) as usize)
        };
        // The end is lifted from the last byte, so that a range that ends where a run ends stays in it.
        match (lift(range.start), lift(range.end.saturating_sub(1).max(range.start))) {
            (Some(start), Some(last)) => {
                Span::new(self.span.file, start, last + usize::from(range.end > range.start))
            }
            _ => self.span,
        }
    }
}
