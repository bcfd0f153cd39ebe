//! What riders said they felt, whether it was understood, and whether they were hurt. It is kept for the days whose words, and
//! the ways of understanding them, have not changed.

use std::collections::BTreeSet;
use std::sync::Arc;

use crate::advice::{self, Advice, Ear, Signs};
use crate::book::{Book, Day};
use crate::finding::Finding;
use crate::source::side_by_side::*;

/// The findings about each day's words.
#[derive(Default)]
pub(super) struct Feelings {
    before: Option<(Arc<Book>, Arc<Advice>)>,
    days: Vec<Arc<[Finding]>>,
    /// Signs of injury, for each day.
    signs: Vec<Arc<Signs>>,
}

impl Feelings {
    pub fn check(&mut self, book: &Arc<Book>, advice: &Arc<Advice>) -> Vec<Finding> {
        let ear = Ear::new(advice);
        let before = self.before.as_ref().filter(|(_, before)| Arc::ptr_eq(before, advice));
        let has_stayed = |index: usize, day: &Day| {
            let was = before.and_then(|(then, _)| Some((then, then.days.get(index)?)));
            was.is_some_and(|(then, was)| is_same(book, day, then, was))
        };
        let of_day = |(index, day): (usize, &Day)| {
            if has_stayed(index, day)
                && let Some(found) = self.days.get(index)
                && let Some(signs) = self.signs.get(index)
            {
                return (Arc::clone(found), Arc::clone(signs));
            }
            let found = advice::check(book, day, &ear);
            (found.into(), Arc::new(advice::signs(book, advice, day)))
        };
        let days: Vec<(Arc<[Finding]>, Arc<Signs>)> = book.days.par_iter().enumerate().map(of_day).collect();
        (self.days, self.signs) = days.into_iter().unzip();
        self.before = Some((Arc::clone(book), Arc::clone(advice)));
        let hurt = advice::check_riders(book, advice, &self.signs);
        self.days.iter().flat_map(|found| found.iter().cloned()).chain(hurt).collect()
    }
}

/// The findings about words in the notebooks of some days, as `Feelings` has them.
pub(super) fn check_about(book: &Book, advice: &Advice, about: &BTreeSet<usize>) -> Vec<Finding> {
    let ear = Ear::new(advice);
    let days: Vec<&Day> = about.iter().filter_map(|index| book.days.get(*index)).collect();
    let felt = days.iter().flat_map(|day| advice::check(book, day, &ear));
    let of_riders = |day: &Day| match days.iter().any(|about| about.rider == day.rider) {
        true => Arc::new(advice::signs(book, advice, day)),
        false => Arc::default(),
    };
    let signs: Vec<Arc<Signs>> = book.days.par_iter().map(of_riders).collect();
    felt.chain(advice::check_riders(book, advice, &signs)).collect()
}

/// Whether the notebooks of a day and of its track, which names its places, are the same as before, and the language that
/// its rider writes in.
fn is_same(book: &Book, day: &Day, then: &Book, was: &Day) -> bool {
    let tracks = match (book.track(day), then.track(was)) {
        (Some(now), Some(then)) => std::ptr::eq(now, then),
        (now, then) => now.is_none() && then.is_none(),
    };
    let languages = [(book, day), (then, was)].map(|(book, day)| book.language_of(day.rider.as_deref()));
    tracks && Arc::ptr_eq(&day.notebook, &was.notebook) && languages[0] == languages[1]
}
