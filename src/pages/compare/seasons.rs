//! Two periods of one machine and rider: the range of settings and figures then and now.

use std::collections::{BTreeMap, BTreeSet};

use jiff::civil::Date;
use serde::Serialize;

use crate::book::{Book, Day};
use crate::figures::{Bench, Here, Plain};
use crate::physics::statistics::{drift, median};
use crate::quantity::{Kind, Quantity, Shown, Units, Way, from_to, show_change, show_measured_change};
use crate::season::{HeldValue, State};
use crate::speech::{Tongue, say};
use crate::vocabulary::figures::FigureId;
use crate::vocabulary::settings::SettingRow;
use crate::vocabulary::{End, FigureName, Named, Setting};

use super::super::say::Say;

/// What one machine and rider did in two periods.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct SeasonComparison {
    pub schema: u32,
    /// The reader's language.
    #[serde(skip)]
    pub tongue: Tongue,
    pub title: String,
    pub machine: String,
    pub rider: Option<String>,
    pub a: Season,
    pub b: Season,
    /// Settings at the end of each day.
    pub settings: Vec<SeasonLine>,
    /// Figures on the days on which they were read; geometry on every day.
    pub figures: Vec<SeasonLine>,
    /// Which way each sag drifted within each period.
    pub sag: Vec<Drift>,
}

/// One period.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Season {
    pub name: String,
    pub days: usize,
    pub first: Option<String>,
    pub last: Option<String>,
    /// With the number of days at each, most first.
    pub tracks: Vec<(String, usize)>,
}

/// A setting or figure then and now.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct SeasonLine {
    pub id: Named,
    pub label: String,
    pub a: Option<Lived>,
    pub b: Option<Lived>,
    /// From the one median to the other; `None` where they are the same or one is missing.
    pub change: Option<String>,
}

/// The range of something over a period.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Lived {
    /// The median; for words, each with its number of days.
    pub median: String,
    /// From the least to the most; `None` where it did not change.
    pub range: Option<String>,
    /// On how many days.
    pub days: usize,
    /// In the SI base unit; `None` for words.
    pub si: Option<f64>,
}

/// Which way a sag drifted within a period.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Drift {
    pub label: String,
    pub season: String,
    /// In how many readings.
    pub readings: usize,
    /// In words, for a month; `None` where the readings are too few for a line.
    pub told: Option<String>,
    /// In m for each 30 days.
    pub a_month: Option<f64>,
    /// Slopes that the readings cannot distinguish from it with 95 % confidence, in m for each 30 days.
    pub interval: Option<(f64, f64)>,
}

/// Figures that count on the days on which one of their readings was made.
const READ: [FigureId; 8] = [
    FigureId::SAG_STATIC,
    FigureId::SAG_RIDER,
    FigureId::SPRING_RATE_FITTED,
    FigureId::GATE_CHAMBER,
    FigureId::GATE_TYRE,
    FigureId::STEERING_BREAKAWAY,
    FigureId::TRAVEL_USED_SHARE,
    FigureId::LAPS_MEDIAN,
];
/// Figures that have a value on every day.
const HOLD: [FigureId; 4] = [FigureId::RAKE, FigureId::TRAIL, FigureId::WHEELBASE, FigureId::DRIVE_RATIO];

/// The most decimals that a middle between two settings is shown with.
const DECIMALS: usize = 4;
const FINEST: f64 = 1e-4;

/// Days of what is called a month here.
const MONTH: f64 = 30.0;

struct Stretch<'a> {
    name: &'a str,
    days: Vec<(usize, &'a Day)>,
}

/// Compares the days of a machine and rider in two periods, each with its name and a test of dates.
pub fn compare_seasons(
    book: &Book,
    season: &crate::season::Season,
    pair: (&str, Option<&str>),
    stretches: [(&str, &dyn Fn(Date) -> bool); 2],
) -> SeasonComparison {
    let units = book.units_for(pair.1);
    let of_pair = |day: &Day| {
        day.machine.as_deref() == Some(pair.0) && (pair.1.is_none() || day.rider.as_deref() == pair.1)
    };
    let [a, b] = stretches.map(|(name, holds)| {
        let days =
            book.days.iter().enumerate().filter(|(_, day)| day.is_dated && of_pair(day) && holds(day.date));
        Stretch { name, days: days.collect() }
    });
    let machine = book.machines.get(pair.0).map_or(pair.0, |machine| &machine.title).to_owned();
    let rider = pair.1.map(|name| book.riders.get(name).map_or(name, |rider| &rider.title).to_owned());
    let desk = Desk { book, season, units: &units };
    let title = [
        Some(machine.clone()),
        rider.clone(),
        Some(units.say(&say!("{second} against {first}", second = b.name, first = a.name))),
    ];
    SeasonComparison {
        schema: super::SCHEMA,
        tongue: units.tongue().clone(),
        title: title.into_iter().flatten().collect::<Vec<_>>().join(" · "),
        settings: desk.settings(&a, &b),
        figures: desk.figures(&a, &b),
        sag: desk.sags(&a, &b),
        machine,
        rider,
        a: desk.about(&a),
        b: desk.about(&b),
    }
}

