//! One next change: the complaint on file, its readings, what was tried, and the first step that is left.

mod change;
mod complaint;
mod first;
mod looks;
mod plan;
mod tried;
mod worth;

pub use plan::{Plan, Telling, plan};

use std::cell::OnceCell;
use std::collections::BTreeMap;

use jiff::civil::Date;

use crate::book::Book;
use crate::season::Season;
use crate::speech::{Message, say};
use crate::vocabulary::Setting;

use crate::advice::answer::{Answer, Next, Skip, Standing, StepState, Text, Why};
use crate::advice::clearance::unfit;
use crate::advice::data::Complaint;
use crate::advice::feel::{Ear, Feel};
use crate::advice::parts::Advice;
use crate::advice::rides::{Ride, Trial, rides};
use crate::advice::scene::Scene;
use crate::advice::step::{Candidate, Proposal, Weigher};

use complaint::because;
use worth::Taken;

/// How many reasons for leaving steps out are given at once.
const MOST_REASONS: usize = 3;

/// The strength of a complaint that is not to be ridden.
const NOT_TO_BE_RIDDEN: u8 = 5;

/// Where and when advice is asked.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Asking {
    /// The day's place in the book.
    pub day: usize,
    /// How many of the day's points are above the place; `None` for the end of the day.
    pub points: Option<usize>,
    /// The date of asking; `None` for the day's own.
    pub on: Option<Date>,
    /// Whether it is told in the book's language and not in the rider's: others read it.
    pub is_of_book: bool,
}

impl Asking {
    /// At the end of a day, on its own date.
    pub fn at_end_of(day: usize) -> Self {
        Self { day, points: None, on: None, is_of_book: false }
    }
}

/// The one next thing to do about a complaint; `None` where there is no such day.
pub fn next(book: &Book, season: &Season, asking: Asking, advice: &Advice) -> Option<Next> {
    asked(book, season, asking, advice, |adviser| adviser.next())
}

/// Calls `ask` with an adviser; `None` where there is no such day.
fn asked<T>(
    book: &Book,
    season: &Season,
    asking: Asking,
    advice: &Advice,
    ask: impl FnOnce(&Adviser<'_, '_>) -> T,
) -> Option<T> {
    let points = asking.points.unwrap_or(usize::MAX);
    let mut scene = Scene::new(book, season, advice, asking.day, points, asking.on)?;
    if asking.is_of_book {
        scene.units.speak(book.about.units.tongue().clone());
    }
    let scene = scene;
    let rides = rides(book, season, asking.day, scene.points, advice);
    Some(ask(&Adviser { scene: &scene, rides: &rides, related: OnceCell::new() }))
}

struct Adviser<'s, 'a> {
    scene: &'s Scene<'a>,
    rides: &'s [Ride<'a>],
    /// The rides of others on the machine, and of the rider on other machines, worked out when first needed.
    related: OnceCell<Vec<Vec<Ride<'a>>>>,
}

