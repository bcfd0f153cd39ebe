//! What if, as a terminal shows it.

use std::fmt::Write;

use super::super::columns::{columns, wrapped};
use super::super::compare::Said;
use super::{Cell, Set, WhatIf};

/// A terminal's width.
const LINE: usize = 80;
const NOTHING: &str = "–";

/// The page for people: every set with its settings, the figures of all of them side by side, then what is to be thought of.
pub fn text(page: &WhatIf) -> String {
    let mut text = format!("{}\n{}\n", page.notebook, page.line);
    if let Some(stop) = &page.stop {
        let _ = writeln!(text);
        paragraph(&mut text, "", stop);
        return text;
    }
    for set in &page.sets {
        settings(&mut text, set);
    }
    figures(&mut text, page);
    for set in &page.sets {
        remarks(&mut text, set, page.sets.len() > 1);
    }
    let mut assumed: Vec<&str> = Vec::new();
    for one in page.sets.iter().flat_map(|set| &set.assumed) {
        if !assumed.contains(&one.as_str()) {
            assumed.push(one);
        }
    }
    if !assumed.is_empty() {
        text.push('\n');
        paragraph(&mut text, "", &format!("Taken for granted: {}.", assumed.join("; ")));
    }
    if !page.cautions.is_empty() {
        text.push('\n');
        paragraph(&mut text, "", &page.cautions.join(" "));
    }
    text
}

fn settings(text: &mut String, set: &Set) {
    text.push('\n');
    let changes = if set.changes.is_empty() { "as it stands".to_owned() } else { set.changes.join("; ") };
    paragraph(text, "", &format!("{}: {changes}", set.name));
    if let Some(solved) = &set.solved {
        paragraph(text, "   ", solved);
    }
    for limit in &set.limits {
        paragraph(text, "   ", &format!("✗ {limit}"));
    }
    let rows: Vec<Vec<String>> = set
        .settings
        .iter()
        .map(|line| {
            let change = line.change.clone().unwrap_or_default();
            vec![line.label.clone(), said(line.a.as_ref()), said(line.b.as_ref()), change]
        })
        .collect();
    if rows.is_empty() {
        text.push_str("   nothing changes\n");
    } else {
        text.push_str(&columns(&["", "now", &set.name, "change"], &rows));
    }
}

fn figures(text: &mut String, page: &WhatIf) {
    if page.rows.is_empty() {
        return;
    }
    text.push_str("\nBy themselves\n");
    let single = page.sets.len() == 1;
    let mut heads = vec!["", "now"];
    for set in &page.sets {
        heads.push(&set.name);
        if single {
            heads.push("change");
        }
    }
    let rows: Vec<Vec<String>> = page
        .rows
        .iter()
        .map(|row| {
            let mut line = vec![row.label.clone(), said(row.now.as_ref())];
            for cell in &row.cells {
                match (cell, single) {
                    (Some(Cell { then, change }), true) => {
                        line.push(said(then.as_ref()));
                        line.push(change.clone().unwrap_or_default());
                    }
                    // Side by side there is room for the change alone.
                    (Some(Cell { change: Some(change), .. }), false) => line.push(change.clone()),
                    (Some(Cell { then, .. }), false) => line.push(said(then.as_ref())),
                    (None, _) => line.push(NOTHING.to_owned()),
                }
            }
            line
        })
        .collect();
    text.push_str(&columns(&heads, &rows));
    if let Some(also) = &page.also {
        paragraph(text, "  ", &format!("moves too (`--all`): {also}"));
    }
}

fn remarks(text: &mut String, set: &Set, is_named: bool) {
    let name = if is_named { format!("{}: ", set.name) } else { String::new() };
    for band in &set.bands {
        paragraph(text, "  ", &format!("{name}{}", band.told));
    }
    if let Some(unmodelled) = &set.unmodelled {
        paragraph(text, "  ", &format!("{name}{unmodelled}"));
    }
    if let Some(within) = &set.within {
        paragraph(text, "  ", &format!("{name}less than can be told: {within}"));
    }
}

fn said(said: Option<&Said>) -> String {
    said.map_or_else(|| NOTHING.to_owned(), |said| said.told.clone())
}

fn paragraph(text: &mut String, indent: &str, words: &str) {
    for line in wrapped(words, LINE - indent.chars().count()) {
        let _ = writeln!(text, "{indent}{line}");
    }
}
