//! Figures: readings and settings bound to the formulas of `physics`.
//!
//! This room decides what a formula is given: which reading, in force where, and what is assumed and named when
//! nobody wrote it. A figure without a value says which block and key are missing. Nothing is computed before
//! something asks for it.

mod across;
mod air;
mod assumptions;
mod bands;
mod bench;
mod catalogue;
mod drive;
mod figure;
mod fork;
mod formula;
mod geometry;
mod inputs;
mod laps;
mod loads;
mod margin;
mod on_hand;
mod once;
mod posture;
mod pressures;
mod recorder;
mod rejected;
mod sag;
mod series;
mod spring;
mod springs;
mod steering;
pub mod tape;
mod trace;
mod trend;
mod tyres;
mod uncertainty;

pub use across::GateAir;
pub use assumptions::{
    ASSUMPTIONS, Assumption, ORDINARY, Ordinary, PRIOR_FREEDOM, predicted, predicted_unread,
};
pub use bands::{Standing, standing, standing_of};
pub use bench::{Bench, Got, Here, Shape, SourceNote};
pub use figure::{
    Absent, Cause, ENOUGH, Faulty, Figure, Measure, Measured, Missing, Number, Outcome, Pool, Scatter, Source,
};
pub use formula::Formula;
pub use margin::{Expanded, Margin};
pub use on_hand::SpringOnHand;
pub use posture::{ChainSide, ForkSide, Place, Posture};
pub use recorder::{Plain, Recorder, Recording};
pub use series::{Days, Of, Series, SeriesPoint, series};
pub(crate) use springs::leverage_of;
pub use trend::{Trend, days_between};

use crate::book::{Book, Notebook};
use crate::season::{Season, State};

impl<'a> Here<'a> {
    /// A place of a day; `state` holds there.
    pub fn of_day(book: &'a Book, season: &'a Season, day: usize, state: &'a State) -> Option<Self> {
        let day = book.days.get(day)?;
        let machine = book.machine(day);
        let standard = machine.and_then(|machine| season.standard.get(&machine.name));
        Some(Self {
            book,
            day: Some(day),
            machine,
            track: book.track(day),
            state,
            standard,
            repeats: &season.repeats,
            repeats_until: Some(day.date),
        })
    }

    /// A machine by itself.
    pub fn of_machine(book: &'a Book, season: &'a Season, machine: &'a Notebook, state: &'a State) -> Self {
        let standard = season.standard.get(&machine.name);
        Self {
            book,
            day: None,
            machine: Some(machine),
            track: None,
            state,
            standard,
            repeats: &season.repeats,
            repeats_until: None,
        }
    }

    /// Two places to compare: for both counts what the later day knows of hand and instrument.
    #[must_use]
    pub fn side_by_side(self, other: Self) -> (Self, Self) {
        let later = if self.repeats_until > other.repeats_until { self } else { other };
        let Self { repeats, repeats_until, .. } = later;
        (Self { repeats, repeats_until, ..self }, Self { repeats, repeats_until, ..other })
    }
}
