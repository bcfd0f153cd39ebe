//! One table of the advice file, key by key: what is wrong is reported at its place, and what nobody asked
//! for at the end.

use crate::finding::{Finding, closest};
use crate::notebook::{Entry, Node, Table, Value};
use crate::quantity::{self, Amount, Kind, Problem, Quantity, UnitDefaults};
use crate::source::Span;
use crate::speech::{Message, say};
use crate::vocabulary;

use super::codes;
use super::data::By;

/// A table being read.
pub(super) struct Keys<'t, 'f> {
    table: &'t Table,
    /// Where the table is named, for what it lacks.
    place: Span,
    asked: Vec<&'static str>,
    pub findings: &'f mut Vec<Finding>,
    /// Something that it needs is missing or wrong: the entry is not to be used.
    pub is_broken: bool,
}

impl<'t, 'f> Keys<'t, 'f> {
    pub fn new(table: &'t Table, place: Span, findings: &'f mut Vec<Finding>) -> Self {
        Self { table, place, asked: Vec::new(), findings, is_broken: table.broken }
    }

    /// The value of a key.
    pub fn node(&mut self, key: &'static str) -> Option<&'t Node> {
        self.asked.push(key);
        self.table.entries.iter().find(|entry| entry.key == key).map(|entry| &entry.value)
    }

    pub fn text(&mut self, key: &'static str) -> Option<String> {
        let node = self.node(key)?;
        self.text_of(node)
    }

    /// A text without which the entry is of no use.
    pub fn needed(&mut self, key: &'static str) -> String {
        let is_there = self.node(key).is_some();
        match self.text(key) {
            Some(text) => text,
            None => {
                if !is_there {
                    self.lacks(key);
                }
                String::new()
            }
        }
    }

    /// One text or several.
    pub fn texts(&mut self, key: &'static str) -> Vec<String> {
        let Some(node) = self.node(key) else { return Vec::new() };
        items(node).iter().filter_map(|item| self.text_of(item)).collect()
    }

    /// Texts that must be known to somebody, each told by `is_known`; others are reported with the nearest of
    /// `names`.
    pub fn known(
        &mut self,
        key: &'static str,
        what: &Message,
        is_known: impl Fn(&str) -> bool,
        names: &[String],
    ) -> Vec<String> {
        let Some(node) = self.node(key) else { return Vec::new() };
        let mut all = Vec::new();
        for item in items(node) {
            let Some(text) = self.text_of(item) else { continue };
            if is_known(&text) {
                all.push(text);
            } else {
                self.unknown(item.span, &text, what, names);
            }
        }
        all
    }

    /// One text of [`Keys::known`].
    pub fn known_one(
        &mut self,
        key: &'static str,
        what: &Message,
        is_known: impl Fn(&str) -> bool,
        names: &[String],
    ) -> Option<String> {
        self.known(key, what, is_known, names).into_iter().next()
    }

    /// One of a few words.
    pub fn word<T: Copy>(&mut self, key: &'static str, words: &[(&str, T)]) -> Option<T> {
        let node = self.node(key)?;
        let text = self.text_of(node)?;
        let found = words.iter().find(|(word, _)| *word == text);
        if found.is_none() {
            let all = Message::either(words.iter().map(|(word, _)| Message::text(*word)));
            self.bad(
                node.span,
                say!("`{text}` is none of the words of `{key}`", text, key),
                say!("write {all}", all),
            );
        }
        found.map(|(_, value)| *value)
    }

    pub fn truth(&mut self, key: &'static str) -> Option<bool> {
        let node = self.node(key)?;
        if let Value::Boolean(truth) = node.value {
            return Some(truth);
        }
        self.bad(node.span, say!("`{key}` is neither true nor false", key), say!("write `true` or `false`"));
        None
    }

    pub fn quantity(&mut self, key: &'static str, kinds: &[Kind]) -> Option<Quantity> {
        let node = self.node(key)?;
        self.quantity_of(node, kinds)
    }

    pub fn quantity_of(&mut self, node: &Node, kinds: &[Kind]) -> Option<Quantity> {
        let text = self.text_of(node)?;
        let read = quantity::quantity(&text, kinds, &UnitDefaults::default());
        self.understood(node, read)
    }

    /// How far and which way; one or several.
    pub fn moves(&mut self, key: &'static str, kinds: &[Kind]) -> Vec<By> {
        let Some(node) = self.node(key) else {
            self.lacks(key);
            return Vec::new();
        };
        let mut moves = Vec::new();
        for item in items(node) {
            let Some(text) = self.text_of(item) else { continue };
            let read = quantity::amount(&text, kinds, &UnitDefaults::default());
            match self.understood(item, read) {
                Some(Amount::By(size, way)) => moves.push(By { size, way }),
                Some(Amount::At(_)) => {
                    self.bad(
                        item.span,
                        say!("`{text}` does not say which way", text),
                        say!("write it as in a `change`: `2 clicks in`, `2 mm down`, `+2 psi`"),
                    );
                }
                None => {}
            }
        }
        moves
    }

    /// Whole days.
    pub fn days(&mut self, key: &'static str) -> Option<u32> {
        let node = self.node(key)?;
        let text = self.text_of(node)?;
        let days = text
            .strip_suffix("days")
            .or_else(|| text.strip_suffix("day"))
            .and_then(|days| days.trim().parse().ok());
        if days.is_none() {
            self.bad(
                node.span,
                say!("`{text}` is no number of days", text),
                say!("write whole days: `30 days`"),
            );
        }
        days
    }

    /// Tables under a key, one or a list of them, each with where it is named.
    pub fn tables(&mut self, key: &'static str) -> Vec<(&'t Table, Span)> {
        let Some(node) = self.node(key) else { return Vec::new() };
        let mut tables = Vec::new();
        for item in items(node) {
            match &item.value {
                Value::Table(table) => tables.push((table, item.span)),
                _ => self.bad(
                    item.span,
                    say!("`{key}` is no table", key),
                    say!("write it as a table: `[{key}]`", key),
                ),
            }
        }
        tables
    }

    /// The entries of a table under a key.
    pub fn entries(&mut self, key: &'static str) -> &'t [Entry] {
        match self.node(key).map(|node| (&node.value, node.span)) {
            None => &[],
            Some((Value::Table(table), _)) => &table.entries,
            Some((_, span)) => {
                self.bad(span, say!("`{key}` is no table", key), say!("write it as a table: `[{key}]`", key));
                &[]
            }
        }
    }

    /// Where a key's value stands; the table's own place where it has none.
    pub fn place_of(&self, key: &str) -> Span {
        self.table.entries.iter().find(|entry| entry.key == key).map_or(self.place, |entry| entry.value.span)
    }

    pub fn lacks(&mut self, key: &str) {
        self.is_broken = true;
        self.findings.push(
            Finding::new(&codes::MISSING, self.place, say!("`{key}` is missing here", key))
                .help(say!("add `{key} = …`", key)),
        );
    }

    pub fn bad(&mut self, span: Span, headline: Message, help: Message) {
        self.is_broken = true;
        self.findings.push(Finding::new(&codes::BAD_VALUE, span, headline).help(help));
    }

    /// Reports keys that nobody asked for.
    pub fn close(&mut self) {
        for entry in &self.table.entries {
            if self.asked.contains(&entry.key.as_str()) {
                continue;
            }
            let mut finding = Finding::new(
                &codes::UNKNOWN_KEY,
                entry.key_span,
                say!("there is no key `{entry}` here", entry = entry.key),
            );
            for name in closest(&entry.key, self.asked.iter().copied()) {
                finding = finding.fix(say!("did you mean `{name}`?", name), entry.key_span, name);
            }
            if finding.remedies.is_empty() {
                let mut asked = self.asked.clone();
                asked.sort_unstable();
                asked.dedup();
                finding = finding.help(say!("known here are {asked}", asked = asked.join(", ")));
            }
            self.findings.push(finding);
        }
    }

    pub fn unknown(&mut self, span: Span, text: &str, what: &Message, names: &[String]) {
        self.is_broken = true;
        let mut finding =
            Finding::new(&codes::UNKNOWN_NAME, span, say!("there is no {what} `{text}`", what, text));
        for name in closest(text, names.iter().map(String::as_str)) {
            finding = finding.fix(say!("did you mean `{name}`?", name), span, format!("\"{name}\""));
        }
        self.findings.push(finding);
    }

    pub fn text_of(&mut self, node: &Node) -> Option<String> {
        if let Value::Text(text) = &node.value {
            return Some(text.text.clone());
        }
        self.bad(node.span, say!("a text is wanted here"), say!("write it in quotes"));
        None
    }

    fn understood<T>(&mut self, node: &Node, read: Result<T, Problem>) -> Option<T> {
        match read {
            Ok(value) => Some(value),
            Err(problem) => {
                self.is_broken = true;
                self.findings.push(problem.finding(|range| node.place(range)));
                None
            }
        }
    }
}

/// One value is a list of one.
pub(super) fn items(node: &Node) -> &[Node] {
    match &node.value {
        Value::List(items) => items,
        _ => std::slice::from_ref(node),
    }
}

/// Whether a text is a name of the vocabulary.
pub(super) fn is_name(text: &str) -> bool {
    vocabulary::lookup(text).is_some()
}

/// The kinds of quantity that a setting is kept in; none for words and for names that are no settings.
pub(super) fn kinds_of(setting: &str) -> &'static [Kind] {
    match vocabulary::settings::row(setting).map(|row| row.value) {
        Some(vocabulary::settings::SettingValue::Quantity(kinds)) => kinds,
        _ => &[],
    }
}
