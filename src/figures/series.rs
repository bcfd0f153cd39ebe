//! Readings over time: the date, the hours, the value, and the settings.

use std::fmt;

use jiff::civil::Date;
use serde::{Serialize, Serializer};

use crate::book::{Book, Notebook};
use crate::quantity::Kind;
use crate::season::{Changed, Place, Season, State};
use crate::speech::{Message, say};
use crate::vocabulary::blocks::{AnyBlock, Pressures};
use crate::vocabulary::figures::FigureId;
use crate::vocabulary::name::OfEnd;
use crate::vocabulary::settings::{SettingId, Together};
use crate::vocabulary::values::Band;
use crate::vocabulary::{End, FigureName, Load, Named, Setting, Symbol};

use super::{Bench, Here, Plain};

/// One reading.
#[derive(Clone, Copy)]
pub struct SeriesPoint<'a> {
    pub date: Date,
    /// Hours on the machine, in s.
    pub ridden: Option<f64>,
    /// In the SI base unit.
    pub value: f64,
    pub state: &'a State,
    /// The day's place in the book.
    pub day: usize,
    /// The aim then, in the SI base unit; for pressures only.
    pub aim: Option<f64>,
}

/// A figure over time.
pub struct Series<'a> {
    pub of: Of,
    pub label: Message,
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

/// What a series is about.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Of {
    Figure(FigureName),
    /// As left or found.
    Pressure(Setting),
    /// The hour meter.
    Hours,
}

impl Of {
    /// A setting of air, or a figure; `None` for hours.
    pub fn named(self) -> Option<Named> {
        match self {
            Self::Figure(name) => Some(name.into()),
            Self::Pressure(name) => Some(name.into()),
            Self::Hours => None,
        }
    }
}

impl fmt::Display for Of {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self.named().map_or("hours", Named::as_str))
    }
}

/// As written in a notebook.
impl Serialize for Of {
    fn serialize<S: Serializer>(&self, to: S) -> Result<S::Ok, S::Error> {
        to.collect_str(self)
    }
}

/// The series that the machine can have and that are wanted, if they have readings.
pub fn series<'a>(days: Days<'a, '_>, is_wanted: impl Fn(Of) -> bool) -> Vec<Series<'a>> {
    const OF_ENDS: [OfEnd<FigureId>; 3] =
        [FigureName::SAG_RIDER, FigureName::SAG_STATIC, FigureName::SPRING_RATE_FITTED];
    let chambers: Vec<Symbol> = days.machine.chambers().map(|(name, _)| Symbol::of(name)).collect();
    let of_ends = End::BOTH.into_iter().flat_map(|end| OF_ENDS.map(|row| Of::Figure(row.of(end))));
    let pressures = chambers.iter().map(|name| Of::Pressure(Setting::CHAMBER.of(*name)));
    let tyres = End::BOTH.map(|end| Of::Pressure(Setting::TYRE.of(end)));
    let leaks = chambers.iter().map(|name| Of::Figure(FigureName::LEAK_CHAMBER.of(*name)));
    let others = [Of::Figure(FigureName::STEERING_BREAKAWAY), Of::Hours];
    let wanted = of_ends.chain(pressures).chain(tyres).chain(leaks).chain(others);
    let mut all: Vec<Series<'a>> = wanted.filter(|of| is_wanted(*of)).map(empty).collect();
    for &index in days.days {
        read_day(days, index, &mut all);
    }
    all.retain(|series| !series.points.is_empty());
    all
}

fn empty<'a>(of: Of) -> Series<'a> {
    let named = of.named();
    let kind = named.and_then(|named| named.kinds().first().copied());
    Series {
        of,
        label: named.map_or_else(|| say!("hours ridden"), Named::label),
        kind: kind.unwrap_or(Kind::Time),
        points: Vec::new(),
    }
}

/// A pressure as a block counts it: as found, with the hose's air added back; else as left.
fn read_pressure(bench: &Bench<'_, Plain>, block: &Pressures, name: Setting, here_is: Place) -> Option<f64> {
    let state = bench.here.state;
    let find = state.found(name).filter(|find| find.mark.place == here_is);
    find.and_then(|_| bench.as_found(name)).or_else(|| {
        let left = block.others.pressures.iter().find(|left| left.name == name)?;
        state.last_read(name).filter(|mark| mark.place == here_is)?;
        left.readings.mean()
    })
}

