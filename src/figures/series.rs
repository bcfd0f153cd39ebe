//! Readings over time: when, at how many hours, what, and on which settings.

use jiff::civil::Date;

use crate::book::{Book, Notebook};
use crate::quantity::Kind;
use crate::season::{Place, Season, State};
use crate::vocabulary::blocks::{AnyBlock, BandBlock};
use crate::vocabulary::settings::Together;
use crate::vocabulary::values::Band;
use crate::vocabulary::{End, Load, figures, names, settings};

use super::{Bench, Here, Plain};

/// The series of what the machine's meter shows.
pub const HOURS: &str = "hours";

/// One reading.
#[derive(Clone, Copy)]
pub struct SeriesPoint<'a> {
    pub date: Date,
    /// Hours on the machine, in s.
    pub ridden: Option<f64>,
    /// In SI.
    pub value: f64,
    pub state: &'a State,
    /// The day's place in the book.
    pub day: usize,
    /// What was aimed at then, in SI: of pressures alone.
    pub aim: Option<f64>,
}

/// A figure over time.
pub struct Series<'a> {
    pub id: String,
    pub label: String,
    pub kind: Kind,
    pub points: Vec<SeriesPoint<'a>>,
}

/// Days of one machine, by their places in the book.
#[derive(Clone, Copy)]
pub struct Days<'a, 'd> {
    pub book: &'a Book,
    pub season: &'a Season,
    pub machine: &'a Notebook,
    pub days: &'d [usize],
}

/// The block that a series takes its readings from.
enum From {
    Sag(End),
    Pressures,
    Steering,
    Hours,
}

/// The series that the machine can have and that are wanted, those with readings.
pub fn series<'a>(days: Days<'a, '_>, is_wanted: impl Fn(&str) -> bool) -> Vec<Series<'a>> {
    let mut wanted: Vec<(String, From)> = Vec::new();
    for end in End::BOTH {
        for pattern in [figures::SAG_RIDER, figures::SAG_STATIC, figures::SPRING_RATE_FITTED] {
            wanted.push((names::fill(pattern, end.word()), From::Sag(end)));
        }
    }
    let chambers: Vec<&str> = days.machine.chambers().map(|(name, _)| name).collect();
    let pressures = chambers.iter().map(|name| names::fill(settings::CHAMBER, name));
    let tyres = End::BOTH.into_iter().map(|end| names::fill(settings::TYRE, end.word()));
    wanted.extend(pressures.chain(tyres).map(|id| (id, From::Pressures)));
    wanted.extend(chambers.iter().map(|name| (names::fill(figures::LEAK_CHAMBER, name), From::Pressures)));
    wanted.push((figures::STEERING_BREAKAWAY.to_owned(), From::Steering));
    wanted.push((HOURS.to_owned(), From::Hours));
    wanted.retain(|(id, _)| is_wanted(id));
    let mut all: Vec<(From, Series<'a>)> = wanted.into_iter().map(|(id, from)| (from, empty(id))).collect();
    for &index in days.days {
        read_day(days, index, &mut all);
    }
    all.into_iter().map(|(_, series)| series).filter(|series| !series.points.is_empty()).collect()
}

fn empty<'a>(id: String) -> Series<'a> {
    let named = crate::vocabulary::lookup(&id);
    let kind = named.and_then(|named| named.kinds().first().copied());
    Series {
        label: named.map_or_else(|| "hours ridden".to_owned(), |named| named.label_for(&id)),
        kind: kind.unwrap_or(Kind::Time),
        id,
        points: Vec::new(),
    }
}

fn read_day<'a>(days: Days<'a, '_>, index: usize, all: &mut [(From, Series<'a>)]) {
    let (Some(day), Some(replay)) = (days.book.days.get(index), days.season.days.get(index)) else { return };
    for point in &replay.points {
        let state = &point.state;
        let Some(here) = Here::of_day(days.book, days.season, index, state) else { continue };
        let bench = Bench::new(here, Plain);
        let block = day.notebook.blocks.get(point.block);
        let here_is = Place { day: index, block: point.block };
        for (from, series) in all.iter_mut() {
            let value = match (&*from, block) {
                (From::Sag(end), Some(AnyBlock::Sag(sag))) if sag.header.end() == Some(*end) => {
                    let is_static = names::opened(figures::SAG_STATIC, &series.id).is_some();
                    let is_read = sag.has(if is_static { Load::Static } else { Load::Rider });
                    is_read.then(|| bench.value(&series.id)).flatten()
                }
                (From::Pressures, Some(AnyBlock::Pressures(block))) => {
                    let leak = names::opened(figures::LEAK_CHAMBER, &series.id);
                    match leak.map(|chamber| names::fill(settings::CHAMBER, chamber)) {
                        Some(chamber) => {
                            // One that was not counted is no find.
                            let find = state.found(&chamber).filter(|find| find.mark.place == here_is);
                            find.and_then(|_| bench.value(&series.id))
                        }
                        None => {
                            // As it was found, the hose put back; else as it was left.
                            let find = state.found(&series.id).filter(|find| find.mark.place == here_is);
                            let found = find.and_then(|_| bench.as_found(&series.id));
                            let left = block.others.pressures.iter().find(|left| left.name == series.id);
                            let counted = left.filter(|left| {
                                state.last_read(&left.name).is_some_and(|mark| mark.place == here_is)
                            });
                            found.or_else(|| counted.and_then(|left| left.readings.mean()))
                        }
                    }
                }
                (From::Steering, Some(AnyBlock::Steering(steering))) => {
                    steering.pull.as_ref().and_then(|_| bench.value(&series.id))
                }
                (From::Hours, Some(AnyBlock::Hours(_))) => state.hours().map(|hours| hours.ridden),
                _ => None,
            };
            if let Some(value) = value.filter(|value| value.is_finite()) {
                let ridden = state.hours().map(|hours| hours.ridden);
                let aim = state.pressure(&series.id).aim.and_then(|held| held.value.number());
                series.points.push(SeriesPoint { date: day.date, ridden, value, state, day: index, aim });
            }
        }
    }
}

