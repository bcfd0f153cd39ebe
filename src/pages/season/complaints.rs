//! What was tried for each complaint, and what came of it.

use std::collections::BTreeMap;

use serde::Serialize;

use crate::advice::{Ear, Feel, place_said};
use crate::season::{Difference, count_changes};
use crate::speech::say;

use super::Desk;
use super::effects::Effect;
use super::rides::Ride;

/// A complaint over the period.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Complaint {
    pub word: String,
    /// The same in plain words.
    pub say: String,
    /// How many stints had it.
    pub stints: usize,
    pub first: String,
    pub last: String,
    /// Whether the last stint with any words still had it.
    pub is_open: bool,
    pub trials: Vec<Trial>,
}

/// What was changed after a stint that had the complaint.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Trial {
    pub date: String,
    pub what: String,
    /// Whether it can affect the complaint; else it was changed at that time, and gets no credit.
    pub is_credited: bool,
    /// What else was changed then that cannot affect it.
    pub beside: Option<String>,
    pub because: String,
    /// How it was before, and in the next stint.
    pub before: String,
    pub after: String,
    /// What the rider said.
    pub verdict: Option<String>,
    /// What the laps say, where both stints were on one day.
    pub laps: Option<String>,
    /// Why nothing can be concluded, if so.
    pub caution: Option<String>,
}

/// Every complaint, the most frequent first.
pub(super) fn complaints(desk: &Desk<'_>, rides: &[Ride<'_>], effects: &[Effect]) -> Vec<Complaint> {
    let ear = Ear::new(desk.advice);
    let of_ride = |ride: &Ride<'_>| {
        desk.book.days.get(ride.day).map(|day| ear.feels(desk.book, day, ride.stint)).unwrap_or_default()
    };
    let feels: Vec<Vec<Feel>> = rides.iter().map(of_ride).collect();
    let mut all: BTreeMap<&str, Complaint> = BTreeMap::new();
    for (ride, feels) in rides.iter().zip(&feels) {
        let date = ride.date.to_string();
        let mut words: Vec<&str> = feels.iter().map(|feel| feel.complaint.as_str()).collect();
        words.sort_unstable();
        words.dedup();
        for word in words {
            let entry = all.entry(word).or_insert_with(|| Complaint {
                word: word.to_owned(),
                say: plain(desk, word),
                stints: 0,
                first: date.clone(),
                last: date.clone(),
                is_open: false,
                trials: Vec::new(),
            });
            entry.stints += 1;
            entry.last.clone_from(&date);
        }
    }
    for (pair, felt) in rides.windows(2).zip(feels.windows(2)) {
        let ([before, after], [was, is]) = (pair, felt) else { continue };
        let differences = before.state.differences(after.state);
        if differences.is_empty() {
            continue;
        }
        for (at, feel) in was.iter().enumerate() {
            // Felt in two places it is still one complaint.
            if was.iter().take(at).any(|other| other.complaint == feel.complaint) {
                continue;
            }
            let Some(complaint) = all.get_mut(feel.complaint.as_str()) else { continue };
            complaint.trials.push(trial(desk, effects, [before, after], &differences, (feel, is)));
        }
    }
    let last_said = feels.iter().rev().find(|feels| !feels.is_empty());
    for feel in last_said.into_iter().flatten() {
        if let Some(complaint) = all.get_mut(feel.complaint.as_str()) {
            complaint.is_open = true;
        }
    }
    let mut all: Vec<Complaint> = all.into_values().collect();
    all.sort_by(|a, b| b.stints.cmp(&a.stints).then_with(|| a.word.cmp(&b.word)));
    all
}

/// What was changed between two stints, against a complaint of the first. What cannot affect the complaint is shown
/// beside it, and gets no credit.
fn trial(
    desk: &Desk<'_>,
    effects: &[Effect],
    [before, after]: [&Ride<'_>; 2],
    differences: &[Difference<'_>],
    (feel, is): (&Feel, &[Feel]),
) -> Trial {
    let is_one_day = before.day == after.day;
    // A change made alone for the very next stint was a trial, whether the advice has it or not.
    let is_alone = is_one_day && count_changes(differences) == 1;
    let bears = |difference: &Difference<'_>| {
        let (word, name) = (&feel.complaint, difference.name);
        let bears =
            if is_alone { desk.advice.may_bear_on(word, name) } else { desk.advice.bears_on(word, name) };
        // For a complaint that the advice does not know, nobody can say.
        bears.unwrap_or(true)
    };
    let (bearing, beside): (Vec<_>, Vec<_>) = differences.iter().copied().partition(bears);
    let date = after.date.to_string();
    let is_credited = !bearing.is_empty();
    let mut cautions = Vec::new();
    if is_credited && count_changes(&bearing) > 1 {
        cautions.push(desk.say.text(&say!("several at once")));
    }
    if !is_one_day {
        cautions.push(desk.say.text(&say!("another day")));
    }
    // Laps are about everything that was changed: of one change among others they show nothing.
    let of_day = if is_one_day && beside.is_empty() { on(effects, &date) } else { &[] };
    let what = desk.changed(if is_credited { &bearing } else { &beside });
    let laps = of_day.iter().find(|effect| effect.what == what);
    Trial {
        because: after.because.join("; "),
        before: told(desk, feel),
        after: outcome(desk, feel, is),
        verdict: after.verdict_told().filter(|_| is_credited).map(|verdict| desk.say.text(&verdict)),
        laps: laps.map(|effect| effect.claim.clone()),
        caution: (!cautions.is_empty()).then(|| cautions.join("; ")),
        beside: (is_credited && !beside.is_empty()).then(|| desk.changed(&beside)),
        date,
        what,
        is_credited,
    }
}

/// A complaint's word, in plain words.
fn plain(desk: &Desk<'_>, word: &str) -> String {
    let known = desk.advice.complaint(word, None);
    known.map_or_else(|| word.replace('-', " "), |complaint| desk.say.units().word(&complaint.say))
}

/// The effects on a date. They are in the order of the days, and dates as text sort like days.
fn on<'e>(effects: &'e [Effect], date: &str) -> &'e [Effect] {
    let from = effects.partition_point(|effect| effect.date.as_str() < date);
    let to = effects.partition_point(|effect| effect.date.as_str() <= date);
    effects.get(from..to).unwrap_or_default()
}

/// How a complaint was in the stint after a change. A stint without words shows nothing of it.
fn outcome(desk: &Desk<'_>, feel: &Feel, after: &[Feel]) -> String {
    match after.iter().find(|other| other.complaint == feel.complaint) {
        Some(other) => told(desk, other),
        None if after.is_empty() => desk.say.text(&say!("not said")),
        None => desk.say.text(&say!("complaint|gone")),
    }
}

/// Where and how strong, without the rider's own words.
fn told(desk: &Desk<'_>, feel: &Feel) -> String {
    let strength = feel.strength.map(|strength| strength.to_string());
    let place = feel.place.as_ref().map(|place| desk.say.text(&place_said(place)));
    [place, strength].into_iter().flatten().collect::<Vec<_>>().join(" ")
}
