//! A notebook's prose as events, for printing.

use pulldown_cmark::{Event, Parser, Tag, TagEnd};

use crate::source::Span;

use super::super::{Document, head};
use super::{DEPTH, markdown_options};

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
