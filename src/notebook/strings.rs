//! From the decoded text of a TOML string back to what was written.
//!
//! Follows TOML 1.1 (toml.io, sections *String* and *Escapes*), for strings that the parser has accepted.

use std::borrow::Cow;
use std::ops::Range;

use super::segments::Cut;
use super::value::{Run, Runs, Text};

/// The text of a string, and where each part of it was written. `raw` is the string's range in the cut.
///
/// A string whose parts cannot be found again has only the place of the whole.
pub(super) fn text<'t>(mut decoded: Cow<'t, str>, cut: &Cut<'_>, raw: Range<usize>) -> Text<'t> {
    let written = cut.text.get(raw.clone()).unwrap_or("");
    if !decoded.is_empty() && is_plain(written) && written.len() == decoded.len() + 2 {
        match as_written(plain(decoded), cut, raw.start + 1..raw.end - 1) {
            Ok(text) => return text,
            Err(text) => decoded = text,
        }
    }
    let parts = parts(written);
    let is_whole = parts.last().map_or(0, |part| part.decoded.end) == decoded.len();
    let mut runs = Vec::with_capacity(1);
    if is_whole {
        for part in parts {
            let place = raw.start + part.raw.start..raw.start + part.raw.end;
            if part.raw.len() == part.decoded.len() {
                for (piece, file) in cut.pieces(place.clone()) {
                    let start = part.decoded.start + (piece.start - place.start);
                    runs.push(run(start..start + piece.len(), file));
                }
            } else {
                runs.push(run(part.decoded, cut.place(place).range()));
            }
        }
    }
    let runs = if runs.is_empty() { Runs::None } else { Runs::Several(runs.into()) };
    Text { text: plain(decoded), runs }
}

/// The text of a string that reads as it is written and has no control characters, at its range in the cut; back again
/// where it is in pieces.
#[inline]
pub(super) fn as_written<'t>(
    text: Cow<'t, str>,
    cut: &Cut<'_>,
    inner: Range<usize>,
) -> Result<Text<'t>, Cow<'t, str>> {
    match cut.verbatim(inner).and_then(|from| u32::try_from(from).ok()) {
        Some(from) => Ok(Text { text, runs: Runs::Plain(from) }),
        None => Err(text),
    }
}

/// Whether a string is written exactly as it reads.
fn is_plain(written: &str) -> bool {
    let many_lines = written.starts_with("\"\"\"") || written.starts_with("'''");
    !many_lines && written.len() >= 2 && !(written.starts_with('"') && written.contains('\\'))
}

