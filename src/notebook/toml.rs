//! TOML of a head or block into a [`Table`], each fault at its place.

use std::borrow::Cow;
use std::collections::BTreeMap;
use std::ops::Range;

use ::toml::Spanned;
use ::toml::de::{DeTable, DeValue};

use crate::finding::Finding;
use crate::source::Span;
use crate::speech::{Message, say};

use super::codes;
use super::conflicts::Conflicts;
use super::segments::Cut;
use super::strings;
use super::value::{Entry, Node, Table, Value};

/// How many findings about TOML a file may still have. Behind the last one comes one that says there are more:
/// ten thousand broken lines have one cause.
#[derive(Debug)]
pub(super) struct Budget(u32);

impl Default for Budget {
    fn default() -> Self {
        Self(50)
    }
}

impl Budget {
    fn report(&mut self, finding: Finding, findings: &mut Vec<Finding>) {
        match self.0 {
            0 => return,
            1 => {
                let headline = say!("there are more lines that are not TOML from here on");
                findings.push(
                    Finding::new(&codes::MORE_ERRORS, finding.span, headline)
                        .help(say!("mend those above first")),
                );
            }
            _ => findings.push(finding),
        }
        self.0 -= 1;
    }
}

/// What to do about faults in the TOML.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Errors {
    Report,
    /// The cause was reported already: broken lines are left out in silence.
    Silence,
}

/// How often a block is read again without the lines at which the parser stopped.
const PASSES: usize = 16;

/// Reads a table from end to end.
pub(super) fn read(
    cut: &Cut,
    conflicts: &Conflicts,
    errors: Errors,
    budget: &mut Budget,
    findings: &mut Vec<Finding>,
) -> Table {
    let (mut text, has_conflict) = without_conflicts(cut, conflicts);
    let mut left_out: BTreeMap<usize, Fault> = BTreeMap::new();
    let mut passes = 0;
    loop {
        passes += 1;
        let (parsed, faults) = DeTable::parse_recoverable(&text);
        let lines = Lines::new(&text, !faults.is_empty() || !left_out.is_empty());
        let mut faults = faulty_lines(&text, &lines, &faults);
        let stopped_at: Vec<usize> =
            faults.keys().copied().filter(|&line| stops(&lines, line, &text)).collect();
        if !stopped_at.is_empty() && passes < PASSES {
            let ranges: Vec<Range<usize>> = stopped_at.iter().map(|&line| lines.range(line, &text)).collect();
            left_out.extend(stopped_at.iter().filter_map(|line| faults.remove_entry(line)));
            for range in ranges {
                blank(&mut text, range);
            }
            continue;
        }
        faults.append(&mut left_out);
        let mut reader = Reader { cut, lines: &lines, broken_lines: &faults, findings: Vec::new() };
        let mut table = reader.table(parsed.get_ref(), 0..text.len());
        table.broken |= has_conflict || !faults.is_empty();
        if errors == Errors::Report {
            let mut own = reader.findings;
            // Faults past the budget are not worded: each would search the table for its cause.
            own.extend(
                faults.values().take(budget.0 as usize).map(|fault| fault.finding(cut, &lines, &table)),
            );
            own.sort_by_key(|finding| finding.span);
            for finding in own {
                budget.report(finding, findings);
            }
        }
        return table;
    }
}

/// Whether the parser stops at this line, because it has a key without a value.
fn stops(lines: &Lines, line: usize, text: &str) -> bool {
    let written = text.get(lines.range(line, text)).unwrap_or("").trim_start();
    !written.is_empty() && !written.contains('=') && !written.starts_with('[')
}

/// The text without the lines that git could not merge: neither version counts.
fn without_conflicts<'c>(cut: &'c Cut, conflicts: &Conflicts) -> (Cow<'c, str>, bool) {
    let mut text = Cow::Borrowed(cut.text.as_str());
    if conflicts.is_empty() {
        return (text, false);
    }
    let mut start = 0;
    let mut has_conflict = false;
    for line in cut.text.split_inclusive('\n') {
        let range = start..start + line.trim_end().len();
        start += line.len();
        if conflicts.contain(cut.place(range.clone()).start as usize) {
            has_conflict = true;
            blank(&mut text, range);
        }
    }
    (text, has_conflict)
}

/// Puts spaces in place of a line, byte for byte, so that what follows stays at its place.
fn blank(text: &mut Cow<'_, str>, line: Range<usize>) {
    if text.get(line.clone()).is_some() {
        let spaces = " ".repeat(line.len());
        text.to_mut().replace_range(line, &spaces);
    }
}

