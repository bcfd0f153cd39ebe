//! The words of one language: one file.
//!
//! ```toml
//! language = "Deutsch"     # its own name
//! decimal = ","
//!
//! [findings]               # sections are for whoever reads the file
//! "{found} is no number" = "{found} ist keine Zahl"
//! ```

use std::collections::BTreeMap;
use std::sync::{Arc, OnceLock};

use toml::{Table, Value};

use super::tongue::DECIMAL_POINT;
use super::{OPEN, fill, pattern};

/// Every English pattern, by section. A test holds it equal to the code, the templates and the tables.
pub const ENGLISH: &str = include_str!("../../templates/words/en.toml");

/// The tags of the languages that ship.
pub const SHIPPED_TAGS: [&str; 3] = ["de", "en", "es"];

/// The languages that ship beside English. In a browser there is English alone.
#[cfg(not(target_family = "wasm"))]
const SHIPPED: [(&str, &str); 2] = [
    ("de", include_str!("../../templates/words/de.toml")),
    ("es", include_str!("../../templates/words/es.toml")),
];
#[cfg(target_family = "wasm")]
const SHIPPED: [(&str, &str); 2] = [("de", ""), ("es", "")];

/// The words of a language by their English pattern.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Catalogue {
    pub tag: String,
    /// In the language itself.
    pub name: String,
    pub decimal: char,
    pub words: BTreeMap<String, String>,
}

/// What is wrong with an entry of a catalogue.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Faulty {
    /// English has no such pattern.
    Unknown,
    /// Its places are not the pattern's; here are the pattern's.
    OtherPlaces(Vec<String>),
}

/// A language that ships, read when somebody first asks for it.
pub(super) fn built_in(tag: &str) -> Option<Arc<Catalogue>> {
    static READ: [OnceLock<Option<Arc<Catalogue>>>; SHIPPED.len()] =
        [const { OnceLock::new() }; SHIPPED.len()];
    let ((_, text), kept) = SHIPPED.iter().zip(&READ).find(|((known, _), _)| *known == tag)?;
    kept.get_or_init(|| Catalogue::read(tag, text).ok().map(Arc::new)).clone()
}

/// The sections of a catalogue's text, each with its entries in their order; `None` where the text is no
/// catalogue.
pub fn sections(text: &str) -> Option<Vec<(String, BTreeMap<String, String>)>> {
    of_table(text.parse().ok()?)
}

fn of_table(table: Table) -> Option<Vec<(String, BTreeMap<String, String>)>> {
    let entries = |section: Table| {
        section.into_iter().map(|(key, value)| Some((key, value.as_str()?.to_owned()))).collect::<Option<_>>()
    };
    let sections = table.into_iter().filter_map(|(name, value)| match value {
        Value::Table(section) => Some(entries(section).map(|entries| (name, entries))),
        _ => None,
    });
    sections.collect()
}

impl Catalogue {
    /// A language that has no words yet.
    pub fn new(tag: &str) -> Self {
        Self { tag: tag.to_owned(), name: tag.to_owned(), decimal: DECIMAL_POINT, words: BTreeMap::new() }
    }

    /// Reads a catalogue.
    ///
    /// # Errors
    ///
    /// Where the text is no TOML, or no table of texts.
    pub fn read(tag: &str, text: &str) -> Result<Self, String> {
        let table: Table = text.parse().map_err(|error: toml::de::Error| error.to_string())?;
        let mut catalogue = Self::new(tag);
        let own = |key: &str| table.get(key).and_then(Value::as_str);
        catalogue.name = own("language").unwrap_or(tag).to_owned();
        catalogue.decimal = own("decimal").and_then(|sign| sign.chars().next()).unwrap_or(DECIMAL_POINT);
        let sections = of_table(table).ok_or("an entry is not text")?;
        catalogue.words.extend(sections.into_iter().flat_map(|(_, entries)| entries));
        Ok(catalogue)
    }

    /// In the form of a language's file: all of it in one section.
    pub fn written(&self) -> String {
        let Self { name, decimal, words, .. } = self;
        let head =
            format!("language = {}\ndecimal = {}\n\n[all]\n", quoted(name), quoted(&decimal.to_string()));
        let entry = |(key, words): (&String, &String)| format!("{} = {}\n", quoted(key), quoted(words));
        head + &words.iter().map(entry).collect::<String>()
    }

    /// Every English pattern with its section.
    pub fn english() -> &'static BTreeMap<String, String> {
        static READ: OnceLock<BTreeMap<String, String>> = OnceLock::new();
        READ.get_or_init(|| {
            let sections = sections(ENGLISH).unwrap_or_default();
            let named = |(section, entries): (String, BTreeMap<String, String>)| {
                entries.into_keys().map(move |key| (key, section.clone())).collect::<Vec<_>>()
            };
            sections.into_iter().flat_map(named).collect()
        })
    }

    /// What is wrong with words for an English pattern, if anything is.
    pub fn fault(key: &str, words: &str) -> Option<Faulty> {
        if !Self::english().contains_key(key) {
            return Some(Faulty::Unknown);
        }
        let wanted = places(pattern(key));
        (wanted != places(words)).then_some(Faulty::OtherPlaces(wanted))
    }

    /// The English patterns that this language has no words for, by section.
    pub fn lacks(&self) -> Vec<(&'static str, &'static str)> {
        let all = Self::english().iter().map(|(key, section)| (section.as_str(), key.as_str()));
        let mut lacking: Vec<_> = all.filter(|(_, key)| !self.words.contains_key(*key)).collect();
        lacking.sort_unstable();
        lacking
    }
}

/// A text as a basic string of TOML.
pub fn quoted(text: &str) -> String {
    let mut quoted = String::with_capacity(text.len() + 2);
    quoted.push('"');
    for letter in text.chars() {
        match letter {
            '"' | '\\' => quoted.extend(['\\', letter]),
            '\n' => quoted.push_str("\\n"),
            '\t' => quoted.push_str("\\t"),
            letter => quoted.push(letter),
        }
    }
    quoted.push('"');
    quoted
}

/// The places of a pattern: those in braces, and the open part of a label; sorted, each once.
pub fn places(pattern: &str) -> Vec<String> {
    let mut places = Vec::new();
    fill(pattern, &mut String::new(), |name, _| {
        places.push(format!("{{{name}}}"));
        true
    });
    let words = pattern.split(|letter: char| !letter.is_alphanumeric());
    places.extend(words.filter(|word| OPEN.contains(word)).map(str::to_owned));
    places.sort_unstable();
    places.dedup();
    places
}
