//! Conditions of a step that do not depend on its size.

use crate::advice::answer::{Verdict, Why};
use crate::advice::data::Step;
use crate::advice::make::{ForkKind, RingWord};
use crate::quantity::Kind;
use crate::season::Changed;
use crate::speech::{Message, say};
use crate::vocabulary::blocks::{AIR, COIL};
use crate::vocabulary::{End, FigureName, Named};

use super::{Weighed, Weigher, skip};

impl Weigher<'_> {
    /// Conditions that do not depend on the size of the step.
    pub(super) fn conditions(&self, step: &Step) -> Weighed<()> {
        if let (false, Some(place)) = (step.at.is_empty(), self.place)
            && !step.at.iter().any(|at| at == place)
        {
            return skip(
                Why::NotApplicable,
                self.scene.say(&say!(
                    "it is for {at}, and this is felt at {place}",
                    at = Message::both(step.at.iter().map(Message::text)),
                    place
                )),
            );
        }
        let fork = self.scene.machine.and_then(|machine| machine.fork()).and_then(|fork| fork.kind.as_ref());
        match (step.fork, fork.map(|kind| kind.text.as_str())) {
            (Some(ForkKind::Coil), Some(AIR)) => {
                return skip(Why::NotApplicable, self.scene.say(&say!("the fork has air springs")));
            }
            (Some(ForkKind::Air), Some(COIL)) => {
                return skip(Why::NotApplicable, self.scene.say(&say!("the fork has coil springs")));
            }
            (Some(_), None) => {
                return skip(
                    Why::Unknown,
                    self.scene.say(&say!(
                        "the machine's notebook does not say which fork it has: add `kind` to `fork`"
                    )),
                );
            }
            _ => {}
        }
        if let Some(wanted) = step.ring {
            let name = FigureName::TRAVEL_USED_SHARE.of(End::Front);
            let Some(used) = self.scene.value(self.ride.state, name) else {
                return skip(
                    Why::Unknown,
                    self.scene.say(&match self.scene.why_absent(self.ride.state, name) {
                        Some(why) => say!("what the O-ring says is not known: {why}", why),
                        None => say!("what the O-ring says is not known"),
                    }),
                );
            };
            let is_deep = used >= self.scene.advice.practice().ring.deep_from;
            let shown = self.scene.shown(Kind::Share, used);
            match wanted {
                RingWord::Little if is_deep => {
                    return skip(
                        Why::NotApplicable,
                        self.scene.say(&say!("the ring stood at {shown} of the travel: that is deep, and softer would be worse", shown)),
                    );
                }
                RingWord::Deep if !is_deep => {
                    return skip(
                        Why::NotApplicable,
                        self.scene.say(&say!("the ring stood at {shown} of the travel: that is little, and firmer would be worse", shown)),
                    );
                }
                _ => {}
            }
        }
        if let Some(name) = step.outside {
            let reading = self.scene.reading(name, Some(self.ride));
            match self.scene.is_amiss(name) {
                Some(false) => {
                    return skip(
                        Why::InBand,
                        self.scene.say(&say!("{label} is as it should be", label = reading.label)),
                    );
                }
                None => {
                    return skip(
                        Why::NotApplicable,
                        self.scene.say(&say!("the machine has no band for {label}", label = reading.label)),
                    );
                }
                Some(true) => {}
            }
        }
        if let Some(name) = step.helped {
            let helped = self.trials.iter().any(|trial| {
                trial.verdict == Some(Verdict::Better)
                    && trial.is_void.is_none()
                    && trial.was_against(self.complaint)
                    && trial.settings.iter().any(|moved| moved.name == Changed::Setting(name))
            });
            if !helped {
                return skip(
                    Why::NotApplicable,
                    self.scene.say(&say!("`{name}` was not yet ridden and found better", name)),
                );
            }
        }
        let has_manual = step.by_manual.is_some();
        if !has_manual && !step.limit.is_empty() && !step.limit.iter().any(|name| self.scene.has_limit(*name))
        {
            return skip(
                Why::NoLimit,
                self.scene.say(&say!(
                    "the maker's limit is not on file: add {limit} to `limits`",
                    limit = either(&step.limit)
                )),
            );
        }
        Ok(())
    }
}

fn either(names: &[Named]) -> Message {
    Message::either(names.iter().map(|name| Message::text(format!("`{name}`"))))
}
