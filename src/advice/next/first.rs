//! What comes before anything that is complained of: a crash, and the head bearing.

use crate::advice::answer::{Answer, Check, Measure, Next, Skip};
use crate::advice::clearance::{Crash, crash_of_machine, crash_of_rider};
use crate::advice::data::{AtEnd, Complaint};
use crate::advice::feel::Feel;
use crate::advice::reading::DROP;
use crate::advice::rides::{Ride, Trial};
use crate::advice::step::Weigher;
use crate::speech::{Message, say};
use crate::vocabulary::Named;
use crate::vocabulary::blocks::{LOOK_AFTER_CRASH, LOOK_SIGNS};

use super::Adviser;
use super::complaint::because;

impl Adviser<'_, '_> {
    /// What was not yet done after the last crash: the rider's signs first, then the machine.
    pub(super) fn after_crash(&self) -> Option<Check> {
        let (scene, injury) = (self.scene, self.scene.advice.injury());
        let open = |crash: Option<Crash>| crash.filter(|crash| !crash.is_seen_to);
        let check = |crash: Crash, name: &str, what: &str| Check {
            name: name.to_owned(),
            text: self.scene.say(&say!(
                "after the crash of {date} ({words}), {what}",
                date = crash.date,
                words = crash.words,
                what = scene.word(what)
            )),
            write: format!("```checked\ndone = [\"{name}\"]\n```\n"),
        };
        let signs = open(crash_of_rider(scene.book, scene.advice, scene.until()));
        let machine = || open(crash_of_machine(scene.book, scene.advice, scene.until()));
        signs
            .map(|crash| check(crash, LOOK_SIGNS, &injury.ask))
            .or_else(|| Some(check(machine()?, LOOK_AFTER_CRASH, &injury.look_over)))
    }

    /// The drop test, where the head bearing was set since the last one: before anybody rides or changes
    /// anything.
    pub(super) fn steering_again(&self, ride: &Ride<'_>) -> Option<Measure> {
        let is_set = self.scene.worked_on(DROP).is_some();
        is_set.then(|| self.measure_first(&[DROP], ride)).flatten()
    }

    /// A step that comes before everything else, where its reading is not as it should be: the head bearing, where the
    /// drop test falls. Where it can go no further, other causes are looked at before anybody rides or changes anything.
    pub(super) fn goes_first(
        &self,
        asked: Option<(&Complaint, &Feel)>,
        ride: &Ride<'_>,
        trials: &[Trial<'_>],
        next: &mut Next,
    ) -> bool {
        let scene = self.scene;
        for (owner, step) in scene.advice.first_steps() {
            let Some(reading) = step.outside.filter(|name| scene.is_amiss(*name) == Some(true)) else {
                continue;
            };
            if let Some(measure) = self.measure_first(&[reading], ride) {
                next.answer = Answer::Measure(measure);
                return true;
            }
            let (complaint, place) = match asked {
                Some((complaint, feel)) => (complaint, feel.place.as_deref()),
                None => (owner, None),
            };
            let mut steps = vec![step];
            if asked.is_some() {
                let others = scene.advice.steps(complaint).into_iter();
                steps.extend(others.filter(|other| !std::ptr::eq(*other, step)));
            }
            let candidates = Weigher { scene, complaint, place, ride, trials }.all(&steps);
            let own = candidates.iter().position(|candidate| std::ptr::eq(candidate.step, step));
            let Some((at, candidate)) = own.and_then(|at| Some((at, candidates.get(at)?))) else { continue };
            let taken = self.taken(complaint);
            match (&candidate.outcome, &step.at_end) {
                (Ok(proposal), _) => {
                    next.steps = self.standings(&candidates, Some(at), &taken);
                    next.cautions.extend(self.cautions(candidate, proposal));
                    let because =
                        asked.map_or_else(|| reading.label().in_english(), |(_, feel)| because(feel));
                    let change = self.change(complaint, &because, candidate, proposal, &taken);
                    next.answer = Answer::Change(Box::new(change));
                    return true;
                }
                (Err(skip), Some(end)) if skip.why.is_end() => {
                    next.steps = self.standings(&candidates, None, &taken);
                    next.answer = self.at_end(end, reading, skip, ride);
                    return true;
                }
                (Err(_), _) => {}
            }
        }
        false
    }

    /// What to look at where a step can go no further; after that, the reading is taken again.
    pub(super) fn at_end(&self, end: &AtEnd, reading: Named, skip: &Skip, ride: &Ride<'_>) -> Answer {
        let scene = self.scene;
        let look = scene.advice.practice().looks.iter().find(|look| look.name == end.look);
        let shown_by = look.into_iter().flat_map(|look| &look.shown_by);
        let looked = shown_by.filter_map(|name| scene.state.seen(name)).map(|seen| seen.place).max();
        let read = scene.state.seen(reading.as_str()).map(|seen| seen.place);
        let label = scene.say(&reading.label());
        if looked > read {
            let (why, how) = (
                self.scene.say(&say!("{look} since it was measured", look = end.look)),
                scene.how_to(reading),
            );
            let text =
                self.scene.say(&say!("first {how}: {look} were looked at since", how, look = end.look));
            return Answer::Measure(Measure { name: reading, label, why, how, text });
        }
        let shown = scene.reading(reading, Some(ride)).shown.unwrap_or_default();
        Answer::Check(Check {
            name: end.look.clone(),
            text: self.scene.say(&say!(
                "{label} {shown}, and {why}: {look}",
                label,
                shown,
                why = skip.text,
                look = Message::word(end.say.clone())
            )),
            write: format!("```checked\ndone = [\"{}\"]\n```\n", end.look),
        })
    }
}
