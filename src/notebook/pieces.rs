//! A notebook's text in pieces that stand on their own.

use std::ops::Range;

use pulldown_cmark::{Event, Parser};

use super::head;
use super::markdown::markdown_options;

/// A text cut at the ends of its paragraphs, fences, headings and lists. Each piece begins where the one before it ends,
/// so that nothing is lost. The first begins behind the head.
pub fn pieces(text: &str) -> Vec<Range<usize>> {
    let (_, start) = head::split(text);
    let body = text.get(start..).unwrap_or_default();
    let mut depth = 0_usize;
    let mut ends = Vec::new();
    for (event, range) in Parser::new_ext(body, markdown_options()).into_offset_iter() {
        match event {
            Event::Start(_) => depth += 1,
            Event::End(_) => depth = depth.saturating_sub(1),
            _ => {}
        }
        if depth == 0 {
            ends.push(start + end_of_line(body, range.end));
        }
    }
    let mut from = start;
    let mut pieces = Vec::new();
    for end in ends.into_iter().chain([text.len()]) {
        if text.get(from..end).is_some_and(|piece| !piece.trim().is_empty()) {
            pieces.push(from..end);
            from = end;
        }
    }
    pieces
}

/// The end of the line that an offset is in, or just behind.
fn end_of_line(text: &str, offset: usize) -> usize {
    if offset > 0 && text.as_bytes().get(offset - 1) == Some(&b'\n') {
        return offset;
    }
    let rest = text.get(offset..).unwrap_or_default();
    rest.find('\n').map_or(text.len(), |at| offset + at + 1)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn cut(text: &str) -> Vec<&str> {
        pieces(text).into_iter().map(|piece| &text[piece]).collect()
    }

    #[test]
    fn each_piece_begins_where_the_one_before_it_ends() {
        let text = "+++\nkind = \"day\"\n+++\n\n# A day\n\nWords,\nmore.\n\n```stint\n\nrode = \"1 h\"\n```\n- a\n- b\n\n[x]: y\n";
        assert_eq!(
            cut(text),
            [
                "\n# A day\n",
                "\nWords,\nmore.\n",
                "\n```stint\n\nrode = \"1 h\"\n```\n",
                "- a\n- b\n\n",
                "[x]: y\n"
            ]
        );
        assert_eq!(cut(""), [""; 0]);
        assert_eq!(cut("no end"), ["no end"]);
        assert_eq!(cut("```stint\nopen\n\n# a\n"), ["```stint\nopen\n\n# a\n"]);
        assert_eq!(cut("a\r\n\r\n```x\r\n```\r\nb"), ["a\r\n", "\r\n```x\r\n```\r\n", "b"]);
    }
}
