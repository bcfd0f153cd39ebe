//! What is asked of an advice file.

use crate::quantity::{Kind, Quantity};
use crate::vocabulary::Named;

use super::data::{Complaint, Step};
use super::parts::Advice;

impl Advice {
    /// The entry for a complaint at a place: one for that place, else the one for all.
    pub fn complaint(&self, word: &str, place: Option<&str>) -> Option<&Complaint> {
        let of_word = || self.practice().complaints.iter().filter(|complaint| complaint.is_called(word));
        let kept =
            |complaint: &&Complaint| place.is_some_and(|place| complaint.at.iter().any(|at| at == place));
        of_word().find(kept).or_else(|| of_word().find(|complaint| complaint.at.is_empty()))
    }

    /// The steps of an entry, and of the entry that follows it.
    pub fn steps<'a>(&'a self, complaint: &'a Complaint) -> Vec<&'a Step> {
        let mut steps: Vec<&Step> = Vec::new();
        let mut seen: Vec<&str> = Vec::new();
        let mut next = Some(complaint);
        while let Some(entry) = next.filter(|entry| !seen.contains(&entry.key.as_str())) {
            seen.push(&entry.key);
            steps.extend(entry.steps.iter());
            next = entry
                .then
                .as_ref()
                .and_then(|key| self.practice().complaints.iter().find(|other| other.key == *key));
        }
        steps
    }

    /// Steps that come before those of every complaint, each with its own complaint.
    pub fn first_steps(&self) -> impl Iterator<Item = (&Complaint, &Step)> {
        let all = self
            .practice()
            .complaints
            .iter()
            .flat_map(|complaint| complaint.steps.iter().map(move |step| (complaint, step)));
        all.filter(|(_, step)| step.goes_first)
    }

    /// The most that a setting or a sag may move in a day, in a unit of its own kind.
    pub fn total(&self, name: impl Into<Named>, kind: Kind) -> Option<Quantity> {
        let name = name.into();
        let total = self.practice().totals.iter().find(|total| total.of.contain(name))?;
        total.most.iter().find(|most| most.kind == kind).copied()
    }

    /// A caution by name.
    pub fn caution(&self, name: &str) -> Option<&str> {
        self.practice()
            .cautions
            .iter()
            .find(|caution| caution.name == name)
            .map(|caution| caution.text.as_str())
    }
}
