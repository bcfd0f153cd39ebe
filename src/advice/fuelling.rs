//! The fuelling rule of an injected machine: which of its choices is right for the exhaust, the ground, the air and the rider.

use serde::Serialize;

use crate::book::Book;
use crate::quantity::show;
use crate::season::{Season, State};
use crate::speech::say;
use crate::vocabulary::blocks::{Fuelling, TrackBlock};
use crate::vocabulary::values::Written;
use crate::vocabulary::{Setting, settings};

use super::answer::Why;
use super::parts::Advice;
use super::scene::Scene;
use super::step::{Weighed, skip, words};

/// What the rule says of the present choice.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct FuellingWord {
    pub now: String,
    /// The right choice; `None` where it is unknown.
    pub right: Option<String>,
    pub why: String,
    /// Whether the present choice is forbidden: it is the leanest, and this is no day for it.
    pub is_too_lean: bool,
}

/// What the rule says on a day, by its place in the book, of the settings planned for it. `None` for a machine without
/// choices, or where nobody wrote the present one.
pub fn fuelling(
    book: &Book,
    season: &Season,
    advice: &Advice,
    day: usize,
    planned: &State,
) -> Option<FuellingWord> {
    let scene = Scene::new(book, season, advice, day, usize::MAX, None)?;
    let scene = Scene { state: planned, ..scene };
    let fuels = Fuels::of(&scene).ok()?;
    let (right, why) = match fuels.right() {
        Ok((right, why)) => (Some(fuels.name(right).to_owned()), why),
        Err(skip) => (None, skip.text),
    };
    let is_forbidden = matches!(fuels.may_be_leanest(), Err(skip) if skip.why == Why::NotApplicable);
    Some(FuellingWord {
        now: fuels.name(fuels.now).to_owned(),
        right,
        why,
        is_too_lean: fuels.now == 0 && is_forbidden,
    })
}

/// The choices of a machine at a place, and the present one.
pub(super) struct Fuels<'s> {
    scene: &'s Scene<'s>,
    /// Leanest first.
    choices: &'s [Written],
    pub now: usize,
}

impl<'s> Fuels<'s> {
    pub fn of(scene: &'s Scene<'s>) -> Weighed<Self> {
        let block = scene.machine.and_then(|machine| machine.last::<Fuelling>());
        let Some(choices) = block.and_then(|block| block.choices.as_ref()) else {
            return skip(
                Why::NotApplicable,
                scene.say(&say!("the machine has no fuel settings to choose from")),
            );
        };
        let held = scene.state.setting(Setting::FUELLING).and_then(|held| held.value.word());
        match held.and_then(|held| choices.values.iter().position(|choice| choice.text == held)) {
            Some(now) => Ok(Self { scene, choices: &choices.values, now }),
            None => skip(
                Why::Unknown,
                scene.say(&say!("`fuelling` is not on file: write which choice is in, into `settings`")),
            ),
        }
    }

