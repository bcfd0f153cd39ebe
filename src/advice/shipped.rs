//! The advice that ships: each part in a file of its own, read by itself when somebody asks for it.
//!
//! The words that every check listens for are made ready beforehand (`ready.rs`, beside where they are used). A test
//! reads the three files as one of a book's own, and holds the parts equal to it.

use crate::finding::Finding;
use crate::source::{FileId, Sources};

use super::data::{Practice, Sayings};
use super::feel::ready::COMPLAINTS;
use super::read::{ADVICE_FILE, own_words, read};

const PRACTICE: &str = include_str!("../../templates/advice.toml");
pub const ENGLISH: &str = include_str!("../../templates/said/en.toml");

/// The words of riders who write another language than English, by its tag.
pub const LANGUAGES: [(&str, &str); 2] = [
    ("de", include_str!("../../templates/said/de.toml")),
    ("es", include_str!("../../templates/said/es.toml")),
];

/// The words of riders, with the words for places.
pub fn sayings() -> Sayings {
    sayings_in(ENGLISH, &[], words()).0
}

/// What riders say in a language, of some complaints and places.
pub fn sayings_in<'w>(
    text: &str,
    places: &[String],
    complaints: impl Iterator<Item = &'w str>,
) -> (Sayings, Vec<Finding>) {
    let mut sayings = Sayings::default();
    let findings = read(file(), text, |keys, table| {
        let words = complaints.map(str::to_owned).collect();
        keys.file.words = own_words(table, places, &Practice::default(), words);
        sayings.lay_keys(keys);
    });
    (sayings, findings)
}

/// What to do about complaints, at the places that there are words for.
pub fn practice(places: &[String]) -> Practice {
    let mut practice = Practice::default();
    read(file(), PRACTICE, |keys, table| {
        keys.file.words = own_words(table, places, &practice, Vec::new());
        practice.lay_keys(keys);
    });
    practice
}

/// The words for complaints, each once, in the order of the file.
pub fn words() -> impl Iterator<Item = &'static str> {
    COMPLAINTS.lines()
}

/// A number for places in it, which nobody asks for: what ships has no findings.
fn file() -> FileId {
    Sources::new().set(ADVICE_FILE, "")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_is_said_in_other_languages_is_of_complaints_and_places_that_there_are() {
        let shipped = sayings();
        for (tag, text) in LANGUAGES {
            let (own, findings) = sayings_in(text, &shipped.places, words());
            assert!(findings.is_empty(), "{tag}: {findings:?}");
            assert!(own.said.complaints.len() + 1 >= shipped.said.complaints.len(), "{tag}");
            assert_eq!(own.said.places.len(), shipped.said.places.len(), "{tag}");
        }
    }
}