/// Where lines begin; empty where nobody will ask.
struct Lines(Vec<usize>);

impl Lines {
    fn new(text: &str, are_needed: bool) -> Self {
        if !are_needed {
            return Self(Vec::new());
        }
        let ends = text.bytes().enumerate().filter(|&(_, byte)| byte == b'\n');
        Self(std::iter::once(0).chain(ends.map(|(at, _)| at + 1)).collect())
    }

    fn of(&self, offset: usize) -> usize {
        self.0.partition_point(|&start| start <= offset).saturating_sub(1)
    }

    fn range(&self, line: usize, text: &str) -> Range<usize> {
        let start = self.0.get(line).copied().unwrap_or(text.len());
        let end = self.0.get(line + 1).copied().unwrap_or(text.len());
        start..start + text.get(start..end).unwrap_or("").trim_end().len()
    }
}

/// Quotes that keyboards and editors type instead of `"`.
const CURLY: [char; 7] = ['\u{201c}', '\u{201d}', '\u{201e}', '\u{2018}', '\u{2019}', '\u{ab}', '\u{bb}'];

/// A fault in one line.
struct Fault {
    message: String,
    span: Range<usize>,
}

/// The first fault of each line. One cause can give the parser several on a line, in no order.
fn faulty_lines(text: &str, lines: &Lines, errors: &[::toml::de::Error]) -> BTreeMap<usize, Fault> {
    let mut faults: BTreeMap<usize, Fault> = BTreeMap::new();
    for error in errors {
        let span = error.span().unwrap_or(0..0);
        let start = text.floor_char_boundary(span.start);
        let end = text.ceil_char_boundary(span.end).max(start);
        // An error at the end of a line, or of the text, has the place behind its last character.
        let line = lines.of(if start > 0 && start == text.len() { start - 1 } else { start });
        let is_earlier = faults.get(&line).is_none_or(|first| start < first.span.start);
        if is_earlier {
            faults.insert(line, Fault { message: error.message().to_owned(), span: start..end });
        }
    }
    faults
}

impl Fault {
    fn finding(&self, cut: &Cut, lines: &Lines, table: &Table) -> Finding {
        let text = &cut.text;
        let line = lines.of(self.span.start.min(text.len().saturating_sub(1)));
        let line = lines.range(line, text);
        if self.message.starts_with("duplicate key") {
            let whole = path_start(text, self.span.start)..self.span.end;
            let key = text.get(whole.clone()).unwrap_or("");
            let place = cut.place(whole);
            let finding = Finding::new(&codes::REPEATED_KEY, place, say!("`{key}` is written twice", key));
            return match earlier(table, key, place.start) {
                Some(first) => finding.see(first, say!("first written here")),
                None => finding,
            }
            .help(say!("repeats of one reading are a list, `\"612 613 mm\"`; of two readings, delete one"));
        }
        if let Some((key, value)) = unquoted(text, line.clone()) {
            let written = text.get(value.clone()).unwrap_or("");
            let key = text.get(key).unwrap_or("");
            let dates = super::dates::meant(written);
            if !dates.is_empty() {
                let place = cut.place(value);
                let headline = say!("`{written}` is not how a date is written here", written);
                let finding = Finding::new(&codes::UNQUOTED, place, headline);
                return dates.into_iter().fold(finding, |finding, date| {
                    finding.fix(say!("write `{key} = {date}`", key, date), place, date.to_string())
                });
            }
            let written = written.trim_matches(CURLY);
            let quoted = format!("\"{}\"", written.replace('\\', "\\\\").replace('"', "\\\""));
            let place = cut.place(value);
            return Finding::new(&codes::UNQUOTED, place, say!("the value of `{key}` is not in quotes", key))
                .fix(say!("write `{key} = {quoted}`", key, quoted), place, quoted);
        }
        self.worded(cut, text.get(line.clone()).unwrap_or(""), line.start)
    }

