//! Broken books by the thousand: none may crash the program, hang it, or give two answers for one book.
//!
//! A case comes from a seed and a number alone: one of the books kept here, damaged in a few ways that people,
//! editors, disks and merges do, and some that nobody does. Then all that the commands do with a book is done in this
//! process. A case that fails is reduced as long as it fails the same way, and written down.
//!
//! `cargo run --release --example fuzz -- --seconds 3600 --seed 7 --save FOLDER`

// A test in all but name.
#![allow(clippy::disallowed_methods, reason = "it watches the program from outside")]
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, clippy::indexing_slicing)]

mod books;
mod chance;
mod edited;
mod harm;
mod reduce;
mod trial;

use std::collections::BTreeSet;
use std::fs;
use std::path::{Path, PathBuf};
use std::process::ExitCode;
use std::sync::{Arc, Mutex};
use std::thread;
use std::time::{Duration, Instant};

use clap::Parser;

use books::Files;
use chance::Chance;
use trial::Fall;

/// What counts as a hang: a book of this size takes less than a hundredth of it.
const HANG: Duration = Duration::from_secs(120);

#[derive(Debug, Parser)]
struct Fuzz {
    /// How long cases are tried.
    #[arg(long, default_value_t = 30)]
    seconds: u64,

    /// What the cases are drawn from; the same seed gives the same cases.
    #[arg(long, default_value_t = 1)]
    seed: u64,

    /// The number of the first case.
    #[arg(long, default_value_t = 0)]
    from: u64,

    /// Stops after so many cases, however much time is left.
    #[arg(long)]
    cases: Option<u64>,

    /// A folder for the books that failed, each in a folder of its own.
    #[arg(long, value_name = "FOLDER")]
    save: Option<PathBuf>,
}

/// The case that is being tried, for whoever watches the clock.
type Running = Arc<Mutex<Option<(u64, Instant, Files)>>>;

fn main() -> ExitCode {
    let fuzz = Fuzz::parse();
    trial::keep_panics_quiet();
    let books = books::all(Path::new(env!("CARGO_MANIFEST_DIR")));
    let running = Running::default();
    watch(Arc::clone(&running), fuzz.save.clone());

    let (start, mut slowest, mut seen) = (Instant::now(), (Duration::ZERO, 0), BTreeSet::new());
    let mut number = fuzz.from;
    let is_over = |number| fuzz.cases.is_some_and(|cases| number >= fuzz.from + cases);
    while start.elapsed() < Duration::from_secs(fuzz.seconds) && !is_over(number) {
        let (files, effort) = case(&books, fuzz.seed, number);
        let begun = Instant::now();
        let before = trial::computed(begun);
        *running.lock().unwrap() = Some((number, begun, files.clone()));
        let fall = trial::fall(&files, effort);
        *running.lock().unwrap() = None;
        slowest = slowest.max((trial::computed(begun).saturating_sub(before), number));
        if let Some(fall) = fall {
            // The same fault again says nothing new.
            if seen.insert(fall.kind()) {
                told(&fuzz, number, &fall, &reduce::reduced(files, effort, &fall));
            }
        }
        number += 1;
    }
    println!(
        "{} cases of seed {} from {} books in {} s: {} faults; the slowest, {}, took {:.1} s",
        number - fuzz.from,
        fuzz.seed,
        books.len(),
        start.elapsed().as_secs(),
        seen.len(),
        slowest.1,
        slowest.0.as_secs_f64(),
    );
    if seen.is_empty() { ExitCode::SUCCESS } else { ExitCode::FAILURE }
}

/// The case of a number: a damaged book, and what is done with it.
fn case(books: &[Files], seed: u64, number: u64) -> (Files, trial::Effort) {
    let mut chance = Chance::new(seed, number);
    let mut files = chance.pick(books).clone();
    for _ in 0..chance.between(1, 6) {
        harm::harm(&mut files, books, &mut chance);
    }
    let effort = trial::Effort {
        is_printed: chance.one_in(8),
        is_told_twice: chance.one_in(10),
        salt: chance.number(),
    };
    (files, effort)
}

fn told(fuzz: &Fuzz, number: u64, fall: &Fall, files: &Files) {
    println!("case {number} of seed {}: {fall}", fuzz.seed);
    match &fuzz.save {
        Some(folder) => {
            let folder = folder.join(format!("{}-{number}", fuzz.seed));
            save(&folder, files);
            fs::write(folder.join("fall.txt"), format!("{fall}\n")).unwrap();
            println!("  {}", folder.display());
        }
        None => {
            println!("  run it again with `--seed {} --from {number} --cases 1 --save FOLDER`", fuzz.seed)
        }
    }
}

fn save(folder: &Path, files: &Files) {
    for (path, bytes) in files {
        let path = folder.join("book").join(path);
        fs::create_dir_all(path.parent().unwrap()).unwrap();
        fs::write(path, bytes).unwrap();
    }
}

/// Ends the whole run where a case does not end.
fn watch(running: Running, folder: Option<PathBuf>) {
    thread::spawn(move || {
        loop {
            thread::sleep(Duration::from_secs(1));
            let stuck = running.lock().unwrap().clone().filter(|(_, begun, _)| begun.elapsed() > HANG);
            if let Some((number, _, files)) = stuck {
                println!("case {number} does not end");
                if let Some(folder) = &folder {
                    save(&folder.join(format!("hang-{number}")), &files);
                }
                std::process::exit(3);
            }
        }
    });
}