struct Desk<'a> {
    book: &'a Book,
    season: &'a crate::season::Season,
    units: &'a Units,
}

impl Desk<'_> {
    fn about(&self, stretch: &Stretch<'_>) -> Season {
        let mut tracks: BTreeMap<String, usize> = BTreeMap::new();
        for track in stretch.days.iter().filter_map(|(_, day)| self.book.track(day)) {
            *tracks.entry(track.title.clone()).or_default() += 1;
        }
        let mut tracks: Vec<(String, usize)> = tracks.into_iter().collect();
        tracks.sort_by_key(|(_, days)| std::cmp::Reverse(*days));
        let date = |day: Option<&(usize, &Day)>| day.map(|(_, day)| day.date.to_string());
        Season {
            name: stretch.name.to_owned(),
            days: stretch.days.len(),
            first: date(stretch.days.first()),
            last: date(stretch.days.last()),
            tracks,
        }
    }

    fn end(&self, day: usize) -> Option<&State> {
        self.season.days.get(day).map(|replay| replay.end())
    }

    fn settings(&self, a: &Stretch<'_>, b: &Stretch<'_>) -> Vec<SeasonLine> {
        let values = |stretch: &Stretch<'_>| {
            let mut all: BTreeMap<Setting, Vec<HeldValue>> = BTreeMap::new();
            for state in stretch.days.iter().filter_map(|(index, _)| self.end(*index)) {
                for (name, held) in state.settings() {
                    all.entry(name).or_default().push(held.value.clone());
                }
            }
            all
        };
        let (first, second) = (values(a), values(b));
        let all: BTreeSet<Setting> = first.keys().chain(second.keys()).copied().collect();
        let lines = all.into_iter().map(|name| {
            let lived = |values: &BTreeMap<Setting, Vec<HeldValue>>| self.setting(name, values.get(&name)?);
            let (a, b) = (lived(&first), lived(&second));
            let kind = [&first, &second].into_iter().find_map(|values| kind_of(values.get(&name)?));
            let change = kind
                .zip(a.as_ref().zip(b.as_ref()))
                .and_then(|(kind, (a, b))| self.moved(name.info(), kind, a, b));
            SeasonLine { id: name.into(), label: self.units.say(&name.label()), a, b, change }
        });
        lines.collect()
    }

    fn setting(&self, name: Setting, values: &[HeldValue]) -> Option<Lived> {
        match kind_of(values) {
            Some(_) => self.written(values.iter().filter_map(HeldValue::quantity).collect()),
            None => {
                let mut words: BTreeMap<String, usize> = BTreeMap::new();
                for value in values {
                    *words.entry(Say::new(self.units).setting(name.info(), value).value).or_default() += 1;
                }
                let mut words: Vec<(String, usize)> = words.into_iter().collect();
                words.sort_by_key(|(_, days)| std::cmp::Reverse(*days));
                let told = match words.as_slice() {
                    [(word, _)] => word.clone(),
                    all => all
                        .iter()
                        .map(|(word, days)| format!("{word} ({days})"))
                        .collect::<Vec<_>>()
                        .join(", "),
                };
                Some(Lived { median: told, range: None, days: values.len(), si: None })
            }
        }
    }

    fn lived(&self, kind: Kind, values: &[f64]) -> Option<Lived> {
        let say = Say::new(self.units);
        let middle = median(values)?;
        let (low, high) = values.iter().fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), value| {
            (low.min(*value), high.max(*value))
        });
        Some(Lived {
            median: say.value(kind, middle).to_string(),
            range: range(say, say.value(kind, low), say.value(kind, high)),
            days: values.len(),
            si: Some(middle),
        })
    }

    /// Settings with the digits in which they were written; a middle between two with as few digits as show it.
    fn written(&self, mut values: Vec<&Quantity>) -> Option<Lived> {
        let say = Say::new(self.units);
        values.sort_by(|a, b| a.value.total_cmp(&b.value));
        let middle = median(&values.iter().map(|quantity| quantity.value).collect::<Vec<_>>())?;
        let one = **values.get(values.len() / 2)?;
        let median = if one.value == middle { one } else { between(middle, one) };
        Some(Lived {
            median: say.quantity(&median).to_string(),
            range: range(say, say.quantity(values.first()?), say.quantity(values.last()?)),
            days: values.len(),
            si: Some(middle),
        })
    }

    fn moved(&self, row: &SettingRow, kind: Kind, a: &Lived, b: &Lived) -> Option<String> {
        let change = b.si? - a.si?;
        let shown = show_change(kind, change, self.units, row.way(true));
        shown.way.map(|_| Say::new(self.units).moved(row, kind, change))
    }

    fn figures(&self, a: &Stretch<'_>, b: &Stretch<'_>) -> Vec<SeasonLine> {
        let (first, second) = (self.values(a), self.values(b));
        let all: BTreeSet<FigureName> = first.keys().chain(second.keys()).copied().collect();
        let lines = all.into_iter().filter_map(|name| {
            let kind = name.info().kind()?;
            let lived = |values: &BTreeMap<FigureName, Vec<f64>>| self.lived(kind, values.get(&name)?);
            let (a, b) = (lived(&first), lived(&second));
            let by = a.as_ref().and_then(|a| a.si).zip(b.as_ref().and_then(|b| b.si)).map(|(a, b)| b - a);
            let change = by.map(|by| show_measured_change(kind, by, None, self.units, Way::Plus));
            let change = change.filter(|change| change.way.is_some()).map(|change| change.to_string());
            Some(SeasonLine { id: name.into(), label: self.units.say(&name.label()), a, b, change })
        });
        lines.collect()
    }

    fn values(&self, stretch: &Stretch<'_>) -> BTreeMap<FigureName, Vec<f64>> {
        let mut all: BTreeMap<FigureName, Vec<f64>> = BTreeMap::new();
        for (index, day) in &stretch.days {
            let Some(bench) = self.bench(*index) else { continue };
            for name in bench.names() {
                let (is_read, holds) = (READ.contains(&name.row), HOLD.contains(&name.row));
                if is_read || holds {
                    let value = if holds { bench.value(name) } else { read_today(&bench, name, day) };
                    all.entry(name).or_default().extend(value);
                }
            }
        }
        all.retain(|_, values| !values.is_empty());
        all
    }

    fn bench(&self, index: usize) -> Option<Bench<'_, Plain>> {
        Some(Bench::new(Here::of_day(self.book, self.season, index, self.end(index)?)?, Plain))
    }

    fn sags(&self, a: &Stretch<'_>, b: &Stretch<'_>) -> Vec<Drift> {
        let mut all = Vec::new();
        for row in [FigureName::SAG_STATIC, FigureName::SAG_RIDER] {
            for name in End::BOTH.map(|end| row.of(end)) {
                for stretch in [a, b] {
                    all.push(self.drift(name, stretch));
                }
            }
        }
        all.retain(|drift| drift.readings > 0);
        all
    }

    fn drift(&self, name: FigureName, stretch: &Stretch<'_>) -> Drift {
        let start = stretch.days.first().map(|(_, day)| day.date).unwrap_or_default();
        let points: Vec<(f64, f64)> = stretch
            .days
            .iter()
            .filter_map(|(index, day)| {
                let time = f64::from((day.date - start).get_days());
                Some((time, read_today(&self.bench(*index)?, name, day)?))
            })
            .collect();
        let line = drift(&points);
        let a_month = line.map(|line| line.slope * MONTH);
        let interval = line.and_then(|line| line.interval).map(|(low, high)| (low * MONTH, high * MONTH));
        Drift {
            label: self.units.say(&name.label()),
            season: stretch.name.to_owned(),
            readings: points.len(),
            told: a_month.map(|a_month| self.told(a_month, interval)),
            a_month,
            interval,
        }
    }

    fn told(&self, a_month: f64, interval: Option<(f64, f64)>) -> String {
        let shown = show_measured_change(Kind::Length, a_month, None, self.units, Way::Plus);
        if shown.way.is_none() {
            return self.units.say(&say!("did not move"));
        }
        let shown = shown.to_string();
        self.units.say(&match interval {
            None => say!("{shown} in 30 days, too few readings to be sure of the way", shown),
            Some((low, high)) if low <= 0.0 && high >= 0.0 => {
                say!("{shown} in 30 days, which may be nothing", shown)
            }
            Some(_) => say!("{shown} in 30 days", shown),
        })
    }
}

