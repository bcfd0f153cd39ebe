//! The contents of a notebook: its head, and its blocks with their keys.

use lsp_types::{DocumentSymbol, SymbolKind};

use crate::notebook::Table;
use crate::source::Span;

use super::names::leaves;
use super::page::Page;

/// The blocks of a notebook, in its order.
pub(super) fn symbols(page: &Page<'_>) -> Vec<DocumentSymbol> {
    let Some(notebook) = page.notebook() else { return Vec::new() };
    let document = page.book().written(notebook);
    let head = document.head.as_ref().map(|head| {
        let name = format!("{} {}", notebook.kind.word(), notebook.title);
        symbol(page, name, SymbolKind::MODULE, head.span, head.span, keys(page, head))
    });
    let blocks = document.blocks.iter().map(|block| {
        symbol(page, block.label(), SymbolKind::STRUCT, block.span, block.fence, keys(page, &block.body))
    });
    head.into_iter().chain(blocks).collect()
}

fn keys(page: &Page<'_>, table: &Table) -> Vec<DocumentSymbol> {
    let leaves = leaves(table).into_iter();
    let symbols = leaves.map(|(name, entry)| {
        let whole = Span { end: entry.value.span.end.max(entry.key_span.end), ..entry.key_span };
        symbol(page, name, SymbolKind::PROPERTY, whole, entry.key_span, Vec::new())
    });
    symbols.collect()
}

#[allow(deprecated, reason = "the protocol's type has a field that is no longer used and has to be given")]
fn symbol(
    page: &Page<'_>,
    name: String,
    kind: SymbolKind,
    whole: Span,
    named: Span,
    children: Vec<DocumentSymbol>,
) -> DocumentSymbol {
    DocumentSymbol {
        name,
        detail: None,
        kind,
        tags: None,
        deprecated: None,
        range: page.range(whole),
        selection_range: page.range(named),
        children: Some(children).filter(|children| !children.is_empty()),
    }
}
