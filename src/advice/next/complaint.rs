//! What is complained of.

use crate::advice::answer::{Location, OnFile};
use crate::advice::data::Complaint;
use crate::advice::feel::Feel;
use crate::advice::rides::{Ride, strongest};
use crate::speech::{Message, say};
use crate::vocabulary::FigureName;

use super::Adviser;

impl Adviser<'_, '_> {
    /// The strongest complaint, unless another of the same ride is dealt with first.
    pub(super) fn on_file<'f>(&self, feels: &'f [Feel]) -> Option<&'f Feel> {
        let mut chosen = strongest(feels)?;
        // A complaint yields only to one that does not itself yield, or the two would go in a circle.
        for _ in 0..feels.len() {
            let Some(complaint) = self.scene.advice.complaint(&chosen.complaint, chosen.place.as_deref())
            else {
                break;
            };
            match feels.iter().find(|feel| complaint.yields_to.contains(&feel.complaint)) {
                Some(other) => chosen = other,
                None => break,
            }
        }
        Some(chosen)
    }

    pub(super) fn on_file_of(&self, feel: &Feel, ride: &Ride<'_>) -> OnFile {
        let sources = &self.scene.book.sources;
        let at = sources.start(feel.span);
        let complaint = self.scene.advice.complaint(&feel.complaint, feel.place.as_deref());
        OnFile {
            word: feel.complaint.clone(),
            say: complaint
                .map_or_else(|| feel.complaint.clone(), |complaint| self.scene.word(&complaint.say)),
            place: feel.place.clone(),
            strength: feel.strength,
            words: feel.words.clone(),
            date: ride.date.to_string(),
            at: Location { file: sources.path(feel.span.file).to_owned(), line: at.line, column: at.column },
            told: String::new(),
        }
        .tell(&self.scene.units)
    }

    /// A last ride without a complaint, with the complaint of an earlier one of the same day: saying nothing does not mean that
    /// it is gone.
    pub(super) fn uncomplaining(&self, last: &Ride<'_>) -> Message {
        let mut of_day = self.rides.iter().rev().skip(1).take_while(|ride| ride.day == last.day);
        match of_day.find_map(|ride| Some(self.on_file_of(self.on_file(&ride.feels)?, ride))) {
            Some(before) if last.stint.feel.is_some() => say!(
                "the `feel` of the last ride names no complaint. Before it was: {complaint}",
                complaint = before.told
            ),
            Some(before) => say!(
                "the last ride has no `feel`; write how it felt. Before it was: {complaint}",
                complaint = before.told
            ),
            None => say!("nothing is complained of on the last ride"),
        }
    }

    pub(super) fn others(&self, ride: &Ride<'_>, chosen: &Feel) -> Vec<OnFile> {
        let is_other = |feel: &&Feel| feel.complaint != chosen.complaint || feel.span != chosen.span;
        let mut others: Vec<&Feel> = ride.feels.iter().filter(is_other).collect();
        others.sort_by_key(|feel| std::cmp::Reverse(feel.strength.unwrap_or(0)));
        others.into_iter().map(|feel| self.on_file_of(feel, ride)).collect()
    }

    /// Why the complaint is none by the travel ring, if so.
    pub(super) fn no_complaint(&self, complaint: &Complaint, ride: &Ride<'_>) -> Option<String> {
        let end = complaint.bottomed?;
        let used = self.scene.value(ride.state, FigureName::TRAVEL_USED_SHARE.of(end))?;
        let ring = self.scene.advice.practice().ring;
        (used < ring.bottomed_from).then(|| {
            let shown = self.scene.shown(crate::quantity::Kind::Share, used);
            self.scene.say(&say!("the {end} O-ring stood at {shown} of the travel: it does not bottom; feel for something else", end, shown))
        })
    }
}

/// A complaint, as the reason for a change.
pub(super) fn because(feel: &Feel) -> String {
    let strength = feel.strength.map(|strength| strength.to_string());
    let parts = [Some(feel.complaint.clone()), feel.place.clone(), strength];
    parts.into_iter().flatten().collect::<Vec<_>>().join(" ")
}
