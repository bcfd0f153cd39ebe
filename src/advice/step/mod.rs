//! One step, weighed: what it would change here, or why it is left out.

mod chambers;
mod conditions;
mod describe;
mod engine;
mod preload;
mod rank;
mod room;
mod sag;
mod setting;

use std::collections::BTreeSet;

use crate::quantity::{Quantity, Units, Way, show_change};
use crate::season::{HeldValue, State};
use crate::speech::say;
use crate::vocabulary::{Named, Setting};

use crate::advice::answer::{Skip, Why};
use crate::advice::data::{Complaint, Step};
use crate::advice::make::Make;
use crate::advice::rides::{Ride, Trial};
use crate::advice::scene::Scene;

/// What a step would do.
pub(super) struct Proposal {
    /// Name, before, after.
    pub moves: Vec<(Setting, Option<HeldValue>, HeldValue)>,
    pub text: String,
    pub by: Option<String>,
    pub total: Option<String>,
    /// Lines of a `change` block.
    pub write: Vec<String>,
    pub before: State,
    pub after: State,
    pub also: Vec<String>,
    pub rests_on: Vec<Named>,
    pub undo: String,
}

/// A step, and what speaks for and against it.
pub(super) struct Candidate<'a> {
    pub step: &'a Step,
    pub text: String,
    pub outcome: Result<Proposal, Skip>,
    /// It was tried against this complaint today, and helped.
    pub has_helped: bool,
    /// It was tried against this complaint, this way, and did not help.
    pub has_failed: bool,
    /// It undoes what was found better.
    pub undoes_a_cure: bool,
    /// What to know about it: that it was tried, or what it undoes.
    pub note: Option<String>,
    /// What should be put right, though it is no cure.
    pub put_right: Option<String>,
    /// Its place among the steps, that of the first of its group.
    pub position: usize,
    /// What the model gives it within its group.
    pub gain: Option<f64>,
}

/// What the steps of a complaint are weighed against.
pub(super) struct Weigher<'a> {
    pub scene: &'a Scene<'a>,
    pub complaint: &'a Complaint,
    pub place: Option<&'a str>,
    pub ride: &'a Ride<'a>,
    pub trials: &'a [Trial<'a>],
}

pub(super) type Weighed<T> = Result<T, Skip>;

pub(super) fn skip<T>(why: Why, text: impl Into<String>) -> Weighed<T> {
    Err(Skip { why, text: text.into() })
}

