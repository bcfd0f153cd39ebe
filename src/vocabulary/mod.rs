//! The one table of words: every block, key, setting and figure, with its kind, its range and one line of help.
//!
//! The parser, the checks, did-you-mean and the printed reference all read it. A block is declared once in
//! [`blocks`], a setting once in [`settings`], a figure once in [`figures`]; no other room spells these names.

pub mod blocks;
mod by_text;
mod cares;
pub mod codes;
mod dampers;
pub mod figures;
pub mod name;
pub mod names;
mod reader;
mod sags;
pub mod settings;
mod several;
pub(crate) mod shown;
pub mod spec;
mod symbol;
pub mod values;

use std::sync::OnceLock;

use serde::{Serialize, Serializer};

use crate::quantity::Kind;
use crate::speech::{Message, Part};

pub use blocks::{AnyBlock, BLOCKS, Header, Typed};
pub use cares::Care;
pub use codes::CODES;
pub use dampers::Damper;
use figures::FigureId;
pub use figures::{FigureName, MovedBy, ReadingName};
use name::{Name, Row};
pub use names::End;
pub(crate) use reader::Reader;
pub use reader::{UNITS, is_reserved_chamber, pressure_setting};
pub use sags::{Keyed, Load, Rests};
pub use settings::Setting;
use settings::SettingId;
pub use several::{NamedRow, Names, names_of_chamber};
pub use spec::{Argument, BlockSpec, KeySpec, NotebookKind};
pub use symbol::Symbol;

/// What a dotted name means.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Named {
    Figure(FigureName),
    Reading(ReadingName),
    Setting(Setting),
}

/// Looks up a figure, a reading or a setting by name.
pub fn lookup(name: &str) -> Option<Named> {
    FigureName::parse(name)
        .map(Named::Figure)
        .or_else(|| ReadingName::parse(name).map(Named::Reading))
        .or_else(|| Setting::parse(name).map(Named::Setting))
}

/// Written as in a notebook; in a sentence by its label.
impl Part for Named {
    fn part(&self) -> Message {
        Message::text(self.as_str())
    }
}

impl Named {
    /// The kinds of quantity of its value; none for words.
    pub fn kinds(self) -> Vec<Kind> {
        match self {
            Self::Figure(name) => name.info().kind().into_iter().collect(),
            Self::Reading(name) => name.info().kind().into_iter().collect(),
            Self::Setting(name) => name.info().kinds().to_vec(),
        }
    }

    /// Its label on a sheet.
    pub fn label(self) -> Message {
        match self {
            Self::Figure(name) => name.label(),
            Self::Reading(name) => Message::word(name.info().label),
            Self::Setting(name) => name.label(),
        }
    }

    /// Its name as written in a notebook.
    pub fn as_str(self) -> &'static str {
        match self {
            Self::Figure(name) => name.as_str(),
            Self::Reading(name) => name.as_str(),
            Self::Setting(name) => name.as_str(),
        }
    }
}

impl From<Setting> for Named {
    fn from(name: Setting) -> Self {
        Self::Setting(name)
    }
}

impl From<FigureName> for Named {
    fn from(name: FigureName) -> Self {
        Self::Figure(name)
    }
}

impl std::fmt::Display for Named {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        match self {
            Self::Figure(name) => name.fmt(f),
            Self::Reading(name) => name.fmt(f),
            Self::Setting(name) => name.fmt(f),
        }
    }
}

/// As written in a notebook.
impl Serialize for Named {
    fn serialize<S: Serializer>(&self, to: S) -> Result<S::Ok, S::Error> {
        to.serialize_str(self.as_str())
    }
}

/// Every name with its ends filled in, for did-you-mean; without names that riders choose.
pub fn every_name() -> &'static [String] {
    static NAMES: OnceLock<Vec<String>> = OnceLock::new();
    NAMES.get_or_init(fill_every_name)
}

/// Those of [`every_name`] that are settings.
pub fn every_setting() -> &'static [String] {
    static NAMES: OnceLock<Vec<String>> = OnceLock::new();
    NAMES.get_or_init(|| filled::<SettingId>().collect())
}

fn fill_every_name() -> Vec<String> {
    let readings = ReadingName::ALL.iter().map(|name| name.as_str().to_owned());
    filled::<FigureId>().chain(readings).chain(filled::<SettingId>()).collect()
}

/// The names of a table that are known in advance.
fn filled<R: Row>() -> impl Iterator<Item = String> {
    let rows = R::ALL.iter().copied();
    rows.flat_map(|row| row.part().all().into_iter().map(move |open| Name { row, open }.to_string()))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn no_name_begins_another() {
        let patterns: Vec<Vec<&str>> = figures::FIGURES
            .iter()
            .chain(figures::READINGS)
            .map(|row| row.pattern)
            .chain(settings::SETTINGS.iter().map(|row| row.pattern))
            .map(|pattern| pattern.split('.').collect())
            .collect();
        let open = |part: &str| matches!(part, "END" | "P" | "GEAR" | "NAME" | "ANYTHING");
        for (i, a) in patterns.iter().enumerate() {
            for (j, b) in patterns.iter().enumerate() {
                let begins = a.len() <= b.len() && a.iter().zip(b).all(|(x, y)| x == y || open(x) || open(y));
                assert!(i == j || !begins, "{} begins {}", a.join("."), b.join("."));
            }
        }
    }

    #[test]
    fn keys_are_named_once_in_a_block() {
        for block in BLOCKS {
            for (i, key) in block.keys.iter().enumerate() {
                assert!(
                    !block.keys.iter().skip(i + 1).any(|other| other.name == key.name),
                    "{} {}",
                    block.word,
                    key.name
                );
                if let Some(or) = key.or {
                    assert!(block.key(or).is_some(), "{} {} or {or}", block.word, key.name);
                }
            }
        }
    }
}
