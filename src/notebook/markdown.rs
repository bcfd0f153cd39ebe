//! The walk over a notebook's Markdown.

use std::ops::Range;

use pulldown_cmark::{Event, Options, Parser, Tag, TagEnd};

use crate::finding::{Code, Finding};
use crate::source::{FileId, Span, limits};
use crate::speech::{Message, say};

use super::conflicts::Conflicts;
use super::fence::Opening;
use super::head::{self, HeadSource};
use super::segments::Cut;
use super::strings::plain;
use super::toml::{self, Budget, Errors};
use super::unread::{self, Why};
use super::{Block, BlockWord, Document, Image, Mention, Table, Value, codes};

/// How deep elements may be nested; what is deeper is neither read nor printed.
const DEPTH: usize = 64;

/// How often reading begins again behind a fence that was left open. Each time costs another pass over the rest
/// of the file, so a damaged file must not cause one at every line.
const RESUMES: usize = 16;

/// How many unread blocks are reported: a page of examples is one mistake.
const MOST_UNREAD: usize = 10;

/// The Markdown of notebooks: CommonMark, with tables and struck-out text.
pub fn markdown_options() -> Options {
    Options::ENABLE_TABLES | Options::ENABLE_STRIKETHROUGH
}

/// The Markdown of a notebook's prose, for printing: without the head, the blocks, and what is nested too deep.
///
/// `text` is the text that the document was read from. Every start event has its end event.
pub fn prose_events<'t, Body>(
    document: &'t Document<Body>,
    text: &'t str,
) -> impl Iterator<Item = (Event<'t>, Span)> {
    let (_, start) = head::split(text);
    let events = Parser::new_ext(text.get(start..).unwrap_or(""), markdown_options()).into_offset_iter();
    let mut depth = 0_usize;
    let mut is_in_block = false;
    events.filter_map(move |(event, range)| {
        let range = range.start + start..range.end + start;
        let is_kept = match &event {
            Event::Start(tag) => {
                if matches!(tag, Tag::CodeBlock(_)) {
                    let at = document.blocks.partition_point(|block| block.span.range().start <= range.start);
                    let before = at.checked_sub(1).and_then(|at| document.blocks.get(at));
                    is_in_block = before.is_some_and(|block| block.span.range().end > range.start);
                }
                depth += 1;
                depth <= DEPTH && !is_in_block
            }
            Event::End(tag) => {
                let is_kept = depth <= DEPTH && !is_in_block;
                depth = depth.saturating_sub(1);
                if matches!(tag, TagEnd::CodeBlock) {
                    is_in_block = false;
                }
                is_kept
            }
            _ => depth <= DEPTH && !is_in_block,
        };
        is_kept.then(|| (event, Span::new(document.file, range.start, range.end)))
    })
}

pub(super) fn parse(
    file: FileId,
    text: &str,
    is_block_word: &dyn Fn(&str) -> BlockWord,
) -> (Document, Vec<Finding>) {
    let conflicts = Conflicts::find(file, text);
    let mut walk = Walk {
        file,
        text,
        is_block_word,
        findings: conflicts.findings(),
        conflicts,
        budget: Budget::default(),
        document: Document {
            file,
            head: None,
            title: None,
            blocks: Vec::new(),
            mentions: Vec::new(),
            images: Vec::new(),
            prose: Vec::new(),
        },
        is_too_deep: false,
        aside: Vec::new(),
        values: 0,
        is_full: false,
    };
    let start = walk.head();
    let mut from = Some(start);
    let mut resumes = 0;
    while let Some(at) = from {
        from = walk.stretch(at).filter(|_| resumes < RESUMES);
        resumes += 1;
    }
    walk.missing_head();
    walk.prose(start);
    walk.unread();
    (walk.document, walk.findings)
}

struct Walk<'t> {
    file: FileId,
    text: &'t str,
    is_block_word: &'t dyn Fn(&str) -> BlockWord,
    findings: Vec<Finding>,
    conflicts: Conflicts,
    budget: Budget,
    document: Document,
    is_too_deep: bool,
    /// Fences that are not blocks, and HTML: text there is an example, not meant.
    aside: Vec<Range<usize>>,
    /// How many values the blocks so far have.
    values: usize,
    /// No more blocks are taken: a limit was reached and reported.
    is_full: bool,
}

/// A fenced block that is being read.
struct Fence<'t> {
    opening: Opening,
    word: BlockWord,
    cut: Cut<'t>,
    /// Where its text ends so far.
    text_end: usize,
}

