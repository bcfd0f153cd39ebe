//! Who is not cleared to ride, for pages about something else: one line a rider, and nothing of why.

use serde::Serialize;

use crate::advice;
use crate::pages::ForReader;
use crate::speech::Tongue;

use super::shelf::Shelf;

/// A page, and the riders who are not cleared, for a template or another program.
#[derive(Serialize)]
pub(super) struct WithStops<P: Serialize> {
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub not_cleared: Vec<String>,
    #[serde(flatten)]
    pub page: P,
}

impl<P: Serialize> WithStops<P> {
    /// The same page as a template is given it.
    pub fn laid<'p, V: Serialize>(&'p self, laid: impl Fn(&'p P) -> V) -> WithStops<V> {
        WithStops { not_cleared: self.not_cleared.clone(), page: laid(&self.page) }
    }
}

impl<P: Serialize + ForReader> ForReader for WithStops<P> {
    fn tongue(&self) -> &Tongue {
        self.page.tongue()
    }
}

/// Which riders of some days are not cleared to ride.
pub(super) fn stops(shelf: &Shelf, days: impl IntoIterator<Item = usize>) -> Vec<String> {
    advice::not_cleared(&shelf.book, &shelf.advice, days)
}
