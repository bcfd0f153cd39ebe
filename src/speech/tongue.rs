//! A language that pages and findings can be in.

use std::fmt;
use std::sync::Arc;

use super::catalogue::{Catalogue, built_in};
use super::{Message, fill, pattern};

/// The decimal sign of notebooks, of English, and of all that programs read.
pub const DECIMAL_POINT: char = '.';

/// The tag of English.
pub const ENGLISH_TAG: &str = "en";

/// A language; English by default. Cheap to clone.
#[derive(Clone, Default)]
pub struct Tongue(Option<Arc<Catalogue>>);

impl Tongue {
    /// The language of a catalogue.
    pub fn of(catalogue: Catalogue) -> Self {
        Self(Some(Arc::new(catalogue)))
    }

    /// A language that ships, by its tag (BCP 47); `None` where there is none.
    pub fn shipped(tag: &str) -> Option<Self> {
        if tag == ENGLISH_TAG { Some(Self::ENGLISH) } else { Some(Self(Some(built_in(tag)?))) }
    }

    /// English needs no catalogue.
    pub const ENGLISH: Self = Self(None);

    /// The tag for HTML and PDF.
    pub fn tag(&self) -> &str {
        self.0.as_ref().map_or(ENGLISH_TAG, |catalogue| &catalogue.tag)
    }

    pub fn is_english(&self) -> bool {
        self.0.is_none()
    }

    /// The catalogue; English needs none.
    pub fn catalogue(&self) -> Option<&Catalogue> {
        self.0.as_deref()
    }

    pub fn decimal(&self) -> char {
        self.0.as_ref().map_or(DECIMAL_POINT, |catalogue| catalogue.decimal)
    }

    /// A key's pattern in this language; the English pattern where there are no words for it.
    pub(super) fn of_key<'t>(&'t self, key: &'t str) -> &'t str {
        let known = self.0.as_ref().and_then(|catalogue| catalogue.words.get(key));
        known.map_or_else(|| pattern(key), String::as_str)
    }

    /// A message as text.
    pub fn say(&self, message: &Message) -> String {
        let mut text = String::new();
        message.write(self, &mut text);
        text
    }

    /// Words of a table or a file, in this language where it has them.
    pub fn word(&self, word: &str) -> String {
        self.of_key(word).to_owned()
    }

    /// A template's words with their places filled; a place without a part stays as it is.
    pub fn fill(&self, key: &str, mut part: impl FnMut(&str) -> Option<String>) -> String {
        let mut text = String::new();
        fill(self.of_key(key), &mut text, |name, text| {
            let part = part(name);
            text.push_str(part.as_deref().unwrap_or_default());
            part.is_some()
        });
        text
    }

    /// A text with numbers, with this language's decimal sign.
    pub fn number(&self, text: &str) -> String {
        let sign = self.decimal();
        if sign == DECIMAL_POINT {
            return text.to_owned();
        }
        let is_digit = |letter: Option<char>| letter.is_some_and(|letter| letter.is_ascii_digit());
        let mut before = None;
        let mut letters = text.chars().peekable();
        let mut number = String::with_capacity(text.len());
        while let Some(letter) = letters.next() {
            let is_decimal = letter == DECIMAL_POINT && is_digit(before) && is_digit(letters.peek().copied());
            number.push(if is_decimal { sign } else { letter });
            before = Some(letter);
        }
        number
    }
}

impl PartialEq for Tongue {
    fn eq(&self, other: &Self) -> bool {
        match (&self.0, &other.0) {
            (Some(one), Some(other)) => Arc::ptr_eq(one, other) || one == other,
            (one, other) => one.is_none() && other.is_none(),
        }
    }
}

impl Eq for Tongue {}

impl fmt::Debug for Tongue {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "Tongue({})", self.tag())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_decimal_sign_stands_between_digits_alone() {
        let tongue = Tongue::of(Catalogue::read("xx", "decimal = \",\"").unwrap());
        assert_eq!(tongue.number("104.5..106.25 mm, 2:04.1. a.5"), "104,5..106,25 mm, 2:04,1. a.5");
        assert_eq!(Tongue::default().number("104.5"), "104.5");
    }

    #[test]
    fn what_ships_can_be_read_and_has_its_decimal_sign() {
        for tag in ["de", "es"] {
            assert_eq!(Tongue::shipped(tag).unwrap().decimal(), ',', "{tag}");
        }
        assert!(Tongue::shipped("en").unwrap().is_english());
        assert_eq!(Tongue::shipped("xx"), None);
    }
}
