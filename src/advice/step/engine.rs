//! The jet for the air, and a step of the fuelling.

use crate::advice::answer::Why;
use crate::advice::data::Step;
use crate::advice::fuelling::Fuels;
use crate::quantity::{Quantity, show};
use crate::season::HeldValue;
use crate::speech::say;
use crate::vocabulary::{FigureName, Setting};

use super::{Proposal, Weighed, Weigher, skip, undo};

impl Weigher<'_> {
    /// One choice leaner or richer, by the fuelling rule.
    pub(super) fn fuelling(&self, is_richer: bool, step: &Step) -> Weighed<Proposal> {
        let scene = self.scene;
        let fuels = Fuels::of(scene)?;
        let to = if is_richer { fuels.richer()? } else { fuels.leaner()? };
        let (now, to) = (fuels.name(fuels.now).to_owned(), fuels.name(to).to_owned());
        let (from, value) = (HeldValue::Word(now.clone()), HeldValue::Word(to.clone()));
        Ok(Proposal {
            text: scene.say(&match is_richer {
                true => say!("fuelling richer: {now} → {to}", now, to),
                false => say!("fuelling leaner: {now} → {to}", now, to),
            }),
            write: vec![format!("{} = \"{to}\"", Setting::FUELLING)],
            after: scene.state.with_setting(Setting::FUELLING, value.clone()),
            moves: vec![(Setting::FUELLING, Some(from), value)],
            undo: undo(step, self.scene.say(&say!("the choice before: write `back = true`"))),
            ..self.unmoved()
        })
    }

    /// The main jet worked out for the day's air.
    pub(super) fn jet(&self, step: &Step) -> Weighed<Proposal> {
        let scene = self.scene;
        if scene.machine.and_then(|machine| machine.carburettor()).is_none() {
            return skip(Why::NotApplicable, self.scene.say(&say!("the machine has no carburettor")));
        }
        let name = Setting::JET_MAIN;
        let Some(base) = scene.base(name) else {
            return skip(
                Why::Unknown,
                self.scene.say(&say!("`jet.main` is not on file: write it into `settings`")),
            );
        };
        let Some(wanted) = scene.value(scene.state, FigureName::JET_MAIN_ON_HAND) else {
            let why = match scene.why_absent(scene.state, FigureName::JET_MAIN_ON_HAND) {
                Some(reason) => say!("the jet for this air cannot be worked out: {reason}", reason),
                None => say!("the jet for this air cannot be worked out"),
            };
            return skip(Why::Unknown, scene.say(&why));
        };
        if (wanted - base.quantity.value).abs() < 1e-6 {
            return skip(
                Why::InBand,
                self.scene.say(&say!("{base} is the main jet for this air", base = base.quantity.value)),
            );
        }
        let to = Quantity { value: wanted, plus_minus: None, ..base.quantity };
        let from = HeldValue::Quantity(base.quantity);
        let value = HeldValue::Quantity(to);
        let units = &scene.units;
        Ok(Proposal {
            text: self.scene.say(&say!("main jet for this air: {base} → {to}", base = show(&base.quantity, units), to = show(&to, units))),
            write: vec![format!("{name} = {}", show(&to, &scene.plain))],
            after: scene.state.with_setting(name, value.clone()),
            moves: vec![(name, Some(from), value)],
            also: vec![
                scene.say(&match wanted < base.quantity.value {
                    true => say!("running lean can seize an engine: read the plug; refit {base} before riding lower or colder", base = show(&base.quantity, units)),
                    false => say!("higher or warmer it is too rich and can foul the plug: refit {base} then", base = show(&base.quantity, units)),
                }),
                self.scene.say(&say!("it rules three quarters of throttle and up; pilot, needle and air screw are separate matters")),
            ],
            undo: undo(step, self.scene.say(&say!("the jet before: write `back = true`"))),
            ..self.unmoved()
        })
    }
}
