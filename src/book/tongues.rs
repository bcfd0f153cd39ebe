//! The languages that a book can use: those that ship, and its own.

use std::collections::BTreeMap;

use crate::finding::Finding;
use crate::notebook::{self, Entry, Node, Value};
use crate::source::{FileId, Listing, Sources, Span, Store, read_text};
use crate::speech::{Catalogue, Faulty, Message, SHIPPED_TAGS, Tongue, say};
use crate::vocabulary::values::Written;

use super::codes;

/// Where a book keeps the words of a language: `templates/words/fr.toml`.
const FOLDER: &str = "templates/words/";
const ENDING: &str = ".toml";

/// The book's own languages by tag; those that ship need no entry.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Tongues {
    own: BTreeMap<String, Tongue>,
    /// Whether none of them is used: programs read English.
    is_silent: bool,
}

impl Tongues {
    /// Where a book keeps the words of a language.
    pub fn path(tag: &str) -> String {
        format!("{FOLDER}{tag}{ENDING}")
    }

    /// Reads the book's own files. What is wrong in one is reported, and the rest of it counts.
    pub fn of_book(
        listing: &Listing,
        store: &dyn Store,
        sources: &mut Sources,
        findings: &mut Vec<Finding>,
    ) -> Self {
        let tag = |path: &str| {
            let tag = path.strip_prefix(FOLDER)?.strip_suffix(ENDING)?;
            (!tag.is_empty() && !tag.contains('/')).then(|| tag.to_owned())
        };
        let mut own = BTreeMap::new();
        for (path, tag) in listing.files.iter().filter_map(|file| Some((&file.path, tag(&file.path)?))) {
            match read_text(store, path, sources) {
                Some(Ok(file)) => drop(own.insert(tag.clone(), read(&tag, file, sources, findings))),
                Some(Err(fault)) => findings.push(notebook::fault_finding(&fault)),
                None => {}
            }
        }
        Self { own, is_silent: false }
    }

    /// The same for programs, which read English.
    pub(super) fn silent(self, is_silent: bool) -> Self {
        Self { is_silent, ..self }
    }

    /// A language by its tag.
    pub fn get(&self, tag: &str) -> Option<Tongue> {
        self.own.get(tag).cloned().or_else(|| Tongue::shipped(tag))
    }

    /// The language with a tag, with or without a region; where there is none, that is reported.
    pub fn find(&self, asked: &Written, findings: &mut Vec<Finding>) -> Option<Tongue> {
        let without_region = asked.text.split('-').next().unwrap_or_default();
        let found = self.get(&asked.text).or_else(|| self.get(without_region));
        if found.is_none() {
            let tag = &asked.text;
            let all = SHIPPED_TAGS.iter().copied().chain(self.own.keys().map(String::as_str));
            let mut all: Vec<&str> = all.collect();
            all.sort_unstable();
            all.dedup();
            let all = Message::either(all.into_iter().map(|tag| Message::text(format!("`{tag}`"))));
            let headline = say!("there are no words for the language `{tag}` yet", tag);
            let own = say!(
                "or put its words into `templates/words/{tag}.toml`: `loambook words --missing {tag}` lists them",
                tag
            );
            let finding = Finding::new(&codes::UNKNOWN_LANGUAGE, asked.span, headline);
            findings.push(finding.help(say!("write {all}", all)).help(own));
        }
        found.filter(|_| !self.is_silent)
    }
}

/// A language of the book's own, over the one with that tag that ships.
fn read(tag: &str, file: FileId, sources: &Sources, findings: &mut Vec<Finding>) -> Tongue {
    let (table, reported) = notebook::parse_table(file, sources.whole(file));
    findings.extend(reported);
    let shipped = Tongue::shipped(tag).and_then(|tongue| tongue.catalogue().cloned());
    let mut catalogue = shipped.unwrap_or_else(|| Catalogue::new(tag));
    for entry in &table.entries {
        match (&*entry.key, &entry.value.value) {
            ("language", Value::Text(name)) => catalogue.name = name.text.to_string(),
            ("decimal", Value::Text(sign)) if sign.text.chars().count() == 1 => {
                catalogue.decimal = sign.text.chars().next().unwrap_or(catalogue.decimal);
            }
            (_, Value::Table(section)) => {
                section.entries.iter().for_each(|entry| add(entry, &mut catalogue, findings));
            }
            (key, _) => {
                let help = say!("write `language`, `decimal` with one sign, or a table of patterns");
                bad(
                    entry.value.span,
                    say!("`{key}` does not belong in a file of words", key),
                    help,
                    findings,
                );
            }
        }
    }
    Tongue::of(catalogue)
}

fn add(entry: &Entry, catalogue: &mut Catalogue, findings: &mut Vec<Finding>) {
    let Node { value, span } = &entry.value;
    let Value::Text(words) = value else {
        let help = say!("write the words as a text");
        return bad(*span, say!("this is not a text"), help, findings);
    };
    match Catalogue::fault(&entry.key, &words.text) {
        None => drop(catalogue.words.insert(entry.key.to_string(), words.text.to_string())),
        Some(Faulty::Unknown) => bad(
            entry.key_span,
            say!("nothing uses this pattern"),
            say!("patterns are in English, letter by letter as `loambook words --missing` lists them"),
            findings,
        ),
        Some(Faulty::OtherPlaces(places)) if places.is_empty() => {
            let help = say!("leave out what is in braces");
            bad(*span, say!("the pattern has no places, and these words have"), help, findings);
        }
        Some(Faulty::OtherPlaces(places)) => {
            let all = Message::both(places.into_iter().map(|place| Message::text(format!("`{place}`"))));
            let help = say!("the pattern's places are {all}", all);
            bad(*span, say!("these words do not have the places of their pattern"), help, findings);
        }
    }
}

fn bad(span: Span, headline: Message, help: Message, findings: &mut Vec<Finding>) {
    findings.push(Finding::new(&codes::BAD_WORDS, span, headline).help(help));
}
