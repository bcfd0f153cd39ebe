//! Fuelling by its rule, and the jet for the air.

use crate::advice::answer::Why;
use crate::advice::data::Step;
use crate::quantity::{Quantity, show};
use crate::season::HeldValue;
use crate::vocabulary::blocks::{Fuelling, RiderBlock, TrackBlock};
use crate::vocabulary::values::{Texts, Written};
use crate::vocabulary::{figures, settings};

use super::{Proposal, Weighed, Weigher, skip, undo, words};

impl Weigher<'_> {
    /// The fuelling rule.
    pub(super) fn fuelling(&self, is_richer: bool, step: &Step) -> Weighed<Proposal> {
        let scene = self.scene;
        let rule = &scene.advice.fuelling;
        let choices = scene
            .machine
            .and_then(|machine| machine.last::<Fuelling>())
            .and_then(|block| block.choices.as_ref());
        let Some(Texts { values: choices, .. }) = choices else {
            return skip(Why::NotApplicable, "the machine has no fuel settings to choose from");
        };
        let index_of = |word: &str| choices.iter().position(|choice| choice.text == word);
        let held = scene.state.setting(settings::FUELLING).and_then(|held| held.value.word());
        let Some(now) = held.and_then(index_of) else {
            return skip(
                Why::Unknown,
                "`fuelling` is not on file: write which choice is in, into `settings`",
            );
        };
        let last = choices.len().saturating_sub(1);
        let exhaust = scene.state.setting(settings::EXHAUST).and_then(|held| held.value.word());
        let is_freer = exhaust == Some(settings::AFTERMARKET_EXHAUST);
        let conditions = scene.state.conditions();
        let traction = conditions.and_then(|conditions| conditions.traction.as_ref());
        let is_slick = traction.is_some_and(|traction| rule.richest_with_traction.contains(&traction.text));
        let to = if is_richer {
            if now == last {
                return skip(Why::Adjuster, "it is on the richest choice already");
            }
            if is_slick { last } else { now + 1 }
        } else {
            if is_slick {
                return skip(
                    Why::NotApplicable,
                    "with so little traction the richest, softest choice is the right one",
                );
            }
            let level = scene.state.rider().and_then(RiderBlock::level_word);
            if let Some(level) = level.filter(|level| rule.not_leaner_for.iter().any(|known| known == level))
            {
                return skip(
                    Why::NotApplicable,
                    format!("leaner is for a rider who is comfortable on the machine, not for `{level}`"),
                );
            }
            if now == 0 {
                return skip(Why::Adjuster, "it is on the leanest choice already");
            }
            if is_freer { self.standard_fuelling(choices, now)? } else { now - 1 }
        };
        if to == 0 && !is_richer {
            self.may_be_leanest(exhaust, is_freer)?;
        }
        let Some(to) = choices.get(to).map(|choice| choice.text.clone()) else {
            return skip(Why::Adjuster, "there is no such choice");
        };
        let from = HeldValue::Word(held.unwrap_or_default().to_owned());
        let value = HeldValue::Word(to.clone());
        self.untried(settings::FUELLING, &from, &value)?;
        Ok(Proposal {
            text: format!(
                "fuelling {}: {} → {to}",
                if is_richer { "richer" } else { "leaner" },
                held.unwrap_or_default()
            ),
            by: None,
            total: None,
            write: vec![format!("{} = \"{to}\"", settings::FUELLING)],
            before: scene.state.clone(),
            after: scene.state.with_setting(settings::FUELLING, value.clone()),
            moves: vec![(settings::FUELLING.to_owned(), Some(from), value)],
            also: Vec::new(),
            rests_on: Vec::new(),
            undo: undo(step, "the choice before: write `back = true`".to_owned()),
        })
    }

    /// With a freer exhaust the machine's standard choice is as lean as it goes.
    fn standard_fuelling(&self, choices: &[Written], now: usize) -> Weighed<usize> {
        let machine = self.scene.machine.map(|machine| machine.name.as_str()).unwrap_or_default();
        let standard = self.scene.season.standard.get(machine).and_then(|held| held.get(settings::FUELLING));
        let standard = standard
            .and_then(|held| held.value.word())
            .and_then(|word| choices.iter().position(|choice| choice.text == word));
        match standard {
            None => skip(
                Why::Unknown,
                "with a freer exhaust the standard choice is the right one, and the machine's `settings` do not say which that is",
            ),
            Some(standard) if standard < now => Ok(standard),
            Some(_) => skip(
                Why::InBand,
                "with a freer exhaust the standard choice is the right one, and it goes no leaner",
            ),
        }
    }

    /// Never the leanest in deep sand, mud or great heat, with a freer exhaust, or where nobody wrote whether it is so.
    fn may_be_leanest(&self, exhaust: Option<&str>, is_freer: bool) -> Weighed<()> {
        let scene = self.scene;
        let rule = &scene.advice.fuelling;
        if is_freer {
            return skip(Why::NotApplicable, "never the leanest with a freer exhaust");
        }
        if exhaust.is_none() {
            return skip(
                Why::Unknown,
                "`exhaust` is not on file, and with a freer one the leanest is never right: write it into `settings`",
            );
        }
        let conditions = scene.state.conditions();
        let track = scene
            .book
            .track(scene.about)
            .and_then(|track| track.last::<TrackBlock>())
            .and_then(|track| track.soil.as_ref());
        let ground: Vec<&str> = conditions
            .into_iter()
            .flat_map(|conditions| [conditions.soil.as_ref(), conditions.surface.as_ref()])
            .chain([track])
            .flatten()
            .map(|text| text.text.as_str())
            .collect();
        if let Some(word) =
            ground.iter().flat_map(|text| words(text)).find(|word| rule.never_leanest_on.contains(word))
        {
            return skip(Why::NotApplicable, format!("never the leanest on this ground: {word}"));
        }
        let air = conditions.and_then(|conditions| conditions.air);
        match air {
            Some(air) if air.value() >= rule.great_heat_from => skip(
                Why::NotApplicable,
                format!("never the leanest in such heat: {}", show(&air.quantity, &scene.units)),
            ),
            Some(_) if !ground.is_empty() => Ok(()),
            _ => skip(
                Why::Unknown,
                "the leanest is never right in deep sand, mud or great heat: write `soil` and `air` into `conditions`",
            ),
        }
    }

    /// The main jet that was worked out for the day's air.
    pub(super) fn jet(&self, step: &Step) -> Weighed<Proposal> {
        let scene = self.scene;
        if scene.machine.and_then(|machine| machine.carburettor()).is_none() {
            return skip(Why::NotApplicable, "the machine has no carburettor");
        }
        let name = settings::JET_MAIN;
        let Some(base) = scene.base(name) else {
            return skip(Why::Unknown, "`jet.main` is not on file: write it into `settings`");
        };
        let figure = scene.figures(scene.state, &[figures::JET_MAIN_ON_HAND.to_owned()]).into_iter().next();
        let wanted = match figure {
            Some(figure) => match (figure.value(), figure.absent()) {
                (Some(value), _) => value,
                (None, Some(absent)) => {
                    return skip(
                        Why::Unknown,
                        format!("the jet for this air cannot be worked out: {}", absent.reason()),
                    );
                }
                (None, None) => return skip(Why::Unknown, "the jet for this air cannot be worked out"),
            },
            None => return skip(Why::Unknown, "the jet for this air cannot be worked out"),
        };
        if (wanted - base.quantity.value).abs() < 1e-6 {
            return skip(Why::InBand, format!("{} is the main jet for this air", base.quantity.value));
        }
        let to = Quantity { value: wanted, plus_minus: None, ..base.quantity };
        let from = HeldValue::Quantity(base.quantity);
        let value = HeldValue::Quantity(to);
        self.untried(name, &from, &value)?;
        let units = &scene.units;
        Ok(Proposal {
            text: format!("main jet for this air: {} → {}", show(&base.quantity, units), show(&to, units)),
            by: None,
            total: None,
            write: vec![format!("{name} = {}", show(&to, units))],
            before: scene.state.clone(),
            after: scene.state.with_setting(name, value.clone()),
            moves: vec![(name.to_owned(), Some(from), value)],
            also: vec!["it rules three quarters of throttle and up; pilot, needle and air screw are separate matters".to_owned()],
            rests_on: Vec::new(),
            undo: undo(step, "the jet before: write `back = true`".to_owned()),
        })
    }
}

impl RiderBlock {
    fn level_word(&self) -> Option<&str> {
        self.level.as_ref().map(|level| level.text.as_str())
    }
}
