//! Texts as an editor counts them: lines from 0, columns in UTF-16 code units.

use lsp_types::{Position, Range, TextDocumentContentChangeEvent};

use crate::source::Span;

/// Where the lines of a text begin.
///
/// Lines end with `\n`, `\r\n` or `\r`, as the protocol says.
#[derive(Debug)]
pub(super) struct Lines<'t> {
    text: &'t str,
    /// Where each line starts.
    starts: Vec<usize>,
}

impl<'t> Lines<'t> {
    pub fn of(text: &'t str) -> Self {
        let bytes = text.as_bytes();
        let is_end = |(at, byte): &(usize, &u8)| match **byte {
            b'\n' => true,
            b'\r' => bytes.get(at + 1) != Some(&b'\n'),
            _ => false,
        };
        let behind = bytes.iter().enumerate().filter(is_end).map(|(at, _)| at + 1);
        Self { text, starts: std::iter::once(0).chain(behind).collect() }
    }

    /// The text of a line without its end; empty beyond the last.
    pub fn line(&self, line: usize) -> &'t str {
        let Some(&start) = self.starts.get(line) else { return "" };
        let end = self.starts.get(line + 1).copied().unwrap_or(self.text.len());
        self.text.get(start..end).unwrap_or("").trim_end_matches(['\n', '\r'])
    }

    /// The byte of a position. Past the end of its line it is that end; past the last line, the end of the text;
    /// inside a character, the character's start.
    pub fn offset(&self, position: Position) -> usize {
        let line = position.line as usize;
        let Some(&start) = self.starts.get(line) else { return self.text.len() };
        let mut units = 0;
        let text = self.line(line);
        let within = text.char_indices().find(|(_, letter)| {
            units += letter.len_utf16();
            units > position.character as usize
        });
        start + within.map_or(text.len(), |(at, _)| at)
    }

    /// The position of a byte; past the end it is the end, inside a character the character's start.
    pub fn position(&self, offset: usize) -> Position {
        let offset = self.text.floor_char_boundary(offset);
        let line = self.starts.partition_point(|start| *start <= offset).saturating_sub(1);
        let start = self.starts.get(line).copied().unwrap_or(0);
        let before = self.text.get(start..offset).unwrap_or("");
        Position { line: narrow(line), character: narrow(before.chars().map(char::len_utf16).sum()) }
    }

    pub fn range(&self, span: Span) -> Range {
        let range = span.range();
        Range { start: self.position(range.start), end: self.position(range.end) }
    }
}

fn narrow(count: usize) -> u32 {
    u32::try_from(count).unwrap_or(u32::MAX)
}

/// A byte of a text, as spans count it.
pub(super) fn byte(offset: usize) -> u32 {
    narrow(offset)
}

/// Applies a change to a text.
pub(super) fn change(text: &mut String, change: TextDocumentContentChangeEvent) {
    let Some(range) = change.range else {
        *text = change.text;
        return;
    };
    let lines = Lines::of(text);
    let (one, other) = (lines.offset(range.start), lines.offset(range.end));
    text.replace_range(one.min(other)..one.max(other), &change.text);
}

#[cfg(test)]
mod tests {
    use super::*;

    const TEXT: &str = "é ± 9 °C\r\n🏍 x\ry\n";

    #[test]
    fn columns_count_code_units_and_lines_end_three_ways() {
        let lines = Lines::of(TEXT);
        let at = |what: &str| {
            let Position { line, character } = lines.position(TEXT.find(what).unwrap());
            (line, character)
        };
        assert_eq!([at("9"), at("C"), at("🏍"), at("x"), at("y")], [(0, 4), (0, 7), (1, 0), (1, 3), (2, 0)]);
        assert_eq!(lines.position(999), Position::new(3, 0));
        for (offset, _) in TEXT.char_indices().filter(|(_, letter)| !matches!(letter, '\r' | '\n')) {
            assert_eq!(lines.offset(lines.position(offset)), offset, "{offset}");
        }
    }

    #[test]
    fn a_position_past_the_end_is_the_end() {
        let lines = Lines::of(TEXT);
        assert_eq!(lines.offset(Position::new(0, 99)), TEXT.find('\r').unwrap());
        assert_eq!(lines.offset(Position::new(99, 0)), TEXT.len());
        assert_eq!(lines.offset(Position::new(u32::MAX, u32::MAX)), TEXT.len());
        // Half of a surrogate pair.
        assert_eq!(lines.offset(Position::new(1, 1)), TEXT.find('🏍').unwrap());
    }
}
