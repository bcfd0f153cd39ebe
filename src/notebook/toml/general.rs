//! TOML of any form, and broken TOML: by way of the parser's own tree.

use std::borrow::Cow;
use std::collections::BTreeMap;
use std::ops::Range;

use ::toml::Spanned;
use ::toml::de::{DeTable, DeValue};

use crate::finding::Finding;
use crate::speech::say;

use super::super::conflicts::Conflicts;
use super::super::segments::Cut;
use super::super::value::{Entry, Node, Table, Value};
use super::super::{codes, strings};
use super::faults::{Fault, faulty_lines};
use super::{Around, Errors, path_start};

/// How often a block is read again without the lines at which the parser stopped.
const PASSES: usize = 16;

/// Reads a table from end to end.
pub(super) fn read(cut: &Cut<'_>, around: Around<'_>) -> Table<'static> {
    let Around { conflicts, errors, budget, findings } = around;
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
fn without_conflicts<'c>(cut: &'c Cut<'_>, conflicts: &Conflicts) -> (Cow<'c, str>, bool) {
    let mut text = Cow::Borrowed(&*cut.text);
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
pub(super) struct Lines(Vec<usize>);

impl Lines {
    fn new(text: &str, are_needed: bool) -> Self {
        if !are_needed {
            return Self(Vec::new());
        }
        let ends = text.bytes().enumerate().filter(|&(_, byte)| byte == b'\n');
        Self(std::iter::once(0).chain(ends.map(|(at, _)| at + 1)).collect())
    }

    pub fn of(&self, offset: usize) -> usize {
        self.0.partition_point(|&start| start <= offset).saturating_sub(1)
    }

    pub fn range(&self, line: usize, text: &str) -> Range<usize> {
        let start = self.0.get(line).copied().unwrap_or(text.len());
        let end = self.0.get(line + 1).copied().unwrap_or(text.len());
        start..start + text.get(start..end).unwrap_or("").trim_end().len()
    }
}

struct Reader<'c> {
    cut: &'c Cut<'c>,
    lines: &'c Lines,
    broken_lines: &'c BTreeMap<usize, Fault>,
    findings: Vec<Finding>,
}

impl Reader<'_> {
    /// Reads a table. The parser's own limit of 80 levels bounds the recursion.
    fn table(&mut self, parsed: &DeTable<'_>, range: Range<usize>) -> Table<'static> {
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
                    key: strings::plain(Cow::Owned(key.get_ref().to_string())),
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
    fn node(&mut self, parsed: &Spanned<DeValue<'_>>) -> Option<Node<'static>> {
        let span = self.cut.place(parsed.span());
        let value = match parsed.get_ref() {
            DeValue::String(text) => {
                Value::Text(strings::text(Cow::Owned(text.to_string()), self.cut, parsed.span()))
            }
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
            DeValue::Datetime(_) => {
                Value::Date(Cow::Owned(self.cut.text.get(parsed.span()).unwrap_or("").to_owned()))
            }
            DeValue::Array(items) => {
                // A list without one of its items would be another list.
                let items: Vec<Option<Node<'static>>> = items.iter().map(|item| self.node(item)).collect();
                Value::List(items.into_iter().collect::<Option<Vec<_>>>()?)
            }
            DeValue::Table(table) => Value::Table(self.table(table, parsed.span())),
        };
        Some(Node { span, value })
    }

    fn too_large(&mut self, range: Range<usize>) -> Option<Node<'static>> {
        let finding = Finding::new(
            &codes::NUMBER_TOO_LARGE,
            self.cut.place(range),
            say!("this number has more digits than can be computed with"),
        );
        self.findings.push(finding.help(say!("write it in quotes if it is a name, or correct it")));
        None
    }
}
