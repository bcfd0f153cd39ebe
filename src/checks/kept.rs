//! Which days an edit does not touch, so that their findings are kept.

use std::collections::BTreeMap;
use std::sync::Arc;

use crate::book::{Book, Day, Notebook};
use crate::season::Season;
use crate::source::side_by_side::*;

use super::Found;

/// What the rules found on each day of a book.
#[derive(Debug, Default)]
pub struct Kept {
    before: Option<(Arc<Book>, Arc<Season>)>,
    /// `None` for a day that was not waited for.
    days: Vec<Option<Arc<Found>>>,
}

impl Kept {
    /// The findings of the days that nothing has touched since.
    pub(super) fn still_found(&self, book: &Book, season: &Season) -> Vec<Option<Arc<Found>>> {
        let untouched =
            self.before.as_ref().and_then(|(then, replayed)| Untouched::new(then, replayed, book, season));
        let Some(untouched) = untouched else { return vec![None; season.days.len()] };
        let still = |index: usize| {
            let found = self.days.get(index)?.as_ref().filter(|found| untouched.has(index, found));
            found.cloned()
        };
        (0..season.days.len()).into_par_iter().map(still).collect()
    }

    /// Keeps the findings of each day of a book.
    pub(super) fn keep(&mut self, book: &Arc<Book>, season: &Arc<Season>, days: Vec<Option<Arc<Found>>>) {
        self.before = Some((Arc::clone(book), Arc::clone(season)));
        self.days = days;
    }
}

/// A book before and after an edit.
struct Untouched<'b> {
    then: (&'b Book, &'b Season),
    now: (&'b Book, &'b Season),
    /// Up to this day names, dates and order are the same. An earlier day can lend its air to a later one.
    listed_alike: usize,
    /// Whether no lap file has changed.
    has_same_laps: bool,
    /// From this date on repeats say something else about hands and instruments, so intervals have moved.
    repeats_differ: Option<jiff::civil::Date>,
}

impl<'b> Untouched<'b> {
    /// `None` where something changed that every day rests on: `book.toml`, or a track.
    fn new(then: &'b Book, replayed: &'b Season, now: &'b Book, season: &'b Season) -> Option<Self> {
        if !now.is_about_the_same(then) || !are_same(&then.tracks, &now.tracks) {
            return None;
        }
        let listed = |day: &Day| (day.date, day.is_dated);
        let listed_alike = then.days.iter().zip(&now.days).take_while(|(then, now)| {
            listed(then) == listed(now)
                && then.notebook.path == now.notebook.path
                && (&then.machine, &then.rider, &then.track) == (&now.machine, &now.rider, &now.track)
        });
        Some(Self {
            then: (then, replayed),
            now: (now, season),
            listed_alike: listed_alike.count(),
            has_same_laps: now.has_laps_as(then),
            repeats_differ: season.repeats.differ_from(&replayed.repeats),
        })
    }

    /// Whether everything that the rules look at on a day is the same, or close enough for the same findings.
    fn has(&self, index: usize, found: &Found) -> bool {
        let (then, replayed) = self.then;
        let (now, season) = self.now;
        let (Some(day), Some(replay)) = (now.days.get(index), season.days.get(index)) else { return false };
        let (Some(was), Some(before)) = (then.days.get(index), replayed.days.get(index)) else {
            return false;
        };
        index < self.listed_alike
            && replay.is_as(before)
            && Arc::ptr_eq(&day.notebook, &was.notebook)
            && is_same(now.machine(day), then.machine(was))
            && is_same(now.rider(day), then.rider(was))
            && (self.has_same_laps || now.reads_laps_as(then, &day.notebook))
            && !found.looks_elsewhere
            && (self.repeats_differ.is_none_or(|from| day.date < from)
                || found.margins.iter().all(|margin| margin.holds(&season.repeats, Some(day.date))))
    }
}

/// Whether a notebook is the one read before.
fn is_same(now: Option<&Notebook>, then: Option<&Notebook>) -> bool {
    match (now, then) {
        (Some(now), Some(then)) => std::ptr::eq(now, then),
        (now, then) => now.is_none() && then.is_none(),
    }
}

fn are_same(one: &BTreeMap<String, Arc<Notebook>>, other: &BTreeMap<String, Arc<Notebook>>) -> bool {
    one.len() == other.len()
        && one.iter().zip(other).all(|(one, other)| one.0 == other.0 && Arc::ptr_eq(one.1, other.1))
}
