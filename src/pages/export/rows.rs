//! The rows of a day.

use std::collections::BTreeMap;

use crate::advice::{Advice, Ear, not_cleared};
use crate::book::readings::{self, Reading};
use crate::book::{Book, Day};
use crate::physics::statistics::{median, median_absolute_deviation};
use crate::quantity::Quantity;
use crate::season::{DayReplay, Event, Held, HeldValue, Season};
use crate::source::Span;
use crate::vocabulary::Setting;
use crate::vocabulary::blocks::{AnyBlock, Conditions, Hours, Pressures, Steering, Stint};
use crate::vocabulary::values::Given;

use super::super::{figures, state};
use super::{Cell, Table};

/// A book, ready to be written as rows.
pub struct Export<'a> {
    book: &'a Book,
    season: &'a Season,
    ear: Ear<'a>,
    /// The book's name in its rows.
    name: &'a str,
    /// What pages say of riders who are not cleared to ride, by name.
    stops: BTreeMap<&'a str, String>,
}

/// A day, with everything for its rows.
struct OfDay<'d, 'a> {
    export: &'d Export<'a>,
    day: &'d Day,
    replay: &'d DayReplay,
    /// The day's place in the book.
    index: usize,
}

impl<'a> Export<'a> {
    pub fn new(book: &'a Book, season: &'a Season, advice: &'a Advice, name: &'a str) -> Self {
        let mut days: BTreeMap<&str, Vec<usize>> = BTreeMap::new();
        for (index, day) in book.days.iter().enumerate() {
            days.entry(day.rider.as_deref().unwrap_or_default()).or_default().push(index);
        }
        let stop = |(rider, days)| Some((rider, not_cleared(book, advice, days).into_iter().next()?));
        let stops = days.into_iter().filter_map(stop).collect();
        Self { book, season, ear: Ear::new(advice), name, stops }
    }

    /// Who is not cleared to ride, one line each.
    pub fn stops(&self) -> impl Iterator<Item = &str> {
        self.stops.values().map(String::as_str)
    }

    /// The rows of one table of one day, each as wide as the table's heads; none where there is no such day.
    pub fn rows(&self, table: Table, index: usize) -> Vec<Vec<Cell>> {
        let (Some(day), Some(replay)) = (self.book.days.get(index), self.season.days.get(index)) else {
            return Vec::new();
        };
        let of_day = OfDay { export: self, day, replay, index };
        match table {
            Table::Figures => of_day.figures(),
            Table::Settings => of_day.settings(),
            Table::Readings => of_day.readings(),
            Table::Changes => of_day.changes(),
            Table::Stints => of_day.stints(),
            Table::Laps => of_day.laps(),
            Table::Feels => of_day.feels(),
        }
    }
}

impl OfDay<'_, '_> {
    fn book(&self) -> &Book {
        self.export.book
    }

    /// What pages say where the day's rider is not cleared to ride.
    fn stop(&self) -> Cell {
        self.export.stops.get(self.day.rider.as_deref().unwrap_or_default()).map(String::as_str).into()
    }

    fn line(&self, span: Span) -> u32 {
        self.book().sources.start(span).line
    }

    /// A row: the columns of every table, then these.
    fn row<const N: usize>(&self, line: u32, own: [Cell; N]) -> Vec<Cell> {
        let day = self.day;
        let common = [
            self.export.name.into(),
            day.machine.as_deref().into(),
            day.rider.as_deref().into(),
            day.track.as_deref().into(),
            day.is_dated.then(|| day.date.to_string()).into(),
            day.notebook.path.as_str().into(),
            line.into(),
        ];
        common.into_iter().chain(own).collect()
    }

    fn figures(&self) -> Vec<Vec<Cell>> {
        let page = figures::of_day(self.book(), self.export.season, self.index);
        let lines = page.into_iter().flat_map(|page| page.figures);
        let row = |it: figures::FigureLine| {
            let own = [
                it.id.as_str().into(),
                it.value.into(),
                it.unit.into(),
                it.expanded.into(),
                it.formula.into(),
                it.missing.join("; ").into(),
                it.assumed.join("; ").into(),
                self.stop(),
            ];
            self.row(it.at.line, own)
        };
        lines.map(row).collect()
    }

