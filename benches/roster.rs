//! How long a team's morning takes to print: one PDF with the page for the van and every rider's sheet behind it.
//!
//! `cargo bench --bench roster`. Two sizes of team, each rider with two full days on file, through the program as a
//! whole. Ten times the riders should take ten times as long; the last line says how many times it was.

#![allow(clippy::disallowed_methods, reason = "measures the program from outside")]
#![allow(clippy::unwrap_used, clippy::indexing_slicing)]

use std::fs;
use std::path::Path;
use std::process::{Command, ExitCode, Stdio};
use std::time::{Duration, Instant};

const TEAMS: [usize; 2] = [20, 200];
/// The fastest of this many runs is printed: the others were held up by something else.
const RUNS: usize = 3;
/// What the larger team may take, in a release build on a machine that does nothing else.
const LIMIT: Duration = Duration::from_secs(10);
/// The demonstration book's rider, whose days every rider of the team gets.
const RIDER: &str = "senior";
const DAYS: [&str; 2] = ["2026-04-25", "2026-05-09"];

fn main() -> ExitCode {
    let demo = Path::new(env!("CARGO_MANIFEST_DIR")).join("notebooks");
    let mut took = Vec::new();
    for riders in TEAMS {
        let book = temp_dir::TempDir::new().unwrap();
        write_team(&demo, book.path(), riders);
        let least = (0..RUNS).map(|_| print_roster(book.path())).min().unwrap();
        println!(
            "{riders:>4} riders  {:>7.2} s  {:>6.1} ms a rider",
            least.as_secs_f64(),
            per_rider(least, riders)
        );
        took.push(least);
    }
    let (small, large) = (took[0], took[1]);
    println!(
        "{} times the riders take {:.1} times as long",
        TEAMS[1] / TEAMS[0],
        large.as_secs_f64() / small.as_secs_f64()
    );
    if large > LIMIT {
        println!("more than the {} s that it may take", LIMIT.as_secs());
        return ExitCode::FAILURE;
    }
    ExitCode::SUCCESS
}

fn per_rider(took: Duration, riders: usize) -> f64 {
    1e3 * took.as_secs_f64() / riders as f64
}

/// The demonstration book with its one rider and two of its days as many times over.
fn write_team(demo: &Path, book: &Path, riders: usize) {
    copy(&demo.join("book.toml"), &book.join("book.toml"));
    for folder in ["machines", "tracks", "photos", "laps"] {
        for entry in fs::read_dir(demo.join(folder)).unwrap() {
            let from = entry.unwrap().path();
            copy(&from, &book.join(folder).join(from.file_name().unwrap()));
        }
    }
    let rider = fs::read_to_string(demo.join(format!("riders/{RIDER}.md"))).unwrap();
    for number in 0..riders {
        let name = format!("rider-{number}");
        write(&book.join(format!("riders/{name}.md")), &rider);
        for date in DAYS {
            let day = fs::read_to_string(demo.join(format!("days/{date}-{RIDER}.md"))).unwrap();
            let day = day.replace(&format!("\"{RIDER}\""), &format!("\"{name}\""));
            write(&book.join(format!("days/{date}-{name}.md")), &day);
        }
    }
}

fn copy(from: &Path, to: &Path) {
    fs::create_dir_all(to.parent().unwrap()).unwrap();
    fs::copy(from, to).unwrap();
}

fn write(path: &Path, text: &str) {
    fs::create_dir_all(path.parent().unwrap()).unwrap();
    fs::write(path, text).unwrap();
}

fn print_roster(book: &Path) -> Duration {
    let start = Instant::now();
    let status = Command::new(env!("CARGO_BIN_EXE_loambook"))
        .current_dir(book)
        .args(["roster", "--date", DAYS[1], "-o", "van"])
        .stdout(Stdio::null())
        .status();
    assert!(status.unwrap().success());
    start.elapsed()
}
