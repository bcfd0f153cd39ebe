//! One next change: the complaint on file, what it rests on, what was tried, and the first step that is left.

use jiff::civil::Date;

use crate::book::Book;
use crate::figures::Figure;
use crate::quantity::{Way, show_change, show_measured_change};
use crate::season::{Difference, Held, How, Season};
use crate::vocabulary::names::{fill, opened};
use crate::vocabulary::{self, End, figures, settings};

use super::answer::{
    Answer, Change, Location, LookState, Measure, Moved, Next, OnFile, Prediction, ReadingState, Skip,
    Standing, StepState, Text, Tried, Undo, Verdict,
};
use super::data::{Advice, Complaint, Look};
use super::feel::Feel;
use super::rides::{Ride, Trial, rides, strongest, trial};
use super::scene::{Freshness, Scene};
use super::step::{Candidate, Proposal, Weigher, words};

/// Figures that every change is predicted in, besides those of its complaint.
const ALWAYS: [&str; 7] = [
    figures::RAKE,
    figures::TRAIL,
    figures::WHEELBASE,
    figures::ANTI_SQUAT,
    figures::BARS_TORQUE_CHANGE,
    figures::DRIVE_RATIO,
    figures::DRIVE_AXLE_MOVE,
];

/// Where and when advice is asked for.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Asking {
    /// The day's place in the book.
    pub day: usize,
    /// How many of the day's points lie before the place; `None` for the end of the day.
    pub points: Option<usize>,
    /// The date of asking; `None` for the day's own.
    pub on: Option<Date>,
}

impl Asking {
    /// At the end of a day, on its own date.
    pub fn at_end_of(day: usize) -> Self {
        Self { day, points: None, on: None }
    }
}

/// The one next thing to do about what is complained of; `None` where there is no such day.
pub fn next(book: &Book, season: &Season, asking: Asking, advice: &Advice) -> Option<Next> {
    let points = asking.points.unwrap_or(usize::MAX);
    let scene = Scene::new(book, season, advice, asking.day, points, asking.on)?;
    let rides = rides(book, season, asking.day, scene.points, advice);
    Some(Adviser { scene: &scene, rides: &rides }.next())
}

struct Adviser<'s, 'a> {
    scene: &'s Scene<'a>,
    rides: &'s [Ride<'a>],
}

