//! Which day on file to start from: the most similar one that went best.

use std::collections::BTreeSet;

use serde::{Deserialize, Serialize};

use crate::book::{Book, Day};
use crate::figures::{Bench, Here, Plain};
use crate::season::Season;
use crate::vocabulary::FigureName;
use crate::vocabulary::blocks::{BETTER, Conditions, HIGH, LOW, MEDIUM, SAME, Stint, WORSE};

/// The weights that ship; a book's own file with this path replaces them.
const SHIPPED: &str = include_str!("../../../templates/prepare.toml");
/// The file of a book's own weights.
pub const WEIGHTS_FILE: &str = "templates/prepare.toml";

/// How days are compared.
#[derive(Debug, Clone, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Weights {
    alike: Alike,
    went: Went,
}

#[derive(Debug, Clone, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
struct Alike {
    /// The fewest points of a similar day.
    #[serde(default = "similar_from")]
    similar_from: f64,
    track: f64,
    soil: f64,
    traction: f64,
    temperature: f64,
    /// In K.
    temperature_reach: f64,
    ignore: BTreeSet<String>,
}

#[derive(Debug, Clone, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
struct Went {
    better: f64,
    same: f64,
    worse: f64,
    laps: f64,
    /// A share of the best median.
    laps_reach: f64,
}

/// For weights that do not say how many points make a day similar: the number that ships.
fn similar_from() -> f64 {
    8.0
}

impl Weights {
    /// Whether a day is similar to the one ahead.
    pub fn are_similar(&self, points: &Points) -> bool {
        points.sum() >= self.alike.similar_from
    }

    /// The weights of a book's own text, or those that ship.
    ///
    /// # Errors
    ///
    /// What is wrong with the text, in one line.
    pub fn read(own: Option<&str>) -> Result<Self, String> {
        toml::from_str(own.unwrap_or(SHIPPED))
            .map_err(|error| error.message().lines().next().unwrap_or_default().to_owned())
    }
}

/// A day on file, and its points.
#[derive(Debug, Clone, PartialEq)]
pub struct Rated {
    /// Its place in the book.
    pub day: usize,
    pub points: Points,
}

/// Points by what they were given for; `None` where a word is missing on either side.
#[derive(Debug, Clone, Copy, PartialEq, Default, Serialize)]
pub struct Points {
    pub track: Option<f64>,
    pub soil: Option<f64>,
    pub traction: Option<f64>,
    pub temperature: Option<f64>,
    pub verdict: Option<f64>,
    pub laps: Option<f64>,
}

impl Points {
    pub fn sum(&self) -> f64 {
        let all = [self.track, self.soil, self.traction, self.temperature, self.verdict, self.laps];
        all.into_iter().flatten().sum()
    }
}

/// The things about a day that the weights ask for.
struct Traits<'a> {
    track: Option<&'a str>,
    soil: Option<&'a str>,
    traction: Option<&'a str>,
    /// In K.
    air: Option<f64>,
}

impl<'a> Traits<'a> {
    fn of(book: &'a Book, season: &'a Season, index: usize, day: &'a Day) -> Self {
        let conditions = season.days.get(index).and_then(|replay| replay.end().conditions());
        let said = |get: fn(&Conditions) -> Option<&str>| conditions.and_then(get);
        let of_track =
            book.track(day).and_then(|track| track.track_block()).and_then(|track| track.soil.as_ref());
        Self {
            track: day.track.as_deref(),
            soil: said(|it| Some(it.soil.as_ref()?.text.as_str()))
                .or_else(|| of_track.map(|soil| soil.text.as_str())),
            traction: said(|it| Some(it.traction.as_ref()?.text.as_str())),
            air: conditions.and_then(|it| it.air.as_ref()).map(|air| air.value()),
        }
    }
}

/// Every day on file of the same machine and rider before a day; the one to start from first.
pub fn rate(book: &Book, season: &Season, ahead: usize, weights: &Weights) -> Vec<Rated> {
    let Some(this) = book.days.get(ahead) else { return Vec::new() };
    let wanted = Traits::of(book, season, ahead, this);
    let is_before = |day: &Day| {
        day.is_dated && day.date < this.date && day.machine == this.machine && day.rider == this.rider
    };
    let days: Vec<(usize, &Day)> = book.days.iter().enumerate().filter(|(_, day)| is_before(day)).collect();
    let medians: Vec<Option<f64>> = days.iter().map(|(index, _)| median(book, season, *index)).collect();
    let timed = |track: Option<&str>| -> Vec<f64> {
        let here = days.iter().zip(&medians).filter(|((_, day), _)| day.track.as_deref() == track);
        here.filter_map(|(_, median)| *median).collect()
    };
    let mut rated: Vec<Rated> = days
        .iter()
        .zip(&medians)
        .map(|((index, day), median)| {
            let told = Traits::of(book, season, *index, day);
            let mut points = weights.alike.points(&wanted, &told);
            points.verdict = weights.went.verdict(day);
            points.laps = median.and_then(|median| weights.went.laps(median, &timed(day.track.as_deref())));
            Rated { day: *index, points }
        })
        .collect();
    // Days in the book are in the order of dates, so the later of two equals has the higher place.
    rated.sort_by(|a, b| b.points.sum().total_cmp(&a.points.sum()).then(b.day.cmp(&a.day)));
    rated
}