impl<'t> Walk<'t> {
    /// Reads the head and returns where the Markdown begins.
    fn head(&mut self) -> usize {
        let (source, start) = head::split(self.text);
        match source {
            HeadSource::None => {}
            HeadSource::Closed { toml, .. } => {
                self.document.head =
                    Some(self.table(&Cut::slice(self.file, self.text, toml), Errors::Report));
            }
            HeadSource::Open { mark, toml } => {
                let end = self.at(toml.end..toml.end);
                self.findings.push(
                    Finding::new(&codes::HEAD_OPEN, self.at(mark), say!("the head has no second `+++`"))
                        .found(say!("the head begins here"))
                        .fix(say!("write `+++` on a line of its own after the head"), end, "+++\n"),
                );
                self.document.head =
                    Some(self.table(&Cut::slice(self.file, self.text, toml), Errors::Silence));
            }
        }
        start
    }

    /// Reports a missing head, where something needs one.
    fn missing_head(&mut self) {
        let needs_one = !self.document.blocks.is_empty() || !self.document.mentions.is_empty();
        if self.document.head.is_some() || !needs_one {
            return;
        }
        let finding =
            Finding::new(&codes::HEAD_MISSING, Span::top(self.file), say!("this notebook has no head"));
        let is_dashed =
            head::without_mark(self.text).trim_start().lines().next().map(str::trim_end) == Some("---");
        self.findings.push(if is_dashed {
            finding.help(say!("write `+++` instead of `---` before and after the head, and TOML between: `kind = \"day\"`"))
        } else {
            finding.help(say!("begin the file with a line `+++`, then `kind = \"day\"` and what else the head needs, then `+++`"))
        });
    }

    /// Reads Markdown from an offset on. Returns where to begin again, where a fence was left open.
    fn stretch(&mut self, from: usize) -> Option<usize> {
        let text = self.text;
        let events = Parser::new_ext(text.get(from..).unwrap_or(""), markdown_options()).into_offset_iter();
        let mut depth = 0_usize;
        let mut fence: Option<Fence<'t>> = None;
        let mut heading: Option<String> = None;
        let mut images: Vec<Image> = Vec::new();
        for (event, range) in events {
            let range = range.start + from..range.end + from;
            match event {
                Event::Start(tag) => {
                    depth += 1;
                    if depth > DEPTH {
                        self.too_deep(range);
                        continue;
                    }
                    match tag {
                        Tag::CodeBlock(pulldown_cmark::CodeBlockKind::Fenced(_)) => fence = self.open(range),
                        Tag::HtmlBlock => self.aside.push(range),
                        Tag::Heading { .. } if self.document.title.is_none() => heading = Some(String::new()),
                        Tag::Image { dest_url, .. } => images.push(Image {
                            target: dest_url.to_string(),
                            alt: String::new(),
                            span: self.at(range),
                        }),
                        _ => {}
                    }
                }
                Event::End(tag) => {
                    depth = depth.saturating_sub(1);
                    match tag {
                        TagEnd::CodeBlock => {
                            if let Some(fence) = fence.take()
                                && let Some(next) = self.close(fence, range)
                            {
                                return Some(next);
                            }
                        }
                        TagEnd::Heading(_) => {
                            if let Some(title) = heading.take() {
                                self.document.title = Some(title);
                            }
                        }
                        // An image within another image's words ends first, which would put it first in the
                        // file's order.
                        TagEnd::Image => self.document.images.extend(images.pop()),
                        _ => {}
                    }
                }
                Event::Text(words) => {
                    if let Some(fence) = &mut fence {
                        fence.text_end = range.end;
                        if !matches!(fence.word, BlockWord::Prose) {
                            fence.cut.push(&words, range);
                        }
                    } else {
                        add(&mut heading, &mut images, &words);
                    }
                }
                Event::Code(words) => {
                    add(&mut heading, &mut images, &words);
                    self.mention(&words, range);
                }
                Event::SoftBreak | Event::HardBreak => add(&mut heading, &mut images, " "),
                _ => {}
            }
        }
        None
    }

