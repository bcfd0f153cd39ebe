//! The order of a file's text, in which it is read aloud and copied: the order of the page's own tree.

use loambook::document::tree::{Block, Cell, Document, plain_text};

use super::others;
use super::tools;
use super::*;

/// What may come between two texts of a page: the names of a chart's axes, a foot and a repeated head.
const BETWEEN: usize = 400;

/// A page's texts, one at a time, in their order.
fn said(blocks: &[Block], into: &mut Vec<String>) {
    let cells =
        |cells: &[Cell], into: &mut Vec<String>| into.extend(cells.iter().map(|cell| plain_text(cell)));
    for block in blocks {
        match block {
            Block::Head(head) => {
                into.push(head.title.clone());
                into.extend(head.subtitle.clone());
                into.extend(head.fields.iter().flat_map(|field| [field.label.clone(), field.value.clone()]));
            }
            // Those of the sixth, where columns are set below each other.
            Block::Heading { level, text } if *level < 6 => into.push(plain_text(text)),
            Block::Paragraph(text) => into.push(plain_text(text)),
            Block::List { items, .. } => items.iter().for_each(|item| said(item, into)),
            Block::Checklist(items) => into.extend(items.iter().map(|item| plain_text(item))),
            Block::Table(table) => {
                cells(&table.head, into);
                table.rows.iter().for_each(|row| cells(row, into));
            }
            Block::Chart { chart, .. } => into.push(chart.title.clone()),
            Block::Columns(columns) => columns.iter().for_each(|column| said(&column.blocks, into)),
            Block::Quote(inner) | Block::Cautions(inner) => said(inner, into),
            _ => {}
        }
    }
}

fn without_spaces(text: &str) -> String {
    text.split_whitespace().collect()
}

/// The first text that does not come behind the one before it.
fn out_of_order(document: &Document, printed: &Printed) -> Option<String> {
    let whole = without_spaces(&text(printed));
    let mut all = Vec::new();
    said(&document.blocks, &mut all);
    let all: Vec<String> = all.iter().map(|text| without_spaces(text)).collect();
    assert!(all.iter().filter(|text| !text.is_empty()).count() > 1, "{}", document.title);
    let mut rest = whole.as_str();
    for text in all {
        match rest.find(&text) {
            Some(at) if at <= BETWEEN => rest = &rest[at + text.len()..],
            at => {
                return Some(format!(
                    "{text:?} at {at:?} of {:?}",
                    rest.chars().take(120).collect::<String>()
                ));
            }
        }
    }
    None
}

fn reads_in_order(documents: Vec<(String, Document)>) {
    for (name, document) in documents {
        let printed = others::printed(&document, Paper::A4);
        let fault = out_of_order(&document, &printed);
        assert!(fault.is_none(), "{name}: {}", fault.unwrap_or_default());
    }
}

#[test]
fn pages_of_the_tools_are_read_aloud_as_they_are_written() {
    reads_in_order(tools::documents(fullest()));
    reads_in_order(tools::documents(emptiest()));
}

#[test]
fn season_comparisons_and_rosters_are_read_aloud_as_they_are_written() {
    let mut all = others::documents(&demo());
    all.retain(|(name, _)| name == "season" || name.contains(" against ") || name.starts_with("roster"));
    assert!(all.len() > 30);
    reads_in_order(all);
}
