//! What each change did to the laps, as far as laps can show.
//!
//! Stints of one day and track are compared: all those on one setting with all those on the setting before. Where the rider went
//! back and rode again, both outings on the old setting are compared with the one on the new. This cancels what the track did
//! meanwhile, and is preferred. Where several settings changed at once nothing is claimed.

use serde::Serialize;

use crate::physics::statistics::{Comparison, FEWEST_LAPS, Uncompared, compare};
use crate::quantity::Kind;
use crate::season::count_changes;
use crate::speech::{Message, say};

use super::super::say::Say;
use super::Desk;
use super::rides::Ride;

/// A change, and what the laps show of it.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Effect {
    pub date: String,
    pub track: Option<String>,
    pub what: String,
    pub because: String,
    pub design: Design,
    /// Laps on the old setting and on the new.
    pub laps: (usize, usize),
    /// What the laps show, in words.
    pub claim: String,
    pub finding: Finding,
    /// The shift of a lap, new less old, in s; `None` where nothing is claimed.
    pub shift: Option<f64>,
    /// The interval of the shift, in s.
    pub interval: Option<(f64, f64)>,
    /// Two-sided, by the ranks.
    pub p: Option<f64>,
    /// As shown.
    pub p_shown: Option<String>,
    /// What the rider said.
    pub verdict: Option<String>,
}

/// How a change was tried.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
pub enum Design {
    /// Before and after; the track's own change is included.
    #[serde(rename = "before and after")]
    BeforeAfter,
    /// And back again.
    #[serde(rename = "and back again")]
    BackAgain,
}

/// The result of a comparison.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Finding {
    Faster,
    Slower,
    /// No difference that the laps could show.
    Unseen,
    TooFewLaps,
    TooManyLaps,
    /// Several settings changed at once.
    Confounded,
}

/// Stints of a day on one setting, one after the other.
type Outing<'r, 'a> = &'r [Ride<'a>];

/// Every change between two outings of a day.
pub(super) fn effects(desk: &Desk<'_>, rides: &[Ride<'_>]) -> Vec<Effect> {
    let mut all = Vec::new();
    for day in rides.chunk_by(|one, next| one.day == next.day) {
        let outings = day.chunk_by(|one, next| one.state.differences(next.state).is_empty());
        let day: Vec<Outing<'_, '_>> = outings.collect();
        let mut at = 0;
        while let (Some(before), Some(after)) = (day.get(at), day.get(at + 1)) {
            let again = day.get(at + 2).copied().filter(|again| is_back(before, again));
            if let Some(effect) = effect(desk, before, after, again) {
                all.push(effect);
            }
            // The way back is part of the effect just added.
            at += if again.is_some() { 2 } else { 1 };
        }
    }
    all
}

/// Whether a third outing was ridden on what the first was.
fn is_back(before: Outing<'_, '_>, again: Outing<'_, '_>) -> bool {
    let (Some(before), Some(again)) = (before.last(), again.first()) else { return false };
    before.state.differences(again.state).is_empty()
}

fn effect(
    desk: &Desk<'_>,
    before: Outing<'_, '_>,
    after: Outing<'_, '_>,
    again: Option<Outing<'_, '_>>,
) -> Option<Effect> {
    let laps_of =
        |outing: Outing<'_, '_>| outing.iter().flat_map(|ride| ride.laps.clone()).collect::<Vec<f64>>();
    let mut old = laps_of(before);
    old.extend(again.map(laps_of).unwrap_or_default());
    let new = laps_of(after);
    let (before, after) = (before.last()?, after.first()?);
    let differences = before.state.differences(after.state);
    let laps = (old.len(), new.len());
    let is_confounded = count_changes(&differences) > 1;
    let compared = (!is_confounded).then(|| compare(&old, &new));
    let (finding, claim) = match &compared {
        None => (Finding::Confounded, say!("changed at once: nobody can say which did it")),
        Some(Err(why)) => uncompared(*why, laps),
        Some(Ok(comparison)) => judged(desk.say, comparison),
    };
    let comparison = compared.and_then(Result::ok);
    Some(Effect {
        date: after.date.to_string(),
        track: desk.book.days.get(after.day).and_then(|day| desk.book.track(day)).map(|it| it.title.clone()),
        what: desk.changed(&differences),
        because: after.because.join("; "),
        design: if again.is_some() { Design::BackAgain } else { Design::BeforeAfter },
        laps,
        claim: desk.say.text(&claim),
        finding,
        shift: comparison.map(|it| it.shift),
        interval: comparison.and_then(|it| it.interval).map(|it| (it.low, it.high)),
        p: comparison.map(|it| it.p),
        // Beside *no difference* a small p would be a contradiction.
        p_shown: comparison
            .filter(|_| matches!(finding, Finding::Faster | Finding::Slower))
            .map(|it| if it.p < 0.001 { "< 0.001".to_owned() } else { format!("{:.3}", it.p) })
            .map(|p| desk.say.text(&Message::number(p))),
        verdict: after.verdict_told().map(|verdict| desk.say.text(&verdict)),
    })
}

pub(super) fn uncompared(why: Uncompared, laps: (usize, usize)) -> (Finding, Message) {
    match why {
        Uncompared::TooFew => {
            let claim = say!(
                "too few laps to tell: {old} and {new}, wanted {fewest} each",
                old = laps.0,
                new = laps.1,
                fewest = FEWEST_LAPS,
            );
            (Finding::TooFewLaps, claim)
        }
        Uncompared::TooMany => (Finding::TooManyLaps, say!("too many laps to compare")),
    }
}

/// Whether laps differ by more than chance, and by how much.
pub(super) fn judged(say: Say<'_>, comparison: &Comparison) -> (Finding, Message) {
    let lap = |seconds: f64| say.value(Kind::Time, seconds.abs()).to_string();
    let Some(interval) = comparison.interval else {
        return (Finding::Unseen, say!("too few laps to say how sure"));
    };
    let (low, high) = (interval.low, interval.high);
    if high < 0.0 || low > 0.0 {
        let (near, far) = if high < 0.0 { (high, low) } else { (low, high) };
        let (shift, near, far) = (lap(comparison.shift), lap(near), lap(far));
        return match high < 0.0 {
            true => {
                let claim = say!("{shift} a lap faster ({near} to {far})", shift, near, far);
                (Finding::Faster, claim)
            }
            false => {
                let claim = say!("{shift} a lap slower ({near} to {far})", shift, near, far);
                (Finding::Slower, claim)
            }
        };
    }
    let (low, high) = (lap(low), lap(high));
    (Finding::Unseen, say!("no difference seen: between {low} faster and {high} slower", low, high))
}