/// The reading in a block for a series; `None` where it reads something else.
fn read(bench: &Bench<'_, Plain>, block: &AnyBlock, of: Of, here_is: Place) -> Option<f64> {
    let state = bench.here.state;
    match (of, block) {
        (Of::Figure(name), AnyBlock::Sag(sag)) => {
            let load = match name.row {
                FigureId::SAG_STATIC => Load::Static,
                FigureId::SAG_RIDER | FigureId::SPRING_RATE_FITTED => Load::Rider,
                _ => return None,
            };
            let is_read = sag.header.end() == name.end() && sag.has(load);
            is_read.then(|| bench.value(name)).flatten()
        }
        (Of::Figure(name), AnyBlock::Pressures(_)) => {
            let chamber = name.word().filter(|_| name.row == FigureId::LEAK_CHAMBER)?;
            // A find that did not count is none.
            state.found(Setting::CHAMBER.of(chamber)).filter(|find| find.mark.place == here_is)?;
            bench.value(name)
        }
        (Of::Pressure(name), AnyBlock::Pressures(block)) => read_pressure(bench, block, name, here_is),
        (Of::Figure(FigureName::STEERING_BREAKAWAY), AnyBlock::Steering(steering)) => {
            steering.pull.as_ref().and_then(|_| bench.value(FigureName::STEERING_BREAKAWAY))
        }
        (Of::Hours, AnyBlock::Hours(_)) => state.hours().map(|hours| hours.ridden),
        _ => None,
    }
}

fn read_day<'a>(days: Days<'a, '_>, index: usize, all: &mut [Series<'a>]) {
    let (Some(day), Some(replay)) = (days.book.days.get(index), days.season.days.get(index)) else { return };
    for point in &replay.points {
        let state = &point.state;
        let Some(here) = Here::of_day(days.book, days.season, index, state) else { continue };
        let Some(block) = day.notebook.blocks.get(point.block) else { continue };
        let bench = Bench::new(here, Plain);
        let here_is = Place { day: index, block: point.block };
        for series in all.iter_mut() {
            let value = read(&bench, block, series.of, here_is);
            if let Some(value) = value.filter(|value| value.is_finite()) {
                let ridden = state.hours().map(|hours| hours.ridden);
                let aim = match series.of {
                    Of::Pressure(name) => state.pressure(name).aim.and_then(|held| held.value.number()),
                    Of::Figure(_) | Of::Hours => None,
                };
                series.points.push(SeriesPoint { date: day.date, ridden, value, state, day: index, aim });
            }
        }
    }
}

impl<'a> Series<'a> {
    /// The end whose spring the series is about.
    fn end(&self) -> Option<End> {
        match self.of {
            Of::Figure(name) => name.end(),
            Of::Pressure(_) | Of::Hours => None,
        }
    }

    /// Whether a change moves the readings, so that before and after are not one series.
    pub fn moves_with(&self, changed: Changed) -> bool {
        let Some(setting) = changed.setting() else { return false };
        let together = setting.info().together;
        match self.end() {
            Some(End::Rear) => together == Some(Together::RearSpring),
            Some(End::Front) => {
                let others = [SettingId::CHAMBER, SettingId::FORK_AIR_GAP, SettingId::FORK_OIL];
                together == Some(Together::FrontSpring) || others.contains(&setting.row)
            }
            None if self.of == Of::Figure(FigureName::STEERING_BREAKAWAY) => {
                setting == Setting::STEERING_TORQUE
            }
            None => false,
        }
    }

    /// Whether it shows how the machine is, not what somebody set or rode.
    pub fn is_measured(&self) -> bool {
        matches!(self.of, Of::Figure(_))
    }

    /// The last readings, all taken on the same settings.
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
        machine.band(self.of.named()?)
    }

    /// Both ends of the band, in the SI base unit.
    pub fn within(&self, machine: &'a Notebook) -> Option<(f64, f64)> {
        let within = self.band(machine)?.within?;
        Some((within.low?.value, within.high?.value))
    }
}
