//! The rides of a machine and rider, and what came of each change between two of them.

use jiff::civil::Date;

use crate::book::Book;
use crate::season::{Changed, Difference, HeldValue, Season, State, count_changes};
use crate::speech::{Message, say};
use crate::vocabulary::blocks::{AnyBlock, SAME, Stint, WORSE};
use crate::vocabulary::{Damper, Setting};

use super::answer::Verdict;
use super::data::Complaint;
use super::feel::{Ear, Feel};
use super::parts::Advice;

/// One stint, with the settings that it was ridden on.
pub(super) struct Ride<'a> {
    pub day: usize,
    /// The block's place in the day.
    pub block: usize,
    pub date: Date,
    pub state: &'a State,
    pub stint: &'a Stint,
    pub feels: Vec<Feel>,
}

/// What changed between two rides, and what came of it.
pub(super) struct Trial<'a> {
    pub date: Date,
    pub settings: Vec<Difference<'a>>,
    pub verdict: Option<Verdict>,
    pub is_written: bool,
    pub is_void: Option<Message>,
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
    let ear = Ear::new(advice);
    let mut rides = Vec::new();
    for (day, points) in days.into_iter().rev() {
        let (Some(about), Some(replay)) = (book.days.get(day), season.days.get(day)) else { continue };
        for point in replay.points.iter().take(points) {
            let Some(AnyBlock::Stint(stint)) = about.notebook.blocks.get(point.block) else { continue };
            if stint.is_blank() {
                continue;
            }
            let feels = ear.feels(book, about, stint);
            rides.push(Ride { day, block: point.block, date: about.date, state: &point.state, stint, feels });
        }
    }
    rides
}

/// What changed between two consecutive rides; `None` where nothing did.
///
/// It is compared with the machine where advice is asked: what was rebuilt or fitted since makes it outdated.
pub(super) fn trial<'a>(before: &Ride<'a>, after: &Ride<'a>, now: &State) -> Option<Trial<'a>> {
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
        Some(say!("several settings were changed at once: nobody can say which of them it was"))
    } else {
        outdated(&settings, after.state, now)
    };
    let complaints = before.feels.iter().chain(&after.feels).map(|feel| feel.complaint.clone()).collect();
    Some(Trial { date: after.date, settings, verdict, is_written: written.is_some(), is_void, complaints })
}

/// A verdict from the strength of one complaint before and after, on one day.
fn by_strength(before: &Ride<'_>, after: &Ride<'_>) -> Option<Verdict> {
    if before.day != after.day {
        return None;
    }
    let strongest = strongest(&before.feels)?;
    let then = strongest.strength?;
    let same = |feel: &&Feel| feel.complaint == strongest.complaint && feel.place == strongest.place;
    let now = match after.feels.iter().find(same) {
        Some(feel) => feel.strength?,
        // A ride with other complaints and without this one shows that it was gone. A ride without any words shows
        // nothing.
        None if after.feels.is_empty() => return None,
        None => 0,
    };
    Some(match now.cmp(&then) {
        std::cmp::Ordering::Less => Verdict::Better,
        std::cmp::Ordering::Equal => Verdict::Same,
        std::cmp::Ordering::Greater => Verdict::Worse,
    })
}

/// The strongest of several complaints; of equals the first, and those without a strength last.
pub(super) fn strongest(feels: &[Feel]) -> Option<&Feel> {
    feels.iter().rev().max_by_key(|feel| feel.strength.unwrap_or(0))
}

/// Says so where a damper was rebuilt, or another spring fitted, after a trial of its settings: clicks before and after are
/// not compared.
fn outdated(settings: &[Difference<'_>], then: &State, now: &State) -> Option<Message> {
    let since = then.differences(now);
    let differs = |name: Changed| since.iter().any(|difference| difference.name == name);
    settings.iter().find_map(|moved| {
        let damper = moved.name.setting().and_then(|name| name.info().damper);
        if let Some(damper) = damper.filter(|damper| differs(Changed::Valving(*damper))) {
            return Some(match damper {
                Damper::Fork => say!("the fork was rebuilt since"),
                Damper::Shock => say!("the shock was rebuilt since"),
            });
        }
        let springs = [
            (
                Setting::FORK_SPRING,
                [Setting::FORK_PRELOAD, Setting::FORK_COMPRESSION, Setting::FORK_REBOUND].as_slice(),
            ),
            (
                Setting::SHOCK_SPRING,
                &[
                    Setting::SHOCK_PRELOAD,
                    Setting::SHOCK_LOW_COMPRESSION,
                    Setting::SHOCK_HIGH_COMPRESSION,
                    Setting::SHOCK_REBOUND,
                ],
            ),
        ];
        let changed = springs.iter().find(|(spring, own)| {
            moved.name.setting().is_some_and(|name| own.contains(&name)) && differs(Changed::Setting(*spring))
        });
        changed.map(|_| say!("another spring was fitted since"))
    })
}

impl Trial<'_> {
    /// Whether a complaint was felt on either of its rides.
    pub fn was_against(&self, complaint: &Complaint) -> bool {
        self.complaints.iter().any(|word| complaint.is_called(word))
    }

    /// Which way a setting goes, with the trial or against it; `None` where the trial shows nothing about it.
    pub fn way(&self, name: Setting, from: &HeldValue, to: &HeldValue) -> Option<TrialWay> {
        let moved = self.settings.iter().find(|moved| moved.name == Changed::Setting(name))?;
        let Difference { before, after: Some(after), .. } = *moved else { return None };
        match (before.map(|held| &held.value), &after.value, from, to) {
            (
                Some(HeldValue::Quantity(then)),
                HeldValue::Quantity(tried),
                HeldValue::Quantity(from),
                HeldValue::Quantity(to),
            ) if tried.kind == to.kind => {
                let product = (tried.value - then.value) * (to.value - from.value);
                if product > 0.0 {
                    return Some(TrialWay::With);
                }
                // Back over some of the same range; one that only touches it is another change.
                let overlap = tried.value.max(then.value).min(to.value.max(from.value))
                    - tried.value.min(then.value).max(to.value.min(from.value));
                (product < 0.0 && overlap > 1e-6 * (to.value - from.value).abs()).then_some(TrialWay::Against)
            }
            (_, HeldValue::Word(tried), _, HeldValue::Word(to)) if tried == to => Some(TrialWay::With),
            (then, HeldValue::Word(tried), HeldValue::Word(from), HeldValue::Word(to)) => {
                let is_back = tried == from && then.and_then(HeldValue::word) == Some(to.as_str());
                is_back.then_some(TrialWay::Against)
            }
            _ => None,
        }
    }
}

/// Which way a step goes, seen from a trial of the same setting.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum TrialWay {
    With,
    Against,
}
