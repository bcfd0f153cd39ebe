//! The rules, one a file, over everything above.

pub mod due;

pub use due::{Due, Last, due, schedule};

use crate::finding::Code;
use crate::{book, notebook, quantity, season, vocabulary};

/// Every code that a finding can have, by name.
pub fn catalogue() -> Vec<&'static Code> {
    let rooms = [notebook::CODES, quantity::CODES, vocabulary::CODES, book::CODES, season::CODES];
    let mut codes: Vec<&'static Code> = rooms.into_iter().flatten().copied().collect();
    codes.sort_by_key(|code| code.name);
    codes
}
