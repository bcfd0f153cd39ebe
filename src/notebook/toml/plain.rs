//! The TOML that nearly all blocks consist of, in one pass over its bytes.
//!
//! Keys with or without dots and quotes; values in one pair of quotes that read as they are written, plain numbers, dates, `true`
//! and `false`; lists and inline tables of these; remarks. What is anything else, or wrong, is not read here at all: then the
//! general reader has the whole table. What both can read they read alike; a test holds them to it.

use std::borrow::Cow;
use std::ops::Range;

use super::super::segments::Cut;
use super::super::strings;
use super::super::value::{Entry, Node, Table, Value};

/// Keys of one table are looked through one by one; more than these are for the general reader.
const MOST_KEYS: usize = 64;
/// How deep lists and tables may lie in each other, and how many parts a key may have.
const DEPTH: usize = 8;

/// Reads a table; `None` where something in it is not plain.
pub(in super::super) fn read<'t>(cut: &Cut<'t>) -> Option<Table<'t>> {
    let mut reader = Reader { cut, bytes: cut.text.as_bytes(), at: 0 };
    // Most lines are keys.
    let lines = memchr::memchr_iter(b'\n', reader.bytes).count();
    let entries = Vec::with_capacity(lines.min(MOST_KEYS));
    let mut table = Table { span: cut.place(0..cut.text.len()), entries, broken: false };
    loop {
        reader.skip_lines()?;
        if reader.peek().is_none() {
            return Some(table);
        }
        reader.entry(&mut table, DEPTH)?;
        reader.end_of_line()?;
    }
}

/// The bytes that a key without quotes may have, a bit each.
const OF_KEYS: u128 = {
    let (mut all, mut byte) = (0, 0_u8);
    while byte < 128 {
        if byte.is_ascii_alphanumeric() || matches!(byte, b'_' | b'-') {
            all |= 1 << byte;
        }
        byte += 1;
    }
    all
};

struct Reader<'c, 't> {
    cut: &'c Cut<'t>,
    bytes: &'c [u8],
    at: usize,
}