impl<'a> Weigher<'a> {
    /// All steps in the order in which they would be taken, with those left out in their places.
    pub fn all(&self, steps: &[&'a Step]) -> Vec<Candidate<'a>> {
        let mut all: Vec<Candidate<'a>> = Vec::new();
        for (index, step) in steps.iter().copied().enumerate() {
            let first_of_group =
                steps.iter().position(|other| step.best.is_some() && other.best == step.best);
            let position = first_of_group.unwrap_or(index);
            let candidate = |make: &Make, outcome| Candidate {
                step,
                text: self.describe(make),
                outcome,
                has_helped: false,
                has_failed: false,
                undoes_a_cure: false,
                note: None,
                put_right: None,
                position,
                gain: None,
            };
            match self.conditions(step).and_then(|()| self.made(step)) {
                Err(skipped) => all.push(candidate(&step.make, Err(skipped))),
                Ok(makes) => all.extend(makes.iter().map(|make| {
                    let mut candidate = candidate(make, self.weigh(make, step));
                    self.direct(&mut candidate);
                    self.rank(&mut candidate);
                    candidate
                })),
            }
        }
        all.sort_by(|a, b| {
            let key = |c: &Candidate<'_>| {
                (
                    !c.step.goes_first,
                    c.has_failed,
                    c.undoes_a_cure,
                    c.step.ease,
                    !c.has_helped,
                    c.position,
                    c.gain.is_none(),
                )
            };
            key(a).cmp(&key(b)).then_with(|| b.gain.unwrap_or(0.0).total_cmp(&a.gain.unwrap_or(0.0)))
        });
        once(&mut all);
        all
    }

    fn weigh(&self, make: &Make, step: &Step) -> Weighed<Proposal> {
        let mut proposal = self.weighed(make, step)?;
        proposal.also.extend(step.how.as_ref().map(|how| self.scene.word(how)));
        Ok(proposal)
    }

    fn weighed(&self, make: &Make, step: &Step) -> Weighed<Proposal> {
        if let (Some(text), Make::Move { setting, .. }) = (&step.by_manual, make)
            && (!self.has_limit(step) || self.scene.base(*setting).is_none())
        {
            return Ok(self.by_manual(text, *setting, step));
        }
        match make {
            Make::Move { setting, by, start } => self.moved(*setting, by, *start, step),
            Make::Word { setting, to, doing } => self.worded(*setting, to, doing, step),
            Make::Sag { end, to } => self.sag(*end, *to, step),
            Make::Spring { end, is_stiffer } => self.spring(*end, *is_stiffer, step),
            Make::Fuelling { is_richer } => self.fuelling(*is_richer, step),
            Make::Jet => self.jet(step),
            Make::Balance { most } => self.balance(*most, step),
            Make::Chamber { .. } => {
                skip(Why::NotApplicable, self.scene.say(&say!("no chamber was found for it")))
            }
        }
    }
}

/// Leaves one of those that say the same: a step can be in the table for its size and for what it does best.
fn once(all: &mut Vec<Candidate<'_>>) {
    let offered: BTreeSet<String> =
        all.iter().filter(|it| it.outcome.is_ok()).map(|it| it.text.clone()).collect();
    let mut told = BTreeSet::new();
    all.retain(|it| {
        let is_hidden = it.outcome.is_err() && offered.contains(&it.text);
        !is_hidden && told.insert(it.text.clone())
    });
}

impl Weigher<'_> {
    /// Whether one of the limits that a step must have is on file.
    fn has_limit(&self, step: &Step) -> bool {
        step.limit.iter().any(|name| self.scene.has_limit(*name))
    }

    /// A step that moves nothing and says nothing.
    fn unmoved(&self) -> Proposal {
        Proposal {
            moves: Vec::new(),
            text: String::new(),
            by: None,
            total: None,
            write: Vec::new(),
            before: self.scene.state.clone(),
            after: self.scene.state.clone(),
            also: Vec::new(),
            rests_on: Vec::new(),
            undo: String::new(),
        }
    }

    /// A step without a number: only the manual has it.
    fn by_manual(&self, text: &str, setting: Setting, step: &Step) -> Proposal {
        Proposal {
            text: self.scene.word(text),
            write: vec![format!("# {setting} = …")],
            undo: undo(step, self.scene.say(&say!("as the manual says"))),
            ..self.unmoved()
        }
    }
}

fn moved_by(from: &Quantity, delta: f64, step: &Quantity) -> Quantity {
    let value = from.value + delta;
    // The tenth decimal of a click or a micrometre comes from the arithmetic, not from the rider.
    let value = if value.abs() < 1e-12 { 0.0 } else { value };
    Quantity { value, plus_minus: None, last_digit: from.last_digit.min(step.last_digit), ..*from }
}

/// A size in the reader's units, without digits that mean nothing.
fn shown_size(size: &Quantity, units: &Units) -> String {
    show_change(size.kind, size.value, units, Way::Plus).size.to_string()
}

/// How to undo a step; in the advice's own words where it has more to say than usual.
fn undo(step: &Step, usual: String) -> String {
    step.undo.clone().unwrap_or(usual)
}

/// With a keyboard's minus sign.
fn plain(text: &str) -> String {
    text.replace('\u{2212}', "-")
}

/// Words in lower case.
pub(super) fn words(text: &str) -> Vec<String> {
    let parts = text.split(|c: char| !c.is_alphanumeric()).filter(|word| !word.is_empty());
    parts.map(str::to_lowercase).collect()
}
