//! Where a step stands among the others, by what was tried and by the model.

use crate::advice::answer::{Verdict, Why};
use crate::advice::data::{Make, Needs, SagTo};
use crate::advice::rides::{Trial, TrialWay};
use crate::season::{Difference, Held, HeldValue};
use crate::vocabulary::figures;

use super::{Candidate, Proposal, Weigher, skip};

/// A gain at the top below this counts as none, in N.
const NO_FORCE: f64 = 1.0;

/// A rise of a figure below this is the arithmetic's, in its SI base unit.
const NO_RISE: f64 = 1e-9;

impl Weigher<'_> {
    /// What earlier trials say against a step: it was tried this way and did not help, or it takes back what did.
    fn remember(&self, candidate: &mut Candidate<'_>) {
        let Ok(proposal) = &candidate.outcome else { return };
        let nothing = HeldValue::Word(String::new());
        let Some((name, from, to)) = proposal.moves.first() else { return };
        let from = from.as_ref().unwrap_or(&nothing);
        // What was tried last on the same setting counts.
        let year = self.scene.about.date.year();
        let told = || {
            let told = |trial: &&Trial<'_>| trial.is_void.is_none() && trial.date.year() == year;
            self.trials.iter().rev().filter(told).filter_map(|trial| Some((trial, trial.verdict?)))
        };
        let own = told().find_map(|(trial, verdict)| {
            let way = trial.way(name, from, to).filter(|_| trial.was_against(self.complaint))?;
            (way == TrialWay::With).then_some((trial, verdict))
        });
        if let Some((trial, verdict)) = own.filter(|(_, verdict)| *verdict != Verdict::Better) {
            candidate.has_failed = true;
            candidate.note = Some(format!("tried this way on {}: {}", trial.date, verdict.word()));
        }
        let cure = told().find_map(|(trial, verdict)| {
            let way = trial.way(name, from, to).filter(|_| verdict == Verdict::Better)?;
            Some((trial, way))
        });
        if let Some((trial, TrialWay::Against)) = cure {
            candidate.undoes_a_cure = true;
            let mut complaints = trial.complaints.clone();
            complaints.dedup();
            let cured = match complaints.is_empty() {
                true => String::new(),
                false => format!(" for {}", complaints.join(", ")),
            };
            let what = trial.settings.iter().find(|moved| moved.name.as_str() == name.as_str());
            let shown = |held: Option<&Held>| {
                held.map_or_else(String::new, |held| self.scene.shown_held(&held.value))
            };
            let moved = what.map_or_else(String::new, |moved| {
                format!("{} → {}", shown(moved.before), shown(moved.after))
            });
            candidate.note =
                Some(format!("takes back what was found better on {}{cured}: {moved}", trial.date));
        }
    }

    /// Leaves a step out that goes the other way than the complaint needs, by the model.
    pub(super) fn direct(&self, candidate: &mut Candidate<'_>) {
        let (Ok(proposal), Some(needs)) = (&candidate.outcome, &self.complaint.needs) else { return };
        let Some(by) = self.goes_by(proposal, needs) else { return };
        if by * needs.sign() >= -NO_RISE {
            return;
        }
        let row = figures::row(&needs.figure);
        let label = row.map_or_else(|| needs.figure.clone(), |row| row.label_for(&needs.figure).to_string());
        let kind = row.and_then(|row| row.kind());
        let shown = kind.map_or_else(String::new, |kind| format!(" {}", self.scene.shown(kind, by.abs())));
        let (does, wants) = if by < 0.0 { ("takes away", "more") } else { ("adds", "less") };
        if matches!(candidate.step.make, Make::Sag { to: SagTo::Aim, .. }) {
            let why = self.complaint.no_cure.as_ref().map(|why| format!("; {why}")).unwrap_or_default();
            candidate.put_right =
                Some(format!("{}; by {label} alone no cure: it {does}{shown}{why}", proposal.text));
        }
        let text = format!("by the model it {does}{shown} of {label}, and this needs {wants}");
        candidate.outcome = skip(Why::NoGain, text);
    }

    /// By how much a step moves what a complaint needs, in its SI base unit.
    pub(super) fn goes_by(&self, proposal: &Proposal, needs: &Needs) -> Option<f64> {
        let value = |state| self.scene.value(state, &needs.figure);
        Some(value(&proposal.after)? - value(&proposal.before)?)
    }

    /// What a trial and the model say about where a step stands among the others.
    pub(super) fn rank(&self, candidate: &mut Candidate<'_>) {
        self.remember(candidate);
        let Ok(proposal) = &candidate.outcome else { return };
        if let Some((name, from, to)) = proposal.moves.first() {
            let nothing = HeldValue::Word(String::new());
            let from = from.as_ref().unwrap_or(&nothing);
            // Further the same way: what helped on the stretch just behind.
            candidate.has_helped = self.trials.iter().any(|trial| {
                trial.verdict == Some(Verdict::Better)
                    && trial.is_void.is_none()
                    && trial.date == self.scene.about.date
                    && trial.was_against(self.complaint)
                    && trial.goes_on(name, from, to)
            });
        }
        let Some(best) = &candidate.step.best else { return };
        let scene = self.scene;
        let rise =
            |name: &str| Some(scene.value(&proposal.after, name)? - scene.value(&proposal.before, name)?);
        let raise = rise(&best.raise);
        match raise {
            Some(raise) if raise > NO_RISE => {
                candidate.gain = Some(match best.against.as_deref().and_then(rise) {
                    Some(against) => raise / against.abs().max(NO_FORCE),
                    None => raise,
                });
            }
            Some(raise) if raise < -NO_RISE => {
                candidate.outcome = skip(Why::NoGain, format!("by the model it lowers `{}`", best.raise));
            }
            _ if best.is_computed => {
                let absent = scene.figures(&proposal.before, std::slice::from_ref(&best.raise));
                let reason = absent
                    .first()
                    .and_then(|figure| figure.absent())
                    .map_or_else(|| "it does not move it".to_owned(), |absent| absent.reason().in_english());
                candidate.outcome =
                    skip(Why::NoGain, format!("`{}` does not tell for it: {reason}", best.raise));
            }
            _ => {}
        }
    }
}

impl Trial<'_> {
    /// Whether moving a setting from here goes on the way that the trial went: the same way, from where it ended.
    fn goes_on(&self, name: &str, from: &HeldValue, to: &HeldValue) -> bool {
        let moved = self.settings.iter().find(|moved| moved.name.as_str() == name);
        let Some(&Difference { before: Some(before), after: Some(after), .. }) = moved else { return false };
        match (before.value.number(), after.value.number(), from.number(), to.number()) {
            (Some(then), Some(tried), Some(from), Some(to)) => {
                let slack = 1e-3 * (to - from).abs();
                (tried - then) * (to - from) > 0.0 && (tried - from).abs() <= slack
            }
            _ => false,
        }
    }
}