    /// The commonest faults in words that say what to do; the parser's own words for the rest.
    fn worded(&self, cut: &Cut, line: &str, line_start: usize) -> Finding {
        let at = |range: Range<usize>| cut.place(line_start + range.start..line_start + range.end);
        let indent = line.len() - line.trim_start().len();
        let key = line.trim_start().split(|c: char| c.is_whitespace() || c == '=').next().unwrap_or("");
        let key_place = at(indent..indent + key.len());
        let behind = line.split_once('=').map(|(_, value)| value.split('#').next().unwrap_or("").trim());
        let name = line.split_once('=').map_or("", |(name, _)| name.trim());
        if name.contains(char::is_whitespace) && !name.contains(['"', '\'', '[', '{']) {
            let headline = say!("`{name}` cannot be a key: it has a space", name);
            return Finding::new(&codes::SPACED_KEY, at(indent..indent + name.len()), headline);
        }
        if self.message.starts_with("key with no value") && !key.is_empty() {
            let value = line.trim_start().get(key.len()..).unwrap_or("").trim();
            let value = if value.is_empty() { "…" } else { value };
            return Finding::new(&codes::SYNTAX, key_place, say!("`{key}` has no `=` after it", key)).help(
                say!("write `{key} = {value}`, or take the line out of the block if it is prose", key, value),
            );
        }
        if behind == Some("") && !key.is_empty() {
            return Finding::new(&codes::SYNTAX, key_place, say!("`{key}` has no value", key))
                .help(say!("write one after the `=`, or leave the line out"));
        }
        let place = cut.place(self.span.clone());
        if self.message.starts_with("invalid basic string") && line.matches('"').count() % 2 == 1 {
            let quote = line.find('"').unwrap_or(0);
            return Finding::new(
                &codes::SYNTAX,
                at(quote..line.len()),
                say!("this text has no closing quote"),
            )
            .help(say!("write `\"` after its last letter"));
        }
        Finding::new(&codes::SYNTAX, place, headline(&self.message))
            .help(say!("a line of a block is `key = value`, with text in quotes and `#` before a remark"))
    }
}

/// The parser's own words, in the form of our headlines.
fn headline(message: &str) -> Message {
    let mut letters = message.chars();
    let first = letters.next().map(|first| first.to_lowercase().to_string()).unwrap_or_default();
    say!("this is not TOML{fault}", fault = Message::foreign(format!(": {first}{}", letters.as_str())))
}

/// Where a key of the table, as it is written, last stood before an offset of the file.
fn earlier(table: &Table, key: &str, before: u32) -> Option<Span> {
    let parts: Vec<&str> = key.split('.').map(|part| part.trim().trim_matches(['"', '\''])).collect();
    let mut path = Vec::new();
    let mut found = None;
    visit(table, &mut path, &mut |path, place| {
        // A key in an inline table is written without the names of the tables around it.
        if place.start < before && path.ends_with(&parts) {
            found = found.max(Some(place));
        }
    });
    found
}

/// Calls `on` for every key of a table and of the tables in it, with the path to it.
fn visit<'t>(table: &'t Table, path: &mut Vec<&'t str>, on: &mut impl FnMut(&[&str], Span)) {
    for entry in &table.entries {
        path.push(&entry.key);
        on(path, entry.key_span);
        let inner = match &entry.value.value {
            Value::List(items) => items.as_slice(),
            _ => std::slice::from_ref(&entry.value),
        };
        for node in inner {
            if let Value::Table(inner) = &node.value {
                visit(inner, path, on);
            }
        }
        path.pop();
    }
}

/// Where a dotted key begins, from the place of one of its parts. The parser gives a part only its own place,
/// and earlier parts the place of the line that first wrote them.
fn path_start(text: &str, mut start: usize) -> usize {
    let is_bare = |c: char| c.is_ascii_alphanumeric() || matches!(c, '_' | '-');
    loop {
        let before = text.get(..start).unwrap_or("").trim_end_matches([' ', '\t']);
        let Some(part) = before.strip_suffix('.').map(|part| part.trim_end_matches([' ', '\t'])) else {
            return start;
        };
        let quote = part.chars().next_back().filter(|&last| matches!(last, '"' | '\''));
        let rest = match quote {
            Some(quote) => {
                part.get(..part.len() - 1).and_then(|open| open.rfind(quote)).unwrap_or(part.len())
            }
            None => part.trim_end_matches(is_bare).len(),
        };
        if rest == part.len() {
            return start;
        }
        start = rest;
    }
}