/// A text without line ends, tabs and other control characters. What a notebook says goes into lines of tables, lists and
/// terminals, and must not end them. Each becomes a space, so that places stay.
pub(super) fn plain(text: Cow<'_, str>) -> Cow<'_, str> {
    // Looking at bytes is ten times as fast, and hardly any text has a control character.
    if !text.bytes().any(|byte| byte.is_ascii_control()) {
        return text;
    }
    Cow::Owned(text.replace(|letter: char| letter.is_ascii_control(), " "))
}

fn run(decoded: Range<usize>, file: Range<usize>) -> Run {
    let narrow = |offset: usize| u32::try_from(offset).unwrap_or(u32::MAX);
    Run { decoded: narrow(decoded.start)..narrow(decoded.end), file: narrow(file.start)..narrow(file.end) }
}

#[derive(Debug, PartialEq, Eq)]
struct Part {
    decoded: Range<usize>,
    raw: Range<usize>,
}

/// Collects parts; verbatim ones that touch become one.
#[derive(Default)]
struct Parts {
    parts: Vec<Part>,
    decoded: usize,
}

impl Parts {
    fn push(&mut self, decoded_length: usize, raw: Range<usize>) {
        let decoded = self.decoded..self.decoded + decoded_length;
        self.decoded = decoded.end;
        let is_verbatim = raw.len() == decoded_length;
        match self.parts.last_mut() {
            Some(last)
                if is_verbatim && last.raw.end == raw.start && last.raw.len() == last.decoded.len() =>
            {
                last.raw.end = raw.end;
                last.decoded.end = decoded.end;
            }
            _ => self.parts.push(Part { decoded, raw }),
        }
    }
}

fn parts(written: &str) -> Vec<Part> {
    let mut parts = Parts::default();
    let many_lines = written.starts_with("\"\"\"") || written.starts_with("'''");
    let has_escapes = written.starts_with('"');
    let quotes = if many_lines { 3 } else { 1 };
    if is_plain(written) {
        let raw = 1..written.len() - 1;
        return vec![Part { decoded: 0..raw.len(), raw }];
    }
    let mut at = quotes;
    let end = written.len().saturating_sub(quotes).max(at);
    let rest = |at: usize| written.get(at..end).unwrap_or("");
    if many_lines {
        // A line end right behind the opening quotes is not part of the text.
        at += ["\r\n", "\n"].iter().find(|end| rest(at).starts_with(**end)).map_or(0, |end| end.len());
    }
    while let Some(first) = rest(at).chars().next() {
        if has_escapes && first == '\\' {
            let (raw_length, decoded_length) = escape(rest(at));
            if decoded_length > 0 {
                parts.push(decoded_length, at..at + raw_length);
            }
            at += raw_length;
        } else {
            parts.push(first.len_utf8(), at..at + first.len_utf8());
            at += first.len_utf8();
        }
    }
    parts.parts
}

/// The length of an escape, as written and decoded.
fn escape(written: &str) -> (usize, usize) {
    let digits = |from: usize, count: usize| {
        let code = written.get(from..from + count).and_then(|digits| u32::from_str_radix(digits, 16).ok());
        (from + count, code.and_then(char::from_u32).map_or(1, char::len_utf8))
    };
    match written.chars().nth(1) {
        Some('x') => digits(2, 2),
        Some('u') => digits(2, 4),
        Some('U') => digits(2, 8),
        // A backslash before a line end swallows it and all spaces behind it.
        Some(' ' | '\t' | '\r' | '\n') => {
            let rest = written.get(1..).unwrap_or("");
            (1 + rest.len() - rest.trim_start_matches([' ', '\t', '\r', '\n']).len(), 0)
        }
        Some(other) => (1 + other.len_utf8(), 1),
        None => (1, 0),
    }
}

#[cfg(test)]
mod tests {
    use crate::source::FileId;

    use super::*;

    /// Reads `written` as a value, and returns the places of a range of its text.
    fn pointed(written: &str, range: Range<usize>) -> String {
        let source = format!("k = {written}\n");
        let table = ::toml::de::DeTable::parse(&source).unwrap();
        let value = table.get_ref().iter().next().unwrap().1;
        let decoded = value.get_ref().as_str().unwrap().to_owned();
        let cut = Cut::slice(FileId(0), &source, 0..source.len());
        let text = text(Cow::Owned(decoded.clone()), &cut, value.span());
        assert!(text.runs != Runs::None || decoded.is_empty(), "{written:?} was not followed: {decoded:?}");
        let span = crate::source::Span::new(FileId(0), value.span().start, value.span().end);
        let node = crate::notebook::Node { span, value: crate::notebook::Value::Text(text) };
        source[node.place(range).range()].to_owned()
    }

    #[test]
    fn ranges_are_followed_through_escapes() {
        assert_eq!(pointed(r#""506 508 507 mm""#, 4..7), "508");
        assert_eq!(pointed(r#""105 ± 1 mm""#, 4..6), "±");
        assert_eq!(pointed(r#""105 \u00B1 1 mm""#, 4..6), r"\u00B1");
        assert_eq!(pointed(r#""105 \u00B1 1 mm""#, 7..11), "1 mm");
        assert_eq!(pointed(r#""a\tb\"c\\d""#, 4..5), "c");
        assert_eq!(pointed(r#""a\xB1b""#, 3..4), "b");
        assert_eq!(pointed(r#""a\U0001F527b""#, 1..5), r"\U0001F527");
        assert_eq!(pointed(r#""a\eb""#, 2..3), "b");
        assert_eq!(pointed(r"'a\tb'", 3..4), "b");
        assert_eq!(pointed("\"\"\"\na\n  b\"\"\"", 4..5), "b");
        assert_eq!(pointed("\"\"\"a \\\n   b\"\"\"", 2..3), "b");
        assert_eq!(pointed("'''\r\na\r\nb'''", 3..4), "b");
        assert_eq!(pointed("\"\"\"a\r\nb\"\"\"", 3..4), "b");
        assert_eq!(pointed("\"\"\"a\"\"\"\"\"", 1..3), "\"\"");
        assert_eq!(pointed("\"abc\"", 3..3), "");
        assert_eq!(pointed("\"\"", 0..0), "\"\"");
    }
}