    pub fn name(&self, choice: usize) -> &'s str {
        self.choices.get(choice).map(|choice| choice.text.as_str()).unwrap_or_default()
    }

    pub fn richer(&self) -> Weighed<usize> {
        let last = self.last();
        if self.now >= last {
            return skip(Why::Adjuster, self.scene.say(&say!("it is on the richest choice already")));
        }
        Ok(if self.is_slick() { last } else { self.now + 1 })
    }

    pub fn leaner(&self) -> Weighed<usize> {
        if self.is_slick() {
            return skip(Why::NotApplicable, self.slick());
        }
        if let Some(level) = self.careful_level() {
            return skip(
                Why::NotApplicable,
                self.scene.say(&say!(
                    "leaner is for a rider who is comfortable on the machine, not for `{level}`",
                    level
                )),
            );
        }
        if self.now == 0 {
            return skip(Why::Adjuster, self.scene.say(&say!("it is on the leanest choice already")));
        }
        let to =
            if self.is_freer() {
                match self.standard() {
                    None => return skip(Why::Unknown, self.standard_not_known()),
                    Some(standard) if standard < self.now => standard,
                    Some(_) => return skip(
                        Why::InBand,
                        self.scene.say(&say!(
                            "with a freer exhaust the standard choice is the right one, and it goes no leaner"
                        )),
                    ),
                }
            } else {
                self.now - 1
            };
        if to == 0 {
            self.may_be_leanest()?;
        }
        Ok(to)
    }

    /// The right choice, and the reason.
    fn right(&self) -> Weighed<(usize, String)> {
        if self.is_slick() {
            return Ok((self.last(), self.slick()));
        }
        if self.is_freer() {
            return match self.standard() {
                // Where the machine's standard is the leanest, the next one.
                Some(standard) => Ok((
                    standard.max(1).min(self.last()),
                    self.scene.say(&say!("with a freer exhaust the standard choice is the right one")),
                )),
                None => skip(Why::Unknown, self.standard_not_known()),
            };
        }
        if let Some(level) = self.careful_level() {
            let right = self.standard().unwrap_or(self.now);
            return Ok((
                right,
                self.scene.say(&say!(
                    "leaner is for a rider who is comfortable on the machine, not for `{level}`",
                    level
                )),
            ));
        }
        match self.may_be_leanest() {
            Ok(()) => Ok((
                0,
                self.scene
                    .say(&say!("with the standard exhaust the leaner, crisper choice is the right one")),
            )),
            Err(skipped) if skipped.why == Why::NotApplicable => Ok((self.last().min(1), skipped.text)),
            Err(skipped) => Err(skipped),
        }
    }

    /// Never the leanest in deep sand, mud or great heat, with a freer exhaust, or where nobody wrote which of these it
    /// is.
    fn may_be_leanest(&self) -> Weighed<()> {
        let scene = self.scene;
        let rule = &scene.advice.practice().fuelling;
        if self.is_freer() {
            return skip(Why::NotApplicable, self.scene.say(&say!("never the leanest with a freer exhaust")));
        }
        let ground = self.ground();
        // *Deep sand* only where it says so: a sandy loam is not.
        let says = |phrase: &&String| {
            let phrase = words(phrase);
            ground.iter().any(|text| {
                let text = words(text);
                !phrase.is_empty() && text.windows(phrase.len()).any(|here| here == phrase.as_slice())
            })
        };
        if let Some(word) = rule.never_leanest_on.iter().find(says) {
            return skip(
                Why::NotApplicable,
                self.scene.say(&say!("never the leanest on this ground: {word}", word)),
            );
        }
        let air = scene.state.conditions().and_then(|conditions| conditions.air);
        if let Some(air) = air.filter(|air| air.value() >= rule.great_heat_from) {
            let shown = show(&air.quantity, &scene.units);
            return skip(
                Why::NotApplicable,
                self.scene.say(&say!("never the leanest in such heat: {shown}", shown)),
            );
        }
        if self.exhaust().is_none() {
            return skip(
                Why::Unknown,
                self.scene.say(&say!("`exhaust` is not on file, and with a freer one the leanest is never right: write it into `settings`")),
            );
        }
        if air.is_none() || ground.is_empty() {
            return skip(
                Why::Unknown,
                self.scene.say(&say!("the leanest is never right in deep sand, mud or great heat: write `soil` and `air` into `conditions`")),
            );
        }
        Ok(())
    }

    fn last(&self) -> usize {
        self.choices.len().saturating_sub(1)
    }

    /// What the day and the track say of the ground.
    fn ground(&self) -> Vec<&'s str> {
        let scene = self.scene;
        let conditions = scene.state.conditions().into_iter();
        let of_day =
            conditions.flat_map(|conditions| [conditions.soil.as_ref(), conditions.surface.as_ref()]);
        let track = scene.book.track(scene.about).and_then(|track| track.last::<TrackBlock>());
        let of_track = track.and_then(|track| track.soil.as_ref());
        of_day.chain([of_track]).flatten().map(|text| text.text.as_str()).collect()
    }

    fn is_slick(&self) -> bool {
        let traction = self.scene.state.conditions().and_then(|conditions| conditions.traction.as_ref());
        traction.is_some_and(|word| {
            self.scene.advice.practice().fuelling.richest_with_traction.contains(&word.text)
        })
    }

    fn exhaust(&self) -> Option<&'s str> {
        self.scene.state.setting(Setting::EXHAUST).and_then(|held| held.value.word())
    }

    fn is_freer(&self) -> bool {
        self.exhaust() == Some(settings::AFTERMARKET_EXHAUST)
    }

    /// The rider's level, where nothing is made leaner for it.
    fn careful_level(&self) -> Option<&'s str> {
        let level = self.scene.state.rider()?.level.as_ref()?.text.as_str();
        self.scene
            .advice
            .practice()
            .fuelling
            .not_leaner_for
            .iter()
            .any(|known| known == level)
            .then_some(level)
    }

    fn slick(&self) -> String {
        self.scene.say(&say!("with so little traction the richest, softest choice is the right one"))
    }

    fn standard_not_known(&self) -> String {
        self.scene.say(&say!("with a freer exhaust the standard choice is the right one, and the machine's `settings` do not say which that is"))
    }

    /// The machine's standard choice.
    fn standard(&self) -> Option<usize> {
        let machine = self.scene.machine?;
        let held = self.scene.season.standard.get(&machine.name)?.get(Setting::FUELLING)?;
        self.choices.iter().position(|choice| Some(choice.text.as_str()) == held.value.word())
    }
}
