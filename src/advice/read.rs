//! An advice file, read over what is known already.

use crate::finding::Finding;
use crate::notebook::{self, Node, Table};
use crate::source::{FileId, Span};

use super::data::Practice;
use super::parts::{Advice, Parts};
use super::table::{File, Keys, Laid, OwnWords, Takes};

/// Where a book keeps an advice file of its own.
pub const ADVICE_FILE: &str = "templates/advice.toml";

impl Advice {
    /// The advice that ships, overlaid with a book's own file; what is wrong with that file is reported.
    pub fn read(file: FileId, text: &str) -> (Self, Vec<Finding>) {
        let shipped = Self::Shipped;
        let mut parts = Parts {
            sayings: shipped.sayings().clone(),
            injury: shipped.injury().clone(),
            practice: shipped.practice().clone(),
        };
        let findings = read(file, text, |keys, table| {
            if keys.field("alone", Takes::Truth).flatten() == Some(true) {
                parts.practice.looks.clear();
                parts.practice.readings.clear();
                parts.practice.complaints.clear();
            }
            let words = parts.practice.words().into_iter().map(str::to_owned).collect();
            keys.file.words = own_words(table, &parts.sayings.places, &parts.practice, words);
            parts.sayings.lay_keys(keys);
            parts.injury.lay(keys, "injury", Takes::Itself);
            parts.practice.lay_keys(keys);
        });
        (Self::Own(Box::new(parts)), findings)
    }
}

/// Reads a file: an entry replaces the one with its name.
pub(super) fn read(file: FileId, text: &str, lay: impl FnOnce(&mut Keys<'_, '_>, &Table)) -> Vec<Finding> {
    let (table, findings) = notebook::parse_table(file, text);
    let mut reading = File::new(findings, OwnWords::default());
    let mut keys = Keys::new(&table, Span::top(file), &mut reading);
    lay(&mut keys, &table);
    keys.close();
    reading.findings
}

/// The words that a file declares, and those that were known before it: `words` for complaints, and places, unless the file
/// has its own.
pub(super) fn own_words(file: &Table, places: &[String], known: &Practice, words: Vec<String>) -> OwnWords {
    let own = |key| entries(file, key).iter().map(|entry| entry.key.to_string());
    let own_places = file.get("places").map(Node::texts).filter(|places| !places.is_empty());
    OwnWords {
        places: own_places.unwrap_or_else(|| places.to_vec()),
        looks: known.looks.iter().map(|look| look.name.clone()).chain(own("look")).collect(),
        complaints: known.complaints.iter().map(|known| known.key.clone()).chain(own("complaint")).collect(),
        feels: words.into_iter().chain(words_of(file)).collect(),
        cautions: known.cautions.iter().map(|caution| caution.name.clone()).chain(own("caution")).collect(),
        work: known.work.iter().map(|group| group.name.clone()).chain(own("work")).collect(),
    }
}

/// The words for complaints that a file declares.
pub(super) fn words_of(file: &Table) -> impl Iterator<Item = String> {
    entries(file, "complaint").iter().flat_map(|entry| {
        let texts = |key| entry.value.table().and_then(|own| own.get(key)).map(Node::texts);
        let word = texts("word").unwrap_or_else(|| vec![entry.key.to_string()]);
        word.into_iter().chain(texts("also_called").unwrap_or_default())
    })
}

fn entries<'f>(file: &'f Table<'f>, key: &str) -> &'f [notebook::Entry<'f>] {
    file.get(key).and_then(Node::table).map_or(&[], |table| &table.entries)
}
