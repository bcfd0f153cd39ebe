//! TOML values with their places in the notebook. Keys and texts are borrowed from it where they stand there as they read.

use std::borrow::Cow;
use std::ops::Range;

use crate::source::Span;

use super::Extent;

/// A value of a head, a block or `book.toml`, and its place in the file.
#[derive(Debug, Clone, PartialEq)]
pub struct Node<'t> {
    /// The whole value as written, quotes included.
    pub span: Span,
    pub value: Value<'t>,
}

/// What a value is.
#[derive(Debug, Clone, PartialEq)]
pub enum Value<'t> {
    Text(Text<'t>),
    Integer(i64),
    /// Finite: `nan` and `inf` give findings, never values.
    Float(f64),
    Boolean(bool),
    /// A TOML date, time or date-time, as written.
    Date(Cow<'t, str>),
    List(Vec<Node<'t>>),
    Table(Table<'t>),
}

/// A string, and the way from its decoded bytes back to the file's.
#[derive(Debug, Clone, PartialEq)]
pub struct Text<'t> {
    pub text: Cow<'t, str>,
    /// Where in the file each part of `text` came from.
    pub(crate) runs: Runs,
}

/// The way from a string back to the file.
#[derive(Debug, Clone, PartialEq)]
pub(crate) enum Runs {
    /// None: the string has only the place of the whole.
    None,
    /// It is in the file as it reads, from this byte on. Nearly all strings are.
    Plain(u32),
    /// Sorted.
    Several(Box<[Run]>),
}

/// A part of a string: its bytes in the decoded text and in the file.
///
/// Where both have the same length they are the same bytes. Otherwise the file has an escape there, whose place
/// is that of the whole escape.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) struct Run {
    pub decoded: Range<u32>,
    pub file: Range<u32>,
}

/// Keys and values in the order of the file. Dotted keys are nested tables, as TOML has it.
#[derive(Debug, Clone, PartialEq)]
pub struct Table<'t> {
    pub span: Span,
    pub entries: Vec<Entry<'t>>,
    /// Something here could not be read and was reported: an absent key may not be missing.
    pub broken: bool,
}

/// One key of a table and its value.
#[derive(Debug, Clone, PartialEq)]
pub struct Entry<'t> {
    pub key: Cow<'t, str>,
    /// A dotted key up to and with this part: `shock.rebound` for `rebound`.
    pub key_span: Span,
    pub value: Node<'t>,
}

impl<'t> Entry<'t> {
    /// The key as a value, at the key's place.
    pub fn name(&self) -> Node<'t> {
        Node { span: self.key_span, value: Value::Text(Text { text: self.key.clone(), runs: Runs::None }) }
    }
}

impl<'t> Table<'t> {
    /// One that says nothing.
    pub fn empty(at: Extent) -> Self {
        Self { span: at.span, entries: Vec::new(), broken: at.broken }
    }

    pub fn extent(&self) -> Extent {
        Extent { span: self.span, broken: self.broken }
    }

    /// The value of a key.
    pub fn get(&self, key: &str) -> Option<&Node<'t>> {
        self.entries.iter().find(|entry| entry.key == key).map(|entry| &entry.value)
    }
}

impl<'t> Node<'t> {
    pub fn table(&self) -> Option<&Table<'t>> {
        match &self.value {
            Value::Table(table) => Some(table),
            _ => None,
        }
    }

    /// The values of a list; one value is a list of one.
    pub fn items(&self) -> &[Self] {
        match &self.value {
            Value::List(items) => items,
            _ => std::slice::from_ref(self),
        }
    }

    /// The texts among its values.
    pub fn texts(&self) -> Vec<String> {
        let text = |node: &Self| match &node.value {
            Value::Text(text) => Some(text.text.to_string()),
            _ => None,
        };
        self.items().iter().filter_map(text).collect()
    }

    /// The place in the file of a range of the decoded text of a string; of any other value, the place of the
    /// whole.
    pub fn place(&self, range: Range<usize>) -> Span {
        let Value::Text(text) = &self.value else { return self.span };
        match text.lift(range) {
            Some(file) => Span::new(self.span.file, file.start as usize, file.end as usize),
            None => self.span,
        }
    }
}

impl Text<'_> {
    fn lift(&self, range: Range<usize>) -> Option<Range<u32>> {
        let start = u32::try_from(range.start).ok()?;
        let end = u32::try_from(range.end).ok()?.max(start);
        let runs = match &self.runs {
            Runs::None => return None,
            Runs::Plain(from) => {
                let length = u32::try_from(self.text.len()).ok()?;
                return Some(from + start.min(length)..from + end.min(length));
            }
            Runs::Several(runs) => runs,
        };
        let run = |offset: u32| {
            let at = runs.partition_point(|run| run.decoded.end <= offset);
            runs.get(at).filter(|run| run.decoded.contains(&offset))
        };
        let first = match run(start) {
            Some(run) if run.is_verbatim() => run.file.start + (start - run.decoded.start),
            Some(run) => run.file.start,
            // Behind the last character.
            None => runs.last()?.file.end,
        };
        if end == start {
            return Some(first..first);
        }
        // The end comes from the last byte, so that a range that ends with a run stays in it.
        let last = match run(end - 1) {
            Some(run) if run.is_verbatim() => run.file.start + (end - run.decoded.start),
            Some(run) => run.file.end,
            None => runs.last()?.file.end,
        };
        Some(first..last.max(first))
    }
}

impl Run {
    fn is_verbatim(&self) -> bool {
        self.decoded.len() == self.file.len()
    }
}
