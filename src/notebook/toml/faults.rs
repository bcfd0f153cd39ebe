//! Faults in TOML: each line's first, in words that say what to do.

use std::collections::BTreeMap;
use std::ops::Range;

use crate::finding::Finding;
use crate::source::Span;
use crate::speech::{Message, say};

use super::super::segments::Cut;
use super::super::value::{Table, Value};
use super::super::{codes, dates};
use super::general::Lines;

/// Quotes that keyboards and editors type instead of `"`.
const CURLY: [char; 7] = ['\u{201c}', '\u{201d}', '\u{201e}', '\u{2018}', '\u{2019}', '\u{ab}', '\u{bb}'];

/// A fault in one line.
pub(super) struct Fault {
    message: String,
    span: Range<usize>,
}

/// The first fault of each line. One cause can give the parser several on a line, in no order.
pub(super) fn faulty_lines(
    text: &str,
    lines: &Lines,
    errors: &[::toml::de::Error],
) -> BTreeMap<usize, Fault> {
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
    pub fn finding(&self, cut: &Cut<'_>, lines: &Lines, table: &Table<'_>) -> Finding {
        let text = &cut.text;
        let line = lines.of(self.span.start.min(text.len().saturating_sub(1)));
        let line = lines.range(line, text);
        if self.message.starts_with("duplicate key") {
            let whole = super::path_start(text, self.span.start)..self.span.end;
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
            let dates = dates::meant(written);
            if !dates.is_empty() {
                let place = cut.place(value);
                let headline = say!("`{written}` is not how a date is written here", written);
                let finding = Finding::new(&codes::UNQUOTED, place, headline);
                return dates.into_iter().fold(finding, |finding, date| {
                    finding.fix(say!("write `{key} = {date}`", key, date), place, date.to_string())
                });
            }
            if dates::is_like_one(written) {
                let headline = say!("there is no day `{written}`", written);
                return Finding::new(&codes::UNQUOTED, cut.place(value), headline)
                    .help(say!("write the year, the month and the day, such as `{key} = 2026-11-21`", key));
            }
            if is_list(written) {
                let (place, list) = (cut.place(value), format!("[{written}]"));
                let headline = say!("several values of `{key}` are not in brackets", key);
                return Finding::new(&codes::UNQUOTED, place, headline).fix(
                    say!("write `{key} = {list}`", key, list),
                    place,
                    list,
                );
            }
            let written = written.trim_matches(CURLY);
            let with_point = with_point(written);
            let written = with_point.as_deref().unwrap_or(written);
            let quoted = format!("\"{}\"", written.replace('\\', "\\\\").replace('"', "\\\""));
            let place = cut.place(value);
            return Finding::new(&codes::UNQUOTED, place, say!("the value of `{key}` is not in quotes", key))
                .fix(say!("write `{key} = {quoted}`", key, quoted), place, quoted);
        }
        self.worded(cut, text.get(line.clone()).unwrap_or(""), line.start)
    }

    /// The commonest faults in words that say what to do; the parser's own words for the rest.
    fn worded(&self, cut: &Cut<'_>, line: &str, line_start: usize) -> Finding {
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
        if let Some((key, value)) = with_colon(line) {
            let value = value.trim_matches(CURLY).trim_matches(['"', '\'']);
            let quoted = format!("\"{}\"", value.replace('\\', "\\\\").replace('"', "\\\""));
            let whole = at(indent..line.split('#').next().unwrap_or("").trim_end().len());
            let headline = say!("`{key}` has a colon after it, and `=` is wanted", key);
            let written = format!("{key} = {quoted}");
            return Finding::new(&codes::SYNTAX, whole, headline).fix(
                say!("write `{key} = {quoted}`", key, quoted),
                whole,
                written,
            );
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
fn earlier(table: &Table<'_>, key: &str, before: u32) -> Option<Span> {
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
fn visit<'t>(table: &'t Table<'_>, path: &mut Vec<&'t str>, on: &mut impl FnMut(&[&str], Span)) {
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

/// Whether these are bare numbers with commas and spaces between them: `3.0, 2.55`.
fn is_list(written: &str) -> bool {
    written.contains(", ") && written.split(',').all(|item| item.trim().parse::<f64>().is_ok())
}

/// A number with a decimal comma, with a point. Three digits behind it may be hundreds: only the writer knows.
fn with_point(written: &str) -> Option<String> {
    let (whole, rest) = written.split_once(',')?;
    let digits = rest.bytes().take_while(u8::is_ascii_digit).count();
    let is_whole = !whole.is_empty() && whole.bytes().all(|byte| byte.is_ascii_digit());
    let is_decimal = matches!(digits, 1 | 2) && !rest.contains([',', '.']);
    (is_whole && is_decimal).then(|| format!("{whole}.{rest}"))
}

/// The key and the value of a line `key: words`, as other tools write it.
fn with_colon(line: &str) -> Option<(&str, &str)> {
    let (key, value) = line.split('#').next()?.split_once(':')?;
    let (key, value) = (key.trim(), value.trim());
    let is_key = |c: char| c.is_ascii_alphanumeric() || matches!(c, '.' | '_' | '-');
    let is_alone = !value.is_empty() && !line.contains('=') && !value.contains(['[', ']', '{', '}']);
    (is_alone && !key.is_empty() && key.chars().all(is_key)).then_some((key, value))
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