    fn settings(&self) -> Vec<Vec<Cell>> {
        let last = self.replay.points.last().map_or(1, |point| self.line(point.span));
        let held = self.replay.end().settings().into_iter();
        let row = |(name, held): (Setting, &Held)| {
            let own = [
                name.as_str().into(),
                held.value.number().into(),
                held.value.word().into(),
                unit(&held.value).into(),
                held.value.quantity().and_then(|quantity| quantity.plus_minus).into(),
                state::by(held.how).into(),
                self.book().sources.path(held.span.file).into(),
                self.line(held.span).into(),
                self.stop(),
            ];
            self.row(last, own)
        };
        held.map(row).collect()
    }

    fn readings(&self) -> Vec<Vec<Cell>> {
        let mut rows = Vec::new();
        for block in &self.day.notebook.blocks {
            match block {
                AnyBlock::Pressures(pressures) => self.pressures(pressures, block, &mut rows),
                AnyBlock::Conditions(it) => {
                    self.given(block, Conditions::air, it.air, &mut rows);
                    self.given(block, Conditions::pressure, it.pressure, &mut rows);
                    self.given(block, Conditions::sea_level_pressure, it.sea_level_pressure, &mut rows);
                    self.given(block, Conditions::humidity, it.humidity, &mut rows);
                    self.given(block, Conditions::elevation, it.elevation, &mut rows);
                }
                AnyBlock::Hours(it) => {
                    self.given(block, Hours::meter, it.meter, &mut rows);
                    self.given(block, Hours::ridden, it.ridden, &mut rows);
                }
                AnyBlock::Stint(it) => {
                    self.given(block, Stint::rode, it.rode, &mut rows);
                    self.given(block, Stint::travel_used_front, it.travel_used_front, &mut rows);
                    self.given(block, Stint::travel_used_rear, it.travel_used_rear, &mut rows);
                }
                AnyBlock::Steering(it) => {
                    if let Some(drop) = &it.drop {
                        let value = (None, Some(drop.text.as_str()));
                        rows.push(self.reading(block, Steering::drop.to_owned(), 1, value, drop.span, None));
                    }
                    self.repeats(block, "", &readings::of_block(self.book(), block), &mut rows);
                }
                _ => self.repeats(block, "", &readings::of_block(self.book(), block), &mut rows),
            }
        }
        rows
    }

    fn pressures(&self, pressures: &Pressures, block: &AnyBlock, rows: &mut Vec<Vec<Cell>>) {
        let others = &pressures.others;
        let lists = [("", &others.pressures), ("found.", &others.found), ("after_ride.", &others.after_ride)];
        for (lead, list) in lists {
            let all: Vec<Reading<'_>> =
                list.iter().map(|reading| readings::pressure(self.book(), pressures, reading)).collect();
            self.repeats(block, lead, &all, rows);
        }
        self.given(block, Pressures::at, pressures.at, rows);
        self.given(block, Pressures::elevation, pressures.elevation, rows);
    }

