//! Words that riders chose, as values.

use std::borrow::Borrow;
use std::collections::HashMap;
use std::fmt;
use std::sync::{PoisonError, RwLock};

use foldhash::fast::FixedState;

use crate::speech::{Message, Part};

/// A word that a rider chose: the name of a chamber, of a service, of anything. Each is stored once, for as long
/// as the program runs: all words of a book are less than the book.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Symbol(&'static &'static str);

impl Symbol {
    pub fn of(word: &str) -> Self {
        static KNOWN: RwLock<HashMap<&'static str, Symbol, FixedState>> =
            RwLock::new(HashMap::with_hasher(FixedState::with_seed(0)));
        // A panic while it was held still leaves a whole set.
        if let Some(known) = KNOWN.read().unwrap_or_else(PoisonError::into_inner).get(word) {
            return *known;
        }
        let mut all = KNOWN.write().unwrap_or_else(PoisonError::into_inner);
        if let Some(known) = all.get(word) {
            return *known;
        }
        let kept: &'static str = Box::leak(Box::from(word));
        let symbol = Self(Box::leak(Box::new(kept)));
        all.insert(kept, symbol);
        symbol
    }

    pub const fn as_str(self) -> &'static str {
        self.0
    }
}

impl Borrow<str> for Symbol {
    fn borrow(&self) -> &str {
        self.0
    }
}

impl fmt::Display for Symbol {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.pad(self.0)
    }
}

impl fmt::Debug for Symbol {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        fmt::Debug::fmt(self.0, f)
    }
}

/// A rider's own word is never translated.
impl Part for Symbol {
    fn part(&self) -> Message {
        Message::text(self.as_str())
    }
}
