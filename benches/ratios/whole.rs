//! The program as it is run by hand.

use std::path::Path;
use std::process::{Command, Stdio};
use std::time::Duration;

use super::{least, milliseconds, tell};

const RUNS: usize = 15;
const HELLO: &str = "fn main() { println!(\"hello\"); }\n";

fn demo() -> std::path::PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("notebooks")
}

fn run(program: &Path, arguments: &[&str]) -> Duration {
    least(RUNS, || {
        let mut command = Command::new(program);
        command.current_dir(demo()).args(arguments).stdout(Stdio::null()).stderr(Stdio::null());
        // A check of the demonstration book has findings, and says so.
        command.status().unwrap();
    })
}

/// One sheet more, beside the cost of printing one.
pub fn sheet() {
    let folder = temp_dir::TempDir::new().unwrap();
    let to = |name: &str| folder.path().join(name).to_str().unwrap().to_owned();
    let loambook = Path::new(env!("CARGO_BIN_EXE_loambook"));
    let days = std::fs::read_dir(demo().join("days")).unwrap();
    let mut days: Vec<String> =
        days.map(|day| format!("days/{}", day.unwrap().file_name().to_str().unwrap())).collect();
    days.sort();
    let print = |days: &[String], name: &str| {
        let out = to(name);
        let mut arguments = vec!["sheet"];
        arguments.extend(days.iter().map(String::as_str));
        arguments.extend(["-o", &out]);
        run(loambook, &arguments)
    };
    let (one, all) = (print(&days[..1], "one"), print(&days, "all"));
    // A run that refuses is not a fast one.
    assert_eq!(std::fs::read_dir(folder.path().join("all")).unwrap().count(), days.len());
    let more = milliseconds(all.saturating_sub(one)) / (days.len() - 1) as f64;
    println!("{} sheets take {:.1} ms, one {:.1} ms", days.len(), milliseconds(all), milliseconds(one));
    tell("a sheet", more, "ms", 4.0);
}

/// Starting up, as a multiple of a program that prints hello.
pub fn start() {
    let folder = temp_dir::TempDir::new().unwrap();
    let (source, hello) = (folder.path().join("hello.rs"), folder.path().join("hello"));
    std::fs::write(&source, HELLO).unwrap();
    let compiled = Command::new("rustc").arg("-O").arg(&source).arg("-o").arg(&hello).status();
    if !compiled.is_ok_and(|status| status.success()) {
        println!("there is no compiler to make a program that says hello");
        return;
    }
    let loambook = Path::new(env!("CARGO_BIN_EXE_loambook"));
    let hello = run(&hello, &[]);
    let over = |arguments: &[&str]| milliseconds(run(loambook, arguments).saturating_sub(hello));
    println!("a program that says hello takes {:.2} ms", milliseconds(hello));
    tell("`--version` beside it", over(&["--version"]), "ms", 0.5);
    tell(
        "a check of one file in a book of 16 days beside it",
        over(&["check", "days/2026-04-25-senior.md"]),
        "ms",
        3.0,
    );
}
