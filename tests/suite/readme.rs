//! What the README shows of the program is what the program prints.
//!
//! The README's day is put into the demo book as its only one, and each line behind a `$` in its session is run there.
//! `LOAMBOOK_README=write cargo test readme` puts the present output into the README.

use std::fs;
use std::path::{Path, PathBuf};
use std::process::Command;

use temp_dir::TempDir;

use crate::desk::{PROGRAM, copy, program};

/// The prompt before a line that is typed.
const PROMPT: &str = "$ ";
const DAY: &str = "days/2026-04-11.md";

fn root() -> &'static Path {
    Path::new(env!("CARGO_MANIFEST_DIR"))
}

/// The inside of a fence that begins with a line: its place in a text.
fn inside(text: &str, fence: &str) -> std::ops::Range<usize> {
    let start = text.find(fence).unwrap_or_else(|| panic!("no {fence} in the README")) + fence.len();
    let mark = fence.trim_end().trim_end_matches(char::is_alphabetic);
    let end = text[start..].find(&format!("\n{mark}\n")).unwrap() + 1;
    start..start + end
}

/// The demo book with the README's day in it.
fn book(readme: &str) -> TempDir {
    let folder = temp_dir::TempDir::new().unwrap();
    for part in ["machines", "riders", "tracks", "photos"] {
        copy(&root().join("notebooks").join(part), &folder.path().join(part));
    }
    fs::copy(root().join("notebooks/book.toml"), folder.path().join("book.toml")).unwrap();
    fs::create_dir(folder.path().join("days")).unwrap();
    fs::write(folder.path().join(DAY), &readme[inside(readme, "````markdown\n")]).unwrap();
    folder
}

/// What a line prints in a shell, on both streams.
fn said(line: &str, folder: &Path) -> String {
    let programs: PathBuf = Path::new(PROGRAM).parent().unwrap().to_owned();
    let path = format!("{}:{}", programs.display(), std::env::var("PATH").unwrap());
    let run = Command::new("sh")
        .args(["-c", &format!("{{ {line}; }} 2>&1")])
        .current_dir(folder)
        .env("PATH", path)
        .output()
        .unwrap();
    String::from_utf8(run.stdout).unwrap()
}

/// A session with the present output of its lines.
fn played(session: &str, folder: &Path) -> String {
    let lines = session.lines().filter_map(|line| line.strip_prefix(PROMPT));
    let typed: Vec<&str> = lines.collect();
    let last = typed.len().saturating_sub(1);
    let played = typed.iter().enumerate().map(|(at, line)| {
        let said = said(line, folder);
        let gap = if at < last && !said.is_empty() { "\n" } else { "" };
        format!("{PROMPT}{line}\n{said}{gap}")
    });
    played.collect()
}

#[test]
fn the_session_is_what_the_program_says() {
    let file = root().join("README.md");
    let readme = fs::read_to_string(&file).unwrap();
    let shown = inside(&readme, "```text\n");
    let now = played(&readme[shown.clone()], book(&readme).path());
    assert!(now.contains("sag/reading-order") && now.contains("sag.rear.rider"), "{now}");
    if std::env::var_os("LOAMBOOK_README").is_some_and(|value| value == "write") {
        let mut readme = readme;
        readme.replace_range(shown, &now);
        fs::write(file, readme).unwrap();
    } else {
        assert_eq!(&readme[shown], now, "`LOAMBOOK_README=write cargo test readme` brings it up to date");
    }
}

#[test]
fn the_commands_that_it_lists_are_there() {
    let readme = fs::read_to_string(root().join("README.md")).unwrap();
    let lines = readme.lines().filter_map(|line| line.strip_prefix("    loambook "));
    let mut commands: Vec<&str> = lines.filter_map(|line| line.split_whitespace().next()).collect();
    commands.sort_unstable();
    commands.dedup();
    assert!(commands.len() > 20, "{commands:?}");
    for command in commands {
        let run = program().args([command, "--help"]).output().unwrap();
        assert!(run.status.success(), "{command}");
    }
}