impl<'a> Adviser<'_, 'a> {
    fn next(&self) -> Next {
        let mut next = self.nothing_yet();
        let Some(ride) = self.rides.last() else {
            next.answer = Answer::Nothing(text("nothing was ridden yet: write a `stint` with how it felt"));
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
            next.first = complaint.first.clone();
            next.looks = self.looks(complaint);
            next.readings = self.readings(complaint, ride);
            next.tried = trials
                .iter()
                .filter(|trial| trial.was_against(complaint))
                .map(|trial| self.tried(trial))
                .collect();
            next.cautions.extend(complaint.warns.clone());
        }
        if let Some(doctor) = self.doctor(ride, complaint) {
            next.answer = Answer::Doctor(doctor);
            return next;
        }
        if let Some(pending) = self.pending(ride) {
            next.answer = Answer::Ride(pending);
            return next;
        }
        if let Some(undo) = self.undo(&trials, ride) {
            next.cautions.extend(self.scene.advice.caution("change").map(str::to_owned));
            next.answer = Answer::Undo(undo);
            return next;
        }
        let (Some(feel), Some(complaint)) = (feel, complaint) else {
            next.answer = Answer::Nothing(text("nothing is complained of on the last ride"));
            return next;
        };
        if let Some(measure) = self.measure_first(&complaint.rests_on, ride) {
            next.answer = Answer::Measure(measure);
            // What else there is can still be told.
            next.steps = self.standings(&self.weighed(complaint, feel, ride, &trials), None);
            return next;
        }
        if let Some(reason) = self.no_complaint(complaint, ride) {
            next.answer = Answer::Nothing(text(reason));
            return next;
        }
        let candidates = self.weighed(complaint, feel, ride, &trials);
        let chosen = candidates.iter().position(|candidate| candidate.outcome.is_ok());
        next.steps = self.standings(&candidates, chosen);
        let open = chosen
            .and_then(|chosen| candidates.get(chosen))
            .and_then(|candidate| Some((candidate, candidate.outcome.as_ref().ok()?)));
        let Some((candidate, proposal)) = open else {
            next.answer = Answer::Nothing(text(
                "nothing is left that was not tried or is not at its end: ask somebody who can watch it ridden, or go back to the standard setting",
            ));
            return next;
        };
        if let Some(measure) = self.measure_first(&proposal.rests_on, ride) {
            next.answer = Answer::Measure(measure);
            return next;
        }
        next.cautions.extend(self.cautions(candidate, proposal));
        next.answer = Answer::Change(Box::new(self.change(complaint, feel, candidate, proposal)));
        next
    }

    fn nothing_yet(&self) -> Next {
        Next {
            complaint: None,
            others: Vec::new(),
            first: String::new(),
            looks: Vec::new(),
            readings: Vec::new(),
            tried: Vec::new(),
            answer: Answer::Nothing(text("")),
            steps: Vec::new(),
            cautions: Vec::new(),
        }
    }

    /// The strongest complaint, unless it gives way to another of the same ride.
    fn on_file<'f>(&self, feels: &'f [Feel]) -> Option<&'f Feel> {
        let mut chosen = strongest(feels)?;
        // Each can only give way to one that does not give way itself, or the two would go round in a circle.
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
            say: complaint.map_or_else(|| feel.complaint.clone(), |complaint| complaint.say.clone()),
            place: feel.place.clone(),
            strength: feel.strength,
            words: feel.words.clone(),
            date: ride.date.to_string(),
            at: Location { file: sources.path(feel.span.file).to_owned(), line: at.line, column: at.column },
        }
    }

    fn others(&self, ride: &Ride<'_>, chosen: &Feel) -> Vec<OnFile> {
        let mut others: Vec<&Feel> = ride.feels.iter().filter(|feel| *feel != chosen).collect();
        others.sort_by_key(|feel| std::cmp::Reverse(feel.strength.unwrap_or(0)));
        others.into_iter().map(|feel| self.on_file_of(feel, ride)).collect()
    }

    fn trials(&self) -> Vec<Trial<'a>> {
        let pairs = self.rides.iter().zip(self.rides.iter().skip(1));
        pairs
            .filter_map(|(before, after)| trial(self.scene.book, self.scene.machine, before, after))
            .collect()
    }

    fn tried(&self, trial: &Trial<'_>) -> Tried {
        let settings = self.moved(&trial.settings);
        let what: Vec<String> = settings.iter().map(moved_text).collect();
        let outcome = match (&trial.is_void, trial.verdict) {
            (Some(why), _) => why.clone(),
            (None, Some(verdict)) => verdict.word().to_owned(),
            (None, None) => "no verdict".to_owned(),
        };
        Tried {
            date: trial.date.to_string(),
            text: format!("{}: {}: {outcome}", trial.date, what.join(", ")),
            settings,
            verdict: trial.verdict,
            is_written: trial.is_written,
            is_void: trial.is_void.clone(),
        }
    }

    fn moved(&self, differences: &[Difference<'_>]) -> Vec<Moved> {
        let shown = |held: &Held| self.scene.shown_held(&held.value);
        let moved = differences.iter().map(|difference| Moved {
            name: difference.name.to_owned(),
            label: label(difference.name),
            from: difference.before.map(shown),
            to: difference.after.map(shown),
        });
        moved.collect()
    }

    /// Words with which no set-up is the answer.
    fn doctor(&self, ride: &Ride<'_>, complaint: Option<&Complaint>) -> Option<Text> {
        let doctor = &self.scene.advice.doctor;
        let own: Vec<&str> = ride.feels.iter().map(|feel| feel.words.as_str()).collect();
        let note = ride.stint.note.as_ref().map(|note| note.text.as_str());
        let result = ride.stint.result.as_ref().map(|result| result.text.as_str());
        let said: Vec<String> = own.into_iter().chain(note).chain(result).flat_map(affirmed).collect();
        let stops = complaint.map(|complaint| complaint.stop_words.as_slice()).unwrap_or_default();
        let is_stop = |word: &String| doctor.words.contains(word) || stops.contains(word);
        said.iter().find(|word| is_stop(word)).map(|word| text(format!("{} (written: {word})", doctor.say)))
    }

    /// A change on purpose since the last ride.
    fn pending(&self, ride: &Ride<'_>) -> Option<Text> {
        let mut changed = ride.state.differences(self.scene.state);
        changed.retain(|difference| {
            difference.after.is_some_and(|after| matches!(after.how, How::Change | How::Plan))
        });
        if changed.is_empty() {
            return None;
        }
        let what: Vec<String> = self.moved(&changed).iter().map(moved_text).collect();
        Some(text(format!(
            "ride first, and write how it felt: {} was changed since the last ride",
            what.join(", ")
        )))
    }

    /// The last change, where it made things worse and still stands.
    fn undo(&self, trials: &[Trial<'_>], ride: &Ride<'_>) -> Option<Undo> {
        let before = self.rides.iter().rev().nth(1)?;
        // The last trial is about the last two rides only where something was changed between them.
        let last =
            trials.last().filter(|trial| trial.date == ride.date && trial.verdict == Some(Verdict::Worse))?;
        let own = before.state.differences(ride.state);
        let stands =
            !own.is_empty() && own == last.settings && ride.state.differences(self.scene.state).is_empty();
        if !stands {
            return None;
        }
        let settings: Vec<Moved> = self
            .moved(&last.settings)
            .into_iter()
            .map(|moved| Moved { from: moved.to, to: moved.from, ..moved })
            .collect();
        let what: Vec<String> = settings.iter().map(moved_text).collect();
        Some(Undo {
            text: format!("put it back, as it made it worse: {}", what.join(", ")),
            write: self.undo_block(&settings, before, ride),
            settings,
        })
    }

    /// A block that takes a change back: `back` where one block made it, else the settings as they were.
    fn undo_block(&self, settings: &[Moved], before: &Ride<'_>, ride: &Ride<'_>) -> String {
        let events =
            self.scene.season.days.get(ride.day).map(|replay| replay.events.as_slice()).unwrap_or_default();
        let mut blocks: Vec<usize> = events
            .iter()
            .filter(|event| {
                event.how == How::Change
                    && event.block < ride.block
                    && (before.day < ride.day || event.block > before.block)
            })
            .map(|event| event.block)
            .collect();
        blocks.dedup();
        let lines = if blocks.len() == 1 && before.day == ride.day {
            vec!["back = true".to_owned()]
        } else {
            let line = |moved: &Moved| moved.to.as_ref().map(|to| format!("{} = \"{to}\"", moved.name));
            settings.iter().filter_map(line).collect()
        };
        block(&lines, "it made it worse")
    }

    fn looks(&self, complaint: &Complaint) -> Vec<LookState> {
        let scene = self.scene;
        let is_asked = |look: &&Look| look.for_all || complaint.looks.contains(&look.name);
        let mut looks: Vec<LookState> = scene
            .advice
            .looks
            .iter()
            .filter(is_asked)
            .map(|look| {
                let last = look
                    .shown_by
                    .iter()
                    .filter_map(|name| scene.state.seen(name))
                    .max_by_key(|seen| seen.place);
                let age = last.and_then(|seen| seen.date.until(scene.on).ok()).map(|age| age.get_days());
                let holds = i32::try_from(look.holds_days).unwrap_or(i32::MAX);
                LookState {
                    name: look.name.clone(),
                    say: look.say.clone(),
                    is_done: age.is_some_and(|age| age <= holds),
                    last: last.map(|seen| seen.date.to_string()),
                }
            })
            .collect();
        // What the machine's notebook wants looked at, by days or by hours, and was not.
        looks.extend(
            scene.due.iter().filter(|due| due.is_overdue && !complaint.rests_on.contains(&due.name)).map(
                |due| LookState {
                    name: due.name.clone(),
                    say: format!("{}: overdue ({})", due.label(), due.why()),
                    is_done: false,
                    last: due.last.as_ref().and_then(|last| last.date).map(|date| date.to_string()),
                },
            ),
        );
        looks
    }

    fn readings(&self, complaint: &Complaint, ride: &Ride<'_>) -> Vec<ReadingState> {
        let chambers: Vec<&str> =
            self.scene.machine.iter().flat_map(|machine| machine.chambers()).map(|(name, _)| name).collect();
        let mut readings: Vec<ReadingState> =
            complaint.rests_on.iter().map(|name| self.scene.reading(name, Some(ride))).collect();
        for pattern in &complaint.shows {
            let is_of_chambers = pattern.split('.').any(|part| part == "NAME");
            let named: Vec<String> = if is_of_chambers {
                chambers.iter().map(|name| fill(pattern, name)).collect()
            } else {
                vec![pattern.clone()]
            };
            // To look at only: it is shown where it can be had, and nothing waits for it.
            let shown = named
                .iter()
                .map(|name| self.scene.reading(name, Some(ride)))
                .filter(|reading| reading.shown.is_some());
            readings.extend(shown.map(|reading| ReadingState { is_due: false, note: None, ..reading }));
        }
        readings
    }

    /// The first of some readings that is missing or too old.
    fn measure_first(&self, names: &[String], ride: &Ride<'_>) -> Option<Measure> {
        names.iter().find_map(|name| match self.scene.freshness(name, Some(ride)) {
            Freshness::Fresh => None,
            Freshness::Due(why) => {
                let (label, how) = (label(name), self.scene.how_to(name));
                Some(Measure { name: name.clone(), text: format!("first {how}: {why}"), label, why, how })
            }
        })
    }

    /// Whether what is complained of is none, by the travel ring.
    fn no_complaint(&self, complaint: &Complaint, ride: &Ride<'_>) -> Option<String> {
        let end = complaint.bottomed?;
        let used = self.scene.value(ride.state, &fill(figures::TRAVEL_USED_SHARE, end.word()))?;
        let ring = self.scene.advice.ring;
        (used < ring.bottomed_from).then(|| {
            let shown = self.scene.shown(crate::quantity::Kind::Share, used);
            format!("the {end} travel ring stood at {shown} of the travel: it does not bottom; feel for something else")
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

    fn standings(&self, candidates: &[Candidate<'_>], chosen: Option<usize>) -> Vec<StepState> {
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
            standing: standing(index, &candidate.outcome),
        });
        states.collect()
    }

    fn cautions(&self, candidate: &Candidate<'_>, proposal: &Proposal) -> Vec<String> {
        let is_air = proposal.moves.iter().any(|(name, ..)| opened(settings::CHAMBER, name).is_some());
        let names = [Some("change"), is_air.then_some("air"), candidate.step.caution.as_deref()];
        names
            .into_iter()
            .flatten()
            .filter_map(|name| self.scene.advice.caution(name))
            .map(str::to_owned)
            .collect()
    }

    fn change(
        &self,
        complaint: &Complaint,
        feel: &Feel,
        candidate: &Candidate<'_>,
        proposal: &Proposal,
    ) -> Change {
        let (predictions, unpredicted) = self.predictions(complaint, candidate, proposal);
        let settings = proposal.moves.iter().map(|(name, from, to)| Moved {
            name: name.clone(),
            label: label(name),
            from: from.as_ref().map(|from| self.scene.shown_held(from)),
            to: Some(self.scene.shown_held(to)),
        });
        let mut also = proposal.also.clone();
        also.extend(
            predictions
                .iter()
                .filter(|prediction| prediction.leaves_band)
                .map(|prediction| format!("{} would leave its band: {}", prediction.label, prediction.after)),
        );
        let because: Vec<String> = [
            Some(feel.complaint.clone()),
            feel.place.clone(),
            feel.strength.map(|strength| strength.to_string()),
        ]
        .into_iter()
        .flatten()
        .collect();
        Change {
            text: proposal.text.clone(),
            settings: settings.collect(),
            by: proposal.by.clone(),
            usual: candidate.step.usual.clone(),
            total: proposal.total.clone(),
            predictions,
            unpredicted,
            costs: candidate.step.costs.clone(),
            better: candidate.step.better.clone(),
            undo: proposal.undo.clone(),
            ease: candidate.step.ease,
            also,
            write: block(&proposal.write, &because.join(" ")),
        }
    }

    /// What the model says of a change, and why it does not say more.
    fn predictions(
        &self,
        complaint: &Complaint,
        candidate: &Candidate<'_>,
        proposal: &Proposal,
    ) -> (Vec<Prediction>, Option<String>) {
        let mut names = complaint.predict.clone();
        names.extend(
            candidate
                .step
                .best
                .iter()
                .flat_map(|best| std::iter::once(&best.raise).chain(&best.against))
                .cloned(),
        );
        names.extend(ALWAYS.iter().map(|name| (*name).to_owned()));
        names.extend(End::BOTH.iter().map(|end| fill(figures::SAG_RIDER_EXPECTED, end.word())));
        let mut seen = std::collections::BTreeSet::new();
        names.retain(|name| seen.insert(name.clone()));
        let before = self.scene.figures(&proposal.before, &names);
        let after = self.scene.figures(&proposal.after, &names);
        let predictions: Vec<Prediction> =
            before.iter().zip(&after).filter_map(|(before, after)| self.prediction(before, after)).collect();
        if !predictions.is_empty() {
            return (predictions, None);
        }
        let missing = before.iter().take(complaint.predict.len()).find_map(Figure::absent);
        let is_modelled =
            proposal.moves.iter().any(|(name, ..)| is_modelled(name)) || proposal.moves.is_empty();
        let why = match (is_modelled, missing) {
            (true, Some(absent)) => format!("nothing is predicted: {}", absent.reason()),
            _ => "no model covers it: what it does is common practice".to_owned(),
        };
        (predictions, Some(why))
    }

    fn prediction(&self, before: &Figure, after: &Figure) -> Option<Prediction> {
        let (old, new) = (before.number()?, after.number()?);
        let change = new.minus(old);
        // What moves by less than its last bit does not move.
        if change.value.abs() <= 1e-9 * old.value.abs().max(new.value.abs()) {
            return None;
        }
        let units = &self.scene.units;
        let expanded = change.expanded();
        let shown = match expanded {
            Some(expanded) => {
                show_measured_change(old.kind, change.value, Some(expanded), units, Way::Plus).to_string()
            }
            None => show_change(old.kind, change.value, units, Way::Plus).to_string(),
        };
        // A sag that is expected is judged by the band of the one that is measured.
        let banded = match opened(figures::SAG_RIDER_EXPECTED, &before.id) {
            Some(end) => fill(figures::SAG_RIDER, end),
            None => before.id.clone(),
        };
        let within = self.scene.band(&banded).and_then(|band| band.within);
        Some(Prediction {
            figure: before.id.clone(),
            label: label(&before.id),
            before: self.scene.shown_figure(before)?,
            after: self.scene.shown_figure(after)?,
            change: shown,
            value_before: old.value,
            value_after: new.value,
            expanded,
            unit: old.kind.si_unit().to_owned(),
            is_beyond_measurement: change.is_beyond_measurement(),
            leaves_band: within.is_some_and(|within| within.contain(old.value) && !within.contain(new.value)),
        })
    }
}

/// Whether some figure could rest on a setting: clickers, words and torques are in no model.
fn is_modelled(name: &str) -> bool {
    settings::row(name).is_some_and(|row| {
        !row.is_adjuster()
            && matches!(row.value, settings::SettingValue::Quantity(_))
            && name != settings::STEERING_TORQUE
            && name != settings::FORK_OIL
    })
}

/// Words of a text, less those that are denied: *no numbness* is none.
fn affirmed(text: &str) -> Vec<String> {
    let all = words(text);
    let denied = |index: usize| {
        let before = index.checked_sub(1).and_then(|before| all.get(before));
        before.is_some_and(|before| matches!(before.as_str(), "no" | "not" | "without" | "never"))
    };
    all.iter().enumerate().filter(|(index, _)| !denied(*index)).map(|(_, word)| word.clone()).collect()
}

fn text(text: impl Into<String>) -> Text {
    Text { text: text.into() }
}

fn label(name: &str) -> String {
    vocabulary::lookup(name).map_or_else(|| name.to_owned(), |named| named.label_for(name))
}

fn moved_text(moved: &Moved) -> String {
    match (&moved.from, &moved.to) {
        (Some(from), Some(to)) => format!("{} {from} → {to}", moved.label),
        (None, Some(to)) => format!("{} {to}", moved.label),
        (Some(from), None) => format!("{} {from} → as it was before it was written", moved.label),
        (None, None) => moved.label.clone(),
    }
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
