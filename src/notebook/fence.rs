//! The line that opens a fenced block.

use std::ops::Range;

use smallvec::SmallVec;

use crate::speech::{Message, say};

/// The marks of a fence that no run of backticks in the text can close.
pub fn fence_around(text: &str) -> String {
    let longest = text.split(|letter| letter != '`').map(str::len).max().unwrap_or_default();
    "`".repeat(longest.max(2) + 1)
}

/// An opening fence: its marks and the words behind them, as ranges in the file.
///
/// The words come from the file, because the Markdown parser gives them without places and with entities
/// decoded.
#[derive(Debug, PartialEq, Eq)]
pub(super) struct Opening {
    /// The line from the first mark on, without its end of line.
    pub line: Range<usize>,
    /// The backtick or tilde that its marks consist of.
    pub mark: char,
    pub marks: usize,
    pub words: SmallVec<[Range<usize>; 2]>,
}

impl Opening {
    /// Reads the line that begins at or shortly before the marks.
    pub fn read(text: &str, at: usize) -> Option<Self> {
        let rest = text.get(at..)?;
        let line = rest.get(..memchr::memchr2(b'\n', b'\r', rest.as_bytes()).unwrap_or(rest.len()))?;
        let marked = line.trim_start();
        let start = at + (line.len() - marked.len());
        let mark = marked.chars().next().filter(|mark| matches!(mark, '`' | '~'))?;
        let behind = marked.trim_start_matches(mark);
        let marks = marked.len() - behind.len();
        if marks < 3 {
            return None;
        }
        let mut words = SmallVec::new();
        let mut cursor = start + marks;
        for piece in behind.split_inclusive(char::is_whitespace) {
            let word = piece.trim_end();
            if !word.is_empty() {
                words.push(cursor..cursor + word.len());
            }
            cursor += piece.len();
        }
        Some(Self { line: start..start + marked.trim_end().len(), mark, marks, words })
    }

    /// Whether `line` begins with a fence of the same mark, as long or longer.
    pub fn could_end_or_be(&self, line: &str) -> bool {
        let line = line.trim_start();
        line.len() - line.trim_start_matches(self.mark).len() >= self.marks
    }

    /// Whether the marks that this fence needs at its end are in a text.
    pub fn is_closed_in(&self, text: &str) -> bool {
        text.split(|letter| letter != self.mark).any(|marks| marks.len() >= self.marks)
    }

    /// The closing line in words, since backticks in a sentence are hard to count.
    pub fn closing_in_words(&self) -> Message {
        match (self.mark, self.marks) {
            ('`', 3) => say!("a line of three backticks"),
            ('`', marks) => say!("a line of {marks} backticks", marks),
            (_, 3) => say!("a line of three tildes"),
            (_, marks) => say!("a line of {marks} tildes", marks),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn words_have_their_places() {
        let text = "> ```  sag  réar \r\n";
        let opening = Opening::read(text, 2).unwrap();
        let words: Vec<&str> = opening.words.iter().map(|word| &text[word.clone()]).collect();
        assert_eq!(words, ["sag", "réar"]);
        assert_eq!(&text[opening.line], "```  sag  réar");
        assert!(Opening::read("``x", 0).is_none());
        assert!(Opening::read("text", 0).is_none());
    }
}
