//! From the texts of a table's names to names, and back.

use std::collections::BTreeMap;
use std::sync::{OnceLock, PoisonError, RwLock};

use super::super::by_text::ByText;
use super::super::symbol::Symbol;
use super::{Name, Part, Row};

/// The names of a table by their text.
pub struct Index<R> {
    /// Names known beforehand.
    known: ByText<Name<R>>,
    texts: BTreeMap<Name<R>, &'static str>,
    /// The texts of names with a rider's own word or a gear, as far as anybody asked for them.
    asked: RwLock<BTreeMap<Name<R>, &'static str>>,
    /// Rows open for a rider's own word, by the text before it.
    open: ByText<(R, Part)>,
}

impl<R: Row> Index<R> {
    fn new() -> Self {
        let (mut known, mut open, mut texts) = (Vec::new(), Vec::new(), BTreeMap::new());
        for row in R::ALL {
            let (before, part, behind) = Part::of(row.pattern());
            for filled in part.all() {
                let name = Name { row: *row, open: filled };
                let text = Symbol::of(&format!("{before}{filled}{behind}")).as_str();
                texts.insert(name, text);
                known.push((text, name));
            }
            if matches!(part, Part::Gear | Part::Word) {
                open.push((before, (*row, part)));
            }
        }
        Self { known: ByText::new(known), texts, asked: RwLock::default(), open: ByText::new(open) }
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

    /// The text of a name that is more than its row's pattern.
    pub(super) fn text(&self, name: Name<R>) -> &'static str {
        if let Some(text) = self.texts.get(&name) {
            return text;
        }
        let asked = &self.asked;
        if let Some(known) = asked.read().unwrap_or_else(PoisonError::into_inner).get(&name) {
            return known;
        }
        let text = Symbol::of(&name.to_string()).as_str();
        asked.write().unwrap_or_else(PoisonError::into_inner).insert(name, text);
        text
    }
}
