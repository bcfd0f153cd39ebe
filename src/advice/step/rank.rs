//! Where a step stands among the others, by what was tried and by the model.

use crate::advice::answer::{Verdict, Why};
use crate::advice::rides::Trial;
use crate::season::{Difference, HeldValue};

use super::{Candidate, Weigher, skip};

/// A gain at the top below this counts as none, in N.
const NO_FORCE: f64 = 1.0;

/// A rise of a figure below this is the arithmetic's, in its SI base unit.
const NO_RISE: f64 = 1e-9;

impl Weigher<'_> {
    /// What a trial and the model say about where a step stands among the others.
    pub(super) fn rank(&self, candidate: &mut Candidate<'_>) {
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
                    .map_or_else(|| "it does not move it".to_owned(), |absent| absent.reason());
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
        let moved = self.settings.iter().find(|moved| moved.name == name);
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
