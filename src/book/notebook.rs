//! One notebook, typed.

use std::collections::BTreeMap;

use crate::finding::Finding;
use crate::notebook::{Document, Extent, Table, Value};
use crate::quantity::{UnitDefaults, Units};
use crate::source::Span;
use crate::speech::{Message, say};
use crate::vocabulary::blocks::{self, AnyBlock, Fenced, Head};
use crate::vocabulary::{Argument, NotebookKind, Reader, codes};

/// One notebook: its head, and its blocks in the order of the file.
#[derive(Debug)]
pub struct Notebook {
    /// Relative to the book.
    pub path: String,
    /// The name that others use for it: the file's name without `.md`.
    pub name: String,
    pub kind: NotebookKind,
    /// The name that is printed.
    pub title: String,
    /// The units that the notebook sets for itself.
    pub units: Units,
    pub head: Head,
    /// As it was written, without its tables: [`Book::written`](super::Book::written) has those.
    pub document: Document<Extent>,
    /// Blocks that count, in the order of the file.
    pub blocks: Vec<AnyBlock>,
    /// Blocks that stay on the page and out of all computations, each with the reason.
    pub voided: Vec<Voided>,
    /// Whether anything in its blocks could not be read. This is rare, and figures ask it about every missing
    /// part.
    pub has_unread: bool,
}

/// A block that no longer counts.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Voided {
    pub word: String,
    pub span: Span,
    pub why: String,
}

const VOID: &str = "void";

impl Notebook {
    /// All blocks of a type, in the order of the file.
    pub fn all<T: Fenced + 'static>(&self) -> impl DoubleEndedIterator<Item = &T> {
        self.blocks.iter().filter_map(T::of)
    }

    /// The last block of a type: of two, the later one counts.
    pub fn last<T: Fenced + 'static>(&self) -> Option<&T> {
        self.all::<T>().next_back()
    }

    /// Types a document's blocks. The head was read before, since it gives the units and the kind.
    pub(super) fn new(
        path: String,
        kind: NotebookKind,
        head: Head,
        own_units: Units,
        mut document: Document<Table<'_>>,
        units: &UnitDefaults,
        findings: &mut Vec<Finding>,
    ) -> Self {
        let file_name = path.rsplit('/').next().unwrap_or(&path);
        let name = file_name.strip_suffix(".md").unwrap_or(file_name).to_owned();
        let title = head
            .name
            .as_ref()
            .map(|name| name.text.clone())
            .or_else(|| document.title.clone())
            .unwrap_or_else(|| name.clone());
        let mut typed = Vec::with_capacity(document.blocks.len());
        let mut voided = Vec::new();
        for block in &mut document.blocks {
            // Its memory serves the next block.
            let extent = block.body.extent();
            let body = std::mem::replace(&mut block.body, Table::empty(extent));
            // A word that is nearly a block's was reported when the fence was read.
            let Some(spec) = blocks::spec(&block.word) else { continue };
            if !spec.places.contains(&kind) {
                let places = Message::either(spec.places.iter().map(|kind| kind.notebook()));
                findings.push(
                    Finding::new(
                        &codes::MISPLACED,
                        block.word_span,
                        say!(
                            "`{spec}` does not belong in {notebook}",
                            spec = spec.word,
                            notebook = kind.notebook()
                        ),
                    )
                    .help(say!("it belongs in {places}", places)),
                );
                continue;
            }
            if block.is_commented_out {
                continue;
            }
            if let Some(void) = body.entries.iter().find(|entry| entry.key == VOID) {
                let why = match &void.value.value {
                    Value::Text(text) => text.text.to_string(),
                    _ => String::new(),
                };
                if why.trim().is_empty() {
                    findings.push(
                        Finding::new(&codes::WRONG_FORM, void.value.span, say!("`void` does not say why"))
                            .help(say!("write `void = \"why\"`")),
                    );
                }
                voided.push(Voided { word: block.word.to_string(), span: block.span, why });
                continue;
            }
            let mut reader = Reader::new(units, findings);
            let header = reader.header(spec, block);
            if header.argument.is_none()
                && matches!(spec.argument, Argument::End | Argument::Name | Argument::OneOf(_))
            {
                // Without its second word nobody knows what it is about, but its keys are checked.
                let _ = blocks::read(spec, header, &body, &mut reader);
                continue;
            }
            typed.extend(blocks::read(spec, header, &body, &mut reader));
        }
        typed.shrink_to_fit();
        let has_unread = typed.iter().any(|block| block.header().unread.rejections().next().is_some());
        let document = document.outline();
        let notebook = Self {
            path,
            name,
            kind,
            title,
            units: own_units,
            head,
            document,
            blocks: typed,
            voided,
            has_unread,
        };
        report_repeats(&notebook, findings);
        notebook
    }
}

/// Hardware blocks come once, or once for each second word.
fn report_repeats(notebook: &Notebook, findings: &mut Vec<Finding>) {
    if notebook.kind == NotebookKind::Day {
        return;
    }
    let mut first_of: BTreeMap<(&str, &str), Span> = BTreeMap::new();
    for block in &notebook.blocks {
        let header = block.header();
        let repeats = matches!(block, AnyBlock::Valving(_) | AnyBlock::Expect(_));
        let first = *first_of.entry((header.word, header.argument())).or_insert(header.fence);
        if !repeats && first != header.fence {
            findings.push(
                Finding::new(
                    &codes::REPEATED,
                    header.fence,
                    say!("`{header}` is here a second time", header = header.word),
                )
                .see(first, say!("first here; only the later counts"))
                .help(say!("bring them together, or write `void = \"why\"` into one")),
            );
        }
    }
}