impl<'t> Reader<'_, 't> {
    fn peek(&self) -> Option<u8> {
        self.bytes.get(self.at).copied()
    }

    fn take(&mut self, wanted: u8) -> Option<()> {
        (self.peek() == Some(wanted)).then(|| self.at += 1)
    }

    /// Takes bytes as long as they are wanted.
    fn take_while(&mut self, wanted: impl Fn(u8) -> bool) -> Range<usize> {
        let start = self.at;
        let rest = self.bytes.get(start..).unwrap_or_default();
        self.at += rest.iter().position(|&byte| !wanted(byte)).unwrap_or(rest.len());
        start..self.at
    }

    fn skip_blanks(&mut self) {
        self.take_while(|byte| matches!(byte, b' ' | b'\t'));
    }

    /// Blanks, remarks and ends of lines.
    fn skip_lines(&mut self) -> Option<()> {
        loop {
            self.skip_blanks();
            match self.peek() {
                Some(b'#' | b'\n' | b'\r') => self.end_of_line()?,
                _ => return Some(()),
            }
        }
    }

    /// What may stand behind a value: a remark, then the line's end or the text's.
    fn end_of_line(&mut self) -> Option<()> {
        self.skip_blanks();
        if self.take(b'#').is_some() {
            self.take_while(is_written);
        }
        match self.peek() {
            None => Some(()),
            Some(b'\r') => {
                self.at += 1;
                self.take(b'\n')
            }
            Some(_) => self.take(b'\n'),
        }
    }

    /// `key = value`, into a table.
    fn entry(&mut self, table: &mut Table<'t>, depth: usize) -> Option<()> {
        let start = self.at;
        let mut into = table;
        for _ in 0..DEPTH {
            let (part, key) = self.part_of_key()?;
            let key_span = self.cut.place(start..part.end);
            let before = into.entries.iter().position(|entry| entry.key == key);
            if into.entries.len() >= MOST_KEYS {
                return None;
            }
            if self.take(b'.').is_none() {
                self.skip_blanks();
                self.take(b'=')?;
                self.skip_blanks();
                let value = self.value(depth.checked_sub(1)?)?;
                into.entries.push(Entry { key, key_span, value });
                return before.is_none().then_some(());
            }
            let at = before.unwrap_or(into.entries.len());
            if before.is_none() {
                let span = self.cut.place(part);
                let value = Value::Table(Table { span, entries: Vec::new(), broken: false });
                into.entries.push(Entry { key, key_span, value: Node { span, value } });
            }
            let entry = into.entries.get_mut(at)?;
            into = match &mut entry.value.value {
                // A table that a dotted key made has the key's place. An inline one is closed.
                Value::Table(inner) if inner.span.end == entry.key_span.end => inner,
                _ => return None,
            };
        }
        None
    }

    /// A part of a key, and its place with its quotes.
    fn part_of_key(&mut self) -> Option<(Range<usize>, Cow<'t, str>)> {
        let start = self.at;
        let name = match self.peek()? {
            quote @ (b'"' | b'\'') => self.within(quote)?,
            _ => self.take_while(|byte| byte.is_ascii() && OF_KEYS >> byte & 1 == 1),
        };
        let key = self.cut.part(name.clone())?;
        (!name.is_empty()).then_some((start..self.at, key))
    }

    /// Takes a text that reads as it is written, up to its second quote. Gives what is between the two.
    fn within(&mut self, quote: u8) -> Option<Range<usize>> {
        self.take(quote)?;
        let rest = self.bytes.get(self.at..)?;
        let inner = rest.get(..memchr::memchr2(quote, b'\\', rest)?)?;
        // All are looked at, which is quicker than to stop at the first. A tab would have to be made a space.
        if inner.iter().fold(false, |found, byte| found | byte.is_ascii_control()) {
            return None;
        }
        let start = self.at;
        self.at += inner.len();
        self.take(quote)?;
        Some(start..start + inner.len())
    }

    fn value(&mut self, depth: usize) -> Option<Node<'t>> {
        let start = self.at;
        let value = match self.peek()? {
            quote @ (b'"' | b'\'') => self.text(quote)?,
            b'[' => Value::List(self.list(depth)?),
            b'{' => Value::Table(self.inline_table(depth)?),
            _ => self.scalar()?,
        };
        Some(Node { span: self.cut.place(start..self.at), value })
    }

    /// A text that reads as it is written.
    fn text(&mut self, quote: u8) -> Option<Value<'t>> {
        let start = self.at;
        let inner = self.within(quote)?;
        // An empty text, or the first of three quotes.
        if inner.is_empty() && self.peek() == Some(quote) {
            return None;
        }
        let written = self.cut.part(inner.clone())?;
        let text =
            if inner.is_empty() { Err(written) } else { strings::as_written(written, self.cut, inner) };
        Some(Value::Text(text.unwrap_or_else(|written| strings::text(written, self.cut, start..self.at))))
    }

    fn list(&mut self, depth: usize) -> Option<Vec<Node<'t>>> {
        self.take(b'[')?;
        let mut items = Vec::new();
        loop {
            self.skip_lines()?;
            if self.take(b']').is_some() {
                return Some(items);
            }
            items.push(self.value(depth.checked_sub(1)?)?);
            self.skip_lines()?;
            if self.take(b',').is_none() {
                self.take(b']')?;
                return Some(items);
            }
        }
    }

    fn inline_table(&mut self, depth: usize) -> Option<Table<'t>> {
        let start = self.at;
        self.take(b'{')?;
        let mut table = Table { span: self.cut.place(start..start), entries: Vec::new(), broken: false };
        self.skip_blanks();
        while self.take(b'}').is_none() {
            self.entry(&mut table, depth)?;
            self.skip_blanks();
            if self.take(b',').is_some() {
                self.skip_blanks();
            } else if self.peek() != Some(b'}') {
                return None;
            }
        }
        table.span = self.cut.place(start..self.at);
        Some(table)
    }

    /// A number, a date, `true` or `false`.
    fn scalar(&mut self) -> Option<Value<'t>> {
        let range = self.take_while(|byte| byte.is_ascii_alphanumeric() || b"+-._:".contains(&byte));
        let written = self.cut.part(range)?;
        match &*written {
            "true" => Some(Value::Boolean(true)),
            "false" => Some(Value::Boolean(false)),
            _ if is_date(&written) => Some(Value::Date(written)),
            _ => number(&written),
        }
    }
}

/// Whether a byte may stand in a remark or a text: all but control characters.
fn is_written(byte: u8) -> bool {
    !byte.is_ascii_control() || byte == b'\t'
}

/// A number of few digits, without an exponent.
fn number(written: &str) -> Option<Value<'static>> {
    let digits = written.strip_prefix('-').unwrap_or(written);
    let (whole, decimals) = match digits.split_once('.') {
        Some((whole, decimals)) => (whole, Some(decimals)),
        None => (digits, None),
    };
    let are_digits = |text: &str| !text.is_empty() && text.bytes().all(|byte| byte.is_ascii_digit());
    let has_leading_zero = whole.len() > 1 && whole.starts_with('0');
    if has_leading_zero || written.len() > 18 || !are_digits(whole) || !decimals.is_none_or(are_digits) {
        return None;
    }
    match decimals {
        None => written.parse().ok().map(Value::Integer),
        Some(_) => written.parse().ok().map(Value::Float),
    }
}

