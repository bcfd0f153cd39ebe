//! The sort of each word in a notebook, for an editor's colours.

use lsp_types::{SemanticToken, SemanticTokenType, SemanticTokens, SemanticTokensLegend};

use crate::notebook::{Node, Table, Value};
use crate::source::Span;

use super::page::Page;

/// The sort of a word; the numbers are indices into the legend.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
enum Sort {
    BlockWord = 0,
    Argument = 1,
    Key = 2,
    Text = 3,
    Number = 4,
    Figure = 5,
}

/// The sorts, in their order.
pub(super) fn legend() -> SemanticTokensLegend {
    SemanticTokensLegend {
        token_types: vec![
            SemanticTokenType::KEYWORD,
            SemanticTokenType::PARAMETER,
            SemanticTokenType::PROPERTY,
            SemanticTokenType::STRING,
            SemanticTokenType::NUMBER,
            SemanticTokenType::VARIABLE,
        ],
        token_modifiers: Vec::new(),
    }
}

/// The words of a notebook.
pub(super) fn tokens(page: &Page<'_>) -> SemanticTokens {
    let mut words: Vec<(Span, Sort)> = Vec::new();
    if let Some(notebook) = page.notebook() {
        let document = page.book().written(notebook);
        document.head.iter().for_each(|head| of_table(head, &mut words));
        for block in &document.blocks {
            words.push((block.word_span, Sort::BlockWord));
            words.extend(block.arguments.iter().map(|(_, span)| (*span, Sort::Argument)));
            of_table(&block.body, &mut words);
        }
        words.extend(document.mentions.iter().map(|mention| (mention.span, Sort::Figure)));
    }
    words.sort_unstable();
    let (mut line, mut column, mut end) = (0, 0, 0);
    let mut data = Vec::new();
    for (span, sort) in words {
        let range = page.range(span);
        // The parts of a dotted key begin at the same place; a word over several lines is left out.
        if span.start < end || range.start.line != range.end.line || span.start == span.end {
            continue;
        }
        end = span.end;
        let delta_line = range.start.line - line;
        let delta_start = range.start.character - if delta_line == 0 { column } else { 0 };
        (line, column) = (range.start.line, range.start.character);
        let length = range.end.character - range.start.character;
        data.push(SemanticToken {
            delta_line,
            delta_start,
            length,
            token_type: sort as u32,
            token_modifiers_bitset: 0,
        });
    }
    SemanticTokens { result_id: None, data }
}

fn of_table(table: &Table, words: &mut Vec<(Span, Sort)>) {
    for entry in &table.entries {
        match &entry.value.value {
            // A dotted key as a whole is the key of its last part.
            Value::Table(inner)
                if inner.entries.iter().any(|one| one.key_span.start == entry.key_span.start) => {}
            _ => words.push((entry.key_span, Sort::Key)),
        }
        of_value(&entry.value, words);
    }
}

fn of_value(node: &Node, words: &mut Vec<(Span, Sort)>) {
    match &node.value {
        Value::Table(inner) => of_table(inner, words),
        Value::List(all) => all.iter().for_each(|one| of_value(one, words)),
        Value::Text(text) => {
            let is_number =
                text.text.trim_start_matches(['+', '-', '−']).starts_with(|c: char| c.is_ascii_digit());
            words.push((node.span, if is_number { Sort::Number } else { Sort::Text }));
        }
        Value::Integer(_) | Value::Float(_) | Value::Boolean(_) | Value::Date(_) => {
            words.push((node.span, Sort::Number));
        }
    }
}
