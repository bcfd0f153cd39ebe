//! Markdown into heads, prose, blocks and figure spans, each with its place, and still without meaning.
//!
//! Broken input is an ordinary case: there is always a [`Document`], with findings beside it. Prose outside
//! known blocks is never interpreted, except code spans that begin with `@`.

mod codes;
mod conflicts;
pub(crate) mod dates;
mod fence;
mod files;
mod head;
mod markdown;
mod pieces;
mod segments;
mod strings;
mod toml;
mod unread;
mod value;

use std::borrow::Cow;

use crate::finding::Finding;
use crate::source::{FileId, Span, limits};
use crate::speech::say;

pub use codes::CODES;
pub(crate) use codes::SPACED_KEY;
pub use fence::fence_around;
pub use files::fault_finding;
pub use markdown::{markdown_options, prose_events};
pub use pieces::pieces;
pub use value::{Entry, Node, Table, Text, Value};

/// A notebook as it was written; with [`Extent`]s in place of its tables, all that is kept of one.
#[derive(Debug, Clone, PartialEq)]
pub struct Document<Body> {
    pub file: FileId,
    /// The TOML head between `+++` lines.
    pub head: Option<Body>,
    /// The first heading's text.
    pub title: Option<String>,
    /// Fenced blocks whose first word names a kind of block, or nearly does; in file order.
    pub blocks: Vec<Block<Body>>,
    /// `@figure` code spans in the prose, in file order.
    pub mentions: Vec<Mention>,
    /// Images in the prose, in file order.
    pub images: Vec<Image>,
    /// What is neither head nor block, in file order.
    pub prose: Vec<Span>,
}

/// A fenced block of TOML.
#[derive(Debug, Clone, PartialEq)]
pub struct Block<Body> {
    /// The first word behind the fence.
    pub word: Cow<'static, str>,
    pub word_span: Span,
    /// The other words behind the fence, each with its place.
    pub arguments: Vec<(String, Span)>,
    /// The line of the opening fence, without its end of line.
    pub fence: Span,
    /// From the opening fence to the closing one.
    pub span: Span,
    pub body: Body,
    /// It holds only comments, as in a notebook just begun: it says nothing yet.
    pub is_commented_out: bool,
}

/// Where a table stands. What it says is in the text: a book is kept for long, and hardly anybody asks again.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Extent {
    pub span: Span,
    /// As of the table.
    pub broken: bool,
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

/// What the first word behind a fence means to the vocabulary.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum BlockWord {
    /// It names this kind of block.
    Known(&'static str),
    /// It is most likely a slip for one of these.
    Near(Vec<&'static str>),
    /// The fence is the rider's own and is left alone.
    Prose,
}

/// Reads a notebook.
///
/// There is always a document, with all that could be read. Findings are in no particular order.
pub fn parse(
    file: FileId,
    text: &str,
    is_block_word: impl Fn(&str) -> BlockWord,
) -> (Document<Table<'_>>, Vec<Finding>) {
    markdown::parse(file, text, &is_block_word)
}

/// Splits files at the first one whose fences, with those before it, exceed a book's limit; with the finding about it.
/// Fences are counted as text before anything is read, which counts a few too many where prose speaks of them.
/// `blocks` has the number of blocks of each file.
pub fn within_limits<'f>(files: &'f [FileId], blocks: &[usize]) -> (&'f [FileId], Option<Finding>) {
    let mut so_far = 0;
    let past = blocks.iter().position(|blocks| {
        so_far += blocks;
        so_far > limits::BOOK_BLOCKS
    });
    let (kept, left_out) = files.split_at(past.unwrap_or(files.len()));
    let finding = left_out.first().map(|first| {
        let (found, most) = (blocks.iter().sum::<usize>(), limits::BOOK_BLOCKS);
        let headline = say!("the notebooks have {found} blocks in all, and {most} is the most; this one and those after it are left out", found, most);
        Finding::new(&codes::BOOK_TOO_LONG, Span::top(*first), headline)
            .help(say!("make several books of it, each with its own `book.toml`, or give `--book` the right folder"))
    });
    (kept, finding)
}

/// How many blocks a text has at most: two fences make one.
pub fn count_blocks(text: &str) -> usize {
    let fences = |marks: &str| memchr::memmem::find_iter(text.as_bytes(), marks).count();
    (fences("```") + fences("~~~")) / 2
}

/// Reads a file that is all TOML, such as `book.toml`.
///
/// There is always a table, with all that could be read. Findings are in no particular order.
pub fn parse_table(file: FileId, text: &str) -> (Table<'_>, Vec<Finding>) {
    let conflicts = conflicts::Conflicts::find(file, text);
    let mut findings = conflicts.findings();
    let text_start = text.len() - head::without_mark(text).len();
    let cut = segments::Cut::slice(file, text, text_start..text.len());
    let (budget, errors) = (&mut toml::Budget::default(), toml::Errors::Report);
    let around = toml::Around { conflicts: &conflicts, errors, budget, findings: &mut findings };
    let table = toml::read(&cut, around);
    (table, findings)
}

/// Reads a table again at its place; `None` where more than its own lines is needed for that.
pub fn table_at(text: &str, extent: Extent) -> Option<Table<'_>> {
    let cut = segments::Cut::slice(extent.span.file, text, extent.span.range());
    if extent.broken { None } else { toml::read_plain(&cut) }
}

impl Document<Table<'_>> {
    /// What is kept of it, without spare memory: days are kept by the thousand.
    pub fn outline(mut self) -> Document<Extent> {
        self.mentions.shrink_to_fit();
        self.images.shrink_to_fit();
        self.prose.shrink_to_fit();
        let mut blocks: Vec<_> = self.blocks.into_iter().map(Block::outline).collect();
        // They were collected into the room of the blocks with tables.
        blocks.shrink_to_fit();
        Document {
            file: self.file,
            head: self.head.as_ref().map(Table::extent),
            title: self.title,
            blocks,
            mentions: self.mentions,
            images: self.images,
            prose: self.prose,
        }
    }
}

impl<Body> Block<Body> {
    /// The words on its fence: `sag rear`.
    pub fn label(&self) -> String {
        let arguments = self.arguments.iter().map(|(word, _)| word.as_str());
        std::iter::once(&*self.word).chain(arguments).collect::<Vec<_>>().join(" ")
    }
}

impl Block<Table<'_>> {
    fn outline(self) -> Block<Extent> {
        Block {
            word: self.word,
            word_span: self.word_span,
            arguments: self.arguments,
            fence: self.fence,
            span: self.span,
            body: self.body.extent(),
            is_commented_out: self.is_commented_out,
        }
    }
}

impl<Body> Document<Body> {
    /// The notebook without its head and blocks: what the rider wrote for people, to print or compare.
    pub fn prose_text(&self, text: &str) -> String {
        self.prose.iter().filter_map(|span| text.get(span.range())).collect()
    }
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    proptest! {
        #[test]
        fn two_fences_make_a_block(text in "[`~a]{0,40}") {
            let fences = ["```", "~~~"].map(|mark| text.matches(mark).count());
            prop_assert_eq!(count_blocks(&text), fences.iter().sum::<usize>() / 2);
        }
    }
}
