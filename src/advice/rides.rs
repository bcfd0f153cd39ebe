//! The rides of a machine and rider, and what each change between two of them came to.

use jiff::civil::Date;

use crate::book::{Book, Notebook};
use crate::season::{Difference, HeldValue, Season, State, count_changes};
use crate::vocabulary::blocks::{AnyBlock, FORK_DAMPER, SAME, SHOCK_DAMPER, Stint, Valving, WORSE};
use crate::vocabulary::settings;

use super::answer::Verdict;
use super::data::{Advice, Complaint};
use super::feel::{Feel, feels};

/// One stint with what it was ridden on.
pub(super) struct Ride<'a> {
    pub day: usize,
    /// The block's place in the day.
    pub block: usize,
    pub date: Date,
    pub state: &'a State,
    pub stint: &'a Stint,
    pub feels: Vec<Feel>,
}

/// What was changed between two rides, and what came of it.
pub(super) struct Trial<'a> {
    pub date: Date,
    pub settings: Vec<Difference<'a>>,
    pub verdict: Option<Verdict>,
    pub is_written: bool,
    pub is_void: Option<String>,
    /// Words of the complaints of both rides.
    pub complaints: Vec<String>,
}

/// All rides up to a place, oldest first.
pub(super) fn rides<'a>(
    book: &'a Book,
    season: &'a Season,
    day: usize,
    points: usize,
    advice: &Advice,
) -> Vec<Ride<'a>> {
    let mut days = Vec::new();
    let mut next = Some((day, points));
    while let Some((day, points)) = next {
        days.push((day, points));
        let previous = season.days.get(day).and_then(|replay| replay.previous);
        next = previous.map(|previous| (previous, usize::MAX));
    }
    let mut rides = Vec::new();
    for (day, points) in days.into_iter().rev() {
        let (Some(about), Some(replay)) = (book.days.get(day), season.days.get(day)) else { continue };
        for point in replay.points.iter().take(points) {
            let Some(AnyBlock::Stint(stint)) = about.notebook.blocks.get(point.block) else { continue };
            let feels = feels(stint, advice);
            rides.push(Ride { day, block: point.block, date: about.date, state: &point.state, stint, feels });
        }
    }
    rides
}

/// What was changed between two rides that follow each other, as it is known on a date; `None` where nothing was.
pub(super) fn trial<'a>(
    book: &Book,
    machine: Option<&Notebook>,
    before: &Ride<'a>,
    after: &Ride<'a>,
    on: Date,
) -> Option<Trial<'a>> {
    let settings = before.state.differences(after.state);
    if settings.is_empty() {
        return None;
    }
    let written = after.stint.verdict.as_ref().map(|verdict| match verdict.text.as_str() {
        WORSE => Verdict::Worse,
        SAME => Verdict::Same,
        _ => Verdict::Better,
    });
    let verdict = written.or_else(|| by_strength(before, after));
    let is_void = if count_changes(&settings) > 1 {
        Some("several settings changed at once, and which of them it was cannot be told".to_owned())
    } else {
        rebuilt_since(book, machine, &settings, after, on)
    };
    let complaints = before.feels.iter().chain(&after.feels).map(|feel| feel.complaint.clone()).collect();
    Some(Trial { date: after.date, settings, verdict, is_written: written.is_some(), is_void, complaints })
}

/// A verdict from how strong the same complaint was before and after, on one day.
fn by_strength(before: &Ride<'_>, after: &Ride<'_>) -> Option<Verdict> {
    if before.day != after.day {
        return None;
    }
    let strongest = strongest(&before.feels)?;
    let then = strongest.strength?;
    let same = |feel: &&Feel| feel.complaint == strongest.complaint && feel.place == strongest.place;
    let now = match after.feels.iter().find(same) {
        Some(feel) => feel.strength?,
        // A ride with other complaints, and without this one, is one on which it was gone; a ride on which nothing was
        // written says nothing.
        None if after.feels.is_empty() => return None,
        None => 0,
    };
    Some(match now.cmp(&then) {
        std::cmp::Ordering::Less => Verdict::Better,
        std::cmp::Ordering::Equal => Verdict::Same,
        std::cmp::Ordering::Greater => Verdict::Worse,
    })
}