impl<'a> Series<'a> {
    /// The end that the series is of.
    fn end(&self) -> Option<End> {
        let patterns = [figures::SAG_RIDER, figures::SAG_STATIC, figures::SPRING_RATE_FITTED];
        patterns.into_iter().find_map(|pattern| names::opened(pattern, &self.id)).and_then(End::from_word)
    }

    /// Whether a setting moves the readings, so that those before and after its change are not one series.
    pub fn moves_with(&self, setting: &str) -> bool {
        let together = settings::row(setting).and_then(|row| row.together);
        match self.end() {
            Some(End::Rear) => together == Some(Together::RearSpring),
            Some(End::Front) => {
                let others = [settings::CHAMBER, settings::FORK_AIR_GAP, settings::FORK_OIL];
                together == Some(Together::FrontSpring)
                    || others.iter().any(|pattern| names::opened(pattern, setting).is_some())
            }
            None if self.id == figures::STEERING_BREAKAWAY => setting == settings::STEERING_TORQUE,
            None => false,
        }
    }

    /// Whether it shows how the machine is, and not what somebody set or rode.
    pub fn is_measured(&self) -> bool {
        self.id != HOURS && settings::row(&self.id).is_none()
    }

    /// The last readings that were all taken on the settings of the last.
    pub fn run(&self) -> &[SeriesPoint<'a>] {
        let Some(last) = self.points.last() else { return &[] };
        let is_same = |point: &SeriesPoint<'_>| {
            !point.state.differences(last.state).iter().any(|difference| self.moves_with(difference.name))
        };
        let from = self.points.iter().rposition(|point| !is_same(point)).map_or(0, |at| at + 1);
        self.points.get(from..).unwrap_or_default()
    }

    /// The machine's band for it.
    fn band(&self, machine: &'a Notebook) -> Option<&'a Band> {
        let mut bands = machine.all::<BandBlock>().flat_map(|block| &block.others.bands);
        bands.rfind(|band| band.name == self.id)
    }

    /// Both ends of the band, in SI.
    pub fn within(&self, machine: &'a Notebook) -> Option<(f64, f64)> {
        let within = self.band(machine)?.within?;
        Some((within.low?.value, within.high?.value))
    }
}