impl<'a> Adviser<'_, 'a> {
    fn next(&self) -> Next {
        let mut next = self.nothing_yet();
        if let Some(unfit) = unfit(self.scene.book, self.scene.advice, self.scene.day) {
            next.answer = Answer::Doctor(text(unfit.text()));
            return next;
        }
        if let Some(check) = self.after_crash() {
            next.answer = Answer::Check(check);
            return next;
        }
        let Some(ride) = self.rides.last() else {
            next.answer = Answer::Nothing(text(
                self.scene.say(&say!("nothing was ridden yet: write a `stint` with how it felt")),
            ));
            return next;
        };
        let feel = self.on_file(&ride.feels);
        if let Some(feel) = feel {
            next.complaint = Some(self.on_file_of(feel, ride));
            next.others = self.others(ride, feel);
        }
        let complaint =
            feel.and_then(|feel| self.scene.advice.complaint(&feel.complaint, feel.place.as_deref()));
        let trials = self.trials();
        if let Some(complaint) = complaint {
            next.first = self.scene.word(&complaint.first);
            next.looks = self.looks(complaint);
            next.readings = self.readings(complaint, ride);
            next.tried = trials
                .iter()
                .filter(|trial| trial.was_against(complaint))
                .map(|trial| self.tried(trial))
                .collect();
            next.cautions.extend(complaint.warns.as_ref().map(|warns| self.scene.word(warns)));
            let is_too_strong = feel.is_some_and(|feel| feel.strength == Some(NOT_TO_BE_RIDDEN));
            next.stop = self
                .scene
                .advice
                .caution("strong")
                .filter(|_| is_too_strong)
                .map(|text| self.scene.word(text));
        }
        if let Some(measure) = self.steering_again(ride) {
            next.answer = Answer::Measure(measure);
            return next;
        }
        if self.goes_first(complaint.zip(feel), ride, &trials, &mut next) {
            return next;
        }
        if let Some(pending) = self.pending(ride) {
            next.answer = Answer::Ride(pending);
            return next;
        }
        if let Some(undo) = self.undo(&trials, ride) {
            next.cautions.extend(self.scene.advice.caution("change").map(|text| self.scene.word(text)));
            next.answer = Answer::Undo(undo);
            return next;
        }
        let (Some(feel), Some(complaint)) = (feel, complaint) else {
            let about = self.scene.book.days.get(ride.day);
            let ear = Ear::new(self.scene.advice);
            let unheard = about.and_then(|about| ear.unheard(self.scene.book, about, ride.stint));
            next.answer = Answer::Nothing(text(match unheard {
                Some(words) => self.scene.say(&say!("what was felt is not understood, so there is no advice on it: {words}; `loambook words feel` lists what is", words)),
                None => self.scene.say(&self.uncomplaining(ride)),
            }));
            return next;
        };
        if let Some(measure) = self.measure_first(&complaint.rests_on, ride) {
            next.answer = Answer::Measure(measure);
            // The other steps can still be shown.
            next.steps =
                self.standings(&self.weighed(complaint, feel, ride, &trials), None, &self.taken(complaint));
            return next;
        }
        if let Some(reason) = self.no_complaint(complaint, ride) {
            next.answer = Answer::Nothing(text(reason));
            return next;
        }
        let candidates = self.weighed(complaint, feel, ride, &trials);
        let chosen = candidates.iter().position(|candidate| candidate.outcome.is_ok());
        let taken = self.taken(complaint);
        next.steps = self.standings(&candidates, chosen, &taken);
        next.put_right = candidates.iter().filter_map(|candidate| candidate.put_right.clone()).collect();
        let open = chosen
            .and_then(|chosen| candidates.get(chosen))
            .and_then(|candidate| Some((candidate, candidate.outcome.as_ref().ok()?)));
        let Some((candidate, proposal)) = open else {
            next.answer = Answer::Nothing(text(self.scene.say(&nothing_left(&candidates))));
            return next;
        };
        if let Some(measure) = self.measure_first(&proposal.rests_on, ride) {
            next.answer = Answer::Measure(measure);
            return next;
        }
        next.cautions.extend(self.cautions(candidate, proposal));
        let change = self.change(complaint, &because(feel), candidate, proposal, &taken);
        next.answer = Answer::Change(Box::new(change));
        next
    }

    fn nothing_yet(&self) -> Next {
        Next {
            complaint: None,
            others: Vec::new(),
            stop: None,
            first: String::new(),
            looks: Vec::new(),
            readings: Vec::new(),
            put_right: Vec::new(),
            tried: Vec::new(),
            answer: Answer::Nothing(text("")),
            steps: Vec::new(),
            cautions: Vec::new(),
        }
    }

    /// The rides, up to the day, of all others on the machine and of the rider on all other machines.
    fn related(&self) -> &[Vec<Ride<'a>>] {
        self.related.get_or_init(|| {
            let Scene { book, season, advice, about, day, .. } = *self.scene;
            let mut last: BTreeMap<(&Option<String>, &Option<String>), usize> = BTreeMap::new();
            for (index, other) in book.days.iter().enumerate().take(day + 1) {
                let is_machine = other.machine.is_some() && other.machine == about.machine;
                let is_rider = other.rider.is_some() && other.rider == about.rider;
                if is_machine != is_rider {
                    last.insert((&other.machine, &other.rider), index);
                }
            }
            last.into_values().map(|day| rides(book, season, day, usize::MAX, advice)).collect()
        })
    }

    fn weighed<'b>(
        &'b self,
        complaint: &'b Complaint,
        feel: &'b Feel,
        ride: &'b Ride<'b>,
        trials: &'b [Trial<'b>],
    ) -> Vec<Candidate<'b>> {
        let steps = self.scene.advice.steps(complaint);
        Weigher { scene: self.scene, complaint, place: feel.place.as_deref(), ride, trials }.all(&steps)
    }

    fn standings(
        &self,
        candidates: &[Candidate<'_>],
        chosen: Option<usize>,
        taken: &[Taken<'_>],
    ) -> Vec<StepState> {
        let standing = |index: usize, outcome: &Result<Proposal, Skip>| match outcome {
            Ok(_) if Some(index) == chosen => Standing::Next,
            Ok(_) => Standing::Later,
            Err(skip) => Standing::Skipped(skip.clone()),
        };
        let states = candidates.iter().enumerate().map(|(index, candidate)| StepState {
            text: candidate
                .outcome
                .as_ref()
                .map_or_else(|_| candidate.text.clone(), |proposal| proposal.text.clone()),
            ease: candidate.step.ease,
            note: candidate.note.clone(),
            worth: candidate.outcome.as_ref().ok().and_then(|proposal| self.worth(proposal, taken)),
            standing: standing(index, &candidate.outcome),
        });
        states.collect()
    }

    fn cautions(&self, candidate: &Candidate<'_>, proposal: &Proposal) -> Vec<String> {
        let is_air = proposal.moves.iter().any(|(name, ..)| Setting::CHAMBER.word_of(*name).is_some());
        let names = [Some("change"), is_air.then_some("air"), candidate.step.caution.as_deref()];
        let texts = names.into_iter().flatten().filter_map(|name| self.scene.advice.caution(name));
        texts.map(|text| self.scene.word(text)).collect()
    }
}

/// Why no step is left: settings that nobody wrote come before those at their end.
fn nothing_left(candidates: &[Candidate<'_>]) -> Message {
    let skipped = || candidates.iter().filter_map(|candidate| candidate.outcome.as_ref().err());
    let mut unknown: Vec<&str> = Vec::new();
    for skip in skipped().filter(|skip| skip.why == Why::Unknown) {
        if !unknown.contains(&skip.text.as_str()) {
            unknown.push(&skip.text);
        }
    }
    unknown.truncate(MOST_REASONS);
    match unknown.as_slice() {
        [] if skipped().all(|skip| skip.why == Why::NotApplicable) => {
            say!(
                "this machine has nothing to set for it: look at what is listed above, then ask somebody who can watch it ridden"
            )
        }
        [] => say!(
            "everything for it is at its end: ask somebody who can watch it ridden, or return to the standard setting"
        ),
        unknown => say!("too little is on file for a step: {reasons}", reasons = unknown.join("; ")),
    }
}

fn text(text: impl Into<String>) -> Text {
    Text { text: text.into() }
}

/// A `change` block, ready to paste.
fn block(lines: &[String], because: &str) -> String {
    let mut text = String::from("```change\n");
    for line in lines {
        text.push_str(line);
        text.push('\n');
    }
    text.push_str(&format!("because = \"{because}\"\n```\n"));
    text
}
