//! What follows a number: a unit, `abs`, a direction.

use std::ops::Range;

use super::Way;
use super::numeral::Cursor;
use super::table::Unit;

/// Units are at most this many words: `in lbf`, `mm Hg`.
const MOST_WORDS: usize = 3;

/// What was found behind a number, each part with its place.
#[derive(Debug, Clone, Default)]
pub(super) struct Suffix {
    pub unit: Option<(Unit, Range<usize>)>,
    /// Whether the pressure was called absolute (`true`) or gauge.
    pub is_absolute: Option<(bool, Range<usize>)>,
    pub way: Option<(Way, Range<usize>)>,
    /// The first word that means nothing there.
    pub unknown: Option<Range<usize>>,
}

impl Suffix {
    pub fn is_empty(&self) -> bool {
        self.unit.is_none() && self.is_absolute.is_none() && self.way.is_none() && self.unknown.is_none()
    }
}

fn starts_word(letter: char) -> bool {
    letter.is_alphabetic()
        || matches!(letter, '°' | 'º' | '˚' | '℃' | '℉' | '%' | '"' | '″' | '\'' | '′' | '/' | '·')
}

fn way(word: &str) -> Option<Way> {
    [Way::In, Way::Out, Way::Up, Way::Down].into_iter().find(|way| way.word() == word)
}

impl Cursor<'_> {
    /// Takes the words behind a number. The longest run of them that is a unit is the unit: `2 in` is inches,
    /// and `2 clicks in` is not.
    pub fn suffix(&mut self) -> Suffix {
        let mut suffix = Suffix::default();
        let mut ahead = self.clone();
        let mut start = None;
        for _ in 0..MOST_WORDS {
            let Some(word) = ahead.word_behind() else { break };
            let range = *start.get_or_insert(word.start)..word.end;
            if let Some(unit) = Unit::from_text(self.slice(range.clone())) {
                suffix.unit = Some((unit, range));
                self.at = word.end;
            }
        }
        if start.is_none() {
            return suffix;
        }
        while let Some(word) = self.word_behind() {
            let text = self.slice(word.clone());
            if suffix.unknown.is_some() {
                // What follows a word that means nothing is not looked at.
            } else if text == "abs" || text == "absolute" {
                suffix.is_absolute = Some((true, word));
            } else if text == "gauge" {
                suffix.is_absolute = Some((false, word));
            } else if let Some(way) = way(text) {
                suffix.way = Some((way, word));
            } else {
                suffix.unknown = Some(word);
            }
        }
        suffix
    }

    /// Takes the next word behind a number, if there is one.
    fn word_behind(&mut self) -> Option<Range<usize>> {
        let mut ahead = self.clone();
        ahead.skip_space();
        let start = ahead.at;
        ahead.peek().filter(|&letter| starts_word(letter))?;
        while let Some(byte) = ahead.byte() {
            let is_end = match byte {
                b' ' | b',' | b';' => true,
                b'.' => ahead.starts_with(".."),
                b'+' => ahead.starts_with("+/-"),
                byte if byte.is_ascii_graphic() => false,
                _ => ahead.peek().is_none_or(|letter| letter.is_whitespace() || matches!(letter, '±' | '…')),
            };
            if is_end {
                break;
            }
            ahead.at += if byte.is_ascii() { 1 } else { ahead.peek().map_or(1, char::len_utf8) };
        }
        *self = ahead;
        Some(start..self.at)
    }
}
