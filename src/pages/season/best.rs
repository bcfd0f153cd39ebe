//! The best setting for each track and soil, and how sure that is.

use std::collections::BTreeMap;

use serde::Serialize;

use crate::physics::statistics::{FEWEST_LAPS, compare};
use crate::speech::{Message, say};
use crate::vocabulary::blocks::BETTER;

use super::effects::{Finding, judged};
use super::rides::{Ride, laps_told, time};
use super::{Desk, soil};

/// What went best on a track and soil.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Best {
    pub track: Option<String>,
    pub soil: Option<String>,
    pub date: String,
    /// Compared with the machine's standard setting.
    pub setting: String,
    pub median: Option<String>,
    pub laps: usize,
    /// How sure that is, in words.
    pub sure: String,
    pub sureness: Sureness,
}

/// How sure it is that a setting is the best of those on file.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Sureness {
    /// Faster than the next best on the same day, by more than chance.
    Seen,
    /// No faster than another on the same day, as far as the laps show.
    Unseen,
    /// The others were ridden on other days, on other ground.
    OtherDays,
    /// Nothing else was ridden there.
    Alone,
    /// No laps, but the rider said so.
    ByWord,
    /// Too few laps to show anything.
    FewLaps,
}

/// The best of each track and soil, in their order.
pub(super) fn best(desk: &Desk<'_>, rides: &[Ride<'_>]) -> Vec<Best> {
    let mut places: BTreeMap<(Option<String>, Option<String>), Vec<&Ride<'_>>> = BTreeMap::new();
    for ride in rides {
        let Some(day) = desk.book.days.get(ride.day) else { continue };
        let track = desk.book.track(day).map(|track| track.title.clone());
        places.entry((track, soil(desk.book, day, ride.state))).or_default().push(ride);
    }
    let all = places.into_iter().filter_map(|((track, soil), rides)| {
        let best = by_laps(desk, &rides).or_else(|| by_word(&rides)).or_else(|| by_few(&rides));
        let (ride, sure, sureness) = best?;
        Some(Best {
            track,
            soil,
            date: ride.date.to_string(),
            setting: setting(desk, ride),
            median: ride.median().map(|median| time(desk.say, median)),
            laps: ride.laps.len(),
            sure: desk.say.text(&sure),
            sureness,
        })
    });
    all.collect()
}

/// The fastest by its middle lap, compared with the next best on another setting.
fn by_laps<'r, 'a>(desk: &Desk<'_>, rides: &[&'r Ride<'a>]) -> Option<(&'r Ride<'a>, Message, Sureness)> {
    let mut timed: Vec<(f64, &'r Ride<'a>)> = rides
        .iter()
        .filter(|ride| ride.laps.len() >= FEWEST_LAPS)
        .filter_map(|ride| Some((ride.median()?, *ride)))
        .collect();
    // Of two that are as fast, the later: it was chosen with more known.
    timed.sort_by(|a, b| a.0.total_cmp(&b.0).then(b.1.date.cmp(&a.1.date)));
    let (_, best) = *timed.first()?;
    let others: Vec<&Ride<'a>> = timed
        .iter()
        .map(|(_, ride)| *ride)
        .filter(|ride| !ride.state.differences(best.state).is_empty())
        .collect();
    let same_day = others.iter().find(|other| other.day == best.day);
    let (sure, sureness) = match (same_day, others.first()) {
        (Some(rival), _) => {
            let differences = rival.state.differences(best.state);
            let against = say!("against the same day before {what}", what = desk.changed(&differences));
            match compare(&rival.laps, &best.laps) {
                Ok(comparison) => {
                    let (finding, claim) = judged(desk.say, &comparison);
                    let sureness = if finding == Finding::Faster { Sureness::Seen } else { Sureness::Unseen };
                    (say!("{claim}, {against}", claim, against), sureness)
                }
                Err(_) => (say!("not compared, {against}", against), Sureness::Unseen),
            }
        }
        (None, Some(other)) => (
            say!(
                "the others were ridden on other days ({date} and so on): track may differ",
                date = other.date,
            ),
            Sureness::OtherDays,
        ),
        (None, None) => (say!("nothing else was ridden here"), Sureness::Alone),
    };
    Some((best, sure, sureness))
}

/// Without laps: the last that the rider called better.
fn by_word<'r, 'a>(rides: &[&'r Ride<'a>]) -> Option<(&'r Ride<'a>, Message, Sureness)> {
    let is_better =
        |ride: &&&Ride<'_>| ride.stint.verdict.as_ref().is_some_and(|verdict| verdict.text == BETTER);
    let ride = *rides.iter().rev().find(is_better)?;
    Some((ride, say!("by the rider's word; too few laps"), Sureness::ByWord))
}

/// The fastest of those with too few laps to show anything.
fn by_few<'r, 'a>(rides: &[&'r Ride<'a>]) -> Option<(&'r Ride<'a>, Message, Sureness)> {
    let timed = rides.iter().filter_map(|ride| Some((ride.median()?, *ride)));
    let (_, ride) = timed.min_by(|a, b| a.0.total_cmp(&b.0))?;
    let count = ride.laps.len();
    let laps = laps_told(count);
    let sure = say!("too few to tell: {laps}, {fewest} are needed", laps, fewest = FEWEST_LAPS);
    Some((ride, sure, Sureness::FewLaps))
}

/// The settings of a ride, compared with the machine's standard setting.
fn setting(desk: &Desk<'_>, ride: &Ride<'_>) -> String {
    let standard = desk.season.standard.get(&desk.machine.name);
    let differences = standard.map(|standard| ride.state.against(standard)).unwrap_or_default();
    if differences.is_empty() { desk.say.text(&say!("setting|standard")) } else { desk.changed(&differences) }
}
