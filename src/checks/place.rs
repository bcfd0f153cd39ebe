//! What a rule looks at.

use std::cell::RefCell;
use std::collections::BTreeMap;

use crate::book::{Book, Day, Notebook};
use crate::figures::{Bench, Here, Margin, Recording};
use crate::season::{DayReplay, Season, State};
use crate::source::Span;
use crate::vocabulary::Named;
use crate::vocabulary::blocks::{AnyBlock, BandBlock, Limits};
use crate::vocabulary::values::{Band, Limit};

/// A day, its replay, and a bench at its end.
pub(super) struct OfDay<'a, 't, M: Recording> {
    pub book: &'a Book,
    pub season: &'a Season,
    pub index: usize,
    pub day: &'a Day,
    pub replay: &'a DayReplay,
    pub machine: Option<&'a Notebook>,
    pub bench: Bench<'a, M::Recorder<'t>>,
    /// The margins of what was found at other places of the day.
    elsewhere: RefCell<Vec<Margin>>,
}

/// A machine with its standard setting, before anybody rode it.
pub(super) struct OfMachine<'a, 't, M: Recording> {
    pub book: &'a Book,
    pub season: &'a Season,
    pub machine: &'a Notebook,
    pub state: &'a State,
    pub bench: Bench<'a, M::Recorder<'t>>,
}

impl<M: Recording> OfDay<'_, '_, M> {
    /// Calls `look` with a day; does nothing where there is no such day.
    pub fn with(book: &Book, season: &Season, index: usize, look: impl FnOnce(&OfDay<'_, '_, M>)) {
        let (Some(day), Some(replay)) = (book.days.get(index), season.days.get(index)) else { return };
        let Some(here) = Here::of_day(book, season, index, replay.end()) else { return };
        let recording = M::default();
        let bench = Bench::new(here, recording.recorder());
        let (machine, elsewhere) = (book.machine(day), RefCell::default());
        look(&OfDay { book, season, index, day, replay, machine, bench, elsewhere });
    }
}

impl<'a, M: Recording> OfDay<'a, '_, M> {
    /// The day's blocks that count, in the order of the file.
    pub fn blocks(&self) -> &'a [AnyBlock] {
        &self.day.notebook.blocks
    }

    /// Whether a place is in the day's own notebook.
    pub fn is_here(&self, span: Span) -> bool {
        span.file == self.day.notebook.document.file
    }

    /// Works on a bench at another place of a day, where nobody asks what a value rests on.
    pub fn at<T>(
        &self,
        index: usize,
        state: &State,
        work: impl FnOnce(&Bench<'_, M::Recorder<'_>>) -> T,
    ) -> Option<T> {
        let here = Here::of_day(self.book, self.season, index, state)?;
        let recording = M::default();
        let bench = Bench::new(here, recording.recorder()).untraced();
        let made = work(&bench);
        self.elsewhere.borrow_mut().extend(bench.margins());
        Some(made)
    }

    /// The margins within which the rules would find the same.
    pub fn margins(&self) -> Vec<Margin> {
        let mut all = self.bench.margins();
        all.append(&mut self.elsewhere.borrow_mut());
        all
    }
}

impl<M: Recording> OfMachine<'_, '_, M> {
    pub fn with(book: &Book, season: &Season, machine: &Notebook, look: impl FnOnce(&OfMachine<'_, '_, M>)) {
        let state = season.as_standard(&machine.name).unwrap_or_default();
        let recording = M::default();
        let bench = Bench::new(Here::of_machine(book, season, machine, &state), recording.recorder());
        look(&OfMachine { book, season, machine, state: &state, bench });
    }
}

/// The machine's bands: of two for one name, the later one.
pub(super) fn bands(machine: &Notebook) -> Vec<&Band> {
    let all: Vec<&Band> = machine.all::<BandBlock>().flat_map(|block| &block.others.bands).collect();
    let last: BTreeMap<Named, usize> = all.iter().enumerate().map(|(at, band)| (band.name, at)).collect();
    let counts = |at: usize, band: &Band| last.get(&band.name) == Some(&at);
    all.iter().enumerate().filter(|(at, band)| counts(*at, band)).map(|(_, band)| *band).collect()
}

/// The maker's limits.
pub(super) fn limits(machine: &Notebook) -> impl Iterator<Item = &Limit> {
    machine.all::<Limits>().flat_map(|block| &block.others.limits)
}
