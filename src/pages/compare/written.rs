//! Machines', riders' and tracks' notebooks, entry by entry.

use std::collections::BTreeMap;

use serde::Serialize;

use crate::notebook::{Table, Value};
use crate::source::Sources;
use crate::vocabulary::NotebookKind;

use super::Side;

/// An entry that differs, as it is written.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct EntryChange {
    /// With its second word; empty for the head.
    pub block: String,
    pub key: String,
    pub a: Option<String>,
    pub b: Option<String>,
}

/// A block with its number among those with the same words, and a key.
type Name = (String, usize, String);

/// Entries that differ between two notebooks of one kind; none for days, whose results are compared instead.
pub(super) fn written(a: &Side<'_>, b: &Side<'_>) -> Vec<EntryChange> {
    let (first, second) = (a.notebook(), b.notebook());
    if first.kind != second.kind || first.kind == NotebookKind::Day {
        return Vec::new();
    }
    let (mut order, mut before, mut after) = (Vec::new(), BTreeMap::new(), BTreeMap::new());
    read(a, &mut order, &mut before);
    read(b, &mut order, &mut after);
    let lines = order.into_iter().map(|name| EntryChange {
        a: before.get(&name).cloned(),
        b: after.get(&name).cloned(),
        block: name.0,
        key: name.2,
    });
    lines.filter(|line| line.a != line.b).collect()
}

fn read(side: &Side<'_>, order: &mut Vec<Name>, into: &mut BTreeMap<Name, String>) {
    let document = side.book().written(side.notebook());
    let sources = &side.book().sources;
    let mut counts: BTreeMap<String, usize> = BTreeMap::new();
    let mut all: Vec<(Name, String)> = Vec::new();
    if let Some(table) = &document.head {
        entries(table, ("", 0), "", sources, &mut all);
    }
    for block in &document.blocks {
        let words = block.label();
        let count = counts.entry(words.clone()).or_default();
        *count += 1;
        entries(&block.body, (&words, *count), "", sources, &mut all);
    }
    for (name, text) in all {
        if !order.contains(&name) {
            order.push(name.clone());
        }
        into.insert(name, text);
    }
}

fn entries(
    table: &Table,
    block: (&str, usize),
    prefix: &str,
    sources: &Sources,
    into: &mut Vec<(Name, String)>,
) {
    for entry in &table.entries {
        let key = format!("{prefix}{}", entry.key);
        match &entry.value.value {
            Value::Table(inner) => entries(inner, block, &format!("{key}."), sources, into),
            _ => {
                let text = sources.text(entry.value.span).trim_matches('"').to_owned();
                into.push(((block.0.to_owned(), block.1, key), text));
            }
        }
    }
}
