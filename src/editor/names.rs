//! Names in a book that mean something elsewhere in it: machines, riders, tracks, instruments, plans.

use std::collections::BTreeMap;
use std::sync::Arc;

use crate::book::{Book, Notebook};
use crate::notebook::{Entry, Node, Table, Value, parse_table};
use crate::source::{BOOK_FILE, Span};
use crate::vocabulary::blocks::{
    BookHead, Change, Conditions, Head, Pressures, Sag, Scales, Settings as SettingsBlock,
};
use crate::vocabulary::{NotebookKind, Typed};

/// What a name belongs to.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub(super) enum Sort {
    Machine,
    Rider,
    Track,
    Instrument,
    /// A named plan of a machine.
    Plan,
}

/// A place where a name is written.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Use {
    pub sort: Sort,
    pub name: String,
    /// The name with its quotes, where it has any.
    pub span: Span,
    pub is_quoted: bool,
}

impl Sort {
    /// What the value of a key names, in a table with this word.
    pub fn of_key(word: &str, key: &str) -> Option<Self> {
        let instruments: &[&str] = match word {
            _ if word == Sag::SPEC.word => &[Sag::tape],
            _ if word == Pressures::SPEC.word => {
                &[Pressures::gauge, Pressures::thermometer, Pressures::altimeter]
            }
            _ if word == Conditions::SPEC.word => &[
                Conditions::thermometer,
                Conditions::barometer,
                Conditions::hygrometer,
                Conditions::altimeter,
            ],
            _ if word == Scales::SPEC.word => &[Scales::scale],
            _ if word == BookHead::SPEC.word => &[
                BookHead::tape,
                BookHead::gauge,
                BookHead::scale,
                BookHead::thermometer,
                BookHead::barometer,
                BookHead::hygrometer,
                BookHead::altimeter,
            ],
            _ => &[],
        };
        let plans =
            [(SettingsBlock::SPEC.word, SettingsBlock::use_plan), (Change::SPEC.word, Change::use_plan)];
        let links = [
            (Head::SPEC.word, Head::machine, Self::Machine),
            (Head::SPEC.word, Head::rider, Self::Rider),
            (Head::SPEC.word, Head::track, Self::Track),
            (BookHead::SPEC.word, BookHead::machine, Self::Machine),
            (BookHead::SPEC.word, BookHead::rider, Self::Rider),
        ];
        let link = links.into_iter().find(|(of, name, _)| *of == word && *name == key).map(|(.., sort)| sort);
        let instrument = instruments.contains(&key).then_some(Self::Instrument);
        link.or(instrument).or_else(|| plans.contains(&(word, key)).then_some(Self::Plan))
    }

    /// What the name of a notebook of a kind belongs to.
    pub fn of_kind(kind: NotebookKind) -> Option<Self> {
        match kind {
            NotebookKind::Machine => Some(Self::Machine),
            NotebookKind::Rider => Some(Self::Rider),
            NotebookKind::Track => Some(Self::Track),
            NotebookKind::Day => None,
        }
    }

    /// The notebooks with such names.
    pub fn notebooks(self, book: &Book) -> Option<&BTreeMap<String, Arc<Notebook>>> {
        match self {
            Self::Machine => Some(&book.machines),
            Self::Rider => Some(&book.riders),
            Self::Track => Some(&book.tracks),
            Self::Instrument | Self::Plan => None,
        }
    }
}

/// The keys of a table with their values, dotted; an inline table is a value.
pub(super) fn leaves<'t>(table: &'t Table<'_>) -> Vec<(String, &'t Entry<'t>)> {
    let mut all = Vec::new();
    gather(table, "", None, &mut all);
    all
}

fn gather<'t>(
    table: &'t Table<'_>,
    before: &str,
    start: Option<u32>,
    all: &mut Vec<(String, &'t Entry<'t>)>,
) {
    for entry in &table.entries {
        let name = format!("{before}{}", entry.key);
        // The parts of a dotted key begin at the same place.
        let begins = start.unwrap_or(entry.key_span.start);
        match &entry.value.value {
            Value::Table(inner) if inner.entries.iter().any(|one| one.key_span.start == begins) => {
                gather(inner, &format!("{name}."), Some(begins), all);
            }
            _ => all.push((name, entry)),
        }
    }
}

/// All places in a notebook that name something.
pub(super) fn uses_in(book: &Book, notebook: &Notebook) -> Vec<Use> {
    let document = book.written(notebook);
    let mut all = Vec::new();
    if let Some(head) = &document.head {
        all.extend(uses_in_table(Head::SPEC.word, head));
    }
    for block in &document.blocks {
        all.extend(uses_in_table(&block.word, &block.body));
        if let Some((name, span)) = block.arguments.first()
            && block.word == SettingsBlock::SPEC.word
        {
            let sort = match notebook.kind {
                NotebookKind::Rider => Sort::Machine,
                _ => Sort::Plan,
            };
            all.push(Use { sort, name: name.clone(), span: *span, is_quoted: false });
        }
    }
    all
}

fn uses_in_table(word: &str, table: &Table) -> Vec<Use> {
    leaves(table).into_iter().filter_map(|(key, entry)| named(word, &key, &entry.value)).collect()
}

fn named(word: &str, key: &str, value: &Node) -> Option<Use> {
    let sort = Sort::of_key(word, key)?;
    let Value::Text(text) = &value.value else { return None };
    Some(Use { sort, name: text.text.to_string(), span: value.span, is_quoted: true })
}

/// All places in `book.toml` that name something.
pub(super) fn uses_in_about(book: &Book) -> Vec<Use> {
    let Some(file) = book.sources.find(BOOK_FILE) else { return Vec::new() };
    let (table, _) = parse_table(file, book.sources.whole(file));
    // Sections are not dotted keys.
    let mut all = Vec::new();
    for entry in &table.entries {
        let Value::Table(section) = &entry.value.value else { continue };
        for (key, inner) in leaves(section) {
            all.extend(named(BookHead::SPEC.word, &format!("{}.{key}", entry.key), &inner.value));
        }
    }
    all
}

/// All places in the book that name something, in the order of its notebooks.
pub(super) fn uses(book: &Book) -> Vec<Use> {
    let mut all = uses_in_about(book);
    all.extend(book.notebooks().flat_map(|notebook| uses_in(book, notebook)));
    all
}