    fn open(&self, range: Range<usize>) -> Option<Fence<'t>> {
        let opening = Opening::read(self.text, range.start)?;
        let word = opening.words.first().and_then(|word| self.text.get(word.clone()));
        let word = word.map_or(BlockWord::Prose, |word| (self.is_block_word)(word));
        let text_start = opening.line.end;
        Some(Fence { cut: Cut::new(self.file, self.text, text_start), word, text_end: text_start, opening })
    }

    /// Takes a block that has ended. Returns where to begin again, where it swallowed another.
    fn close(&mut self, mut fence: Fence<'t>, range: Range<usize>) -> Option<usize> {
        let inner = self.inner_fence(&fence);
        let behind = self.text.get(fence.text_end..range.end).unwrap_or("");
        let is_closed = fence.opening.is_closed_in(behind);
        let mut end = range.end;
        let mut errors = Errors::Report;
        if inner.is_some() || !is_closed {
            self.left_open(&fence.opening, inner.as_ref());
            errors = Errors::Silence;
        }
        if let Some(inner) = &inner {
            fence.cut.truncate(inner.offset_in_block);
            end = inner.line.start;
        }
        if matches!(fence.word, BlockWord::Prose) {
            self.aside.push(fence.opening.line.start..end);
        } else {
            self.block(&fence, end, errors);
        }
        inner.filter(|inner| inner.is_at_margin).map(|inner| inner.line.start)
    }

    fn left_open(&mut self, opening: &Opening, inner: Option<&Inner>) {
        let word = opening.words.first().and_then(|word| self.text.get(word.clone()));
        let headline = match (word, inner.is_some()) {
            (Some(word), true) => say!("this `{word}` block is not closed before another begins", word),
            (Some(word), false) => {
                say!("this `{word}` block is not closed before the text around it ends", word)
            }
            (None, true) => say!("this fence is not closed before another begins"),
            (None, false) => say!("this fence is not closed before the text around it ends"),
        };
        let mut finding = Finding::new(&codes::FENCE_OPEN, self.at(opening.line.clone()), headline)
            .found(say!("opened here"));
        if let Some(inner) = inner {
            finding = finding.see(self.at(inner.line.clone()), say!("still open here"));
        }
        self.findings.push(finding.help(say!("end it with {line}", line = opening.closing_in_words())));
    }

    /// The opening of another block within a fence that was not closed before.
    fn inner_fence(&self, fence: &Fence<'_>) -> Option<Inner> {
        let is_block = !matches!(fence.word, BlockWord::Prose);
        let body = fence.opening.line.end..fence.text_end.max(fence.opening.line.end);
        let mut start = body.start;
        let body = self.text.get(body)?;
        if !body.contains(fence.opening.mark) {
            return None;
        }
        let mut lines = body.split_inclusive('\n');
        // The rest of the opening line.
        start += lines.next()?.len();
        for line in lines {
            let unquoted = line.trim_start_matches([' ', '\t', '>']);
            if fence.opening.could_end_or_be(unquoted) {
                let at = start + (line.len() - unquoted.len());
                let opening = Opening::read(self.text, at)?;
                let word = opening.words.first().and_then(|word| self.text.get(word.clone()));
                if word.is_some_and(|word| is_block || (self.is_block_word)(word) == BlockWord::Known) {
                    return Some(Inner {
                        offset_in_block: fence.cut.offset_of(at),
                        is_at_margin: line.len() - unquoted.len() <= 3 && !line.starts_with('>'),
                        line: opening.line,
                    });
                }
            }
            start += line.len();
        }
        None
    }

    fn block(&mut self, fence: &Fence<'_>, end: usize, errors: Errors) {
        let mut words = fence.opening.words.iter();
        let Some(first) = words.next() else { return };
        if self.is_full {
            return;
        }
        if self.document.blocks.len() == limits::NOTEBOOK_BLOCKS {
            let headline = say!("the notebook has more than {most} blocks", most = limits::NOTEBOOK_BLOCKS);
            self.full(&codes::TOO_MANY_BLOCKS, fence, headline);
            return;
        }
        let word = plain(self.text.get(first.clone()).unwrap_or(""));
        let word_span = self.at(first.clone());
        if let BlockWord::Near(near) = &fence.word {
            let mut finding =
                Finding::new(&codes::UNKNOWN_BLOCK, word_span, say!("there is no block `{word}`", word));
            for name in near {
                finding = finding.fix(say!("did you mean `{name}`?", name), word_span, *name);
            }
            self.findings.push(finding);
        }
        let body = self.table(&fence.cut, errors);
        self.values += values(&body);
        if self.values > limits::NOTEBOOK_VALUES {
            let (found, most) = (self.values, limits::NOTEBOOK_VALUES);
            let headline =
                say!("with this block the notebook has {found} values, and {most} is the most", found, most);
            self.full(&codes::TOO_MANY_VALUES, fence, headline);
            return;
        }
        let mut lines = fence.cut.text.lines().map(str::trim).filter(|line| !line.is_empty()).peekable();
        let is_commented_out = lines.peek().is_some() && lines.all(|line| line.starts_with('#'));
        let argument = |range: &Range<usize>| {
            (plain(self.text.get(range.clone()).unwrap_or("")), self.at(range.clone()))
        };
        let block = Block {
            word,
            word_span,
            arguments: words.map(argument).collect(),
            fence: self.at(fence.opening.line.clone()),
            span: self.at(fence.opening.line.start..end),
            body,
            is_commented_out,
        };
        self.document.blocks.push(block);
    }

    /// Reports a limit, once: what follows is left out.
    fn full(&mut self, code: &'static Code, fence: &Fence<'_>, headline: Message) {
        self.is_full = true;
        let place = self.at(fence.opening.line.clone());
        self.findings.push(
            Finding::new(code, place, headline)
                .found(say!("this block and those after it are left out"))
                .help(say!("write a notebook for each day; long tables are files of their own")),
        );
    }

    fn mention(&mut self, words: &str, range: Range<usize>) {
        let Some(name) = words.trim().strip_prefix('@') else { return };
        let written = self.text.get(range.clone()).unwrap_or("");
        let Some(at) = written.find('@') else { return };
        let start = range.start + at + 1;
        let behind = self.text.get(start..range.end).unwrap_or("");
        // The parser turns a line end within a code span into a space.
        let length =
            if behind.starts_with(name) { name.len() } else { behind.trim_end_matches('`').trim_end().len() };
        self.document.mentions.push(Mention { name: plain(name), span: self.at(start..start + length) });
    }

    fn too_deep(&mut self, range: Range<usize>) {
        if !self.is_too_deep {
            self.is_too_deep = true;
            let start = range.start;
            let first = self.text.get(range).and_then(|text| text.lines().next()).map_or(0, str::len);
            let headline = say!("this is more than {most} levels deep and is left out", most = DEPTH);
            self.findings.push(
                Finding::new(&codes::TOO_DEEP, self.at(start..start + first), headline)
                    .help(say!("write it with less nesting")),
            );
        }
    }

    /// Notes what is neither head nor block.
    fn prose(&mut self, start: usize) {
        let mut at = start;
        let mut prose = Vec::new();
        for block in &self.document.blocks {
            let block = block.span.range();
            if block.start > at {
                prose.push(self.at(at..block.start));
            }
            at = at.max(block.end);
        }
        if at < self.text.len() {
            prose.push(self.at(at..self.text.len()));
        }
        self.document.prose = prose;
    }

    /// Reports prose that was meant as a block.
    fn unread(&mut self) {
        let is_block = |word: &str| (self.is_block_word)(word) == BlockWord::Known;
        let mut found = Vec::new();
        for prose in &self.document.prose {
            found.extend(unread::find(self.text, prose.range(), is_block));
        }
        found.retain(|unread| !self.aside.iter().any(|aside| aside.contains(&unread.line.start)));
        for unread in found.into_iter().take(MOST_UNREAD) {
            let word = self.text.get(unread.word.clone()).unwrap_or("");
            let finding = Finding::new(
                &codes::UNREAD,
                self.at(unread.line),
                say!("this `{word}` block will not be read", word),
            );
            self.findings.push(match unread.why {
                Why::Indented => finding
                    .found(say!("set in by four spaces, it is an example"))
                    .help(say!("begin its lines at the margin; put an example between four backticks")),
                Why::Marks => finding.found(say!("three backticks open a block")).help(say!(
                    "write \"```{word}\" here, and a line of three backticks after the block",
                    word
                )),
            });
        }
    }

    fn table(&mut self, cut: &Cut<'_>, errors: Errors) -> Table {
        toml::read(cut, &self.conflicts, errors, &mut self.budget, &mut self.findings)
    }

    fn at(&self, range: Range<usize>) -> Span {
        Span::new(self.file, range.start, range.end)
    }
}

/// How many values a table has: its keys, the items of its lists, and its texts by length.
fn values(table: &Table) -> usize {
    table.entries.iter().map(|entry| 1 + inner_values(&entry.value.value)).sum()
}

fn inner_values(value: &Value) -> usize {
    match value {
        Value::Text(text) => text.text.len() / limits::LETTERS_A_VALUE,
        Value::List(items) => items.iter().map(|item| 1 + inner_values(&item.value)).sum(),
        Value::Table(table) => values(table),
        Value::Integer(_) | Value::Float(_) | Value::Boolean(_) | Value::Date(_) => 0,
    }
}

/// An opening fence within a block.
struct Inner {
    line: Range<usize>,
    offset_in_block: usize,
    /// It is at the page's margin, so that reading can begin again there.
    is_at_margin: bool,
}

/// Adds words to the heading and the image that they belong to.
fn add(heading: &mut Option<String>, images: &mut [Image], words: &str) {
    if let Some(image) = images.last_mut() {
        image.alt.push_str(&plain(words));
    } else if let Some(heading) = heading {
        heading.push_str(&plain(words));
    }
}
