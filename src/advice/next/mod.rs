//! One next change: the complaint on file, its readings, what was tried, and the first step that is left.

mod change;
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
use crate::vocabulary::blocks::{LOOK_AFTER_CRASH, LOOK_SIGNS};
use crate::vocabulary::{FigureName, Named, Setting};

use crate::advice::answer::{
    Answer, Check, Location, Measure, Next, OnFile, Skip, Standing, StepState, Text, Why,
};
use crate::advice::clearance::{Crash, crash_of_machine, crash_of_rider, unfit};
use crate::advice::data::{AtEnd, Complaint};
use crate::advice::feel::{Ear, Feel};
use crate::advice::parts::Advice;
use crate::advice::reading::DROP;
use crate::advice::rides::{Ride, Trial, rides, strongest};
use crate::advice::scene::Scene;
use crate::advice::step::{Candidate, Proposal, Weigher};

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

    /// The strongest complaint, unless another of the same ride is dealt with first.
    fn on_file<'f>(&self, feels: &'f [Feel]) -> Option<&'f Feel> {
        let mut chosen = strongest(feels)?;
        // A complaint yields only to one that does not itself yield, or the two would go in a circle.
        for _ in 0..feels.len() {
            let Some(complaint) = self.scene.advice.complaint(&chosen.complaint, chosen.place.as_deref())
            else {
                break;
            };
            match feels.iter().find(|feel| complaint.yields_to.contains(&feel.complaint)) {
                Some(other) => chosen = other,
                None => break,
            }
        }
        Some(chosen)
    }

    fn on_file_of(&self, feel: &Feel, ride: &Ride<'_>) -> OnFile {
        let sources = &self.scene.book.sources;
        let at = sources.start(feel.span);
        let complaint = self.scene.advice.complaint(&feel.complaint, feel.place.as_deref());
        OnFile {
            word: feel.complaint.clone(),
            say: complaint
                .map_or_else(|| feel.complaint.clone(), |complaint| self.scene.word(&complaint.say)),
            place: feel.place.clone(),
            strength: feel.strength,
            words: feel.words.clone(),
            date: ride.date.to_string(),
            at: Location { file: sources.path(feel.span.file).to_owned(), line: at.line, column: at.column },
            told: String::new(),
        }
        .tell(&self.scene.units)
    }

    /// A last ride without a complaint, with the complaint of an earlier one of the same day: saying nothing does not mean that
    /// it is gone.
    fn uncomplaining(&self, last: &Ride<'_>) -> Message {
        let mut of_day = self.rides.iter().rev().skip(1).take_while(|ride| ride.day == last.day);
        match of_day.find_map(|ride| Some(self.on_file_of(self.on_file(&ride.feels)?, ride))) {
            Some(before) if last.stint.feel.is_some() => say!(
                "the `feel` of the last ride names no complaint. Before it was: {complaint}",
                complaint = before.told
            ),
            Some(before) => say!(
                "the last ride has no `feel`; write how it felt. Before it was: {complaint}",
                complaint = before.told
            ),
            None => say!("nothing is complained of on the last ride"),
        }
    }

    fn others(&self, ride: &Ride<'_>, chosen: &Feel) -> Vec<OnFile> {
        let is_other = |feel: &&Feel| feel.complaint != chosen.complaint || feel.span != chosen.span;
        let mut others: Vec<&Feel> = ride.feels.iter().filter(is_other).collect();
        others.sort_by_key(|feel| std::cmp::Reverse(feel.strength.unwrap_or(0)));
        others.into_iter().map(|feel| self.on_file_of(feel, ride)).collect()
    }

    /// The drop test, where the head bearing was set since the last one: before anybody rides or changes
    /// anything.
    fn steering_again(&self, ride: &Ride<'_>) -> Option<Measure> {
        let is_set = self.scene.worked_on(DROP).is_some();
        is_set.then(|| self.measure_first(&[DROP], ride)).flatten()
    }

    /// A step that comes before everything else, where its reading is not as it should be: the head bearing, where the
    /// drop test falls. Where it can go no further, other causes are looked at before anybody rides or changes anything.
    fn goes_first(
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
    fn at_end(&self, end: &AtEnd, reading: Named, skip: &Skip, ride: &Ride<'_>) -> Answer {
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

    /// What was not yet done after the last crash: the rider's signs first, then the machine.
    fn after_crash(&self) -> Option<Check> {
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

    /// Why the complaint is none by the travel ring, if so.
    fn no_complaint(&self, complaint: &Complaint, ride: &Ride<'_>) -> Option<String> {
        let end = complaint.bottomed?;
        let used = self.scene.value(ride.state, FigureName::TRAVEL_USED_SHARE.of(end))?;
        let ring = self.scene.advice.practice().ring;
        (used < ring.bottomed_from).then(|| {
            let shown = self.scene.shown(crate::quantity::Kind::Share, used);
            self.scene.say(&say!("the {end} O-ring stood at {shown} of the travel: it does not bottom; feel for something else", end, shown))
        })
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

/// A complaint, as the reason for a change.
fn because(feel: &Feel) -> String {
    let strength = feel.strength.map(|strength| strength.to_string());
    let parts = [Some(feel.complaint.clone()), feel.place.clone(), strength];
    parts.into_iter().flatten().collect::<Vec<_>>().join(" ")
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