/// The median lap of the day's last stint, in s.
fn median(book: &Book, season: &Season, index: usize) -> Option<f64> {
    let here = Here::of_day(book, season, index, season.days.get(index)?.end())?;
    Bench::new(here, Plain).value(FigureName::LAPS_MEDIAN)
}

impl Alike {
    fn points(&self, wanted: &Traits<'_>, told: &Traits<'_>) -> Points {
        let both = |one: Option<f64>, other: Option<f64>| one.zip(other);
        let reach = self.temperature_reach;
        Points {
            track: wanted.track.zip(told.track).map(|(a, b)| if a == b { self.track } else { 0.0 }),
            soil: wanted.soil.zip(told.soil).map(|(a, b)| self.soil * self.shared(a, b)),
            traction: wanted
                .traction
                .zip(told.traction)
                .and_then(|(a, b)| nearness(a, b))
                .map(|near| self.traction * near),
            temperature: both(wanted.air, told.air)
                .map(|(a, b)| self.temperature * (1.0 - (a - b).abs() / reach).max(0.0)),
            ..Points::default()
        }
    }

    /// Words that both have, over all words of both.
    fn shared(&self, one: &str, other: &str) -> f64 {
        let (one, other) = (self.words(one), self.words(other));
        let (common, all) = (one.intersection(&other).count(), one.union(&other).count());
        if all == 0 { 0.0 } else { common as f64 / all as f64 }
    }

    fn words(&self, text: &str) -> BTreeSet<String> {
        text.split(|letter: char| !letter.is_alphanumeric())
            .map(str::to_lowercase)
            .filter(|word| !word.is_empty() && !self.ignore.contains(word))
            .collect()
    }
}

/// 1 for the same traction, a half for its neighbour, 0 for the opposite; `None` for unknown words.
fn nearness(one: &str, other: &str) -> Option<f64> {
    let place = |word: &str| match word {
        LOW => Some(0.0),
        MEDIUM => Some(1.0),
        HIGH => Some(2.0),
        _ => None,
    };
    let apart: f64 = place(one)? - place(other)?;
    Some(1.0 - 0.5 * apart.abs())
}

impl Went {
    fn verdict(&self, day: &Day) -> Option<f64> {
        let last = day.notebook.all::<Stint>().rev().find_map(|stint| stint.verdict.as_ref())?;
        match last.text.as_str() {
            BETTER => Some(self.better),
            SAME => Some(self.same),
            WORSE => Some(self.worse),
            _ => None,
        }
    }

    fn laps(&self, median: f64, at_this_track: &[f64]) -> Option<f64> {
        let best = at_this_track.iter().copied().reduce(f64::min)?;
        let slower = median / best - 1.0;
        (at_this_track.len() > 1).then(|| self.laps * (1.0 - slower / self.laps_reach).max(0.0))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_shipped_weights_can_be_read_and_each_step_outweighs_what_follows() {
        let Weights { alike, went } = Weights::read(None).unwrap();
        let went = went.better - went.worse + went.laps;
        let steps = [alike.track, alike.soil, alike.traction, alike.temperature, went];
        for (place, step) in steps.iter().enumerate() {
            assert!(*step > steps[place + 1..].iter().sum::<f64>(), "{steps:?}");
        }
    }

    #[test]
    fn soils_are_alike_by_the_words_that_say_something() {
        let alike = Weights::read(None).unwrap().alike;
        // sandy, loam, chalk against loam, chalk: two of three.
        assert!((alike.shared("Sandy loam over chalk", "loam, the chalk") - 2.0 / 3.0).abs() < 1e-12);
        assert_eq!(alike.shared("the", ""), 0.0);
    }

    #[test]
    fn a_wrong_key_in_a_books_weights_is_told() {
        assert!(Weights::read(Some("[alike]\ntrak = 1")).unwrap_err().contains("trak"));
    }
}
