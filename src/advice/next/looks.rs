//! What comes before any change: looks, and readings fresh enough to rest it on.

use crate::advice::answer::{LookState, Measure, ReadingState};
use crate::advice::data::{Complaint, Look};
use crate::advice::reading::Freshness;
use crate::advice::rides::Ride;
use crate::book::Notebook;
use crate::speech::say;
use crate::vocabulary::Named;

use super::Adviser;

impl Adviser<'_, '_> {
    pub(super) fn looks(&self, complaint: &Complaint) -> Vec<LookState> {
        let scene = self.scene;
        let has_bleeders = scene.machine.is_some_and(Notebook::has_bleeders);
        let is_asked = |look: &&Look| {
            (look.for_all || complaint.looks.contains(&look.name)) && (!look.needs_bleeders || has_bleeders)
        };
        let mut looks: Vec<LookState> = scene
            .advice
            .practice()
            .looks
            .iter()
            .filter(is_asked)
            .map(|look| {
                let last = look
                    .shown_by
                    .iter()
                    .filter_map(|name| scene.state.seen(name))
                    .filter(|seen| !scene.is_before_crash(seen))
                    .max_by_key(|seen| seen.place);
                let age = last.and_then(|seen| seen.date.until(scene.on).ok()).map(|age| age.get_days());
                let holds = i32::try_from(look.holds_days).unwrap_or(i32::MAX);
                LookState {
                    name: look.name.clone(),
                    say: scene.word(&look.say),
                    is_done: age.is_some_and(|age| age <= holds),
                    last: last.map(|seen| seen.date.to_string()),
                }
            })
            .collect();
        // What the machine's notebook wants looked at, by days, by hours or before each ride, and was not.
        let wanted = scene.due.iter().filter(|due| due.is_wanted(scene.about.date));
        looks.extend(
            wanted.filter(|due| !due.named.is_some_and(|name| complaint.rests_on.contains(&name))).map(
                |due| LookState {
                    name: due.name.clone(),
                    say: match due.is_overdue {
                        true => {
                            scene.say(&say!("{label}: overdue ({why})", label = due.label(), why = due.why()))
                        }
                        false => format!("{}: {}", scene.say(&due.label()), scene.say(&due.why())),
                    },
                    is_done: false,
                    last: due.last.as_ref().and_then(|last| last.date).map(|date| date.to_string()),
                },
            ),
        );
        looks
    }

    pub(super) fn readings(&self, complaint: &Complaint, ride: &Ride<'_>) -> Vec<ReadingState> {
        let chambers: Vec<&str> =
            self.scene.machine.iter().flat_map(|machine| machine.chambers()).map(|(name, _)| name).collect();
        let mut readings: Vec<ReadingState> =
            complaint.rests_on.iter().map(|name| self.scene.reading(*name, Some(ride))).collect();
        for names in &complaint.shows {
            // Only to look at: it is shown where it has a value, and nothing waits for it.
            let shown = names
                .each(&chambers)
                .into_iter()
                .map(|name| self.scene.reading(name, Some(ride)))
                .filter(|reading| reading.shown.is_some());
            readings.extend(shown.map(|reading| ReadingState { is_due: false, note: None, ..reading }));
        }
        readings
    }

    /// The first of some readings that is missing or too old.
    pub(super) fn measure_first(&self, names: &[Named], ride: &Ride<'_>) -> Option<Measure> {
        names.iter().find_map(|name| match self.scene.freshness(*name, Some(ride)) {
            Freshness::Fresh => None,
            Freshness::Due(why) => {
                let (label, how) = (self.scene.say(&name.label()), self.scene.how_to(*name));
                Some(Measure {
                    name: *name,
                    text: self.scene.say(&say!("first {how} – {why}", how, why)),
                    label,
                    why,
                    how,
                })
            }
        })
    }
}