/// `2026-04-11`. Days that some months lack are left to the general reader.
fn is_date(written: &str) -> bool {
    let has_form = written.len() == 10
        && written
            .bytes()
            .enumerate()
            .all(|(at, byte)| if matches!(at, 4 | 7) { byte == b'-' } else { byte.is_ascii_digit() });
    let part = |range: Range<usize>| written.get(range).and_then(|part| part.parse::<u8>().ok()).unwrap_or(0);
    has_form && (1..=12).contains(&part(5..7)) && (1..=28).contains(&part(8..10))
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use crate::source::FileId;

    use super::super::super::conflicts::Conflicts;
    use super::super::{Around, Budget, Errors, general};
    use super::*;

    /// A text cut out of a file whose every line has two letters before it.
    fn cut(text: &str) -> Cut<'_> {
        let mut cut = Cut::new(FileId(0), text, 0);
        let mut in_file = 0;
        for line in text.split_inclusive('\n') {
            in_file += 2;
            cut.push(line, in_file..in_file + line.len());
            in_file += line.len();
        }
        cut
    }

    /// What is read in one pass, checked against the general reader.
    fn checked(text: &str) -> Option<Table<'static>> {
        let cut = cut(text);
        let mut findings = Vec::new();
        let none = Conflicts::find(FileId(0), "");
        let (mut budget, errors) = (Budget::default(), Errors::Report);
        let around = Around { conflicts: &none, errors, budget: &mut budget, findings: &mut findings };
        let general = general::read(&cut, around);
        let plain = read(&cut)?;
        assert_eq!((&plain, findings), (&general, Vec::new()), "{text:?}");
        Some(general)
    }

    #[test]
    fn what_riders_write_is_plain() {
        for text in [
            "",
            "# only a remark",
            "a = \"612 613 mm\" # é\n\n\tb-c_1 = 'x \"y\" z'\r\n",
            "tyre.front = \"13 psi\"\ntyre.rear = \"12 psi\"\nat = \"\"\na.b.c = 1\na.b.d = 2\na.e = 3",
            "\"front axle nut\" = \"35 N·m\"\n'a\"b'.c.\"d e\" = 1\n'a\"b'.\"c\".f = 2\n",
            "date = 2026-04-11\nn = -12\nx = 2.50\nz = 0\nyes = true\nno = false\n",
            "rows = [\n  [0, 0.00], # first\n  [30, 10.20],\n]\nwords = [ \"a\" , 'b' ]\nnone = []\n",
            "sag.rear = { within = \"99..105 mm\", aim = 1 }\nx = {}\ny = { a.b = 1, a.c = [{ d = 2 }] }",
        ] {
            assert!(checked(text).is_some(), "{text:?}");
        }
    }

    #[test]
    #[rustfmt::skip]
    fn what_is_wrong_or_rare_is_left_to_the_general_reader() {
        for text in [
            "a", "a =", "a = b", "a = 612 mm", "a = \"x", "a = \"x\" y", "a = \"\\u00b1\"", "a = \"\"\"x\"\"\"",
            "a = 1\na = 2", "a.b = 1\na = 2", "a = 1\na.b = 2", "a = {}\na.b = 1", "a = { b.c = 1, b = 2 }",
            "[a]\nb = 1", "a . b = 1", "\"\" = 1", "\"a\\tb\" = 1", "\"a\"b = 1", "a = +1", "a = 01", "a = 1_000",
            "a = \"b\tc\"", "\"a\tb\" = 1", "a = 1e3", "a = nan", "a = .5", "a = 1.", "a = 2026-02-30", "a = 2026-04-11 10:00", "a = 10:00",
            "a = [1, 2", "a = [1 2]", "a = [,]", "a = {b = 1", "a = 1 b = 2", "a = 1\rb = 2", "a = \"\u{7f}\"",
            "# \u{1}", "a = 99999999999999999999", "a.b.c.d.e.f.g.h.i = 1", "a = [[[[[[[[[1]]]]]]]]]",
        ] {
            assert_eq!(checked(text), None, "{text:?}");
        }
    }

    #[rustfmt::skip]
    fn piece() -> impl Strategy<Value = &'static str> {
        prop::sample::select(vec![
            "a", "b", "a.b", "c-1", ".", " = ", "=", "\"x\"", "\"1 mm\"", "''", "'y'", "\"", "'", "\\", "1", "-2.50",
            "0", "07", "2026-04-11", "2026-02-29", "10:00", "T10:00", "true", "false", "inf", "[", "]", "{", "}",
            ", ", ",", "\n", "\r\n", "\r", " ", "\t", "#", "# é\n", "é", "[a]", "_", "e3", "+", "\u{1}", "a = 1\n",
            "b.c = \"x\"\n", "b.d = [1]\n",
        ])
    }

    proptest! {
        #[test]
        fn both_readers_read_alike(pieces in prop::collection::vec(piece(), 0..16)) {
            checked(&pieces.concat());
        }

        #[test]
        fn both_readers_read_values_alike(values in prop::collection::vec(prop::collection::vec(piece(), 1..5), 1..5)) {
            let line = |(number, value): (usize, Vec<&str>)| format!("k{}.v = {}\n", number / 2, value.concat());
            checked(&values.into_iter().enumerate().map(line).collect::<String>());
        }
    }
}