/// The strongest of several complaints; of equals the first, and last those without a strength.
pub(super) fn strongest(feels: &[Feel]) -> Option<&Feel> {
    feels.iter().rev().max_by_key(|feel| feel.strength.unwrap_or(0))
}

/// Says so where the damper that a trial's clicks belong to was rebuilt after it, up to a date: clicks before and after
/// are not compared, and what comes later is not known yet.
fn rebuilt_since(
    book: &Book,
    machine: Option<&Notebook>,
    settings: &[Difference<'_>],
    ride: &Ride<'_>,
    on: Date,
) -> Option<String> {
    let damper = settings.iter().find_map(|moved| damper_of(moved.name))?;
    let of_damper = |valving: &&Valving| valving.header.argument() == damper;
    let standing = machine.into_iter().flat_map(|machine| machine.all::<Valving>()).filter(of_damper);
    let later =
        standing.filter_map(|valving| valving.date).any(|dated| dated.date > ride.date && dated.date <= on);
    let in_days = || {
        book.days.iter().enumerate().any(|(index, day)| {
            let is_machines =
                machine.is_some_and(|machine| day.machine.as_deref() == Some(machine.name.as_str()));
            is_machines
                && day.notebook.blocks.iter().enumerate().any(|(block, any)| match any {
                    AnyBlock::Valving(valving) if of_damper(&&**valving) => {
                        let date = valving.date.map_or(day.date, |dated| dated.date);
                        let is_after = date > ride.date
                            || (date == ride.date && (index, block) > (ride.day, ride.block));
                        is_after && date <= on
                    }
                    _ => false,
                })
        })
    };
    (later || in_days()).then(|| format!("the {damper} was rebuilt since"))
}

/// The damper that a clicker belongs to.
fn damper_of(name: &str) -> Option<&'static str> {
    match name {
        settings::FORK_COMPRESSION | settings::FORK_REBOUND => Some(FORK_DAMPER),
        settings::SHOCK_LOW_COMPRESSION | settings::SHOCK_HIGH_COMPRESSION | settings::SHOCK_REBOUND => {
            Some(SHOCK_DAMPER)
        }
        _ => None,
    }
}

impl Trial<'_> {
    /// Whether a complaint was felt on either of its rides.
    pub fn was_against(&self, complaint: &Complaint) -> bool {
        self.complaints.iter().any(|word| complaint.is_called(word))
    }

    /// Whether it says something about moving a setting to a value, from where it is: the same way, over some of the
    /// same stretch.
    pub fn is_about(&self, name: &str, from: &HeldValue, to: &HeldValue) -> bool {
        let moved = self.settings.iter().find(|moved| moved.name == name);
        let Some(&Difference { before, after: Some(after), .. }) = moved else { return false };
        match (before.map(|held| &held.value), &after.value, from, to) {
            (
                Some(HeldValue::Quantity(then)),
                HeldValue::Quantity(tried),
                HeldValue::Quantity(from),
                HeldValue::Quantity(to),
            ) => {
                let same_way =
                    (tried.value - then.value) * (to.value - from.value) > 0.0 && tried.kind == to.kind;
                let low = |a: f64, b: f64| a.min(b);
                let high = |a: f64, b: f64| a.max(b);
                let overlap = high(tried.value, then.value).min(high(to.value, from.value))
                    - low(tried.value, then.value).max(low(to.value, from.value));
                // A stretch that only touches is another one.
                same_way && overlap > 1e-6 * (to.value - from.value).abs()
            }
            (_, HeldValue::Word(tried), _, HeldValue::Word(to)) => tried == to,
            _ => false,
        }
    }
}
