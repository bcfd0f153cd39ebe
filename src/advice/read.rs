//! The advice that ships, overlaid with a book's own.

use std::sync::{Arc, LazyLock};

use crate::finding::Finding;
use crate::notebook::{self, Node, Table};
use crate::source::{FileId, Sources, Span};

use super::data::Advice;
use super::table::{File, Keys, OwnWords, Takes};

/// Where a book keeps an advice file of its own.
pub const ADVICE_FILE: &str = "templates/advice.toml";

/// The advice that ships.
const SHIPPED: &str = include_str!("../../templates/advice.toml");

impl Advice {
    /// The advice that ships with the program: read once.
    pub fn shipped() -> Arc<Self> {
        static READ: LazyLock<Arc<Advice>> = LazyLock::new(|| {
            let mut sources = Sources::new();
            let file = sources.set(ADVICE_FILE, SHIPPED);
            // A test makes sure that it has no findings.
            Arc::new(Advice::default().overlaid(file, SHIPPED).0)
        });
        Arc::clone(&READ)
    }

    /// The advice that ships, overlaid with a book's own file; what is wrong with that file is reported.
    pub fn read(file: FileId, text: &str) -> (Self, Vec<Finding>) {
        Self::clone(&Self::shipped()).overlaid(file, text)
    }

    /// Overlays this advice with a file: an entry replaces the one with its name.
    fn overlaid(mut self, file: FileId, text: &str) -> (Self, Vec<Finding>) {
        let (table, findings) = notebook::parse_table(file, text);
        let mut reading = File::new(findings, OwnWords::default());
        let mut keys = Keys::new(&table, Span::top(file), &mut reading);
        if keys.field("alone", Takes::Truth).flatten() == Some(true) {
            self.looks.clear();
            self.readings.clear();
            self.complaints.clear();
        }
        keys.file.words = self.own_words(&table);
        self.lay_keys(&mut keys);
        keys.close();
        (self, reading.findings)
    }

    /// The words there will be, with those that a file adds.
    fn own_words(&self, file: &Table) -> OwnWords {
        let table = |key| file.get(key).and_then(Node::table);
        let entries = |key| table(key).map_or(&[][..], |table| &table.entries);
        let own = |key| entries(key).iter().map(|entry| entry.key.to_string());
        let feels = entries("complaint").iter().flat_map(|entry| {
            let texts = |key| entry.value.table().and_then(|own| own.get(key)).map(Node::texts);
            let word = texts("word").unwrap_or_else(|| vec![entry.key.to_string()]);
            word.into_iter().chain(texts("also_called").unwrap_or_default())
        });
        let places = file.get("places").map(Node::texts).filter(|places| !places.is_empty());
        OwnWords {
            places: places.unwrap_or_else(|| self.places.clone()),
            looks: self.looks.iter().map(|look| look.name.clone()).chain(own("look")).collect(),
            complaints: self
                .complaints
                .iter()
                .map(|known| known.key.clone())
                .chain(own("complaint"))
                .collect(),
            feels: self.words().into_iter().map(str::to_owned).chain(feels).collect(),
            cautions: self
                .cautions
                .iter()
                .map(|caution| caution.name.clone())
                .chain(own("caution"))
                .collect(),
            work: self.work.iter().map(|group| group.name.clone()).chain(own("work")).collect(),
        }
    }
}
