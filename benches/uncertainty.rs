//! What uncertainty costs: `check` of the demo book with it and without.
//!
//! Both sides read, replay and check the whole book, over numbers that remember their error sources and over plain
//! ones. The runs alternate, so that a busy machine slows both alike, and the fastest of each side count.
//! Ends with a failure where the checks slow by a third or more.

#![allow(clippy::disallowed_methods, reason = "measures the program from outside")]

use std::path::Path;
use std::process::ExitCode;
use std::time::{Duration, Instant};

use loambook::book::Book;
use loambook::checks::check_recording;
use loambook::figures::tape::Tape;
use loambook::figures::{Plain, Recording};
use loambook::season::Season;
use loambook::session::{Compiled, Session};
use loambook::source::{Disk, ReadError};

/// Pairs of runs; each side counts its fastest quarter.
const PAIRS: usize = 60;
/// The most that the checks may take, as a multiple of what they take without uncertainty.
const MOST: f64 = 4.0 / 3.0;

/// Time and findings of one run over the whole book.
fn run<M: Recording>(store: &Disk) -> Result<(Duration, usize), ReadError> {
    let start = Instant::now();
    let read = Session::over(store)?.replay();
    let found = check_recording::<M>(&read.book, &read.season, None);
    Ok((start.elapsed(), read.findings.len() + found.len()))
}

/// The same without reading the book: the ratio for the rules alone.
fn rules<M: Recording>(book: &Book, season: &Season) -> Duration {
    let start = Instant::now();
    std::hint::black_box(check_recording::<M>(book, season, None));
    start.elapsed()
}

/// Mean of the fastest quarter, in ms.
fn fastest(mut times: Vec<Duration>) -> f64 {
    times.sort_unstable();
    times.truncate((times.len() / 4).max(1));
    let sum: Duration = times.iter().sum();
    sum.as_secs_f64() * 1000.0 / times.len() as f64
}

/// Runs both sides in turn and prints their times; the ratio of the first to the second.
fn compare(
    name: &str,
    mut with: impl FnMut() -> Result<Duration, ReadError>,
    mut without: impl FnMut() -> Result<Duration, ReadError>,
) -> Result<f64, ReadError> {
    let mut times = (Vec::new(), Vec::new());
    for pair in 0..PAIRS {
        // Whoever goes second finds the caches warm: take turns.
        if pair % 2 == 0 {
            times.0.push(with()?);
            times.1.push(without()?);
        } else {
            times.1.push(without()?);
            times.0.push(with()?);
        }
    }
    let (with, without) = (fastest(times.0), fastest(times.1));
    let ratio = with / without;
    println!("{name}: with uncertainty {with:.2} ms, without {without:.2} ms, ratio {ratio:.3}");
    Ok(ratio)
}

fn main() -> Result<ExitCode, ReadError> {
    let store = Disk::new(Path::new(env!("CARGO_MANIFEST_DIR")).join("notebooks"));
    let (_, findings) = run::<Tape>(&store)?;
    println!("{findings} findings in the demo book");
    let time = |run: Result<(Duration, usize), ReadError>| run.map(|(time, _)| time);
    let whole = compare("check", || time(run::<Tape>(&store)), || time(run::<Plain>(&store)))?;
    let Compiled { book, season, .. } = Session::over(&store)?.replay();
    compare("rules alone", || Ok(rules::<Tape>(&book, &season)), || Ok(rules::<Plain>(&book, &season)))?;
    if findings > 0 && whole < MOST {
        return Ok(ExitCode::SUCCESS);
    }
    println!("check slows by a third or more, or there was nothing to check");
    Ok(ExitCode::FAILURE)
}
