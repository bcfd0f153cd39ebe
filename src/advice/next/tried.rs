//! What was tried and what came of it: trials, a change not ridden yet, one to undo.

use crate::advice::answer::{Moved, Text, Tried, Undo, Verdict};
use crate::advice::rides::{Ride, Trial, trial};
use crate::quantity::show;
use crate::season::{Changed, Difference, Held, HeldValue, How};
use crate::speech::say;
use crate::vocabulary::Setting;

use super::{Adviser, block, text};

/// How many changed settings are named one by one.
const MOST_NAMED: usize = 2;

impl<'a> Adviser<'_, 'a> {
    pub(super) fn trials(&self) -> Vec<Trial<'a>> {
        let pairs = self.rides.iter().zip(self.rides.iter().skip(1));
        pairs.filter_map(|(before, after)| trial(before, after, self.scene.state)).collect()
    }

    pub(super) fn tried(&self, trial: &Trial<'_>) -> Tried {
        let settings = self.moved(&trial.settings);
        let what: Vec<String> = settings.iter().map(|moved| self.told(moved)).collect();
        let outcome = match (&trial.is_void, trial.verdict) {
            (Some(why), _) => self.scene.say(why),
            (None, Some(verdict)) => self.scene.say(&verdict.said()),
            (None, None) => self.scene.say(&say!("no verdict")),
        };
        Tried {
            date: trial.date.to_string(),
            text: format!("{}: {}: {outcome}", trial.date, what.join(", ")),
            settings,
            verdict: trial.verdict,
            is_written: trial.is_written,
            is_void: trial.is_void.as_ref().map(|why| self.scene.say(why)),
        }
    }

    fn moved(&self, differences: &[Difference<'_>]) -> Vec<Moved> {
        let moved = differences.iter().map(|difference| {
            let shown = |held: &Held| self.scene.shown_held(difference.name, &held.value);
            Moved {
                name: difference.name,
                label: self.scene.units.say(&difference.name.label()),
                from: difference.before.map(shown),
                to: difference.after.map(shown),
            }
        });
        moved.collect()
    }

    /// A change on purpose since the last ride.
    pub(super) fn pending(&self, ride: &Ride<'_>) -> Option<Text> {
        let mut changed = ride.state.differences(self.scene.state);
        changed.retain(|difference| {
            difference.after.is_some_and(|after| matches!(after.how, How::Change | How::Plan))
        });
        // What a day that nobody has ridden begins with was written for it, and is no trial; the jet follows the air.
        let is_prepared =
            ride.day < self.scene.day && changed.iter().all(|difference| self.is_of_day(difference));
        changed.retain(|difference| !is_prepared || difference.name != Changed::Setting(Setting::JET_MAIN));
        if changed.is_empty() {
            return None;
        }
        let few = (changed.len() <= MOST_NAMED)
            .then(|| self.moved(&changed).iter().map(|moved| self.told(moved)).collect::<Vec<_>>());
        if is_prepared {
            let what = match few {
                Some(few) => few.join(", "),
                None => self.scene.say(&say!("{count} settings", count = changed.len())),
            };
            return Some(text(self.scene.say(&say!(
                "as prepared for this day, nothing more: {what}; ride it so first, and write how it felt",
                what
            ))));
        }
        Some(text(self.scene.say(&match few {
            Some(few) => say!(
                "ride first, and write how it felt: {what} was changed since the last ride",
                what = few.join(", ")
            ),
            None => say!(
                "ride first, and write how it felt: {count} settings were changed since the last ride",
                count = changed.len()
            ),
        })))
    }

    /// Whether a setting came to hold on the day that is asked about.
    fn is_of_day(&self, difference: &Difference<'_>) -> bool {
        let place = difference.after.and_then(|after| after.place);
        place.is_some_and(|place| place.day == self.scene.day)
    }

    /// The last change, where it made things worse and still holds.
    pub(super) fn undo(&self, trials: &[Trial<'_>], ride: &Ride<'_>) -> Option<Undo> {
        let before = self.rides.iter().rev().nth(1)?;
        // The last trial is about the last two rides only where something changed between them.
        let last =
            trials.last().filter(|trial| trial.date == ride.date && trial.verdict == Some(Verdict::Worse))?;
        let own = before.state.differences(ride.state);
        let stands =
            !own.is_empty() && own == last.settings && ride.state.differences(self.scene.state).is_empty();
        if !stands {
            return None;
        }
        let settings: Vec<Moved> = self
            .moved(&last.settings)
            .into_iter()
            .map(|moved| Moved { from: moved.to, to: moved.from, ..moved })
            .collect();
        let what: Vec<String> = settings.iter().map(|moved| self.told(moved)).collect();
        Some(Undo {
            text: self.scene.say(&say!("put it back, as it made it worse: {what}", what = what.join(", "))),
            write: self.undo_block(&last.settings, before, ride),
            settings,
        })
    }

    /// A block that undoes a change: `back` where one block made it, else the settings as they were.
    fn undo_block(&self, settings: &[Difference<'_>], before: &Ride<'_>, ride: &Ride<'_>) -> String {
        let events =
            self.scene.season.days.get(ride.day).map(|replay| replay.events.as_slice()).unwrap_or_default();
        let mut blocks: Vec<usize> = events
            .iter()
            .filter(|event| {
                event.how == How::Change
                    && event.block < ride.block
                    && (before.day < ride.day || event.block > before.block)
            })
            .map(|event| event.block)
            .collect();
        blocks.dedup();
        let lines = if blocks.len() == 1 && before.day == ride.day {
            vec!["back = true".to_owned()]
        } else {
            let written = |held: &Held| match &held.value {
                HeldValue::Quantity(quantity) => show(quantity, &self.scene.plain).to_string(),
                HeldValue::Word(word) => word.clone(),
            };
            let line = |moved: &Difference<'_>| {
                Some(format!("{} = \"{}\"", moved.name.as_str(), written(moved.before?)))
            };
            settings.iter().filter_map(line).collect()
        };
        block(&lines, "it made it worse")
    }

    fn told(&self, moved: &Moved) -> String {
        match (&moved.from, &moved.to) {
            (Some(from), Some(to)) => format!("{} {from} → {to}", moved.label),
            (None, Some(to)) => format!("{} {to}", moved.label),
            (Some(from), None) => self.scene.say(&say!(
                "{label} {from} → as it was before it was written",
                label = moved.label,
                from
            )),
            (None, None) => moved.label.clone(),
        }
    }
}
