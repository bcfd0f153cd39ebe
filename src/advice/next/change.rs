//! The change that is proposed, with what the model says of it.

use std::collections::BTreeSet;

use crate::advice::answer::{Change, Moved, Prediction};
use crate::advice::data::Complaint;
use crate::advice::make::Ease;
use crate::advice::step::{Candidate, Proposal};
use crate::figures::Figure;
use crate::quantity::{Way, show_change, show_measured_change};
use crate::season::Changed;
use crate::speech::say;
use crate::vocabulary::{End, FigureName, Setting};

use super::worth::Taken;
use super::{Adviser, block};

/// The caution for a step from the manual, which is not a trial.
const TORQUE: &str = "torque";

/// Figures in which every change is predicted, besides those of its complaint.
const ALWAYS: [FigureName; 7] = [
    FigureName::RAKE,
    FigureName::TRAIL,
    FigureName::WHEELBASE,
    FigureName::ANTI_SQUAT,
    FigureName::BARS_TORQUE_CHANGE,
    FigureName::DRIVE_RATIO,
    FigureName::DRIVE_AXLE_MOVE,
];

impl Adviser<'_, '_> {
    pub(super) fn change(
        &self,
        complaint: &Complaint,
        because: &str,
        candidate: &Candidate<'_>,
        proposal: &Proposal,
        taken: &[Taken<'_>],
    ) -> Change {
        let (predictions, unpredicted) = self.predictions(complaint, candidate, proposal);
        let settings = proposal.moves.iter().map(|(name, from, to)| Moved {
            name: Changed::Setting(*name),
            label: self.scene.say(&name.label()),
            from: from.as_ref().map(|from| self.scene.shown_held(Changed::Setting(*name), from)),
            to: Some(self.scene.shown_held(Changed::Setting(*name), to)),
        });
        let mut also: Vec<String> = candidate.note.iter().cloned().collect();
        also.extend(proposal.also.iter().cloned());
        also.extend(predictions.iter().filter(|prediction| prediction.leaves_band).map(|prediction| {
            self.scene.say(&say!(
                "{label} would leave its band: {after}",
                label = prediction.label,
                after = prediction.after
            ))
        }));
        Change {
            text: proposal.text.clone(),
            settings: settings.collect(),
            by: proposal.by.clone(),
            usual: candidate.step.usual.as_ref().map(|usual| self.scene.word(usual)),
            total: proposal.total.clone(),
            predictions,
            unpredicted,
            costs: self.scene.word(&candidate.step.costs),
            better: self.scene.word(&candidate.step.better),
            undo: proposal.undo.clone(),
            source: self.scene.say(&say!("trade practice, not calculated")),
            worth: self.worth(proposal, taken),
            is_trial: candidate.step.caution.as_deref() != Some(TORQUE)
                && candidate.step.ease != Ease::Never
                && !proposal.moves.is_empty(),
            ease: candidate.step.ease,
            also,
            write: block(&proposal.write, because),
        }
    }

    /// What the model says of a change, and why it says no more.
    fn predictions(
        &self,
        complaint: &Complaint,
        candidate: &Candidate<'_>,
        proposal: &Proposal,
    ) -> (Vec<Prediction>, Option<String>) {
        let mut names = complaint.predict.clone();
        names
            .extend(candidate.step.best.iter().flat_map(|best| [best.raise].into_iter().chain(best.against)));
        names.extend(ALWAYS);
        names.extend(End::BOTH.map(|end| FigureName::SAG_RIDER_EXPECTED.of(end)));
        let mut seen = BTreeSet::new();
        names.retain(|name| seen.insert(*name));
        let before = self.scene.figures(&proposal.before, &names);
        let after = self.scene.figures(&proposal.after, &names);
        let both = names.iter().zip(before.iter().zip(&after));
        let predictions: Vec<Prediction> =
            both.filter_map(|(name, (before, after))| self.prediction(*name, before, after)).collect();
        if !predictions.is_empty() {
            return (predictions, None);
        }
        let missing = before.iter().take(complaint.predict.len()).find_map(Figure::absent);
        let is_modelled =
            proposal.moves.iter().any(|(name, ..)| name.info().is_modelled()) || proposal.moves.is_empty();
        if proposal.moves.iter().any(|(name, ..)| *name == Setting::JET_MAIN) {
            let by_air =
                say!("worked out from the density of the day's air; what it does to the ride has no model");
            return (predictions, Some(self.scene.say(&by_air)));
        }
        let why = match (is_modelled, missing) {
            (true, Some(absent)) => {
                self.scene.say(&say!("no prediction: {reason}", reason = absent.reason()))
            }
            _ => self.scene.say(&say!("no model covers it")),
        };
        (predictions, Some(why))
    }

    fn prediction(&self, name: FigureName, before: &Figure, after: &Figure) -> Option<Prediction> {
        let (old, new) = (before.number()?, after.number()?);
        let change = new.minus(old);
        // A move smaller than the last bit is none.
        if change.value.abs() <= 1e-9 * old.value.abs().max(new.value.abs()) {
            return None;
        }
        let units = &self.scene.units;
        let expanded = change.expanded();
        let shown = match expanded {
            Some(expanded) => {
                show_measured_change(old.kind, change.value, Some(expanded), units, Way::Plus).to_string()
            }
            None => show_change(old.kind, change.value, units, Way::Plus).to_string(),
        };
        // An expected sag is judged by the band of the one that is read.
        let within = self.scene.band(name.judged_as()).and_then(|band| band.within);
        Some(Prediction {
            figure: name,
            label: self.scene.say(&name.label()),
            before: self.scene.shown_figure(before)?,
            after: self.scene.shown_figure(after)?,
            change: shown,
            value_before: old.value,
            value_after: new.value,
            expanded,
            unit: old.kind.si_unit().to_owned(),
            is_beyond_measurement: change.is_beyond_measurement(),
            leaves_band: within.is_some_and(|within| within.contain(old.value) && !within.contain(new.value)),
        })
    }
}
