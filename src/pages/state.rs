//! Settings in force at a place of the diary; and one notebook by itself, line by line, for `git diff`.

use std::fmt::Write;

use serde::Serialize;

use crate::book::{self, Book};
use crate::notebook::{Block, Document, Entry, Node, Table, Value};
use crate::season::{Held, How, Season, standard_settings};
use crate::source::{Sources, limits};
use crate::vocabulary::blocks::{self, Head};
use crate::vocabulary::{NotebookKind, Typed, settings};

use super::blob_id;
use super::figures::At;
use super::say::Say;

/// The settings in force at one place.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct InForce {
    /// Relative to the book.
    pub notebook: String,
    /// The line that was asked for; `None` for the notebook's end.
    pub line: Option<u32>,
    /// In the order of the sheet.
    pub settings: Vec<SettingLine>,
}

/// One setting and the place that set it.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct SettingLine {
    /// Its name in notebooks.
    pub id: String,
    /// In the units of the book or the rider.
    pub value: String,
    /// What kind of words set it.
    pub by: &'static str,
    pub at: At,
}

/// What holds in a day's notebook: at a line, or at its end. The day by its place in the book; `None` where
/// there is no such day or line.
pub fn of_day(book: &Book, season: &Season, day: usize, line: Option<u32>) -> Option<InForce> {
    let (this, replay) = (book.days.get(day)?, season.days.get(day)?);
    let state = match line {
        Some(line) => replay.at(book.sources.line(this.notebook.document.file, line)?.end),
        None => replay.end(),
    };
    let units = book.units_for(this.rider.as_deref());
    let settings = state.settings().into_iter().map(|(id, held)| setting(book, Say::new(&units), id, held));
    Some(InForce { notebook: this.notebook.path.clone(), line, settings: settings.collect() })
}

/// The standard setting of a machine; `None` where the book has no such machine.
pub fn of_machine(book: &Book, machine: &str) -> Option<InForce> {
    let machine = book.machines.get(machine)?;
    let (standard, _) = standard_settings(machine);
    let mut held: Vec<(&String, &Held)> = standard.iter().collect();
    held.sort_by_key(|(id, _)| (settings::order(id), *id));
    let say = Say::new(&book.about.units);
    let settings = held.into_iter().map(|(id, held)| setting(book, say, id, held));
    Some(InForce { notebook: machine.path.clone(), line: None, settings: settings.collect() })
}

fn setting(book: &Book, say: Say<'_>, id: &str, held: &Held) -> SettingLine {
    let said = say.setting(&held.value);
    let value = match said.unit {
        Some(unit) => format!("{} {unit}", said.value),
        None => said.value,
    };
    SettingLine { id: id.to_owned(), value, by: by(held.how), at: At::of(&book.sources, held.span) }
}

fn by(how: How) -> &'static str {
    match how {
        How::Hardware => "hardware",
        How::Standard => "standard setting",
        How::Rider => "rider's setting",
        How::Settings => "settings",
        How::Plan => "plan",
        How::Change => "change",
        How::Back => "back",
    }
}

/// The settings in force for people.
pub fn text(in_force: &InForce) -> String {
    let width = |of: &dyn Fn(&SettingLine) -> &str| {
        in_force.settings.iter().map(|line| of(line).chars().count()).max().unwrap_or(0)
    };
    let (ids, values, bys) = (width(&|line| &line.id), width(&|line| &line.value), width(&|line| line.by));
    let mut text = match in_force.line {
        Some(line) => format!("{}, line {line}\n", in_force.notebook),
        None => format!("{}\n", in_force.notebook),
    };
    for SettingLine { id, value, by, at } in &in_force.settings {
        let place = format!("{}:{}:{}", at.file, at.line, at.column);
        let _ = writeln!(text, "  {id:<ids$}  {value:<values$}  {by:<bys$}  {place}");
    }
    text.push('\n');
    text
}

/// One notebook by itself: everything that its head and blocks say, one line a value, so that two versions can
/// be compared line by line. Of the prose there is one line, which changes when the prose does.
///
/// A function of the bytes alone. `None` for what is no notebook: no UTF-8, no head, no kind that is known, or
/// larger than any notebook.
pub fn alone(bytes: &[u8]) -> Option<String> {
    if bytes.len() as u64 > limits::TEXT_BYTES {
        return None;
    }
    let text = std::str::from_utf8(bytes).ok()?;
    let mut sources = Sources::new();
    let file = sources.set(String::new(), text);
    let document = book::document(file, text);
    let kind = kind(document.head.as_ref()?)?;
    Some(Alone { text }.lines(&document, kind))
}

