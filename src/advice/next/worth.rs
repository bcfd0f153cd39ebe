//! What a step is worth by this book: how often this rider, or this machine, took it for the complaint, and what came of it.

use std::fmt::Write;

use crate::advice::answer::{Verdict, Worth};
use crate::advice::data::Complaint;
use crate::advice::rides::{Ride, Trial, TrialWay, trial};
use crate::advice::step::Proposal;
use crate::physics::statistics::{Comparison, compare};
use crate::quantity::Kind;
use crate::season::HeldValue;

use super::Adviser;

/// A change that was ridden for a complaint, and what the laps say of it, where they can tell.
pub(super) struct Taken<'a> {
    trial: Trial<'a>,
    laps: Option<Comparison>,
}

impl<'a> Adviser<'_, 'a> {
    /// Everything that was tried for a complaint, by this rider on any machine or by anybody on this one.
    pub(super) fn taken(&self, complaint: &Complaint) -> Vec<Taken<'a>> {
        let own = std::iter::once((self.rides, Some(self.scene.state)));
        let others =
            self.related().iter().map(|rides| (rides.as_slice(), rides.last().map(|ride| ride.state)));
        let mut all = Vec::new();
        for (rides, now) in own.chain(others) {
            let Some(now) = now else { continue };
            for (at, (before, after)) in rides.iter().zip(rides.iter().skip(1)).enumerate() {
                let Some(trial) = trial(before, after, now) else { continue };
                if trial.is_void.is_none() && trial.was_against(complaint) {
                    all.push(Taken { laps: self.by_laps(rides, at), trial });
                }
            }
        }
        all.sort_by_key(|taken| taken.trial.date);
        all
    }

    /// The laps on the old setting against those on the new, of one day; where the rider went back, those on the old setting
    /// again are among the old ones, as on the season's page.
    fn by_laps(&self, rides: &[Ride<'_>], before: usize) -> Option<Comparison> {
        let (then, now) = (rides.get(before)?, rides.get(before + 1)?);
        if then.day != now.day {
            return None;
        }
        let is_alike = |ride: &&Ride<'_>, other: &Ride<'_>| {
            ride.day == other.day && ride.state.differences(other.state).is_empty()
        };
        let laps = |ride: &Ride<'_>| self.scene.book.laps(ride.stint);
        let earlier = rides.get(..=before)?.iter().rev().take_while(|ride| is_alike(ride, then));
        let mut old: Vec<f64> = earlier.flat_map(laps).collect();
        let later = rides.get(before + 1..)?;
        let on_new = later.iter().take_while(|ride| is_alike(ride, now)).count();
        let new: Vec<f64> = later.iter().take(on_new).flat_map(laps).collect();
        old.extend(later.iter().skip(on_new).take_while(|ride| is_alike(ride, then)).flat_map(laps));
        compare(&old, &new).ok()
    }

    /// What is known of a step, among everything that was tried for its complaint.
    pub(super) fn worth(&self, proposal: &Proposal, taken: &[Taken<'_>]) -> Option<Worth> {
        let nothing = HeldValue::Word(String::new());
        let (name, from, to) = proposal.moves.first()?;
        let from = from.as_ref().unwrap_or(&nothing);
        let own = taken.iter().filter(|taken| taken.trial.way(*name, from, to) == Some(TrialWay::With));
        let own: Vec<&Taken<'_>> = own.collect();
        let count = |verdict: Option<Verdict>| own.iter().filter(|it| it.trial.verdict == verdict).count();
        let (better, same, worse) =
            (count(Some(Verdict::Better)), count(Some(Verdict::Same)), count(Some(Verdict::Worse)));
        let mut worth =
            Worth { taken: own.len(), better, same, worse, by_laps: Vec::new(), text: String::new() };
        let lapped = own.iter().filter_map(|it| Some((it, it.laps.as_ref()?)));
        worth.by_laps =
            lapped.map(|(it, laps)| format!("{} on {}", self.shift(laps), it.trial.date)).collect();
        worth.text = text(&worth);
        Some(worth)
    }

    /// What the laps say, in words.
    fn shift(&self, comparison: &Comparison) -> String {
        let Some(interval) = comparison.interval.filter(|it| it.low > 0.0 || it.high < 0.0) else {
            return "no difference seen".to_owned();
        };
        let lap = |seconds: f64| self.scene.shown(Kind::Time, seconds.abs());
        let way = if comparison.shift < 0.0 { "faster" } else { "slower" };
        let (near, far) = match comparison.shift < 0.0 {
            true => (interval.high, interval.low),
            false => (interval.low, interval.high),
        };
        format!("{} a lap {way} ({} to {})", lap(comparison.shift), lap(near), lap(far))
    }
}

fn text(worth: &Worth) -> String {
    if worth.taken == 0 {
        return "in this book not taken for this yet".to_owned();
    }
    let times = match worth.taken {
        1 => "once".to_owned(),
        2 => "twice".to_owned(),
        many => format!("{many} times"),
    };
    let told = worth.better + worth.same + worth.worse;
    let verdicts = [
        (worth.better, Verdict::Better.word()),
        (worth.same, Verdict::Same.word()),
        (worth.worse, Verdict::Worse.word()),
        (worth.taken - told, "without a verdict"),
    ];
    let verdicts = verdicts.into_iter().filter(|(count, _)| *count > 0);
    let verdicts: Vec<String> = verdicts
        .map(|(count, word)| if worth.taken == 1 { word.to_owned() } else { format!("{count} {word}") })
        .collect();
    let mut text = format!("in this book taken {times} for this: {}", verdicts.join(", "));
    if !worth.by_laps.is_empty() {
        let _ = write!(text, "; by the laps {}", worth.by_laps.join(", "));
    }
    text
}
