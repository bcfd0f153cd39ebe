//! The walk over a notebook's Markdown.

mod events;
mod fenced;

use std::ops::Range;

use pulldown_cmark::{Event, Options, Parser, Tag, TagEnd};

use crate::finding::Finding;
use crate::source::{FileId, Span};
use crate::speech::say;

use super::conflicts::Conflicts;
use super::head::{self, HeadSource};
use super::segments::Cut;
use super::strings::plain;
use super::toml::{self, Around, Budget, Errors};
use super::unread::{self, Why};
use super::{BlockWord, Document, Image, Mention, Table, codes};
use fenced::Fence;

pub use events::prose_events;

/// How deep elements may be nested; what is deeper is neither read nor printed.
const DEPTH: usize = 64;

/// How often reading begins again behind a fence that was left open. Each time costs another pass over the rest
/// of the file, so a damaged file must not cause one at every line.
const RESUMES: usize = 16;

/// Room for the blocks of most days; what is kept of them has none to spare.
const USUAL_BLOCKS: usize = 16;

/// How many unread blocks are reported: a page of examples is one mistake.
const MOST_UNREAD: usize = 10;

/// The Markdown of notebooks: CommonMark, with tables and struck-out text.
pub fn markdown_options() -> Options {
    Options::ENABLE_TABLES | Options::ENABLE_STRIKETHROUGH
}

pub(super) fn parse<'t>(
    file: FileId,
    text: &'t str,
    is_block_word: &dyn Fn(&str) -> BlockWord,
) -> (Document<Table<'t>>, Vec<Finding>) {
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
            blocks: Vec::with_capacity(USUAL_BLOCKS),
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

struct Walk<'t, 'w> {
    file: FileId,
    text: &'t str,
    is_block_word: &'w dyn Fn(&str) -> BlockWord,
    findings: Vec<Finding>,
    conflicts: Conflicts,
    budget: Budget,
    document: Document<Table<'t>>,
    is_too_deep: bool,
    /// Fences that are not blocks, and HTML: text there is an example, not meant.
    aside: Vec<Range<usize>>,
    /// How many values the blocks so far have.
    values: usize,
    /// No more blocks are taken: a limit was reached and reported.
    is_full: bool,
}

impl<'t> Walk<'t, '_> {
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

    fn mention(&mut self, words: &str, range: Range<usize>) {
        let Some(name) = words.trim().strip_prefix('@') else { return };
        let written = self.text.get(range.clone()).unwrap_or("");
        let Some(at) = written.find('@') else { return };
        let start = range.start + at + 1;
        let behind = self.text.get(start..range.end).unwrap_or("");
        // The parser turns a line end within a code span into a space.
        let length =
            if behind.starts_with(name) { name.len() } else { behind.trim_end_matches('`').trim_end().len() };
        self.document
            .mentions
            .push(Mention { name: plain(name.into()).into_owned(), span: self.at(start..start + length) });
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
        let is_block = |word: &str| self.is_known(word);
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

    fn table(&mut self, cut: &Cut<'t>, errors: Errors) -> Table<'t> {
        let (conflicts, budget, findings) = (&self.conflicts, &mut self.budget, &mut self.findings);
        toml::read(cut, Around { conflicts, errors, budget, findings })
    }

    fn at(&self, range: Range<usize>) -> Span {
        Span::new(self.file, range.start, range.end)
    }
}

/// Adds words to the heading and the image that they belong to.
fn add(heading: &mut Option<String>, images: &mut [Image], words: &str) {
    if let Some(image) = images.last_mut() {
        image.alt.push_str(&plain(words.into()));
    } else if let Some(heading) = heading {
        heading.push_str(&plain(words.into()));
    }
}
