//! From the Markdown that a template wrote into the tree.

use std::iter::Peekable;
use std::ops::Range;

use pulldown_cmark::{Alignment, CodeBlockKind, Event, HeadingLevel, OffsetIter, Parser, Tag};
use serde::Deserialize;

use crate::notebook::markdown_options;
use crate::speech::Tongue;

use super::block;
use super::error::TemplateError;
use super::inline::Inlines;
use super::tree::{Align, Block, Document, Image, Metadata, Table};

/// How deep elements may be nested; what is deeper is left out, as in notebooks.
const DEPTH: usize = 32;

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
struct HeadTable {
    title: Option<String>,
    language: Option<String>,
    subject: Option<String>,
    author: Option<String>,
    date: Option<String>,
    foot: Option<String>,
    pages: Option<u32>,
    lines: Option<u32>,
}

/// Reads English Markdown that a template wrote; `template` is its name, for errors.
///
/// # Errors
///
/// Where a head or a layout block cannot be read; the error has the line.
pub fn read(template: &str, text: &str) -> Result<Document, TemplateError> {
    read_in(template, text, "en")
}

/// The same in a language, unless the head gives another.
///
/// # Errors
///
/// Where a head or a layout block cannot be read; the error has the line.
pub(super) fn read_in(template: &str, text: &str, language: &str) -> Result<Document, TemplateError> {
    let (head, start) = split_head(text);
    // The line behind the head's opening mark.
    let head_line = line_at(text, text.len() - text.trim_start().len()) + 1;
    let head: HeadTable = block::from_toml(head)
        .map_err(|fault| TemplateError::written(template, head_line + fault.line, fault.message))?;
    let body = text.get(start..).unwrap_or_default();
    let first_line = line_at(text, start);
    let reader = Reader { template, text: body, first_line, is_prose: false };
    let blocks = reader.read(0)?;
    Ok(Document {
        title: head.title.unwrap_or_default(),
        language: head.language.unwrap_or_else(|| language.to_owned()),
        tongue: Tongue::ENGLISH,
        metadata: Metadata {
            subject: head.subject,
            author: head.author,
            date: head.date,
            foot: head.foot,
            pages: head.pages,
            lines: head.lines,
        },
        blocks,
        is_close: false,
    })
}

/// The head's text, and where the body begins; an empty text where there is no head.
fn split_head(text: &str) -> (&str, usize) {
    let start = text.len() - text.trim_start().len();
    let Some(opened) = text.get(start..).and_then(|rest| rest.strip_prefix("+++\n")) else {
        return ("", 0);
    };
    let head_start = start + 4;
    match opened.find("\n+++") {
        Some(end) => {
            let after = head_start + end + 4;
            let line_rest = text.get(after..).and_then(|rest| rest.find('\n')).map_or(0, |at| at + 1);
            (opened.get(..end).unwrap_or_default(), after + line_rest)
        }
        None => ("", 0),
    }
}

/// The line, counted from 1, of a byte.
fn line_at(text: &str, at: usize) -> usize {
    text.get(..at).unwrap_or_default().matches('\n').count() + 1
}

/// Reads one text, or the body of one layout block.
#[derive(Clone, Copy)]
pub(super) struct Reader<'t> {
    pub template: &'t str,
    pub text: &'t str,
    /// The line, in all that the template wrote, on which the text begins.
    pub first_line: usize,
    /// Whether it is a rider's own text, in which no fence is a layout block.
    pub is_prose: bool,
}

impl Reader<'_> {
    pub fn read(self, depth: usize) -> Result<Vec<Block>, TemplateError> {
        let events = Parser::new_ext(self.text, markdown_options()).into_offset_iter();
        Walk { reader: self, events: events.peekable(), counted: (0, 1) }.blocks(depth)
    }

    pub fn fault(&self, line_in_text: usize, message: impl Into<String>) -> TemplateError {
        TemplateError::written(self.template, self.first_line + line_in_text, message)
    }
}

struct Walk<'t> {
    reader: Reader<'t>,
    events: Peekable<OffsetIter<'t>>,
    /// The last place whose line was asked for, and that line: places are asked for from top to bottom.
    counted: (usize, usize),
}

impl<'t> Walk<'t> {
    /// Reads blocks up to the end of what they are in, and takes that end too.
    fn blocks(&mut self, depth: usize) -> Result<Vec<Block>, TemplateError> {
        let mut blocks = Vec::new();
        while let Some((event, range)) = self.events.next() {
            match event {
                Event::End(_) => break,
                Event::Rule => blocks.push(Block::Rule),
                Event::Start(tag) if depth >= DEPTH && !is_inline(&tag) => self.skip(),
                Event::Start(Tag::Paragraph | Tag::HtmlBlock) => {
                    let inlines = self.inlines(Inlines::default());
                    push_text(inlines, &mut blocks);
                }
                Event::Start(Tag::Heading { level, .. }) => {
                    let text = self.inlines(Inlines::default()).finish();
                    blocks.push(Block::Heading { level: level_number(level), text });
                }
                Event::Start(Tag::BlockQuote(_)) => blocks.push(Block::Quote(self.blocks(depth + 1)?)),
                Event::Start(Tag::List(start)) => {
                    let items = self.items(depth + 1)?;
                    blocks.push(Block::List { start, items });
                }
                Event::Start(Tag::Table(align)) => blocks.push(Block::Table(self.table(&align))),
                Event::Start(Tag::CodeBlock(kind)) => blocks.extend(self.fence(&kind, &range, depth)?),
                Event::Start(tag) if !is_inline(&tag) => self.skip(),
                // An item of a tight list has its text without a paragraph.
                inline => {
                    let mut inlines = Inlines::default();
                    inlines.take(&inline);
                    while let Some((event, _)) = self.events.peek() {
                        let is_text = match event {
                            Event::Start(tag) => is_inline(tag),
                            Event::End(end) => is_inline_end(end),
                            Event::Rule => false,
                            _ => true,
                        };
                        if !is_text {
                            break;
                        }
                        if let Some((event, _)) = self.events.next() {
                            inlines.take(&event);
                        }
                    }
                    push_text(inlines, &mut blocks);
                }
            }
        }
        Ok(blocks)
    }