fn kind(head: &Table) -> Option<NotebookKind> {
    let kind = head.entries.iter().find(|entry| entry.key == Head::kind)?;
    match &kind.value.value {
        Value::Text(text) => NotebookKind::from_word(&text.text),
        _ => None,
    }
}

/// A notebook's text being told line by line.
struct Alone<'t> {
    text: &'t str,
}

impl Alone<'_> {
    fn lines(&self, document: &Document, kind: NotebookKind) -> String {
        let mut out = String::new();
        if let Some(head) = &document.head {
            self.table(kind.word(), head, &Order::of_head(), &mut out);
        }
        for block in &document.blocks {
            out.push('\n');
            self.block(block, &mut out);
        }
        let prose = document.prose_text(self.text);
        let words = prose.split_whitespace().count();
        // Only what the words are: how the lines are broken is nobody's change.
        let plain: Vec<&str> = prose.split_whitespace().collect();
        let id = blob_id(plain.join(" ").as_bytes());
        let _ = writeln!(out, "\nprose: words = {words}, id = {}", id.get(..12).unwrap_or_default());
        out
    }

    fn block(&self, block: &Block, out: &mut String) {
        let words = std::iter::once(block.word.as_str());
        let words = words.chain(block.arguments.iter().map(|(word, _)| word.as_str()));
        let label = words.collect::<Vec<_>>().join(" ");
        let before = out.len();
        self.table(&label, &block.body, &Order::of_block(&block.word), out);
        if out.len() == before {
            let _ = writeln!(out, "{label}:");
        }
    }

    /// A table's values, those that the vocabulary lists first and in its order, so that moving a line within
    /// a block is no change. What cannot be read is told as it is written.
    fn table(&self, label: &str, table: &Table, order: &Order, out: &mut String) {
        if table.broken {
            let lines = self.text.get(table.span.range()).unwrap_or_default().lines();
            for line in lines.map(str::trim).filter(|line| !line.is_empty()) {
                let _ = writeln!(out, "{label}: {line}");
            }
            return;
        }
        let mut leaves = Vec::new();
        flatten("", &table.entries, &mut leaves);
        leaves.sort_by_cached_key(|(key, _)| order.place(key));
        for (key, node) in leaves {
            let _ = writeln!(out, "{label}: {key} = {}", value(node));
        }
    }
}

/// A value on one line.
fn value(node: &Node) -> String {
    match &node.value {
        Value::Text(text) => text.text.split_whitespace().collect::<Vec<_>>().join(" "),
        Value::Integer(number) => number.to_string(),
        Value::Float(number) => number.to_string(),
        Value::Boolean(truth) => truth.to_string(),
        Value::Date(date) => date.clone(),
        Value::List(items) => {
            let items: Vec<String> = items.iter().map(value).collect();
            format!("[{}]", items.join(", "))
        }
        Value::Table(table) => {
            let entries = table.entries.iter();
            let entries: Vec<String> =
                entries.map(|entry| format!("{} = {}", entry.key, value(&entry.value))).collect();
            format!("{{ {} }}", entries.join(", "))
        }
    }
}

/// The values of a table with their dotted keys.
fn flatten<'n>(before: &str, entries: &'n [Entry], out: &mut Vec<(String, &'n Node)>) {
    for entry in entries {
        let key = if before.is_empty() { entry.key.clone() } else { format!("{before}.{}", entry.key) };
        match &entry.value.value {
            Value::Table(table) if !table.entries.is_empty() => flatten(&key, &table.entries, out),
            _ => out.push((key, &entry.value)),
        }
    }
}

/// The order of a block's keys.
struct Order {
    listed: Vec<&'static str>,
}

impl Order {
    fn of_block(word: &str) -> Self {
        let keys = blocks::spec(word).into_iter().flat_map(|spec| spec.keys);
        Self { listed: keys.map(|key| key.name).collect() }
    }

    fn of_head() -> Self {
        Self { listed: Head::SPEC.keys.iter().map(|key| key.name).collect() }
    }

    /// Keys that are listed, then settings as on a sheet, then the rest by name.
    fn place(&self, key: &str) -> (usize, usize, String) {
        let listed = self.listed.iter().position(|known| *known == key).unwrap_or(self.listed.len());
        (listed, settings::order(key), key.to_owned())
    }
}