/// The key and the value of a line `key = words`, where the value has no quotes or brackets.
fn unquoted(text: &str, line: Range<usize>) -> Option<(Range<usize>, Range<usize>)> {
    let written = text.get(line.clone())?;
    let (key, value) = written.split_once('=')?;
    let is_key = |c: char| c.is_ascii_alphanumeric() || matches!(c, '.' | '_' | '-');
    let bare = key.trim();
    if bare.is_empty() || !bare.chars().all(is_key) {
        return None;
    }
    let value = value.split('#').next().unwrap_or("");
    let words = value.trim();
    if words.is_empty() || words.contains(['"', '\'', '[', ']', '{', '}', '=']) {
        return None;
    }
    let key_start = line.start + (key.len() - key.trim_start().len());
    let value_start = line.start + key.len() + 1 + (value.len() - value.trim_start().len());
    Some((key_start..key_start + bare.len(), value_start..value_start + words.len()))
}

struct Reader<'c> {
    cut: &'c Cut,
    lines: &'c Lines,
    broken_lines: &'c BTreeMap<usize, Fault>,
    findings: Vec<Finding>,
}

impl Reader<'_> {
    /// Reads a table. The parser's own limit of 80 levels bounds the recursion.
    fn table(&mut self, parsed: &DeTable<'_>, range: Range<usize>) -> Table {
        let mut keys: Vec<_> = parsed.iter().collect();
        // The parser sorts them by name.
        keys.sort_by_key(|(key, _)| key.span().start);
        let mut table =
            Table { span: self.cut.place(range), entries: Vec::with_capacity(keys.len()), broken: false };
        for (key, value) in keys {
            let is_table = matches!(value.get_ref(), DeValue::Table(_));
            let whole = key.span().start..value.span().end.max(key.span().end);
            if !is_table && self.is_broken(whole) {
                table.broken = true;
                continue;
            }
            match self.node(value) {
                Some(value) => table.entries.push(Entry {
                    key: strings::plain(key.get_ref()),
                    key_span: self.cut.place(path_start(&self.cut.text, key.span().start)..key.span().end),
                    value,
                }),
                None => table.broken = true,
            }
        }
        table
    }

    /// Whether a fault is on a line of the range. A fault may stand behind the value that it spoils: `612 mm`
    /// is read as the number 612, with an error at `mm`.
    fn is_broken(&self, range: Range<usize>) -> bool {
        if self.broken_lines.is_empty() {
            return false;
        }
        let last = self.lines.of(range.end.saturating_sub(1).max(range.start));
        self.broken_lines.range(self.lines.of(range.start)..=last).next().is_some()
    }

    /// Reads a value; `None`, and a finding, where no notebook can have such a value.
    fn node(&mut self, parsed: &Spanned<DeValue<'_>>) -> Option<Node> {
        let span = self.cut.place(parsed.span());
        let value = match parsed.get_ref() {
            DeValue::String(text) => Value::Text(strings::text(text, self.cut, parsed.span())),
            DeValue::Integer(integer) => match i64::from_str_radix(integer.as_str(), integer.radix()) {
                Ok(integer) => Value::Integer(integer),
                Err(_) => return self.too_large(parsed.span()),
            },
            DeValue::Float(float) => match float.as_str().parse::<f64>() {
                Ok(number) if number.is_finite() => Value::Float(number),
                _ if float.as_str().contains(|c: char| c.is_ascii_digit()) => {
                    return self.too_large(parsed.span());
                }
                _ => {
                    let written = self.cut.text.get(parsed.span()).unwrap_or("");
                    let finding =
                        Finding::new(&codes::NOT_FINITE, span, say!("`{written}` is not a reading", written));
                    self.findings.push(finding.help(say!("leave the key out: what needs it will say so")));
                    return None;
                }
            },
            DeValue::Boolean(truth) => Value::Boolean(*truth),
            DeValue::Datetime(_) => Value::Date(self.cut.text.get(parsed.span()).unwrap_or("").to_owned()),
            DeValue::Array(items) => {
                // A list without one of its items would be another list.
                let items: Vec<Option<Node>> = items.iter().map(|item| self.node(item)).collect();
                Value::List(items.into_iter().collect::<Option<Vec<Node>>>()?)
            }
            DeValue::Table(table) => Value::Table(self.table(table, parsed.span())),
        };
        Some(Node { span, value })
    }

    fn too_large(&mut self, range: Range<usize>) -> Option<Node> {
        let finding = Finding::new(
            &codes::NUMBER_TOO_LARGE,
            self.cut.place(range),
            say!("this number has more digits than can be computed with"),
        );
        self.findings.push(finding.help(say!("write it in quotes if it is a name, or correct it")));
        None
    }
}