/// From the least to the most; `None` where they are the same.
fn range(say: Say<'_>, least: Shown, most: Shown) -> Option<String> {
    (least != most).then(|| say.text(&from_to(&least, &most)))
}

/// A value between two written ones, with the fewest decimals of its unit that show it.
fn between(value: f64, beside: Quantity) -> Quantity {
    let number = beside.unit.from_si(beside.kind, value);
    let is_told = |digit: &f64| ((number / digit).round() * digit - number).abs() < FINEST;
    let digit = std::iter::successors(Some(1.0), |digit| Some(digit / 10.0)).take(DECIMALS).find(is_told);
    Quantity {
        value,
        last_digit: beside.unit.width_to_si(digit.unwrap_or(FINEST)),
        plus_minus: None,
        ..beside
    }
}

/// The value of a figure where something that it rests on was written that day.
fn read_today(bench: &Bench<'_, Plain>, name: FigureName, day: &Day) -> Option<f64> {
    let figure = bench.figure(name);
    let is_today = figure.from.iter().any(|span| span.file == day.notebook.document.file);
    figure.value().filter(|_| is_today)
}

fn kind_of(values: &[HeldValue]) -> Option<Kind> {
    values.iter().find_map(|value| match value {
        HeldValue::Quantity(quantity) => Some(quantity.kind),
        HeldValue::Word(_) => None,
    })
}
