//! The advice of a book: what ships, overlaid with the book's own.

use std::sync::Arc;

use crate::book::Book;
use crate::checks;
use crate::finding::{Code, Finding};
use crate::notebook::fault_finding;
use crate::source::{Store, read_text};

use super::CODES;
use super::parts::Advice;
use super::read::ADVICE_FILE;

/// The book's advice, with the findings about its own file, where it has one.
///
/// For a file that cannot be read at all there is a finding, and what ships is used.
pub fn of_book(book: &mut Book, store: &dyn Store) -> (Arc<Advice>, Vec<Finding>) {
    match read_text(store, ADVICE_FILE, &mut book.sources) {
        Some(Ok(file)) => {
            let (advice, findings) = Advice::read(file, book.sources.whole(file));
            (Arc::new(advice), findings)
        }
        Some(Err(fault)) => (Advice::shipped(), vec![fault_finding(&fault)]),
        None => (Advice::shipped(), Vec::new()),
    }
}

/// Every code that a finding can have, advice's among them, by name.
pub fn catalogue() -> Vec<&'static Code> {
    let mut all = checks::catalogue();
    all.extend(CODES);
    all.sort_by_key(|code| code.name);
    all
}
