//! What this book shows about a step: how often this rider, or this machine, tried it for the complaint, and what came of
//! it.

use crate::advice::answer::{Verdict, Worth};
use crate::advice::data::Complaint;
use crate::advice::rides::{Ride, Trial, TrialWay, trial};
use crate::advice::step::Proposal;
use crate::physics::statistics::{Comparison, compare};
use crate::quantity::Kind;
use crate::season::HeldValue;
use crate::speech::{Message, say};

use super::Adviser;

/// A change ridden for a complaint, and what the laps show, where they can.
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

    /// The laps on the old setting against those on the new, on one day. Where the rider went back, the laps on the old
    /// setting again count as old, as on the season's page.
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

    /// What is known of a step, from everything tried for its complaint.
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
        worth.by_laps = lapped
            .map(|(it, laps)| {
                self.scene.say(&say!("{laps} on {date}", laps = self.shift(laps), date = it.trial.date))
            })
            .collect();
        worth.text = self.scene.say(&text(&worth));
        Some(worth)
    }

    /// What the laps show, in words.
    fn shift(&self, comparison: &Comparison) -> String {
        let Some(interval) = comparison.interval.filter(|it| it.low > 0.0 || it.high < 0.0) else {
            return self.scene.say(&say!("no difference seen"));
        };
        let lap = |seconds: f64| self.scene.shown(Kind::Time, seconds.abs());
        let is_faster = comparison.shift < 0.0;
        let (near, far) = match is_faster {
            true => (interval.high, interval.low),
            false => (interval.low, interval.high),
        };
        let (shift, near, far) = (lap(comparison.shift), lap(near), lap(far));
        self.scene.say(&match is_faster {
            true => say!("{shift} a lap faster ({near} to {far})", shift, near, far),
            false => say!("{shift} a lap slower ({near} to {far})", shift, near, far),
        })
    }
}

fn text(worth: &Worth) -> Message {
    let told = worth.better + worth.same + worth.worse;
    let verdicts = [
        (worth.better, Verdict::Better.said()),
        (worth.same, Verdict::Same.said()),
        (worth.worse, Verdict::Worse.said()),
        (worth.taken - told, say!("without a verdict")),
    ];
    let verdicts = verdicts.into_iter().filter(|(count, _)| *count > 0);
    let verdicts = verdicts.map(|(count, verdict)| match worth.taken {
        1 => verdict,
        _ => Message::joined([Message::text(count.to_string()), verdict], " "),
    });
    let verdicts = Message::joined(verdicts, ", ");
    let text = match worth.taken {
        0 => return say!("in this book not taken for this yet"),
        1 => say!("in this book taken once for this: {verdicts}", verdicts),
        2 => say!("in this book taken twice for this: {verdicts}", verdicts),
        many => say!("in this book taken {many} times for this: {verdicts}", many, verdicts),
    };
    match worth.by_laps.is_empty() {
        true => text,
        false => say!("{worth}; by the laps {laps}", worth = text, laps = worth.by_laps.join(", ")),
    }
}
