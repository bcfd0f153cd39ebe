//! The differences between two places of a diary, compared with hand-made ones and with real repositories.

mod difftool;
mod driver;
mod in_git;
mod on_purpose;
mod pages;
mod properties;
mod riders;
mod seasons;
mod since;
mod themselves;

use std::fs;
use std::path::{Path, PathBuf};
use std::process::{Command, Output};
use std::sync::Arc;

use loambook::book::Book;
use loambook::pages::compare::{Comparison, Side, Subject, Verdict, compare, compare_seasons};
use loambook::season::Season;
use loambook::session::Compiled;
use loambook::source::{Disk, Memory, Store};
use loambook::vocabulary::{End, FigureName, Setting};
use serde_json::Value;

use crate::books::replayed;
use crate::desk::{PROGRAM, copy, err, program};

const DAY: &str = "days/2026-05-09-senior.md";
/// The last day of the book, and one more.
const LAST: &str = "days/2026-10-17-senior.md";
const NEXT: &str = "days/2026-11-07-senior.md";
const EARLIER: &str = "days/2026-04-25-senior.md";

fn demo() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("notebooks")
}

fn read(store: &dyn Store) -> (Arc<Book>, Arc<Season>) {
    let Compiled { book, season, .. } = replayed(store);
    (book, season)
}

/// The demo book, with one day written otherwise.
fn demo_with(path: &str, edit: impl Fn(String) -> String) -> (Arc<Book>, Arc<Season>) {
    let disk = Disk::new(demo());
    let text = String::from_utf8(disk.read(path, 1 << 20).unwrap()).unwrap();
    let edited = edit(text.clone());
    assert_ne!(text, edited, "the edit finds nothing to edit");
    read(&Memory::over(&disk).with(path, edited))
}

fn side<'a>(of: &'a (Arc<Book>, Arc<Season>), path: &str) -> Side<'a> {
    let file = of.0.sources.find(path).unwrap();
    Side::new(&of.0, &of.1, path, Subject::Notebook(file)).unwrap()
}

fn ids<'a>(lines: impl Iterator<Item = &'a loambook::pages::compare::FigureChange>) -> Vec<&'a str> {
    lines.map(|line| line.id.as_str()).collect()
}

/// Expanded uncertainty of the difference of two readings of the tape, each of three repeats, in m. The hanging
/// reading and the tape's bias are on both sides and cancel; what is left is the reading with the rider, twice:
/// 1 mm of repeatability over three repeats, and half a division of 1 mm, rectangular. JCGM 100:2008, 4.2.3, 4.3.7,
/// 5.1.2, with k = 2.
fn two_readings() -> f64 {
    let variance: f64 = 1e-3 * 1e-3 / 3.0 + 0.5e-3 * 0.5e-3 / 3.0;
    2.0 * (2.0 * variance).sqrt()
}

/// A change of the day, and the same one undone.
const BEFORE: &str = "fork.height = \"2 mm up\"";
const AFTER: &str = "fork.height = \"0 mm up\"";

/// The demo book in a repository of its own, and the real program in it.
struct Desk {
    folder: temp_dir::TempDir,
}

impl Desk {
    /// Committed once, under a folder of the repository.
    fn new() -> Self {
        let desk = Self { folder: temp_dir::TempDir::new().unwrap() };
        copy(&demo(), &desk.book());
        desk.git(&["init", "-q", "-b", "main"]);
        desk.commit("first");
        desk
    }

    fn top(&self) -> &Path {
        self.folder.path()
    }

    fn book(&self) -> PathBuf {
        self.top().join("book")
    }

    fn edit(&self, path: &str, from: &str, to: &str) {
        let path = self.book().join(path);
        let text = fs::read_to_string(&path).unwrap();
        assert!(text.contains(from), "{} has no {from}", path.display());
        fs::write(path, text.replace(from, to)).unwrap();
    }

    fn git(&self, arguments: &[&str]) -> String {
        git(self.top(), arguments)
    }

    /// One more day of the senior's, by the text of the last one.
    fn ride_again(&self) {
        let last = fs::read_to_string(self.book().join(LAST)).unwrap();
        let next = last.replace("date = 2026-10-17", "date = 2026-11-07");
        fs::write(self.book().join(NEXT), next).unwrap();
    }

    /// Sets git up as `git-attributes` prints.
    fn set_up(&self) {
        let printed = run(self.top(), &["git-attributes"]);
        let lines = out(&printed).lines().filter(|line| !line.starts_with('#') && !line.is_empty());
        for line in lines {
            match line.strip_prefix("git config ") {
                None => fs::write(self.top().join(".gitattributes"), format!("{line}\n")).unwrap(),
                Some(rest) => {
                    let (name, value) = rest.split_once(' ').unwrap();
                    self.git(&["config", name, &value[1..value.len() - 1]]);
                }
            }
        }
        self.commit("set up");
    }

    fn commit(&self, message: &str) {
        self.git(&["add", "-A"]);
        self.git(&["commit", "-qm", message]);
    }
}

fn git(folder: &Path, arguments: &[&str]) -> String {
    let output = git_output(folder, arguments);
    assert!(output.status.success(), "{arguments:?}: {}", String::from_utf8_lossy(&output.stderr));
    String::from_utf8(output.stdout).unwrap()
}

/// The real git, which finds this program on its path.
fn git_output(folder: &Path, arguments: &[&str]) -> Output {
    let path = std::env::join_paths(
        std::iter::once(Path::new(PROGRAM).parent().unwrap().to_owned())
            .chain(std::env::split_paths(&std::env::var_os("PATH").unwrap_or_default())),
    );
    Command::new("git")
        .current_dir(folder)
        .args(["-c", "user.name=Wren", "-c", "user.email=wren@example.org", "-c", "commit.gpgsign=false"])
        .args(arguments)
        .env("PATH", path.unwrap())
        .env("GIT_CONFIG_GLOBAL", "/dev/null")
        .env("GIT_CONFIG_NOSYSTEM", "1")
        .output()
        .unwrap()
}

fn run(folder: &Path, arguments: &[&str]) -> Output {
    program().current_dir(folder).args(arguments).output().unwrap()
}

fn out(output: &Output) -> &str {
    assert!(output.status.success(), "{}", String::from_utf8_lossy(&output.stderr));
    std::str::from_utf8(&output.stdout).unwrap()
}

fn refused(output: &Output) -> &str {
    assert_eq!((output.status.code(), output.stdout.len()), (Some(2), 0));
    std::str::from_utf8(&output.stderr).unwrap()
}

/// The settings that differ: name, change.
fn changes(folder: &Path, arguments: &[&str]) -> Vec<(String, String)> {
    let all = [&["compare", "--format", "json"], arguments].concat();
    let value: Value = serde_json::from_str(out(&run(folder, &all))).unwrap();
    let text = |value: &Value| value.as_str().unwrap().to_owned();
    value["settings"]
        .as_array()
        .unwrap()
        .iter()
        .map(|line| (text(&line["id"]), text(&line["change"])))
        .collect()
}

fn down_two() -> Vec<(String, String)> {
    vec![(Setting::FORK_HEIGHT.to_string(), "2 mm down".to_owned())]
}
