//! Edits that mend what was found, where a finding has one.

use std::collections::HashMap;

use lsp_types::{CodeAction, CodeActionKind, Range, TextEdit, WorkspaceEdit};

use crate::finding::Finding;
use crate::source::Span;

use super::findings;
use super::page::Page;

/// The edits for the findings that a range touches.
pub(super) fn fixes(page: &Page<'_>, all: &[Finding], range: Range) -> Vec<CodeAction> {
    let (start, end) = (page.offset(range.start), page.offset(range.end));
    let is_touched = |span: Span| span.file == page.file && span.start <= end && start <= span.end;
    let touched = all.iter().filter(|finding| is_touched(finding.span));
    let mut actions = Vec::new();
    for finding in touched {
        let diagnostics =
            findings::diagnostics(page.compiled, std::slice::from_ref(finding), |path| (page.uri)(path));
        let edits: Vec<_> =
            finding.remedies.iter().filter_map(|remedy| Some((remedy, remedy.edit.as_ref()?))).collect();
        for (remedy, edit) in &edits {
            let Some(at) = page.location(edit.span) else { continue };
            let change = TextEdit { range: at.range, new_text: edit.replacement.clone() };
            // An address has parts that can change; nobody changes a key of this map.
            #[allow(clippy::mutable_key_type)]
            let changes = HashMap::from([(at.uri, vec![change])]);
            actions.push(CodeAction {
                title: page.compiled.book.about.units.say(&remedy.text),
                kind: Some(CodeActionKind::QUICKFIX),
                diagnostics: Some(diagnostics.clone()),
                edit: Some(WorkspaceEdit { changes: Some(changes), ..WorkspaceEdit::default() }),
                // Of several, only the rider knows which was meant.
                is_preferred: Some(edits.len() == 1),
                ..CodeAction::default()
            });
        }
    }
    actions
}
