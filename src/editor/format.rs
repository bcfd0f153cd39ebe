//! Blocks with their `=` aligned. Values are never touched.

use lsp_types::{Range, TextEdit};
use unicode_width::UnicodeWidthStr;

use crate::notebook::Table;
use crate::source::Span;

use super::names::leaves;
use super::page::Page;

/// The edits that align a notebook's blocks. A block that cannot be read whole stays as it is.
pub(super) fn aligned(page: &Page<'_>) -> Vec<TextEdit> {
    let Some(notebook) = page.notebook() else { return Vec::new() };
    let blocks = notebook.document.blocks.iter().filter(|block| !block.body.broken);
    let tables = page.book().tables(notebook);
    blocks.flat_map(|block| align(page, &tables.of(block))).collect()
}

/// Those on the lines of a range; each line is aligned with its whole block.
pub(super) fn aligned_in(page: &Page<'_>, range: Range) -> Vec<TextEdit> {
    // A range that ends before the first letter of a line has nothing of that line.
    let last = if range.end.character == 0 && range.end.line > range.start.line {
        range.end.line - 1
    } else {
        range.end.line
    };
    let is_in = |edit: &TextEdit| (range.start.line..=last).contains(&edit.range.start.line);
    aligned(page).into_iter().filter(is_in).collect()
}

/// Where a key ends and its value begins, and how far from the line's start the key ends.
struct Gap {
    span: Span,
    width: usize,
}

fn align(page: &Page<'_>, table: &Table) -> Vec<TextEdit> {
    let gaps: Vec<Gap> = leaves(table)
        .into_iter()
        .filter_map(|(_, entry)| {
            let span = Span { start: entry.key_span.end, end: entry.value.span.start, ..entry.key_span };
            // There may be nothing but the sign between them; anything else is not ours to move.
            let is_plain = page.text.get(span.range())?.trim_matches([' ', '\t']) == "=";
            let line = page.lines.position(span.start as usize).line as usize;
            let start = page.lines.offset(lsp_types::Position { line: narrow(line), character: 0 });
            let width = page.text.get(start..span.start as usize)?.width();
            is_plain.then_some(Gap { span, width })
        })
        .collect();
    let widest = gaps.iter().map(|gap| gap.width).max().unwrap_or(0);
    let edits = gaps.iter().filter_map(|gap| {
        let new_text = format!("{} = ", " ".repeat(widest - gap.width));
        let is_so = page.text.get(gap.span.range()) == Some(new_text.as_str());
        (!is_so).then(|| TextEdit { range: page.range(gap.span), new_text })
    });
    edits.collect()
}

fn narrow(line: usize) -> u32 {
    u32::try_from(line).unwrap_or(u32::MAX)
}