    /// A row for each repeat of each reading.
    fn repeats(&self, block: &AnyBlock, lead: &str, all: &[Reading<'_>], rows: &mut Vec<Vec<Cell>>) {
        for reading in all {
            let instrument = reading.with.declared.map(|instrument| instrument.name.as_str());
            for (given, repeat) in reading.readings.values.iter().zip(1_u32..) {
                let (name, value) = (format!("{lead}{}", reading.key), (Some(*given), None));
                rows.push(self.reading(block, name, repeat, value, given.span, instrument));
            }
        }
    }

    fn given(&self, block: &AnyBlock, name: &str, given: Option<Given>, rows: &mut Vec<Vec<Cell>>) {
        let row =
            |given: Given| self.reading(block, name.to_owned(), 1, (Some(given), None), given.span, None);
        rows.extend(given.map(row));
    }

    /// One reading: a number or a word.
    fn reading(
        &self,
        block: &AnyBlock,
        name: String,
        repeat: u32,
        (given, word): (Option<Given>, Option<&str>),
        span: Span,
        instrument: Option<&str>,
    ) -> Vec<Cell> {
        let header = block.header();
        let quantity = given.map(|given| given.quantity);
        let own = [
            header.word.into(),
            header.argument.as_ref().map(|argument| argument.text.as_str()).into(),
            name.into(),
            repeat.into(),
            quantity.map(|quantity| quantity.value).into(),
            word.into(),
            quantity.map(|quantity| quantity.kind.si_unit()).into(),
            quantity.and_then(|quantity| quantity.plus_minus).into(),
            instrument.into(),
        ];
        self.row(self.line(span), own)
    }

    fn changes(&self) -> Vec<Vec<Cell>> {
        self.replay.events.iter().map(|event| self.change(event)).collect()
    }

    fn change(&self, event: &Event) -> Vec<Cell> {
        let (before, after) = (event.step.before(), event.step.after());
        let (was, is) = (before.map(|held| &held.value), after.map(|held| &held.value));
        let numbers = (was.and_then(HeldValue::quantity), is.and_then(HeldValue::quantity));
        // A step is known better than its two ends.
        let step = event.by.and_then(|(size, way)| {
            let direction = event.name.setting()?.info().direction(way)?;
            Some(if direction < 0.0 { size.negated() } else { size })
        });
        let difference = step.or_else(|| numbers.1?.since(numbers.0?));
        let is_comparable = |was: &&Quantity| numbers.1.is_none_or(|is| is.kind == was.kind);
        let why = match self.day.notebook.blocks.get(event.block) {
            Some(AnyBlock::Change(change)) => change.because.as_ref().map(|why| why.text.as_str()),
            _ => None,
        };
        let ridden = self.rides().find(|(block, ..)| *block > event.block).map(|(_, number, _)| number);
        let own = [
            event.name.as_str().into(),
            numbers.0.filter(is_comparable).map(|was| was.value).into(),
            numbers.1.map(|is| is.value).into(),
            is.or(was).and_then(unit).into(),
            was.and_then(HeldValue::word).into(),
            is.and_then(HeldValue::word).into(),
            difference.map(|difference| difference.value).into(),
            difference.map(|difference| difference.kind.si_unit()).into(),
            difference.and_then(|difference| difference.plus_minus).into(),
            state::by(event.how).into(),
            why.into(),
            ridden.into(),
        ];
        self.row(self.line(event.span), own)
    }

    /// The day's rides, each with its block's place in the notebook and its number. A planned ride has a number as well,
    /// and is left out.
    fn rides(&self) -> impl Iterator<Item = (usize, u32, &Stint)> {
        let blocks = self.day.notebook.blocks.iter().enumerate();
        let stints = blocks.filter_map(|(at, block)| match block {
            AnyBlock::Stint(stint) => Some((at, &**stint)),
            _ => None,
        });
        let numbered = stints.zip(1_u32..).map(|((at, stint), number)| (at, number, stint));
        numbered.filter(|(_, _, stint)| !stint.is_blank())
    }

    fn stints(&self) -> Vec<Vec<Cell>> {
        let row = |(_, number, stint): (usize, u32, &Stint)| {
            let laps = self.book().laps(stint);
            let own = [
                number.into(),
                stint.header.argument.as_ref().map(|kind| kind.text.as_str()).into(),
                u32::try_from(laps.len()).ok().into(),
                laps.iter().copied().reduce(f64::min).into(),
                median(&laps).into(),
                median_absolute_deviation(&laps).into(),
                stint.verdict.as_ref().map(|verdict| verdict.text.as_str()).into(),
            ];
            self.row(self.line(stint.header.span), own)
        };
        self.rides().map(row).collect()
    }

    fn laps(&self) -> Vec<Vec<Cell>> {
        let mut rows = Vec::new();
        for (_, number, stint) in self.rides() {
            let line = self.line(stint.header.span);
            for lap in self.book().counted_laps(stint) {
                let own = [number.into(), lap.number.into(), lap.time.into(), "s".into(), Cell::Empty];
                rows.push(self.row(line, own));
            }
        }
        rows
    }

    fn feels(&self) -> Vec<Vec<Cell>> {
        let mut rows = Vec::new();
        for (_, number, stint) in self.rides() {
            for feel in self.export.ear.feels(self.book(), self.day, stint) {
                let own = [
                    number.into(),
                    feel.complaint.into(),
                    feel.place.into(),
                    feel.strength.map(u32::from).into(),
                    feel.words.into(),
                ];
                rows.push(self.row(self.line(feel.span), own));
            }
        }
        rows
    }
}

fn unit(value: &HeldValue) -> Option<&'static str> {
    value.quantity().map(|quantity| quantity.kind.si_unit())
}
