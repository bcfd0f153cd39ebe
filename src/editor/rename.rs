//! Where a machine, a rider, a track or an instrument is named, and a new name for it everywhere.

use std::collections::BTreeMap;

use lsp_types::{
    DocumentChangeOperation, DocumentChanges, Location, OneOf, OptionalVersionedTextDocumentIdentifier,
    Position, PrepareRenameResponse, RenameFile, ResourceOp, TextDocumentEdit, TextEdit, WorkspaceEdit,
};

use crate::source::{FileId, Span};
use crate::vocabulary::names::is_name;

use super::definition::name_at;
use super::names::{Sort, uses};
use super::page::Page;

/// What is named at a position, and the place that names it.
struct Target {
    sort: Sort,
    name: String,
    span: Span,
}

/// The name at a position; in the head of a machine's, a rider's or a track's own notebook, that notebook's
/// name.
fn target(page: &Page<'_>, position: Position) -> Option<Target> {
    let offset = page.offset(position);
    if let Some(named) = name_at(page, offset) {
        return Some(Target { sort: named.sort, name: named.name, span: named.span });
    }
    let notebook = page.notebook()?;
    let sort = Sort::of_kind(notebook.kind)?;
    let head = notebook.document.head.as_ref()?.span;
    let span = notebook.head.kind.as_ref()?.span;
    let is_in_head = head.start <= offset && offset <= head.end;
    is_in_head.then(|| Target { sort, name: notebook.name.clone(), span })
}

/// Everywhere that the thing named at a position is named.
pub(super) fn references(page: &Page<'_>, position: Position, with_its_own: bool) -> Vec<Location> {
    let Some(target) = target(page, position).filter(|target| target.sort != Sort::Plan) else {
        return Vec::new();
    };
    let book = page.book();
    let own = match target.sort.notebooks(book) {
        Some(notebooks) => notebooks.get(&target.name).map(|notebook| Span::top(notebook.document.file)),
        None => book.instrument(&target.name).map(|instrument| instrument.name_span),
    };
    let spoken = uses(book).into_iter().filter(|one| one.sort == target.sort && one.name == target.name);
    let spans = own.filter(|_| with_its_own).into_iter().chain(spoken.map(|one| one.span));
    spans.filter_map(|span| page.location(span)).collect()
}

/// Whether what is at a position can be renamed, and its present name.
pub(super) fn prepare(page: &Page<'_>, position: Position) -> Option<PrepareRenameResponse> {
    let target = target(page, position)?;
    target.sort.notebooks(page.book())?.get(&target.name)?;
    let range = page.range(target.span);
    Some(PrepareRenameResponse::RangeWithPlaceholder { range, placeholder: target.name })
}

/// Renames it: the notebook's file, and wherever the book names it.
///
/// # Errors
///
/// Where there is nothing to rename, or the name is impossible; in words.
pub(super) fn rename(page: &Page<'_>, position: Position, name: &str) -> Result<WorkspaceEdit, String> {
    let nothing = || "a machine, a rider or a track can have another name; there is none here".to_owned();
    let target = target(page, position).ok_or_else(nothing)?;
    let book = page.book();
    let notebooks = target.sort.notebooks(book).ok_or_else(nothing)?;
    let notebook = notebooks.get(&target.name).ok_or_else(nothing)?;
    if !is_name(name) {
        return Err("a name has letters, digits, `-` and `_`".to_owned());
    }
    if notebooks.contains_key(name) {
        return Err(format!("the book already has `{name}`"));
    }
    let (folder, _) = notebook.path.rsplit_once('/').map_or(("", ""), |(folder, file)| (folder, file));
    let path = if folder.is_empty() { format!("{name}.md") } else { format!("{folder}/{name}.md") };
    if book.sources.find(&path).is_some() {
        return Err(format!("there is already a {path}"));
    }
    let mut edits: BTreeMap<FileId, Vec<OneOf<TextEdit, _>>> = BTreeMap::new();
    for one in uses(book).into_iter().filter(|one| one.sort == target.sort && one.name == target.name) {
        let Some(at) = page.location(one.span) else { continue };
        let new_text = if one.is_quoted { format!("\"{name}\"") } else { name.to_owned() };
        edits.entry(one.span.file).or_default().push(OneOf::Left(TextEdit { range: at.range, new_text }));
    }
    let texts = edits.into_iter().filter_map(|(file, edits)| {
        let uri = (page.uri)(book.sources.path(file))?;
        let text_document = OptionalVersionedTextDocumentIdentifier { uri, version: None };
        Some(DocumentChangeOperation::Edit(TextDocumentEdit { text_document, edits }))
    });
    let mut operations: Vec<DocumentChangeOperation> = texts.collect();
    let addresses = (page.uri)(&notebook.path).zip((page.uri)(&path));
    let (old_uri, new_uri) = addresses.ok_or_else(|| "the file has no address".to_owned())?;
    operations.push(DocumentChangeOperation::Op(ResourceOp::Rename(RenameFile {
        old_uri,
        new_uri,
        options: None,
        annotation_id: None,
    })));
    Ok(WorkspaceEdit {
        document_changes: Some(DocumentChanges::Operations(operations)),
        ..WorkspaceEdit::default()
    })
}
