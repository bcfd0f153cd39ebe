//! What the program costs, as ratios that mean the same on any machine: `cargo bench --bench ratios`. Name the parts
//! you want behind `--` (`check`, `memory`, `edits`, `sheet`, `start`); all run where none is named.
//!
//! A part that meets its goal says so. The fastest of several runs counts: the others were held up by something else.

#![allow(clippy::disallowed_methods, reason = "measures the program from outside")]
#![allow(clippy::unwrap_used, clippy::indexing_slicing, clippy::panic)]

mod edits;
#[path = "../grown/mod.rs"]
mod grown;
mod whole;

use std::hint::black_box;
use std::process::Command;
use std::time::{Duration, Instant};

use loambook::session::Session;
use loambook::source::Memory;
use pulldown_cmark::{Event, Options, Parser};

const PARTS: [&str; 5] = ["check", "memory", "edits", "sheet", "start"];
/// How often the demonstration book stands in the one that is checked.
const COPIES: usize = 40;
/// Days of the made-up diary that is checked, and of the one whose memory is measured: nearly as many as a book may have.
const CHECKED: usize = 1_000;
const KEPT: usize = 4_900;
const RUNS: usize = 5;
/// The argument that starts a process which measures its own memory.
const MEASURE: &str = "measure-memory";

fn main() {
    // Cargo adds arguments of its own.
    let words: Vec<String> = std::env::args().skip(1).filter(|word| !word.starts_with("--")).collect();
    if words.first().is_some_and(|word| word == MEASURE) {
        return kept_by(words[1].parse().unwrap());
    }
    let is_wanted = |part: &str| words.is_empty() || words.iter().any(|word| word == part);
    for part in PARTS.into_iter().filter(|part| is_wanted(part)) {
        match part {
            "check" => check(),
            "memory" => memory(),
            "edits" => edits::tell_all(CHECKED),
            "sheet" => whole::sheet(),
            _ => whole::start(),
        }
    }
}

/// The least time of several runs. What a run makes is taken apart after its time: a command leaves that to the end of
/// its process.
pub fn least<T>(runs: usize, mut work: impl FnMut() -> T) -> Duration {
    let once = |_| {
        let start = Instant::now();
        let made = black_box(work());
        let took = start.elapsed();
        drop(made);
        took
    };
    (0..runs).map(once).min().unwrap()
}

pub fn milliseconds(time: Duration) -> f64 {
    time.as_secs_f64() * 1e3
}

/// A value beside its goal.
pub fn tell(what: &str, value: f64, unit: &str, goal: f64) {
    let held = if value <= goal { "holds" } else { "misses" };
    println!("{what:<58} {value:>9.2} {unit:<6} {held} its goal of {goal}");
}

/// Reading, replaying and checking a book with uncertainty on one thread, as a multiple of a bare CommonMark parse of
/// the same bytes.
fn check() {
    // A pool of one thread: the other parts use all of them.
    let alone = rayon::ThreadPoolBuilder::new().num_threads(1).build().unwrap();
    alone.install(|| {
        println!("the demonstration book, {COPIES} times over:");
        checked_alone(grown::demonstration(COPIES));
        println!("a made-up diary, nearly without prose:");
        checked_alone(grown::diary(CHECKED));
    });
}

fn checked_alone((store, texts): (Memory<'static>, Vec<(String, String)>)) {
    let days = texts.iter().filter(|(path, _)| path.starts_with("days/")).count();
    let bare = least(RUNS, || {
        for (_, text) in &texts {
            let events = Parser::new_ext(text, Options::ENABLE_TABLES);
            black_box(events.filter(|event| matches!(event, Event::Start(_))).count());
        }
    });
    let session = || Session::over(&store).unwrap();
    let read = least(RUNS, || {
        let mut session = session();
        (session.read(), session)
    });
    let replayed = least(RUNS, || {
        let mut session = session();
        (session.replay(), session)
    });
    let checked = least(RUNS, || {
        let mut session = session();
        (session.compile(None), session)
    });
    for (stage, took) in
        [("bare parse", bare), ("read", read), ("read and replayed", replayed), ("checked", checked)]
    {
        let a_day = milliseconds(took) / days as f64;
        let ratio = took.as_secs_f64() / bare.as_secs_f64();
        println!("{stage:<20} {a_day:>8.4} ms a day {ratio:>8.1} bare parses");
    }
    tell("a check on one thread", checked.as_secs_f64() / bare.as_secs_f64(), "parses", 15.0);
}

/// The memory that a book of many days takes, in a process of its own.
fn memory() {
    let of = |days: usize| {
        let own = std::env::current_exe().unwrap();
        let output = Command::new(own).args([MEASURE, &days.to_string()]).output().unwrap();
        let text = String::from_utf8(output.stdout).unwrap();
        text.split_whitespace().map(|number| number.parse().unwrap()).collect::<Vec<f64>>()
    };
    let all = of(KEPT);
    if all.is_empty() {
        println!("how much memory a process has is not told on this system");
        return;
    }
    let [texts, read, replayed, checked] = all[..] else { panic!("{all:?}") };
    for (stage, kilobytes) in [("texts", texts), ("read", read), ("replayed", replayed), ("checked", checked)]
    {
        println!("{stage:<20} {:>8.2} kB a day", kilobytes / KEPT as f64);
    }
    tell("memory beside the texts, checked", (checked - texts) / KEPT as f64, "kB/day", 20.0);
}

/// Prints what a book keeps in memory with its texts alone, read, replayed and checked, in kB.
fn kept_by(days: usize) {
    let Some(before) = resident() else { return };
    let (store, texts) = grown::diary(days);
    drop(texts);
    let texts = resident().unwrap() - before;
    let mut session = Session::over(&store).unwrap();
    let book = session.read();
    assert_eq!(book.days.len(), days, "a book has limits, and this one is not read whole");
    let read = resident().unwrap() - before;
    let replay = session.replay();
    let replayed = resident().unwrap() - before;
    let compiled = session.compile(None);
    let checked = resident().unwrap() - before;
    black_box((book, replay, compiled));
    println!("{texts} {read} {replayed} {checked}");
}

/// What the process has in memory, in kB.
pub fn resident() -> Option<f64> {
    let status = std::fs::read_to_string("/proc/self/status").ok()?;
    let line = status.lines().find_map(|line| line.strip_prefix("VmRSS:"))?;
    line.split_whitespace().next()?.parse().ok()
}
