//! Fenced blocks: where each begins and ends, and what is in it.

use std::borrow::Cow;
use std::ops::Range;

use crate::finding::{Code, Finding};
use crate::source::limits;
use crate::speech::{Message, say};

use super::super::fence::Opening;
use super::super::segments::Cut;
use super::super::strings::plain;
use super::super::toml::Errors;
use super::super::unread;
use super::super::value::{Table, Value};
use super::super::{Block, BlockWord, codes};
use super::Walk;

/// A fenced block that is being read.
pub(super) struct Fence<'t> {
    opening: Opening,
    pub word: BlockWord,
    pub cut: Cut<'t>,
    /// Where its text ends so far.
    pub text_end: usize,
}

/// An opening fence within a block.
struct Inner {
    line: Range<usize>,
    offset_in_block: usize,
    /// It is at the page's margin, so that reading can begin again there.
    is_at_margin: bool,
}

impl<'t> Walk<'t, '_> {
    pub(super) fn is_known(&self, word: &str) -> bool {
        matches!((self.is_block_word)(word), BlockWord::Known(_))
    }

    pub(super) fn open(&self, range: Range<usize>) -> Option<Fence<'t>> {
        let opening = Opening::read(self.text, range.start)?;
        let word = opening.words.first().and_then(|word| self.text.get(word.clone()));
        let word = word.map_or(BlockWord::Prose, |word| (self.is_block_word)(word));
        let text_start = opening.line.end;
        Some(Fence { cut: Cut::new(self.file, self.text, text_start), word, text_end: text_start, opening })
    }

    /// Takes a block that has ended. Returns where to begin again, where it swallowed another.
    pub(super) fn close(&mut self, mut fence: Fence<'t>, range: Range<usize>) -> Option<usize> {
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
            self.meant(&fence);
            self.aside.push(fence.opening.line.start..end);
        } else {
            self.block(&fence, end, errors);
        }
        inner.filter(|inner| inner.is_at_margin).map(|inner| inner.line.start)
    }

    /// Reports a fence that was most likely meant to open a block.
    fn meant(&mut self, fence: &Fence<'_>) {
        let opening = &fence.opening;
        // Examples are between four.
        if opening.marks > 3 {
            return;
        }
        let words: Vec<&str> = opening.words.iter().filter_map(|word| self.text.get(word.clone())).collect();
        let below = self.text.get(opening.line.end..fence.text_end).unwrap_or("");
        let Some(meant) = unread::meant(&words, below, |word| self.is_known(word)) else { return };
        let marks = String::from(opening.mark).repeat(opening.marks);
        let line = format!("{marks}{}", meant.words);
        let place = self.at(opening.line.start..opening.line.end + meant.below);
        let headline = say!("this `{word}` block will not be read", word = meant.word);
        self.findings.push(
            Finding::new(&codes::UNREAD, self.at(opening.line.clone()), headline)
                .found(say!("its word comes first behind the marks, and then which one"))
                .fix(say!("write \"{line}\"", line = line.as_str()), place, line.as_str()),
        );
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
        // Both marks are one byte each.
        memchr::memchr(fence.opening.mark as u8, body.as_bytes())?;
        let mut lines = body.split_inclusive('\n');
        // The rest of the opening line.
        start += lines.next()?.len();
        for line in lines {
            let unquoted = line.trim_start_matches([' ', '\t', '>']);
            if fence.opening.could_end_or_be(unquoted) {
                let at = start + (line.len() - unquoted.len());
                let opening = Opening::read(self.text, at)?;
                let word = opening.words.first().and_then(|word| self.text.get(word.clone()));
                if word.is_some_and(|word| is_block || self.is_known(word)) {
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

    fn block(&mut self, fence: &Fence<'t>, end: usize, errors: Errors) {
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
        let word = match fence.word {
            BlockWord::Known(word) => Cow::Borrowed(word),
            _ => Cow::Owned(plain(self.text.get(first.clone()).unwrap_or("").into()).into_owned()),
        };
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
        let is_commented_out =
            body.entries.is_empty() && lines.peek().is_some() && lines.all(|line| line.starts_with('#'));
        let argument = |range: &Range<usize>| {
            (plain(self.text.get(range.clone()).unwrap_or("").into()).into_owned(), self.at(range.clone()))
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
}

/// How many values a table has: its keys, the items of its lists, and its texts by length.
fn values(table: &Table<'_>) -> usize {
    table.entries.iter().map(|entry| 1 + inner_values(&entry.value.value)).sum()
}

fn inner_values(value: &Value<'_>) -> usize {
    match value {
        Value::Text(text) => text.text.len() / limits::LETTERS_A_VALUE,
        Value::List(items) => items.iter().map(|item| 1 + inner_values(&item.value)).sum(),
        Value::Table(table) => values(table),
        Value::Integer(_) | Value::Float(_) | Value::Boolean(_) | Value::Date(_) => 0,
    }
}
