//! How long a comparison of two days takes, the program as a whole and its stages, and how many bare CommonMark
//! parses of the same bytes would have fitted into it.
//!
//! `cargo bench --bench compare`. The fastest run is the one that is judged: the others were held up by something
//! else.

#![allow(clippy::disallowed_methods, reason = "measures the program from outside")]
#![allow(clippy::unwrap_used, clippy::indexing_slicing)]

use std::hint::black_box;
use std::path::Path;
use std::process::{Command, ExitCode, Stdio};
use std::time::{Duration, Instant};

use loambook::pages::compare::{Side, Subject, compare};
use loambook::session::{Compiled, Session};
use loambook::source::{BookFiles, Disk, Store, read_book};
use pulldown_cmark::{Event, Options, Parser};

/// What the whole command may take.
const LIMIT: Duration = Duration::from_millis(30);
const RUNS: usize = 60;
const DAYS: [&str; 2] = ["days/2026-04-25-senior.md", "days/2026-05-09-senior.md"];

/// The least time and the middle one.
struct Times {
    least: Duration,
    median: Duration,
}

fn times(mut work: impl FnMut()) -> Times {
    let mut all: Vec<Duration> = (0..RUNS)
        .map(|_| {
            let start = Instant::now();
            work();
            start.elapsed()
        })
        .collect();
    all.sort_unstable();
    Times { least: all[0], median: all[RUNS / 2] }
}

fn main() -> ExitCode {
    let demo = Path::new(env!("CARGO_MANIFEST_DIR")).join("notebooks");
    let disk = Disk::new(&demo);
    let files = read_book(&disk.list().unwrap(), &disk);
    let bytes: usize = files.notebooks.iter().map(|file| files.sources.whole(*file).len()).sum();
    println!("{} notebooks, {bytes} bytes; least and median of {RUNS} runs", files.notebooks.len());

    let bare = times(|| parse(&files));
    let session = || Session::over(&disk).unwrap();
    let load = times(|| drop(black_box(session().read())));
    let replay = times(|| drop(black_box(session().replay())));
    let Compiled { book, season: replayed, .. } = session().replay();
    let [first, second] = DAYS.map(|day| {
        Side::new(&book, &replayed, day, Subject::Notebook(book.sources.find(day).unwrap())).unwrap()
    });
    let compared = times(|| drop(black_box(compare(&first, &second, false))));
    let whole = times(|| command(&demo));

    for (stage, times) in [
        ("bare CommonMark parse", &bare),
        ("reading, typing and linking the book", &load),
        ("the same and replaying it", &replay),
        ("comparison", &compared),
        ("the whole command", &whole),
    ] {
        let ratio = times.least.as_secs_f64() / bare.least.as_secs_f64();
        let [least, median] = [times.least, times.median].map(|time| time.as_secs_f64() * 1000.0);
        println!("{stage:<38} {least:>8.3} ms {median:>8.3} ms {ratio:>8.1} parses");
    }
    if whole.least > LIMIT {
        println!("the whole command takes longer than {} ms", LIMIT.as_millis());
        return ExitCode::FAILURE;
    }
    ExitCode::SUCCESS
}

/// Every notebook's text through the parser, with nothing made of it.
fn parse(files: &BookFiles) {
    for file in &files.notebooks {
        let events = Parser::new_ext(files.sources.whole(*file), Options::ENABLE_TABLES);
        black_box(events.filter(|event| matches!(event, Event::Start(_))).count());
    }
}

/// The program as it is run by hand, its output thrown away.
fn command(book: &Path) {
    let status = Command::new(env!("CARGO_BIN_EXE_loambook"))
        .current_dir(book)
        .arg("compare")
        .args(DAYS)
        .stdout(Stdio::null())
        .status();
    assert!(status.unwrap().success());
}
