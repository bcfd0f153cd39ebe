//! From a place in a file back to what is written there.

use crate::notebook::{Block, Extent, Node, Table, Value};
use crate::source::Span;

use super::written::Tables;
use super::{Book, SourceId};

/// The block and the key of a value.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct PlaceName {
    /// With its second word: `sag rear`; `book.toml` for its own entries.
    pub block: String,
    /// Dotted.
    pub key: String,
}

/// A value in its notebook.
struct Found<'b> {
    tables: Tables<'b>,
    /// `None` for the head.
    block: Option<&'b Block<Extent>>,
    /// The blocks above it.
    above: &'b [Block<Extent>],
    /// Dotted.
    key: String,
    /// The value's place.
    span: Span,
}

impl Book {
    /// The name of a value in its notebook; `None` for a place outside all blocks.
    pub fn name_of(&self, span: Span) -> Option<PlaceName> {
        let found = self.find(span)?;
        let block = found.block.map_or_else(|| "head".to_owned(), Block::label);
        Some(PlaceName { block, key: found.key })
    }

    /// What identifies a value from one revision to the next: its notebook, block, key and words, and a number
    /// where a notebook has the same more than once: `days/2026-04-11#sag rear/aboard=507 mm`, the second of
    /// them with `#2` behind.
    ///
    /// It never depends on the place in the file: only equal values are counted, so another line of prose
    /// changes nothing.
    pub fn identity(&self, span: Span) -> SourceId {
        let path = self.sources.path(span.file);
        let words = |span| self.sources.text(span).trim_matches(['"', '\'']);
        let Some(found) = self.find(span) else {
            return SourceId::of_notebook(path, "").written(words(span));
        };
        let block = found.block.map_or_else(|| "head".to_owned(), Block::label);
        let written = words(found.span);
        // A TOML table has each key once, so a block says a thing once.
        let is_equal = |other: &&Block<Extent>| {
            found.block.is_some_and(|block| is_same_name(block, other))
                && value_of(&found.tables.of(other), &found.key)
                    .is_some_and(|value| words(value.span) == written)
        };
        let equals = found.above.iter().filter(is_equal).count();
        let id = SourceId::of_notebook(path, &format!("{block}/{}", found.key));
        id.written(written).of_equals(equals + 1)
    }

    /// The value at a place.
    fn find(&self, span: Span) -> Option<Found<'_>> {
        let notebook = self.notebook(span.file)?;
        let (document, tables) = (&notebook.document, self.tables(notebook));
        let holds = |outer: Span| outer.start <= span.start && span.end <= outer.end;
        let at = document.blocks.iter().position(|block| holds(block.span));
        let block = at.and_then(|at| document.blocks.get(at));
        let table = match block {
            Some(block) => tables.of(block),
            None => tables.of_head(document.head?)?,
        };
        let (key, value) = entry_at(&table, span)?;
        let above = at.and_then(|at| document.blocks.get(..at)).unwrap_or_default();
        let span = value.span;
        Some(Found { tables, block, above, key, span })
    }

    /// `days/2026-04-11.md:14`, for people.
    pub fn place(&self, span: Span) -> String {
        format!("{}:{}", self.sources.path(span.file), self.sources.start(span).line)
    }
}

fn is_same_name(one: &Block<Extent>, other: &Block<Extent>) -> bool {
    one.word == other.word
        && one.arguments.iter().map(|(word, _)| word).eq(other.arguments.iter().map(|(word, _)| word))
}

/// The value around a place, with its dotted key.
fn entry_at<'t>(table: &'t Table<'_>, span: Span) -> Option<(String, &'t Node<'t>)> {
    table.entries.iter().find_map(|entry| match &entry.value.value {
        Value::Table(inner) => {
            let (rest, value) = entry_at(inner, span)?;
            Some((format!("{}.{rest}", entry.key), value))
        }
        _ => {
            let outer = entry.value.span;
            (outer.start <= span.start && span.end <= outer.end)
                .then(|| (entry.key.to_string(), &entry.value))
        }
    })
}

/// The value under a dotted key.
fn value_of<'t>(table: &'t Table<'_>, key: &str) -> Option<&'t Node<'t>> {
    table.entries.iter().find_map(|entry| match &entry.value.value {
        Value::Table(inner) => value_of(inner, key.strip_prefix(&*entry.key)?.strip_prefix('.')?),
        _ => (entry.key == key).then_some(&entry.value),
    })
}
