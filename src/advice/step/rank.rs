//! The order of steps, by what was tried and by the model.

use crate::advice::answer::{Verdict, Why};
use crate::advice::data::Needs;
use crate::advice::make::{Make, SagTo};
use crate::advice::rides::{Trial, TrialWay};
use crate::season::{Changed, Difference, Held, HeldValue};
use crate::speech::{Message, say};
use crate::vocabulary::{FigureName, Setting};

use super::{Candidate, Proposal, Weigher, skip};

/// N. A smaller gain at the top counts as none.
const NO_FORCE: f64 = 1.0;

/// A smaller rise of a figure comes from the arithmetic; in its SI base unit.
const NO_RISE: f64 = 1e-9;

impl Weigher<'_> {
    /// What earlier trials say against a step: it was tried this way and did not help, or it undoes what did.
    fn remember(&self, candidate: &mut Candidate<'_>) {
        let Ok(proposal) = &candidate.outcome else { return };
        let nothing = HeldValue::Word(String::new());
        let Some((name, from, to)) = proposal.moves.first() else { return };
        let from = from.as_ref().unwrap_or(&nothing);
        // The last trial of the same setting counts.
        let year = self.scene.about.date.year();
        let told = || {
            let told = |trial: &&Trial<'_>| trial.is_void.is_none() && trial.date.year() == year;
            self.trials.iter().rev().filter(told).filter_map(|trial| Some((trial, trial.verdict?)))
        };
        let own = told().find_map(|(trial, verdict)| {
            let way = trial.way(*name, from, to).filter(|_| trial.was_against(self.complaint))?;
            (way == TrialWay::With).then_some((trial, verdict))
        });
        if let Some((trial, verdict)) = own.filter(|(_, verdict)| *verdict != Verdict::Better) {
            candidate.has_failed = true;
            candidate.note = Some(self.scene.say(&say!(
                "tried this way on {date}: {verdict}",
                date = trial.date,
                verdict = verdict.said()
            )));
        }
        let cure = told().find_map(|(trial, verdict)| {
            let way = trial.way(*name, from, to).filter(|_| verdict == Verdict::Better)?;
            Some((trial, way))
        });
        if let Some((trial, TrialWay::Against)) = cure {
            candidate.undoes_a_cure = true;
            let mut complaints = trial.complaints.clone();
            complaints.dedup();
            let what = trial.settings.iter().find(|moved| moved.name == Changed::Setting(*name));
            let shown = |held: Option<&Held>| {
                held.map_or_else(String::new, |held| {
                    self.scene.shown_held(Changed::Setting(*name), &held.value)
                })
            };
            let moved = what.map_or_else(String::new, |moved| {
                format!("{} → {}", shown(moved.before), shown(moved.after))
            });
            let date = trial.date;
            candidate.note = Some(self.scene.say(&match complaints.is_empty() {
                true => say!("takes back what was found better on {date}: {moved}", date, moved),
                false => say!(
                    "takes back what was found better on {date} for {complaints}: {moved}",
                    date,
                    moved,
                    complaints = complaints
                        .iter()
                        .map(|word| self.scene.complaint_said(word))
                        .collect::<Vec<_>>()
                        .join(", ")
                ),
            }));
        }
    }

    /// Leaves out a step that, by the model, goes the wrong way for the complaint.
    pub(super) fn direct(&self, candidate: &mut Candidate<'_>) {
        let (Ok(proposal), Some(needs)) = (&candidate.outcome, &self.complaint.needs) else { return };
        let Some(by) = self.goes_by(proposal, needs) else { return };
        if by * needs.sign() >= -NO_RISE {
            return;
        }
        let label = needs.figure.label();
        let shown = needs.figure.info().kind().map(|kind| self.scene.shown(kind, by.abs()));
        let does = match (by < 0.0, shown) {
            (true, Some(shown)) => say!("takes away {shown}", shown),
            (true, None) => say!("takes away"),
            (false, Some(shown)) => say!("adds {shown}", shown),
            (false, None) => say!("adds"),
        };
        if matches!(candidate.step.make, Make::Sag { to: SagTo::Aim, .. }) {
            let step = &proposal.text;
            candidate.put_right = Some(self.scene.say(&match &self.complaint.no_cure {
                Some(why) => say!(
                    "{step}; by {label} alone no cure: it {does}; {why}",
                    step,
                    label,
                    does,
                    why = Message::word(why.clone())
                ),
                None => say!("{step}; by {label} alone no cure: it {does}", step, label, does),
            }));
        }
        let text = match by < 0.0 {
            true => say!("by the model it {does} of {label}, and this needs more", does, label),
            false => say!("by the model it {does} of {label}, and this needs less", does, label),
        };
        candidate.outcome = skip(Why::NoGain, self.scene.say(&text));
    }

    /// How far a step moves what a complaint needs, in its SI base unit.
    pub(super) fn goes_by(&self, proposal: &Proposal, needs: &Needs) -> Option<f64> {
        let value = |state| self.scene.value(state, needs.figure);
        Some(value(&proposal.after)? - value(&proposal.before)?)
    }

    /// What a trial and the model say about a step's place among the others.
    pub(super) fn rank(&self, candidate: &mut Candidate<'_>) {
        self.remember(candidate);
        let Ok(proposal) = &candidate.outcome else { return };
        if let Some((name, from, to)) = proposal.moves.first() {
            let nothing = HeldValue::Word(String::new());
            let from = from.as_ref().unwrap_or(&nothing);
            // Further the same way: what helped just before.
            candidate.has_helped = self.trials.iter().any(|trial| {
                trial.verdict == Some(Verdict::Better)
                    && trial.is_void.is_none()
                    && trial.date == self.scene.about.date
                    && trial.was_against(self.complaint)
                    && trial.goes_on(*name, from, to)
            });
        }
        let Some(best) = &candidate.step.best else { return };
        let scene = self.scene;
        let rise = |name: FigureName| {
            Some(scene.value(&proposal.after, name)? - scene.value(&proposal.before, name)?)
        };
        let raise = rise(best.raise);
        match raise {
            Some(raise) if raise > NO_RISE => {
                candidate.gain = Some(match best.against.and_then(rise) {
                    Some(against) => raise / against.abs().max(NO_FORCE),
                    None => raise,
                });
            }
            Some(raise) if raise < -NO_RISE => {
                candidate.outcome = skip(
                    Why::NoGain,
                    self.scene.say(&say!("by the model it lowers `{raise}`", raise = best.raise)),
                );
            }
            _ if best.is_computed => {
                let absent = scene.why_absent(&proposal.before, best.raise);
                let reason = scene.say(&absent.unwrap_or_else(|| say!("it does not move it")));
                candidate.outcome = skip(
                    Why::NoGain,
                    self.scene.say(&say!(
                        "`{raise}` does not speak for it: {reason}",
                        raise = best.raise,
                        reason
                    )),
                );
            }
            _ => {}
        }
    }
}

impl Trial<'_> {
    /// Whether a move goes on from a trial: the same way, from where it ended.
    fn goes_on(&self, name: Setting, from: &HeldValue, to: &HeldValue) -> bool {
        let moved = self.settings.iter().find(|moved| moved.name == Changed::Setting(name));
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
