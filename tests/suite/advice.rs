//! Situations written as small notebooks, and the advice that each calls for: see `tests/advice/README.md`.

use std::collections::BTreeSet;
use std::fmt::Write as _;
use std::path::Path;

use loambook::advice::{self, Advice, Answer, Asking, Next, Standing, Why};
use loambook::finding::{Finding, Severity};
use loambook::pages::compare::{FigureChange, Side, Subject, Verdict, compare};
use loambook::quantity::{Units, show};
use loambook::season::HeldValue;
use loambook::session::{Compiled, Session};
use loambook::source::{Memory, Sources};
use loambook::vocabulary::FigureName;

use crate::books;
use crate::desk::program;

const FILES: [&str; 11] = [
    "headshake",
    "front",
    "rear",
    "engine",
    "more",
    "words",
    "totals",
    "people",
    "memory",
    "worth",
    "riders-words",
];

struct Situation {
    file: String,
    name: String,
    expected: Vec<(String, String)>,
    machine: String,
    rider: String,
    advice: Option<String>,
    /// Date, rider, text.
    days: Vec<(String, String, String)>,
}

fn read(name: &str) -> String {
    std::fs::read_to_string(Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/advice").join(name)).unwrap()
}

/// Text without one kind of block.
fn without_block(text: &str, word: &str) -> String {
    let fence = format!("```{word}\n");
    let mut kept = String::new();
    let mut rest = text;
    while let Some(at) = rest.find(&fence) {
        kept.push_str(&rest[..at]);
        let body = &rest[at + fence.len()..];
        rest = &body[body.find("```\n").unwrap() + 4..];
    }
    kept + rest
}

fn situations() -> Vec<Situation> {
    let measured = read("measured.md");
    let mut all = Vec::new();
    for file in FILES {
        let text = read(&format!("{file}.md"));
        for part in text.split("=== ").skip(1) {
            let (head, body) = part.split_once("\n\n").unwrap();
            let mut lines = head.lines();
            let name = lines.next().unwrap().to_owned();
            let expected: Vec<(String, String)> = lines
                .map(|line| {
                    line.split_once(": ").map(|(key, value)| (key.to_owned(), value.to_owned())).unwrap()
                })
                .collect();
            let machine = &expected.iter().find(|(key, _)| key == "machine").unwrap().1;
            let mut situation = Situation {
                file: file.to_owned(),
                name,
                machine: read(&format!("machines/{machine}.md")),
                rider: read("rider.md"),
                advice: None,
                days: Vec::new(),
                expected,
            };
            // The text that the lines belong to.
            let mut into = "";
            for line in body.lines() {
                match line.split(' ').collect::<Vec<_>>().as_slice() {
                    ["@plain", "machine"] => {
                        let plain = situation.machine.split("<!-- more -->").next().unwrap().to_owned();
                        situation.machine = plain;
                    }
                    ["@without", what @ ..] => {
                        let what = what.join(" ");
                        let kept = situation.machine.lines().filter(|line| !line.starts_with(&what));
                        situation.machine = kept.map(|line| format!("{line}\n")).collect();
                    }
                    ["@settings"] => situation.machine = without_block(&situation.machine, "settings"),
                    ["@machine"] => into = "machine",
                    ["@rider"] => {
                        into = "rider";
                        situation.rider = "+++\nkind = \"rider\"\n+++\n".to_owned();
                    }
                    ["@advice"] => {
                        into = "advice";
                        situation.advice = Some(String::new());
                    }
                    ["@day", date, rider @ ..] => {
                        into = "day";
                        let rider = rider.first().copied().unwrap_or("rider");
                        situation.days.push(((*date).to_owned(), rider.to_owned(), String::new()));
                    }
                    ["@measured"] => situation.days.last_mut().unwrap().2.push_str(&measured),
                    _ => {
                        let text = match into {
                            "machine" => &mut situation.machine,
                            "rider" => &mut situation.rider,
                            "advice" => situation.advice.as_mut().unwrap(),
                            _ => &mut situation.days.last_mut().unwrap().2,
                        };
                        text.push_str(line);
                        text.push('\n');
                    }
                }
            }
            all.push(situation);
        }
    }
    all
}

/// The situation's book with its season, and the findings of its advice.
fn told(situation: &Situation) -> Compiled {
    let mut store = Memory::new()
        .with("machine.md", situation.machine.clone())
        .with("rider.md", situation.rider.clone())
        .with("other.md", read("rider.md"));
    for (index, (date, rider, text)) in situation.days.iter().enumerate() {
        let head = format!(
            "+++\nkind = \"day\"\ndate = {date}\nmachine = \"machine\"\nrider = \"{rider}\"\ntrack = \"track\"\n+++\n"
        );
        store = store.with(format!("days/{index}.md"), head + text);
    }
    store = store.with("track.md", "+++\nkind = \"track\"\n+++\n");
    if let Some(text) = &situation.advice {
        store = store.with(advice::ADVICE_FILE, text.clone());
    }
    let mut session = Session::over(&store).unwrap();
    let is_of_advice = |finding: &Finding| advice::CODES.iter().any(|code| **code == *finding.code);
    // Situations add to their machine, and so have a block twice; nothing else may be wrong with them.
    let wrong: Vec<_> = session
        .replay()
        .findings
        .iter()
        .filter(|finding| !is_of_advice(finding))
        .filter(|finding| {
            finding.severity == Severity::Error && !finding.headline.to_string().ends_with("a second time")
        })
        .map(|finding| format!("{}: {}", finding.code.name, finding.headline))
        .collect();
    assert!(wrong.is_empty(), "{}: {}: {wrong:?}", situation.file, situation.name);
    let mut compiled = session.compile(None);
    compiled.findings.retain(is_of_advice);
    compiled
}

fn asked(situation: &Situation) -> (Next, Vec<Finding>) {
    let Compiled { book, season, advice, findings } = told(situation);
    let day = situation.expected.iter().find(|(key, _)| key == "ask");
    let day = day.map_or(book.days.len() - 1, |(_, day)| day.parse().unwrap());
    (advice::next(&book, &season, Asking::at_end_of(day), &advice).unwrap(), findings)
}

fn kind(answer: &Answer) -> String {
    match answer {
        Answer::Change(_) => "change".to_owned(),
        Answer::Measure(measure) => format!("measure {}", measure.name),
        Answer::Ride(_) => "ride".to_owned(),
        Answer::Undo(_) => "undo".to_owned(),
        Answer::Doctor(_) => "doctor".to_owned(),
        Answer::Check(check) => format!("check {}", check.name),
        Answer::Nothing(_) => "nothing".to_owned(),
    }
}

fn words(answer: &Answer) -> &str {
    match answer {
        Answer::Change(change) => &change.text,
        Answer::Measure(measure) => &measure.text,
        Answer::Undo(undo) => &undo.text,
        Answer::Check(check) => &check.text,
        Answer::Ride(text) | Answer::Doctor(text) | Answer::Nothing(text) => &text.text,
    }
}

/// What is not as expected; empty where all is.
fn faults(situation: &Situation) -> String {
    let (next, findings) = asked(situation);
    let mut faults = String::new();
    let change = match &next.answer {
        Answer::Change(change) => Some(change),
        _ => None,
    };
    for (key, value) in &situation.expected {
        let holds = match key.as_str() {
            "machine" | "ask" => true,
            "steps" => value == "none" && next.steps.is_empty() && next.complaint.is_none(),
            "next" => kind(&next.answer) == *value,
            "says" => words(&next.answer).contains(value.as_str()),
            "skips" => {
                let (why, text) = value.split_once(' ').unwrap();
                next.skipped().any(|(step, skip)| skip.why.word() == why && step.text.starts_with(text))
            }
            "puts right" => next.put_right.iter().any(|text| text.contains(value.as_str())),
            "notes" => {
                let (step, note) = value.split_once(" | ").unwrap();
                next.steps.iter().any(|state| {
                    state.text.starts_with(step)
                        && state.note.as_ref().is_some_and(|known| known.contains(note))
                })
            }
            "order" => {
                let wanted: Vec<&str> = value.split(" | ").collect();
                let mut steps = next.steps.iter();
                wanted.iter().all(|text| steps.any(|step| step.text.starts_with(text)))
            }
            "predicts" if value == "nothing" => change.is_some_and(|change| change.predictions.is_empty()),
            "predicts" => {
                let (figure, way) = value.split_once(' ').unwrap();
                change.is_some_and(|change| {
                    let found =
                        change.predictions.iter().find(|prediction| prediction.figure.as_str() == figure);
                    found.is_some_and(|found| {
                        let rises = found.value_after > found.value_before;
                        found.is_beyond_measurement
                            && rises == (way == "rises")
                            && found.before != found.after
                    })
                })
            }
            "stops" => next.stop.as_ref().is_some_and(|stop| stop.contains(value.as_str())),
            "known" => change
                .and_then(|change| change.worth.as_ref())
                .is_some_and(|worth| worth.text.contains(value.as_str())),
            "because" => change
                .and_then(|change| change.unpredicted.as_ref())
                .is_some_and(|why| why.contains(value.as_str())),
            "total" => change
                .and_then(|change| change.total.as_ref())
                .is_some_and(|total| total.starts_with(value.as_str())),
            "also" => {
                change.is_some_and(|change| change.also.iter().any(|also| also.contains(value.as_str())))
            }
            "writes" => match &next.answer {
                Answer::Change(change) => change.write.contains(value.as_str()),
                Answer::Undo(undo) => undo.write.contains(value.as_str()),
                Answer::Check(check) => check.write.contains(value.as_str()),
                _ => false,
            },
            "warns" => next.cautions.iter().any(|caution| caution.contains(value.as_str())),
            "due" => next.readings.iter().any(|reading| reading.name.as_str() == value && reading.is_due),
            "tried" => next.tried.iter().any(|tried| match (&tried.is_void, tried.verdict) {
                (Some(_), _) => value == "void",
                (None, verdict) => verdict.is_some_and(|verdict| verdict.word() == value),
            }),
            "look" => {
                let done = value.ends_with(" done");
                let name = value.trim_end_matches(" done").trim_end_matches(" to do");
                next.looks.iter().any(|look| look.name == name && look.is_done == done)
            }
            "finding" => findings.iter().any(|finding| finding.code.name == value),
            other => panic!("{}: no such expectation: {other}", situation.name),
        };
        if !holds {
            writeln!(faults, "    {key}: {value}").unwrap();
        }
    }
    // A rider who is not cleared to ride is part of the answer.
    let findings = findings.into_iter().filter(|finding| finding.code.name != "rider/not-cleared");
    let findings: Vec<Finding> = findings.collect();
    let is_expected = |finding: &Finding| {
        situation.expected.iter().any(|(key, value)| key == "finding" && value == finding.code.name)
    };
    for finding in findings.iter().filter(|finding| !is_expected(finding)) {
        writeln!(faults, "    unexpected {}: {}", finding.code.name, finding.headline).unwrap();
    }
    if !faults.is_empty() {
        writeln!(faults, "  but: {} `{}`", kind(&next.answer), words(&next.answer)).unwrap();
        for step in &next.steps {
            let standing = match &step.standing {
                Standing::Next => "next".to_owned(),
                Standing::Later => "later".to_owned(),
                Standing::Skipped(skip) => format!("{}: {}", skip.why.word(), skip.text),
            };
            writeln!(faults, "      {}: {standing}", step.text).unwrap();
        }
        if let Some(change) = change {
            writeln!(
                faults,
                "      {:?} {:?} {:?} {}",
                change.total, change.also, change.unpredicted, change.write
            )
            .unwrap();
            for p in &change.predictions {
                writeln!(
                    faults,
                    "      {} {} → {} ({}) {:?}",
                    p.figure, p.before, p.after, p.change, p.expanded
                )
                .unwrap();
            }
        }
        for tried in &next.tried {
            writeln!(faults, "      tried {}", tried.text).unwrap();
        }
    }
    faults
}

#[test]
fn every_situation_gets_its_one_next_change() {
    let situations = situations();
    assert!(situations.len() >= 60, "{} situations", situations.len());
    let mut all = String::new();
    for situation in &situations {
        let faults = faults(situation);
        if !faults.is_empty() {
            write!(all, "{}: {}\n{faults}", situation.file, situation.name).unwrap();
        }
    }
    assert!(all.is_empty(), "\n{all}");
}

/// The reason behind another, so that a test can go through all: a new one does not compile until it has its place
/// here, and then needs a situation.
fn reason_after(why: Why) -> Option<Why> {
    match why {
        Why::Limit => Some(Why::Band),
        Why::Band => Some(Why::Adjuster),
        Why::Adjuster => Some(Why::Total),
        Why::Total => Some(Why::NotApplicable),
        Why::NotApplicable => Some(Why::Unknown),
        Why::Unknown => Some(Why::InBand),
        Why::InBand => Some(Why::OnHand),
        Why::OnHand => Some(Why::NoLimit),
        Why::NoLimit => Some(Why::NoGain),
        Why::NoGain => None,
    }
}

#[test]
fn every_complaint_every_reason_and_every_limit_is_in_some_situation() {
    let shipped = Advice::shipped();
    let (mut words, mut entries, mut answers) = (BTreeSet::new(), BTreeSet::new(), BTreeSet::new());
    let mut skips: Vec<(Why, String, String)> = Vec::new();
    for situation in situations() {
        let (next, _) = asked(&situation);
        answers.insert(kind(&next.answer).split(' ').next().unwrap().to_owned());
        let announced = |why: Why, text: &str| {
            situation.expected.iter().any(|(key, value)| {
                let parts = value.split_once(' ').filter(|_| key == "skips");
                parts.is_some_and(|(word, start)| word == why.word() && text.starts_with(start))
            })
        };
        // Only what a situation announces counts: nobody would miss what merely happens beside it.
        let told = next.skipped().filter(|(step, skip)| announced(skip.why, &step.text));
        skips.extend(told.map(|(step, skip)| (skip.why, step.text.clone(), skip.text.clone())));
        if let (Some(complaint), Answer::Change(_), None) = (&next.complaint, &next.answer, &situation.advice)
        {
            words.insert(complaint.word.clone());
            let entry = shipped.complaint(&complaint.word, complaint.place.as_deref());
            entries.extend(entry.map(|entry| entry.key.clone()));
        }
    }
    let missing = |all: Vec<&str>, had: &BTreeSet<String>| -> Vec<String> {
        all.into_iter().filter(|word| !had.contains(*word)).map(str::to_owned).collect()
    };
    assert_eq!(missing(shipped.words(), &words), [""; 0], "complaints without a change");
    let keys = shipped.practice().complaints.iter().map(|complaint| complaint.key.as_str()).collect();
    assert_eq!(missing(keys, &entries), [""; 0], "entries without a change");
    let kinds = vec!["change", "measure", "ride", "undo", "doctor", "check", "nothing"];
    assert_eq!(missing(kinds, &answers), [""; 0], "answers without a situation");

    let mut reason = Some(Why::Limit);
    while let Some(why) = reason {
        assert!(skips.iter().any(|(had, ..)| *had == why), "no situation skips a step for {}", why.word());
        reason = reason_after(why);
    }
    for limit in advice::LIMITS {
        let has = |(why, _, text): &(Why, String, String)| *why == Why::Limit && text.contains(limit);
        assert!(skips.iter().any(has), "no situation comes to {limit}");
    }
    // How far a setting moves in a day, and on any machine: each in the words of its step.
    let label = |pattern: &str| match pattern {
        "chamber.NAME" => "main chamber".to_owned(),
        "tyre.END" => "front tyre".to_owned(),
        "sag.END.rider" => "rear rider sag".to_owned(),
        name => books::setting(name).label().to_string(),
    };
    let stops = |why: Why, pattern: &str| {
        let label = label(pattern);
        skips.iter().any(|(had, step, _)| *had == why && step.starts_with(&label))
    };
    for total in &shipped.practice().totals {
        assert!(
            stops(Why::Total, &total.of.to_string()),
            "no situation moves {} as far as a day goes",
            total.of
        );
    }
    for range in &shipped.practice().ranges {
        assert!(stops(Why::Limit, &range.of.to_string()), "no situation comes to the end of {}", range.of);
    }
}

#[test]
fn the_advice_that_ships_is_in_order() {
    // As a book could have it: one file.
    let parts = ["templates/said/en.toml", "templates/injury.toml", advice::ADVICE_FILE];
    let text =
        parts.map(|part| std::fs::read_to_string(Path::new(env!("CARGO_MANIFEST_DIR")).join(part)).unwrap());
    let text = text.join("\n");
    let file = Sources::new().set(advice::ADVICE_FILE, text.clone());
    let (laid_over_itself, findings) = Advice::read(file, &text);
    let headlines: Vec<String> = findings.iter().map(|finding| finding.headline.to_string()).collect();
    assert!(headlines.is_empty(), "{headlines:?}");
    assert_eq!(laid_over_itself, *Advice::shipped());
}

#[test]
fn what_it_says_to_write_is_what_it_predicted() {
    let mut written = 0;
    for mut situation in situations() {
        let Answer::Change(change) = asked(&situation).0.answer else { continue };
        situation.days.last_mut().unwrap().2.push_str(&change.write);
        let Compiled { book, season, .. } = told(&situation);
        let end = season.days[book.days.len() - 1].end();
        for moved in &change.settings {
            let held = end
                .setting(moved.name.setting().unwrap())
                .unwrap_or_else(|| panic!("{}: {} is not set", situation.name, moved.name.as_str()));
            let shown = match &held.value {
                HeldValue::Quantity(quantity) => show(quantity, &Units::default()).to_string(),
                HeldValue::Word(word) => word.clone(),
            };
            let told = moved.to.clone().unwrap();
            // A collar's turns are shown with as many digits of a millimetre as they were written with.
            let number = |text: &str| text.split(' ').next().unwrap().parse::<f64>();
            let is_same = match (number(&shown), number(&told)) {
                (Ok(a), Ok(b)) if moved.name.as_str().ends_with(".preload") => (a - b).abs() <= 0.051,
                _ => shown == told,
            };
            assert!(is_same, "{}: {shown}, not {told}: {}", situation.name, change.write);
            written += 1;
        }
    }
    assert!(written >= 40, "{written}");
}

#[test]
fn what_it_predicts_is_what_a_comparison_says_once_the_change_is_written() {
    let mut compared = 0;
    for mut situation in situations() {
        let before = told(&situation);
        let Answer::Change(change) = asked(&situation).0.answer else { continue };
        situation.days.last_mut().unwrap().2.push_str(&change.write);
        let after = told(&situation);
        let sides = [&before, &after].map(|Compiled { book, season, .. }| {
            let file = book.days.last().unwrap().notebook.document.file;
            Side::new(book, season, "day", Subject::Notebook(file)).unwrap()
        });
        let comparison = compare(&sides[0], &sides[1], true);
        let line = |name: FigureName| comparison.figures.iter().find(|line| line.id == name);
        for prediction in &change.predictions {
            let at = format!("{}: {}", situation.name, prediction.figure);
            let line = line(prediction.figure).unwrap_or_else(|| panic!("{at} is not compared"));
            let by = line.by.unwrap_or_else(|| panic!("{at} cannot be compared"));
            let predicted = prediction.value_after - prediction.value_before;
            let slack = 1e-9 * prediction.value_after.abs().max(prediction.value_before.abs());
            assert!((by - predicted).abs() <= slack, "{at}: predicted {predicted}, compared {by}");
            let spreads = (prediction.expanded.unwrap_or(0.0), line.expanded.unwrap_or(0.0));
            assert!((spreads.0 - spreads.1).abs() <= 1e-6 * spreads.0.max(spreads.1), "{at}: ± {spreads:?}");
            assert_eq!(prediction.is_beyond_measurement, line.verdict != Verdict::Within, "{at}");
            compared += 1;
        }
        // What follows from the change and can be compared was predicted, unless the change leaves it where it
        // is.
        let differs = |line: &&FigureChange| line.by.is_some_and(|by| by != 0.0);
        for line in comparison.figures.iter().filter(differs) {
            let is_predicted = change.predictions.iter().any(|prediction| prediction.figure == line.id);
            assert!(is_predicted || !FOLLOWS.contains(&line.id.as_str()), "{}: {}", situation.name, line.id);
        }
    }
    assert!(compared >= 150, "{compared}");
}

/// Figures that no change may move without a prediction.
const FOLLOWS: [&str; 7] = [
    "geometry.rake",
    "geometry.trail",
    "geometry.wheelbase",
    "sag.front.rider_expected",
    "sag.rear.rider_expected",
    "bars.torque_change",
    "drive.ratio",
];

#[test]
fn nothing_it_offers_is_past_a_limit() {
    // Whatever a situation gives: followed to its end, one change after the other, no setting leaves the
    // machine's range.
    let mut walked = BTreeSet::new();
    for mut situation in situations() {
        let Some(complaint) = asked(&situation).0.complaint else { continue };
        // One walk for each complaint on each machine: each step of it replays the book.
        let machine = situation.expected[0].1.clone();
        if !walked.insert((complaint.word, machine)) {
            continue;
        }
        for _ in 0..6 {
            let Answer::Change(change) = asked(&situation).0.answer else { break };
            let texts = situation.days.iter().rev().map(|(_, _, text)| text);
            let mut lines = texts.flat_map(|text| text.lines().rev());
            let feel = lines.find(|line| line.starts_with("feel")).unwrap().to_owned();
            let ring = "travel_used.front = \"304 mm\"\ntravel_used.rear = \"309 mm\"\n";
            let text = &mut situation.days.last_mut().unwrap().2;
            write!(text, "{}```stint\n{feel}\nverdict = \"better\"\n{ring}```\n", change.write).unwrap();
            let Compiled { book, season, .. } = told(&situation);
            let end = season.days[book.days.len() - 1].end();
            let number = |name: &str| end.setting(books::setting(name)).and_then(|held| held.value.number());
            let within = |name: &str, low: f64, high: f64| {
                // The situation's own setting may be past an end that another machine has.
                if change.settings.iter().all(|moved| moved.name.as_str() != name) {
                    return;
                }
                let value = number(name).unwrap_or(low);
                assert!((low - 1e-9..=high + 1e-9).contains(&value), "{}: {name} {value}", situation.name);
            };
            within("fork.height", 0.0, 0.010);
            within("fork.compression", 0.0, 22.0);
            within("fork.rebound", 0.0, 24.0);
            within("shock.low_compression", 0.0, 20.0);
            within("shock.rebound", 0.0, 24.0);
            within("shock.preload", 0.003, 0.015);
            within("chamber.main", 0.0, 195.0 * 6_894.757_293_168);
            within("chamber.counter", 0.0, 195.0 * 6_894.757_293_168);
            within("steering.torque", 5.0, 9.0);
            within("bars.cut_per_side", 0.0, 0.025);
        }
    }
}

#[test]
fn advice_is_the_same_whoever_asks_twice() {
    for situation in situations().iter().take(6) {
        let json = |next: &Next| serde_json::to_string(next).unwrap();
        assert_eq!(json(&asked(situation).0), json(&asked(situation).0), "{}", situation.name);
    }
}

#[test]
fn what_was_rebuilt_later_is_not_known_on_the_day_before() {
    let situations = situations();
    let rebuilt =
        situations.iter().find(|it| it.name == "clicks before a rebuilt damper are not compared").unwrap();
    let Compiled { book, season, advice, .. } = told(rebuilt);
    let tried = |day: usize| {
        let next = advice::next(&book, &season, Asking::at_end_of(day), &advice).unwrap();
        next.tried.iter().map(|tried| tried.is_void.clone()).collect::<Vec<_>>()
    };
    assert!(tried(0).contains(&None), "{:?}", tried(0));
    assert!(tried(1).contains(&Some("the shock was rebuilt since".to_owned())), "{:?}", tried(1));
}

#[test]
fn what_another_rider_did_later_is_not_known_yet() {
    let mut situations = situations();
    let known = |situation: &Situation, day: usize| {
        let (book, season, advice) = {
            let it = told(situation);
            (it.book, it.season, it.advice)
        };
        let next = advice::next(&book, &season, Asking::at_end_of(day), &advice).unwrap();
        let Answer::Change(change) = next.answer else { panic!("{}", kind(&next.answer)) };
        change.worth.unwrap().taken
    };
    let found = situations.iter_mut().find(|it| it.name == "another rider's word on the same machine counts");
    let situation = found.unwrap();
    assert_eq!(known(situation, 1), 1);
    situation.days[0].0 = "2026-05-09".to_owned();
    assert_eq!(known(situation, 0), 0);
}

#[test]
fn the_command_asks_the_last_day_and_its_json_is_stable() {
    let book = temp_dir::TempDir::new().unwrap();
    let write = |path: &str, text: String| {
        let path = book.path().join(path);
        std::fs::create_dir_all(path.parent().unwrap()).unwrap();
        std::fs::write(path, text).unwrap();
    };
    let head = |date: &str| {
        format!(
            "+++\nkind = \"day\"\ndate = {date}\nmachine = \"air\"\nrider = \"rider\"\ntrack = \"track\"\n+++\n"
        )
    };
    write("book.toml", String::new());
    write("air.md", read("machines/air.md"));
    write("rider.md", read("rider.md"));
    write("track.md", "+++\nkind = \"track\"\n+++\n".to_owned());
    write("days/a.md", head("2026-05-01") + &read("measured.md"));
    write("days/b.md", head("2026-05-02") + "```stint\nfeel = \"headshake straight 3\"\n```\n");
    let run = |arguments: &[&str]| {
        let output = program().current_dir(book.path()).args(arguments).output().unwrap();
        (output.status.code(), String::from_utf8(output.stdout).unwrap())
    };
    let (status, text) = run(&["next", "days"]);
    assert_eq!(status, Some(0));
    assert!(text.contains("\ndays/b.md\n"), "{text}");
    assert!(text.contains("fork height 2 mm down: 5 mm → 3 mm"), "{text}");
    assert!(!text.contains("days/a.md\n"), "{text}");
    let (_, json) = run(&["next", "days/b.md", "--format", "json"]);
    let json: serde_json::Value = serde_json::from_str(json.trim()).unwrap();
    assert_eq!(json["schema"], 1);
    assert_eq!(json["notebook"], "days/b.md");
    assert_eq!(json["answer"]["do"], "change");
    assert_eq!(json["answer"]["settings"][0]["name"], "fork.height");
    assert_eq!(json["steps"][0]["standing"]["is"], "skipped");
    assert_eq!(json["steps"][0]["standing"]["why"], "in-band");
    // Asked the next year: the sag is too old to rest a change on.
    let (_, later) = run(&["next", "days/b.md", "--on", "2027-05-02", "--format", "json"]);
    assert!(later.contains("\"do\":\"measure\",\"name\":\"sag.rear.rider\""), "{later}");
    // A book's own file is checked with the others, at its own place.
    write("templates/advice.toml", "[look.spokes]\nsay = \"spokes\"\nhold = \"0 days\"\n".to_owned());
    let (status, findings) = run(&["check", "--format", "json", "--on", "2026-05-02"]);
    assert_eq!(status, Some(1));
    assert!(findings.contains("advice/key") && findings.contains("templates/advice.toml"), "{findings}");
    assert_eq!(run(&["rule", "feel/word"]).0, Some(0));
    // For a machine, its riders' last days are asked about; for a rider, none.
    assert!(run(&["next", "air.md"]).1.contains("\ndays/b.md\n"));
    assert_eq!(run(&["next", "rider.md"]).0, Some(2));
}

#[test]
fn a_rider_who_is_not_cleared_is_offered_nothing_on_any_page() {
    let book = temp_dir::TempDir::new().unwrap();
    let write = |path: &str, text: String| {
        let path = book.path().join(path);
        std::fs::create_dir_all(path.parent().unwrap()).unwrap();
        std::fs::write(path, text).unwrap();
    };
    let head = |date: &str, rider: &str| {
        format!(
            "+++\nkind = \"day\"\ndate = {date}\nmachine = \"air\"\nrider = \"{rider}\"\ntrack = \"track\"\n+++\n"
        )
    };
    let stint = "```stint\nfeel = \"headshake straight 3\"\n```\n";
    write("book.toml", String::new());
    write("machines/air.md", read("machines/air.md"));
    let rider = |mass: &str| {
        format!("+++\nkind = \"rider\"\n+++\n```rider\nmass = \"{mass} kg\"\nlevel = \"novice\"\n```\n")
    };
    write("riders/child.md", rider("41.5"));
    write("riders/other.md", rider("70"));
    write("tracks/track.md", "+++\nkind = \"track\"\n+++\n".to_owned());
    write(
        "days/a.md",
        head("2026-05-01", "child") + "Her fingers were numb after the second moto.\n\n" + stint,
    );
    write("days/b.md", head("2026-06-02", "child") + &read("measured.md") + stint);
    write("days/c.md", head("2026-06-02", "other") + &read("measured.md") + stint);
    let run = |arguments: &[&str]| {
        let output = program().current_dir(book.path()).args(arguments).output().unwrap();
        let text = |bytes: Vec<u8>| String::from_utf8(bytes).unwrap();
        (output.status.code(), text(output.stdout), text(output.stderr))
    };
    let file = |path: &str| std::fs::read_to_string(book.path().join(path));
    let say = "Do not ride. Medical help now.";

    let (_, told, _) = run(&["next", "days/b.md", "--on", "2027-01-01", "--all"]);
    assert!(told.contains(say) && told.contains("days/a.md:") && !told.contains("fork height"), "{told}");

    run(&["sheet", "days/b.md", "--format", "html", "-o", "out"]);
    let sheet = file("out/b.html").unwrap();
    assert!(sheet.contains(say) && !sheet.contains("fork compression"), "{sheet}");

    for format in ["text", "json"] {
        let (_, told, _) = run(&["spring", "days/b.md", "--format", format]);
        assert!(told.contains(say) && !told.contains("N/mm"), "{told}");
    }

    let prepare =
        ["prepare", "--machine", "air", "--rider", "child", "--track", "track", "--date", "2026-07-01"];
    let (status, _, remarks) = run(&prepare);
    assert_eq!(status, Some(2));
    assert!(remarks.contains(say) && file("days/2026-07-01-child.md").is_err(), "{remarks}");

    // Others see the roster: only that it is so, not why, and not the sheet behind it.
    run(&["roster", "--date", "2026-06-02", "--format", "html", "-o", "van"]);
    let roster = file("van/roster-2026-06-02.html").unwrap();
    assert!(roster.contains("not cleared to ride"), "{roster}");
    for private in ["were numb", "fingers", "Medical", "41.5", "2026-05-01", "days/a.md"] {
        assert!(!roster.contains(private), "{private}: {roster}");
    }
    assert!(file("van/2026-06-02-b.html").is_err() && file("van/b.html").is_err());

    // Pages about something else: only that it is so, not why.
    let line = "child: not cleared to ride";
    for ask in [
        &["gearing", "days/b.md"][..],
        &["state", "days/b.md"],
        &["figures", "days/b.md"],
        &["why", "sag.rear.rider", "days/b.md"],
        &["compare", "days/a.md", "days/b.md"],
        &["compare", "--season", "2026", "2026", "--machine", "air"],
        &["due", "--on", "2026-07-01"],
        &["season", "--format", "html", "-o", "-"],
        &["gearing", "days/b.md", "--format", "json"],
        &["figures", "days/b.md", "--format", "json"],
        &["why", "sag.rear.rider", "days/b.md", "--format", "html"],
        &["compare", "days/a.md", "days/b.md", "--format", "json"],
        &["season", "--format", "json", "-o", "-"],
        &["season", "--format", "csv", "-o", "-"],
        &["export", "-o", "tables"],
    ] {
        let (status, told, remarks) = run(ask);
        assert_eq!(status, Some(0), "{ask:?}: {remarks}");
        assert!(told.to_lowercase().contains(line) && !told.contains("were numb"), "{ask:?}: {told}");
        assert!(!run(&["gearing", "days/c.md"]).1.contains("not cleared"));
    }
    let (_, findings, _) = run(&["check", "--brief", "--on", "2026-07-01"]);
    assert_eq!(findings.matches("rider/not-cleared").count(), 1, "{findings}");

    write(
        "days/d.md",
        head("2026-06-03", "child") + "```checked\ncleared = \"her doctor, 3 June\"\n```\n" + stint,
    );
    assert!(!run(&["next", "days/d.md"]).1.contains(say));
    assert!(!run(&["due", "--on", "2026-07-01"]).1.contains("not cleared"));
    assert_eq!(run(&prepare).0, Some(0));
}

/// The lines of a file of `tests/advice/injury`, without its notes.
fn lines(name: &str) -> Vec<String> {
    let text = read(&format!("injury/{name}.txt"));
    text.lines().filter(|line| !line.is_empty() && !line.starts_with('#')).map(str::to_owned).collect()
}

#[test]
fn words_of_injury_are_found_in_every_language_and_misspelt() {
    let advice = Advice::shipped();
    let injury = advice.injury();
    let missed: Vec<String> = lines("signs").into_iter().filter(|line| injury.sign(line).is_none()).collect();
    assert!(missed.is_empty(), "{missed:#?}");
}

#[test]
fn whoever_writes_a_sign_of_injury_is_not_cleared_wherever_it_stands_and_however_it_is_quoted() {
    let signs = lines("signs");
    let mut store = Memory::new()
        .with("book.toml", "")
        .with("machines/m.md", "+++\nkind = \"machine\"\nname = \"M\"\n+++\n");
    for (nth, sign) in signs.iter().enumerate() {
        let plain = sign.replace('\\', "\\\\").replace('"', "\\\"");
        let said = match nth % 4 {
            0 => format!("{sign}\n"),
            1 => format!("```stint\nfeel = \"{plain}\"\n```\n"),
            2 => format!(
                "```stint\nlaps = \"2:04.1\"\nfeel = [\n  \"harsh chatter 2\",\n  \"{plain}\",\n]\n```\n"
            ),
            _ => format!("```change\nfork.rebound = \"1 click in\"\nbecause = \"\"\"\n{plain}\"\"\"\n```\n"),
        };
        store = store.with(format!("riders/r{nth}.md"), format!("+++\nkind = \"rider\"\nname = \"R {nth}\"\n+++\n")).with(
            format!("days/d{nth}.md"),
            format!("+++\nkind = \"day\"\ndate = 2026-05-02\nmachine = \"m\"\nrider = \"r{nth}\"\n+++\n\n{said}"),
        );
    }
    let mut session = Session::over(&store).unwrap();
    let Compiled { book, findings, .. } = session.compile(None);
    let stopped: BTreeSet<&str> = findings
        .iter()
        .filter(|finding| finding.code.name == "rider/not-cleared")
        .map(|finding| book.sources.path(finding.span.file))
        .collect();
    let missed: Vec<&String> = signs
        .iter()
        .enumerate()
        .filter(|(nth, _)| !stopped.contains(&*format!("days/d{nth}.md")))
        .map(|(_, sign)| sign)
        .collect();
    assert!(missed.is_empty(), "{missed:#?}");
}

#[test]
fn what_is_denied_or_of_the_machine_is_no_injury_and_no_crash() {
    let advice = Advice::shipped();
    let injury = advice.injury();
    let found = |line: &String| Some(injury.sign(line).or_else(|| injury.crash(line))?.words);
    let wrong: Vec<(String, String)> =
        lines("no-signs").into_iter().filter_map(|line| Some((line.clone(), found(&line)?))).collect();
    assert!(wrong.is_empty(), "{wrong:#?}");
}

#[test]
fn crashes_are_found_in_every_language() {
    let advice = Advice::shipped();
    let injury = advice.injury();
    let is_wrong = |line: &String| injury.crash(line).is_none() || injury.sign(line).is_some();
    let wrong: Vec<String> = lines("crashes").into_iter().filter(is_wrong).collect();
    assert!(wrong.is_empty(), "{wrong:#?}");
}

/// Exit status, standard output, standard error.
type Run = (Option<i32>, String, String);

/// A book of one day with two stints of laps, and a way to run the program on it.
fn test_book(laps: [&str; 2], more: &str) -> (temp_dir::TempDir, impl Fn(&[&str]) -> Run) {
    let book = temp_dir::TempDir::new().unwrap();
    let write = |path: &str, text: String| {
        let path = book.path().join(path);
        std::fs::create_dir_all(path.parent().unwrap()).unwrap();
        std::fs::write(path, text).unwrap();
    };
    write("book.toml", String::new());
    write("machines/air.md", read("machines/air.md"));
    write("riders/rider.md", read("rider.md") + more);
    write("tracks/track.md", "+++\nkind = \"track\"\n+++\n".to_owned());
    let head = "+++\nkind = \"day\"\ndate = 2026-05-02\nmachine = \"air\"\nrider = \"rider\"\ntrack = \"track\"\n+++\n";
    let stint = |laps: &str, feel: &str| format!("```stint\nlaps = \"{laps}\"\n{feel}```\n");
    let feel = "feel = \"headshake straight 3\"\n";
    write("days/a.md", head.to_owned() + &read("measured.md") + &stint(laps[0], "") + &stint(laps[1], feel));
    let root = book.path().to_owned();
    let run = move |arguments: &[&str]| {
        let output = program().current_dir(&root).args(arguments).output().unwrap();
        let text = |bytes: Vec<u8>| String::from_utf8(bytes).unwrap();
        (output.status.code(), text(output.stdout), text(output.stderr))
    };
    (book, run)
}

const STEADY: [&str; 2] =
    ["2:04.1 2:04.4 2:04.0 2:04.3 2:04.2 2:04.6 2:04.3", "2:03.9 2:04.2 2:04.5 2:04.1 2:04.3 2:04.0 2:04.4"];
const ROUGH: [&str; 2] =
    ["2:04.1 2:07.4 2:01.0 2:05.3 2:03.2 2:09.6 2:02.3", "2:03.9 2:08.2 2:04.5 2:00.1 2:06.3 2:03.0 2:01.4"];

#[test]
fn the_plan_of_a_test_is_a_day_that_checks_clean_and_is_not_ridden_yet() {
    let (book, run) = test_book(STEADY, "");
    let ask = ["next", "days/a.md", "--plan", "--on", "2026-05-09"];
    let (status, told, remarks) = run(&ask);
    assert_eq!(status, Some(0), "{remarks}");
    let path = "days/2026-05-09-rider-test.md";
    assert!(
        told.contains(path) && told.contains("0.50 s a lap") && told.contains("laps each show it"),
        "{told}"
    );
    let text = std::fs::read_to_string(book.path().join(path)).unwrap();
    let order = [
        "## A, as it is",
        "```stint",
        "## B",
        "fork.height = \"2 mm down\"",
        "```stint",
        "## A again",
        "back = true",
        "```stint",
    ];
    let mut rest = text.as_str();
    for part in order {
        rest = &rest[rest.find(part).unwrap_or_else(|| panic!("{part}: {text}")) + part.len()..];
    }
    assert!(text.contains("ride the first laps slowly"), "{text}");
    let (status, findings, _) = run(&["check", path, "--on", "2026-05-09", "--strict"]);
    assert_eq!(status, Some(0), "{findings}");
    // None of it counts as ridden: the complaint on file is still that of the day before.
    assert!(run(&["next", path]).1.contains("fork height 2 mm down: 5 mm → 3 mm"));
    // The file is never overwritten, and what was ridden stays.
    let (status, _, remarks) = run(&ask);
    assert!(status == Some(2) && remarks.contains("2026-05-09-rider-test.md"), "{remarks}");
    assert_eq!(std::fs::read_to_string(book.path().join(path)).unwrap(), text);
}

#[test]
fn a_test_never_asks_for_more_laps_than_the_usual_stint() {
    let plan = |laps: [&str; 2], more: &str| -> serde_json::Value {
        let (_book, run) = test_book(laps, more);
        let ask = ["next", "days/a.md", "--plan", "--on", "2026-05-09", "--format", "json"];
        serde_json::from_str(run(&ask).1.trim()).unwrap()
    };
    let why = |plan: &serde_json::Value| plan["why"].as_str().unwrap().to_owned();
    let steady = plan(STEADY, "");
    assert_eq!(steady["telling"], "enough");
    let laps = steady["laps"].as_u64().unwrap();
    assert!((4..=7).contains(&laps), "{laps}");
    // The same laps, and a rider who wants to notice less: more laps, or too few.
    let finer = plan(STEADY, "\n```rider\nmass = \"85 kg\"\nnoticeable = \"0.1 s\"\n```\n");
    assert!(
        finer["telling"] == "too-few" && why(&finer).contains("0.10 s a lap (the rider's own word)"),
        "{finer}"
    );
    let rough = plan(ROUGH, "");
    assert_eq!((&rough["telling"], &rough["laps"]), (&"too-few".into(), &7.into()), "{rough}");
    assert!(
        why(&rough).contains("too short to show it: go by feel") && why(&rough).contains("would show"),
        "{rough}"
    );
    assert!(rough["notebook"].as_str().unwrap().contains("too short to show it: go by feel"), "{rough}");
}

#[test]
fn what_is_put_right_or_measured_first_is_no_test() {
    let (book, run) = test_book(STEADY, "");
    let path = book.path().join("days/a.md");
    let day = std::fs::read_to_string(&path).unwrap();
    let ask = ["next", "days/a.md", "--plan", "--on", "2026-05-09"];
    let refused = |text: String, says: &str| {
        std::fs::write(&path, text).unwrap();
        let (status, _, remarks) = run(&ask);
        assert!(status == Some(2) && remarks.contains(says), "{says}: {remarks}");
        assert!(!book.path().join("days/2026-05-09-rider-test.md").exists());
    };
    refused(day.replace("drop = \"stays\"", "drop = \"falls\""), "put right, and not tried");
    refused(day.replace("headshake straight 3", "headshake straight 3 - fingers numb"), "Do not ride");
    refused(day.replace("```steering\ndrop = \"stays\"\n```\n", ""), "drop test");
}
