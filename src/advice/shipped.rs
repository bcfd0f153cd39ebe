//! The advice that ships: one file, of which each part is read by itself.
//!
//! A test reads the whole file as a book's own is read, and holds the parts equal to it.

use crate::finding::Finding;
use crate::source::{FileId, Sources};

use super::data::{Practice, Sayings};
use super::injury::Injury;
use super::read::{ADVICE_FILE, own_words, read, words_of};

const TEXT: &str = include_str!("../../templates/advice.toml");

/// The words of riders who write another language than English, by its tag.
pub const LANGUAGES: [(&str, &str); 2] = [
    ("de", include_str!("../../templates/said/de.toml")),
    ("es", include_str!("../../templates/said/es.toml")),
];

/// Where a table begins.
const TABLE: &str = "\n[";

/// First words of the names of tables. The keys above the first table have none.
const SAYINGS: [&str; 2] = ["", "said"];
const INJURY: &str = "injury";
const COMPLAINT: &str = "complaint";

/// How the lines begin that say what a complaint is called.
const CALLED: [&str; 2] = ["word =", "also_called ="];

pub fn sayings() -> Sayings {
    let mut sayings = Sayings::default();
    read(file(), &part(|table| SAYINGS.contains(&table)), |keys, table| {
        keys.file.words = own_words(table, &[], &Practice::default(), words());
        sayings.lay_keys(keys);
    });
    sayings
}

/// What riders say in another language, of the complaints and places that ship.
pub fn sayings_in(text: &str, places: &[String]) -> (Sayings, Vec<Finding>) {
    let mut sayings = Sayings::default();
    let findings = read(file(), text, |keys, table| {
        keys.file.words = own_words(table, places, &Practice::default(), words());
        sayings.lay_keys(keys);
    });
    (sayings, findings)
}

pub fn injury() -> Injury {
    let mut injury = Injury::default();
    // The longest table by far. Without its head it is read in one pass.
    let table = tables().find(|(name, _)| *name == INJURY).and_then(|(_, text)| text.split_once('\n'));
    read(file(), table.map_or("", |(_, keys)| keys), |keys, _| injury.lay_keys(keys));
    injury
}

/// The rest, with the words for places.
pub fn practice(places: &[String]) -> Practice {
    let mut practice = Practice::default();
    read(file(), &part(|table| table != INJURY && !SAYINGS.contains(&table)), |keys, table| {
        keys.file.words = own_words(table, places, &practice, Vec::new());
        practice.lay_keys(keys);
    });
    practice
}

/// The words for complaints, each once, in the order of the file. Nothing else is read of a complaint.
pub fn words() -> Vec<String> {
    let complaints = tables().filter(|(name, text)| *name == COMPLAINT && !text.contains("[["));
    let says = |line: &&str| line.starts_with('[') || CALLED.iter().any(|key| line.starts_with(key));
    let called: Vec<&str> = complaints.flat_map(|(_, text)| text.lines().filter(says)).collect();
    let mut words: Vec<String> = Vec::new();
    read(file(), &called.join("\n"), |keys, table| {
        keys.node(COMPLAINT);
        words_of(table).for_each(|word| {
            if !words.contains(&word) {
                words.push(word)
            }
        });
    });
    words
}

/// The tables of the file, each under the first word of its name.
fn tables() -> impl Iterator<Item = (&'static str, &'static str)> {
    let mut rest = TEXT;
    std::iter::from_fn(move || {
        // The line end before a table is left to the one above.
        let end = rest.get(1..)?.find(TABLE).map_or(rest.len(), |at| at + 2);
        let (text, below) = rest.split_at_checked(end)?;
        rest = below;
        let head = text.strip_prefix('[').map(|head| head.trim_start_matches('['));
        let name = head.and_then(|head| head.split(['.', ']']).next()).unwrap_or_default();
        Some((name, text))
    })
}

/// The tables with some names, as a file of their own.
fn part(is_in_it: impl Fn(&str) -> bool) -> String {
    tables().filter(|(name, _)| is_in_it(name)).map(|(_, text)| text).collect()
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
            let (own, findings) = sayings_in(text, &shipped.places);
            assert!(findings.is_empty(), "{tag}: {findings:?}");
            assert!(own.said.complaints.len() + 1 >= shipped.said.complaints.len(), "{tag}");
            assert_eq!(own.said.places.len(), shipped.said.places.len(), "{tag}");
        }
    }
}
