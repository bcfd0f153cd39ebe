//! What repeats show about the hand and the instrument: sums over a book, by instrument and date.
//!
//! A figure counts the readings up to and including its day, so that last month's sheet stays as it was printed.
//! `figures` decides what the sums are worth.

use std::collections::BTreeMap;
use std::sync::Arc;

use jiff::civil::Date;

use crate::book::readings::{Reading, Tool, of_block};
use crate::book::{Book, Day};
use crate::source::Span;
use crate::vocabulary::Symbol;
use crate::vocabulary::values::Given;

use super::replay::DayReplay;

/// The sets of repeats of a book.
#[derive(Debug, Default)]
pub struct Repeats {
    tools: BTreeMap<Tool, OfTool>,
}

/// The tool of a pool of repeats, with its name in `book.toml`.
pub type PoolKey = (Tool, Option<Symbol>);

/// Sums over sets of repeats.
#[derive(Debug, Default, Clone, Copy, PartialEq)]
pub struct RepeatSums {
    pub sets: usize,
    /// `Σ (x − mean)²` over all sets, in SI units squared; for a pull as a share of the mean.
    pub squares: f64,
    /// `Σ (n − 1)`.
    pub freedom: f64,
}

/// What one set of repeats gives.
#[derive(Debug)]
pub(super) struct RepeatSet {
    tool: Tool,
    /// The instrument's name in `book.toml`.
    declared: Option<Symbol>,
    sums: RepeatSums,
}

/// The sets of a day, without readings that do not count.
pub(super) fn sets_of(book: &Book, day: &Day, rejected: &[Span]) -> Arc<[RepeatSet]> {
    let readings = day.notebook.blocks.iter().flat_map(|block| of_block(book, block));
    let counted = readings.filter(|reading| !rejected.contains(&reading.readings.span));
    let sets = counted.filter_map(|reading| {
        let sums = RepeatSums::of(&reading)?;
        let declared = reading.with.declared.map(|instrument| Symbol::of(&instrument.name));
        Some(RepeatSet { tool: reading.with.tool, declared, sums })
    });
    sets.collect()
}

#[derive(Debug, Default)]
struct OfTool {
    /// By the instrument's name in `book.toml`.
    declared: BTreeMap<Symbol, Running>,
    ordinary: Running,
}

/// The sums after each date with repeats, in the order of the dates.
#[derive(Debug, Default)]
struct Running(Vec<(Date, RepeatSums)>);

impl Repeats {
    /// Of every reading of a book that counts.
    pub(super) fn of(book: &Book, replayed: &[Arc<DayReplay>]) -> Self {
        let mut repeats = Self::default();
        // A day whose date cannot be read comes before and after every other.
        for (day, replay) in book.days.iter().zip(replayed).filter(|(day, _)| day.is_dated) {
            for set in replay.repeats.iter() {
                repeats.running(set).add(day.date, set.sums);
            }
        }
        repeats
    }

    fn running(&mut self, set: &RepeatSet) -> &mut Running {
        let tool = self.tools.entry(set.tool).or_default();
        match set.declared {
            Some(name) => tool.declared.entry(name).or_default(),
            None => &mut tool.ordinary,
        }
    }

    /// The first date from which they differ from others.
    pub fn differ_from(&self, others: &Self) -> Option<Date> {
        let empty = OfTool::default();
        let tools = self.tools.keys().chain(others.tools.keys());
        let first = tools.filter_map(|tool| {
            let (one, other) = (self.tools.get(tool), others.tools.get(tool));
            one.unwrap_or(&empty).differ_from(other.unwrap_or(&empty))
        });
        first.min()
    }

    /// The repeats read with a tool up to and including a date; without a date, in the whole book.
    pub fn until(&self, (tool, declared): PoolKey, date: Option<Date>) -> RepeatSums {
        let running = self.tools.get(&tool).and_then(|tool| match declared {
            Some(name) => tool.declared.get(&name),
            None => Some(&tool.ordinary),
        });
        running.map(|running| running.until(date)).unwrap_or_default()
    }
}

impl OfTool {
    fn differ_from(&self, others: &Self) -> Option<Date> {
        let empty = Running::default();
        let declared = self.declared.keys().chain(others.declared.keys()).filter_map(|name| {
            let (one, other) = (self.declared.get(name), others.declared.get(name));
            one.unwrap_or(&empty).differ_from(other.unwrap_or(&empty))
        });
        declared.chain(self.ordinary.differ_from(&others.ordinary)).min()
    }
}

impl Running {
    fn differ_from(&self, others: &Self) -> Option<Date> {
        let (one, other) = (&self.0, &others.0);
        let alike = one.iter().zip(other).take_while(|(one, other)| one == other).count();
        let first = [one, other].into_iter().filter_map(|sums| sums.get(alike));
        first.map(|(date, _)| *date).min()
    }

    /// Dates must come in order.
    fn add(&mut self, date: Date, set: RepeatSums) {
        let sums = self.until(None).and(set);
        match self.0.last_mut() {
            Some((last, known)) if *last == date => *known = sums,
            _ => self.0.push((date, sums)),
        }
    }

    fn until(&self, date: Option<Date>) -> RepeatSums {
        let count = date.map_or(self.0.len(), |date| self.0.partition_point(|(read, _)| *read <= date));
        let last = count.checked_sub(1).and_then(|last| self.0.get(last));
        last.map(|(_, sums)| *sums).unwrap_or_default()
    }
}

impl RepeatSums {
    /// Of one set; `None` where nothing was repeated, or where a share has no whole.
    fn of(reading: &Reading<'_>) -> Option<Self> {
        let values: Vec<f64> = reading.readings.values.iter().map(Given::value).collect();
        if values.len() < 2 {
            return None;
        }
        let mean = reading.mean()?;
        let whole = if reading.with.tool.scatters_by_share() { mean } else { 1.0 };
        let squares: f64 =
            values.iter().map(|value| ((value - mean) / whole) * ((value - mean) / whole)).sum();
        squares.is_finite().then_some(Self { sets: 1, squares, freedom: values.len() as f64 - 1.0 })
    }

    fn and(self, other: Self) -> Self {
        Self {
            sets: self.sets + other.sets,
            squares: self.squares + other.squares,
            freedom: self.freedom + other.freedom,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_date_counts_what_was_read_by_then_and_never_later() {
        let set = |squares| RepeatSums { sets: 1, squares, freedom: 2.0 };
        let date = |day| jiff::civil::date(2026, 4, day);
        let mut running = Running::default();
        for (day, squares) in [(1, 1.0), (3, 2.0), (3, 4.0), (9, 8.0)] {
            running.add(date(day), set(squares));
        }
        let squares = |day| running.until(Some(date(day))).squares;
        assert_eq!([squares(1), squares(2), squares(3), squares(8), squares(9)], [1.0, 1.0, 7.0, 7.0, 15.0]);
        assert_eq!(running.until(Some(jiff::civil::date(2026, 3, 31))), RepeatSums::default());
        assert_eq!(running.until(None), RepeatSums { sets: 4, squares: 15.0, freedom: 8.0 });
    }
}
