//! What riders said they felt, and whether it was understood: kept for the days where neither the words nor the ways of
//! understanding them have changed.

use std::sync::Arc;

use crate::advice::{self, Advice, Ear};
use crate::book::{Book, Day};
use crate::finding::Finding;

/// What there was to say of each day.
#[derive(Default)]
pub(super) struct Feelings {
    before: Option<(Arc<Book>, Arc<Advice>)>,
    days: Vec<Arc<[Finding]>>,
}

impl Feelings {
    pub fn check(&mut self, book: &Arc<Book>, advice: &Arc<Advice>) -> Vec<Finding> {
        let ear = Ear::new(advice);
        let before = self.before.as_ref().filter(|(_, before)| Arc::ptr_eq(before, advice));
        let days = book.days.iter().enumerate().map(|(index, day)| {
            let was = before.and_then(|(then, _)| Some((then, then.days.get(index)?)));
            let has_stayed = was.is_some_and(|(then, was)| is_same(book, day, then, was));
            let known = self.days.get(index).filter(|_| has_stayed);
            known.cloned().unwrap_or_else(|| advice::check(book, day, &ear).into())
        });
        self.days = days.collect();
        self.before = Some((Arc::clone(book), Arc::clone(advice)));
        self.days.iter().flat_map(|found| found.iter().cloned()).collect()
    }
}

/// Whether a day and its track, which lends words for its places, are the notebooks that they were.
fn is_same(book: &Book, day: &Day, then: &Book, was: &Day) -> bool {
    let tracks = match (book.track(day), then.track(was)) {
        (Some(now), Some(then)) => std::ptr::eq(now, then),
        (now, then) => now.is_none() && then.is_none(),
    };
    tracks && Arc::ptr_eq(&day.notebook, &was.notebook)
}
