//! The jet for the air, and a step of the fuelling.

use crate::advice::answer::Why;
use crate::advice::data::Step;
use crate::advice::fuelling::Fuels;
use crate::quantity::{Quantity, show};
use crate::season::HeldValue;
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
        let way = if is_richer { "richer" } else { "leaner" };
        Ok(Proposal {
            text: format!("fuelling {way}: {now} → {to}"),
            by: None,
            total: None,
            write: vec![format!("{} = \"{to}\"", Setting::FUELLING)],
            before: scene.state.clone(),
            after: scene.state.with_setting(Setting::FUELLING, value.clone()),
            moves: vec![(Setting::FUELLING, Some(from), value)],
            also: Vec::new(),
            rests_on: Vec::new(),
            undo: undo(step, "the choice before: write `back = true`".to_owned()),
        })
    }

    /// The main jet that was worked out for the day's air.
    pub(super) fn jet(&self, step: &Step) -> Weighed<Proposal> {
        let scene = self.scene;
        if scene.machine.and_then(|machine| machine.carburettor()).is_none() {
            return skip(Why::NotApplicable, "the machine has no carburettor");
        }
        let name = Setting::JET_MAIN;
        let Some(base) = scene.base(name) else {
            return skip(Why::Unknown, "`jet.main` is not on file: write it into `settings`");
        };
        let figure = scene.figures(scene.state, &[FigureName::JET_MAIN_ON_HAND]).into_iter().next();
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
        let units = &scene.units;
        Ok(Proposal {
            text: format!("main jet for this air: {} → {}", show(&base.quantity, units), show(&to, units)),
            by: None,
            total: None,
            write: vec![format!("{name} = {}", show(&to, units))],
            before: scene.state.clone(),
            after: scene.state.with_setting(name, value.clone()),
            moves: vec![(name, Some(from), value)],
            also: vec![
                format!(
                    "running lean can seize an engine: read the plug; refit {} before riding lower or colder",
                    show(&base.quantity, units)
                ),
                "it rules three quarters of throttle and up; pilot, needle and air screw are separate matters".to_owned(),
            ],
            rests_on: Vec::new(),
            undo: undo(step, "the jet before: write `back = true`".to_owned()),
        })
    }
}
