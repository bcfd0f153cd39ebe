//! From a place in a file back to what stands there.

use crate::notebook::{Block, Table, Value};
use crate::source::Span;

use super::Book;

/// The block and key that a value stands under.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct PlaceName {
    /// With the word behind it: `sag rear`; `book.toml` for its own entries.
    pub block: String,
    /// Dotted.
    pub key: String,
}

impl Book {
    /// What a value is called in its notebook; `None` for a place outside all blocks.
    pub fn name_of(&self, span: Span) -> Option<PlaceName> {
        let notebook = self.notebook(span.file)?;
        let holds = |outer: Span| outer.start <= span.start && span.end <= outer.end;
        let block = notebook.document.blocks.iter().find(|block| holds(block.span));
        match block {
            Some(block) => Some(PlaceName { block: block_name(block), key: key_at(&block.body, span)? }),
            None => {
                let head = notebook.document.head.as_ref()?;
                Some(PlaceName { block: "head".to_owned(), key: key_at(head, span)? })
            }
        }
    }

    /// `days/2026-04-11.md:14`, for people.
    pub fn place(&self, span: Span) -> String {
        format!("{}:{}", self.sources.path(span.file), self.sources.start(span).line)
    }
}

fn block_name(block: &Block) -> String {
    let arguments = block.arguments.iter().map(|(word, _)| word.as_str());
    let words: Vec<&str> = std::iter::once(block.word.as_str()).chain(arguments).collect();
    words.join(" ")
}

/// The dotted key whose value holds a place.
fn key_at(table: &Table, span: Span) -> Option<String> {
    table.entries.iter().find_map(|entry| match &entry.value.value {
        Value::Table(inner) => {
            let rest = key_at(inner, span)?;
            Some(format!("{}.{rest}", entry.key))
        }
        _ => {
            let outer = entry.value.span;
            (outer.start <= span.start && span.end <= outer.end).then(|| entry.key.clone())
        }
    })
}
