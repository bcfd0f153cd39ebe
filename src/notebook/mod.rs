//! Markdown into heads, prose, blocks and figure spans, each with its place; no meaning yet.
//!
//! Broken input is an ordinary case: there is always a [`Document`], and findings beside it.

mod value;

use crate::source::{FileId, Span};

pub use value::{Entry, Node, Table, Text, Value};

/// A notebook as it was written.
#[derive(Debug, Clone, PartialEq)]
pub struct Document {
    pub file: FileId,
    /// The TOML head between `+++` lines.
    pub head: Option<Table>,
    /// The first heading's text.
    pub title: Option<String>,
    /// Fenced blocks whose first word names a kind of block, or nearly does; in file order.
    pub blocks: Vec<Block>,
    /// `@figure` code spans in the prose, in file order.
    pub mentions: Vec<Mention>,
    /// Images in the prose, in file order.
    pub images: Vec<Image>,
}

/// A fenced block of TOML.
#[derive(Debug, Clone, PartialEq)]
pub struct Block {
    /// The first word behind the fence.
    pub word: String,
    pub word_span: Span,
    /// The other words behind the fence, each with its place.
    pub arguments: Vec<(String, Span)>,
    /// The line of the opening fence, without its end of line.
    pub fence: Span,
    /// From the opening fence to the closing one.
    pub span: Span,
    pub body: Table,
}

/// A code span in prose that shows a figure: `@sag.rear.rider`.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Mention {
    /// Without the `@`.
    pub name: String,
    /// The name's own place, without the `@` and the backticks.
    pub span: Span,
}

/// A photo in the prose.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Image {
    pub target: String,
    pub alt: String,
    pub span: Span,
}