    /// Reads text up to the end of the block that it is in.
    fn inlines(&mut self, mut inlines: Inlines) -> Inlines {
        for (event, _) in self.events.by_ref() {
            if !inlines.take(&event) && matches!(event, Event::End(_)) {
                break;
            }
        }
        inlines
    }

    fn items(&mut self, depth: usize) -> Result<Vec<Vec<Block>>, TemplateError> {
        let mut items = Vec::new();
        while let Some((event, _)) = self.events.next() {
            match event {
                Event::Start(Tag::Item) => items.push(self.blocks(depth)?),
                Event::End(_) => break,
                _ => {}
            }
        }
        Ok(items)
    }

    fn table(&mut self, align: &[Alignment]) -> Table {
        let mut table = Table {
            align: align
                .iter()
                .map(|align| match align {
                    Alignment::Right => Align::Right,
                    Alignment::Center => Align::Centre,
                    Alignment::None | Alignment::Left => Align::Left,
                })
                .collect(),
            ..Table::default()
        };
        let mut row = Vec::new();
        let mut depth = 1_usize;
        while let Some((event, _)) = self.events.next() {
            match event {
                Event::Start(Tag::TableCell) => row.push(self.inlines(Inlines::default()).finish()),
                Event::Start(_) => depth += 1,
                Event::End(end) => {
                    depth = depth.saturating_sub(1);
                    match end {
                        pulldown_cmark::TagEnd::TableHead => table.head = std::mem::take(&mut row),
                        pulldown_cmark::TagEnd::TableRow => table.rows.push(std::mem::take(&mut row)),
                        _ => {}
                    }
                    if depth == 0 {
                        break;
                    }
                }
                _ => {}
            }
        }
        table
    }

    fn fence(
        &mut self,
        kind: &CodeBlockKind<'_>,
        range: &Range<usize>,
        depth: usize,
    ) -> Result<Vec<Block>, TemplateError> {
        let mut body = String::new();
        for (event, _) in self.events.by_ref() {
            match event {
                Event::Text(text) => body.push_str(&text),
                Event::End(_) => break,
                _ => {}
            }
        }
        let CodeBlockKind::Fenced(info) = kind else { return Ok(vec![Block::Code(body)]) };
        let mut words = info.split_whitespace();
        if self.reader.is_prose || words.next() != Some("layout") {
            return Ok(vec![Block::Code(body)]);
        }
        let words: Vec<&str> = words.collect();
        let line = self.reader.first_line + self.line_at(range.start) - 1;
        // The body begins on the line below the fence.
        let is_prose = words.first() == Some(&block::PROSE);
        let inner = Reader { template: self.reader.template, text: &body, first_line: line + 1, is_prose };
        if is_prose {
            return inner.read(depth);
        }
        let block = block::read(&words, inner, depth)?;
        // A head over no rows says nothing.
        let is_hollow = match &block {
            Block::Table(table) => table.rows.is_empty(),
            Block::Settings(settings) => settings.rows.is_empty(),
            _ => false,
        };
        Ok(if is_hollow { Vec::new() } else { vec![block] })
    }

    /// The line, counted from 1, of a byte that is not above the last one asked for.
    fn line_at(&mut self, at: usize) -> usize {
        let (before, line) = self.counted;
        let between = self.reader.text.get(before..at).unwrap_or_default();
        self.counted = (at, line + between.matches('\n').count());
        self.counted.1
    }

    /// Leaves out everything up to the end of what has just begun.
    fn skip(&mut self) {
        let mut depth = 1_usize;
        for (event, _) in self.events.by_ref() {
            match event {
                Event::Start(_) => depth += 1,
                Event::End(_) => depth -= 1,
                _ => {}
            }
            if depth == 0 {
                break;
            }
        }
    }
}

/// A paragraph, and behind it the pictures that were in it.
fn push_text(mut inlines: Inlines, blocks: &mut Vec<Block>) {
    let images = std::mem::take(&mut inlines.images);
    let text = inlines.finish();
    if text.iter().any(|inline| !inline.text.trim().is_empty()) {
        blocks.push(Block::Paragraph(text));
    }
    blocks
        .extend(images.into_iter().map(|(target, description)| Block::Image(Image { target, description })));
}

fn is_inline(tag: &Tag<'_>) -> bool {
    matches!(tag, Tag::Strong | Tag::Emphasis | Tag::Strikethrough | Tag::Link { .. } | Tag::Image { .. })
}

fn is_inline_end(end: &pulldown_cmark::TagEnd) -> bool {
    use pulldown_cmark::TagEnd;
    matches!(end, TagEnd::Strong | TagEnd::Emphasis | TagEnd::Strikethrough | TagEnd::Link | TagEnd::Image)
}

fn level_number(level: HeadingLevel) -> u8 {
    match level {
        HeadingLevel::H1 => 1,
        HeadingLevel::H2 => 2,
        HeadingLevel::H3 => 3,
        HeadingLevel::H4 => 4,
        HeadingLevel::H5 => 5,
        HeadingLevel::H6 => 6,
    }
}
