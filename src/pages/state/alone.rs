//! One notebook by itself, line by line, for `git diff`.

use std::fmt::Write;

use crate::book;
use crate::notebook::{Block, Document, Entry, Node, Table, Value};
use crate::source::{Sources, Span, limits};
use crate::vocabulary::blocks::{self, Head};
use crate::vocabulary::{NotebookKind, Setting, Typed};

/// One notebook by itself: everything in its head and blocks, one line a value, with the comments behind them;
/// and the prose between, one line a paragraph. So two versions can be compared line by line.
///
/// It depends on the bytes alone. `None` for what is no notebook: not UTF-8, without a head or a known kind, or
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

/// A notebook's text, being written line by line.
struct Alone<'t> {
    text: &'t str,
}

/// A part of a notebook behind its head.
enum Part<'d> {
    Block(&'d Block<Table<'d>>),
    Prose(Span),
}

impl Alone<'_> {
    fn lines(&self, document: &Document<Table<'_>>, kind: NotebookKind) -> String {
        let mut out = String::new();
        if let Some(head) = &document.head {
            self.table(kind.word(), head, &Order::of_head(), &mut out);
        }
        let blocks = document.blocks.iter().map(|block| (block.span.start, Part::Block(block)));
        let prose = document.prose.iter().map(|span| (span.start, Part::Prose(*span)));
        let mut parts: Vec<(u32, Part<'_>)> = blocks.chain(prose).collect();
        parts.sort_by_key(|(start, _)| *start);
        for (_, part) in parts {
            match part {
                Part::Block(block) => {
                    out.push('\n');
                    self.block(block, &mut out);
                }
                Part::Prose(span) => self.prose(span, &mut out),
            }
        }
        out
    }

    /// Paragraphs, each on one line: where lines are broken is no change.
    fn prose(&self, span: Span, out: &mut String) {
        let text = self.text.get(span.range()).unwrap_or_default();
        let lines: Vec<&str> = text.lines().map(str::trim).collect();
        for paragraph in lines.split(|line| line.is_empty()).filter(|lines| !lines.is_empty()) {
            let _ = writeln!(out, "\nprose: {}", one_line(&paragraph.join(" ")));
        }
    }

    fn block(&self, block: &Block<Table<'_>>, out: &mut String) {
        let label = block.label();
        let before = out.len();
        self.table(&label, &block.body, &Order::of_block(&block.word), out);
        if out.len() == before {
            let _ = writeln!(out, "{label}:");
        }
    }

    /// A table's values, those in the vocabulary first and in its order, so that moving a line within a block is
    /// no change; then the comments on lines of their own. What cannot be read is shown as written.
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
        let (behind, own): (Vec<_>, Vec<_>) = self
            .comments(table)
            .into_iter()
            .map(|at| (self.leaf(&leaves, at), at))
            .partition(|it| it.0.is_some());
        let mut lines: Vec<(&str, String)> = leaves
            .iter()
            .enumerate()
            .map(|(index, (key, node))| {
                let comments = behind.iter().filter(|(leaf, _)| *leaf == Some(index));
                let comments: String = comments.map(|(_, at)| format!(" {}", self.comment(*at))).collect();
                (key.as_str(), format!("{key} = {}{comments}", value(node)))
            })
            .collect();
        lines.sort_by_cached_key(|(key, _)| order.place(key));
        for line in
            lines.into_iter().map(|(_, line)| line).chain(own.into_iter().map(|(_, at)| self.comment(at)))
        {
            let _ = writeln!(out, "{label}: {line}");
        }
    }

    /// Where comments begin: at a `#` that is in no key and no value.
    fn comments(&self, table: &Table) -> Vec<usize> {
        let mut covered = Vec::new();
        cover(&table.entries, &mut covered);
        covered.sort_unstable();
        let mut covered = covered.into_iter().peekable();
        let range = table.span.range();
        let mut comments = Vec::new();
        let mut at = range.start;
        while let Some(letter) = self.text.get(at..range.end).and_then(|rest| rest.chars().next()) {
            while covered.next_if(|(_, end)| *end <= at).is_some() {}
            match covered.peek() {
                Some((start, end)) if *start <= at => at = *end,
                _ if letter == '#' => {
                    comments.push(at);
                    at += self.rest_of_line(at).len();
                }
                _ => at += letter.len_utf8(),
            }
        }
        comments
    }

    /// The value that a comment is behind or in; `None` for a comment on a line of its own.
    fn leaf(&self, leaves: &[(String, &Node)], comment: usize) -> Option<usize> {
        leaves.iter().position(|(_, node)| {
            let range = node.span.range();
            let between = self.text.get(range.end..comment);
            range.contains(&comment) || between.is_some_and(|between| !between.contains('\n'))
        })
    }

    fn comment(&self, at: usize) -> String {
        one_line(self.rest_of_line(at))
    }

    fn rest_of_line(&self, at: usize) -> &str {
        self.text.get(at..).and_then(|rest| rest.lines().next()).unwrap_or_default()
    }
}

fn one_line(text: &str) -> String {
    text.split_whitespace().collect::<Vec<_>>().join(" ")
}

/// A value on one line.
fn value(node: &Node) -> String {
    match &node.value {
        Value::Text(text) => one_line(&text.text),
        Value::Integer(number) => number.to_string(),
        Value::Float(number) => number.to_string(),
        Value::Boolean(truth) => truth.to_string(),
        Value::Date(date) => date.to_string(),
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
fn flatten<'n>(before: &str, entries: &'n [Entry<'_>], out: &mut Vec<(String, &'n Node<'n>)>) {
    for entry in entries {
        let key = if before.is_empty() { entry.key.to_string() } else { format!("{before}.{}", entry.key) };
        match &entry.value.value {
            Value::Table(table) if !table.entries.is_empty() => flatten(&key, &table.entries, out),
            _ => out.push((key, &entry.value)),
        }
    }
}

/// The places of keys and values that contain no others.
fn cover(entries: &[Entry], out: &mut Vec<(usize, usize)>) {
    for entry in entries {
        let key = entry.key_span.range();
        out.push((key.start, key.end));
        cover_node(&entry.value, out);
    }
}

fn cover_node(node: &Node, out: &mut Vec<(usize, usize)>) {
    match &node.value {
        Value::List(items) => items.iter().for_each(|item| cover_node(item, out)),
        Value::Table(table) => cover(&table.entries, out),
        _ => {
            let range = node.span.range();
            out.push((range.start, range.end));
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

    /// Keys in the list, then settings as on a sheet, then the rest by name.
    fn place(&self, key: &str) -> impl Ord + use<> {
        let listed = self.listed.iter().position(|known| *known == key).unwrap_or(self.listed.len());
        let row = Setting::parse(key).map(|name| name.row);
        (listed, row.is_none(), row, key.to_owned())
    }
}
