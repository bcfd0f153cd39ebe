//! From the texts of a table's names to names, and back.

use std::collections::HashMap;
use std::sync::{OnceLock, PoisonError, RwLock};

use foldhash::fast::FixedState;

use super::super::symbol::Symbol;
use super::{Name, Part, Row};

/// What is looked up for every key of every notebook.
type Hashed<K, V> = HashMap<K, V, FixedState>;

/// The names of a table by their text.
pub struct Index<R> {
    /// Names known beforehand.
    known: Hashed<&'static str, Name<R>>,
    texts: Hashed<Name<R>, Symbol>,
    /// The texts of names with a rider's own word or a gear, as far as anybody asked for them.
    asked: RwLock<Hashed<Name<R>, Symbol>>,
    /// Rows open for a rider's own word, by the text before it.
    open: Hashed<&'static str, (R, Part)>,
}

impl<R: Row> Index<R> {
    fn new() -> Self {
        let mut index = Self {
            known: Hashed::default(),
            texts: Hashed::default(),
            asked: RwLock::default(),
            open: Hashed::default(),
        };
        for row in R::ALL {
            let (before, part, behind) = Part::of(row.pattern());
            for filled in part.all() {
                let name = Name { row: *row, open: filled };
                let text = Symbol::of(&format!("{before}{filled}{behind}"));
                index.texts.insert(name, text);
                index.known.insert(text.as_str(), name);
            }
            if matches!(part, Part::Gear | Part::Word) {
                index.open.insert(before, (*row, part));
            }
        }
        index
    }

    /// The index in a table's static place.
    pub fn kept(place: &'static OnceLock<Self>) -> &'static Self {
        place.get_or_init(Self::new)
    }

    /// The name with a text; `None` where the table does not have it.
    pub(super) fn name(&self, text: &str) -> Option<Name<R>> {
        if let Some(name) = self.known.get(text) {
            return Some(*name);
        }
        let word = text.rfind('.').map_or(0, |dot| dot + 1);
        let (before, word) = text.split_at_checked(word)?;
        let (row, part) = *self.open.get(before)?;
        Some(Name { row, open: part.read(word)? })
    }

    /// The text of a name.
    pub(super) fn symbol(&self, name: Name<R>) -> Symbol {
        if let Some(known) = self.texts.get(&name) {
            return *known;
        }
        if let Some(known) = self.asked.read().unwrap_or_else(PoisonError::into_inner).get(&name) {
            return *known;
        }
        let text = Symbol::of(&name.to_string());
        self.asked.write().unwrap_or_else(PoisonError::into_inner).insert(name, text);
        text
    }
}
