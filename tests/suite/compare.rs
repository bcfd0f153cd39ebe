//! What is different between two places of a diary, held against hand-made differences and real repositories.

use std::fs;
use std::path::{Path, PathBuf};
use std::process::{Command, Output};

use loambook::book::{self, Book};
use loambook::pages::compare::{Comparison, Side, Subject, Verdict, compare, compare_seasons};
use loambook::season::{self, Season};
use loambook::source::{Disk, Memory, Store};
use loambook::vocabulary::{figures, settings};
use serde_json::Value;

const DAY: &str = "days/2026-05-09-senior.md";
const EARLIER: &str = "days/2026-04-25-senior.md";

fn demo() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("notebooks")
}

fn read(store: &dyn Store) -> (Book, Season) {
    let (book, _) = book::load(store).unwrap();
    let (season, _) = season::replay(&book);
    (book, season)
}

/// The demo book, with one day written otherwise.
fn demo_with(path: &str, edit: impl Fn(String) -> String) -> (Book, Season) {
    let disk = Disk::new(demo());
    let text = String::from_utf8(disk.read(path, 1 << 20).unwrap()).unwrap();
    let edited = edit(text.clone());
    assert_ne!(text, edited, "the edit finds nothing to edit");
    read(&Memory::over(&disk).with(path, edited))
}

fn side<'a>(of: &'a (Book, Season), path: &str) -> Side<'a> {
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

mod properties {
    use super::*;

    #[test]
    fn a_thing_compared_with_itself_is_empty() {
        let book = read(&Disk::new(demo()));
        for notebook in book.0.notebooks() {
            for complete in [false, true] {
                let one = side(&book, &notebook.path);
                let comparison = compare(&one, &side(&book, &notebook.path), complete);
                assert!(comparison.is_empty, "{}: {comparison:?}", notebook.path);
                assert_eq!(comparison.fork, None);
                assert!(complete || comparison.figures.is_empty());
            }
        }
    }

    #[test]
    fn swapping_the_sides_turns_every_sign() {
        let book = read(&Disk::new(demo()));
        let days: Vec<&str> = book.0.days.iter().map(|day| day.notebook.path.as_str()).collect();
        let mut compared = 0;
        for pair in days.windows(2) {
            let (a, b) = (side(&book, pair[0]), side(&book, pair[1]));
            compared += turned(&compare(&a, &b, true), &compare(&b, &a, true));
        }
        assert!(compared > 500, "only {compared} differences were compared");
    }

    /// How many differences were held against each other.
    fn turned(there: &Comparison, back: &Comparison) -> usize {
        let mut compared = 0;
        assert_eq!(there.settings.len(), back.settings.len());
        for (one, two) in there.settings.iter().zip(&back.settings) {
            // Each way in the units of its own first side.
            assert_eq!((one.a.is_some(), one.b.is_some()), (two.b.is_some(), two.a.is_some()), "{}", one.id);
            assert_eq!((&one.id, one.by.map(|by| 0.0 - by)), (&two.id, two.by));
            compared += usize::from(one.by.is_some_and(|by| by != 0.0));
        }
        assert_eq!(there.figures.len(), back.figures.len());
        for (one, two) in there.figures.iter().zip(&back.figures) {
            assert_eq!((&one.id, one.by.map(|by| 0.0 - by)), (&two.id, two.by));
            // The order of a sum's terms is turned as well.
            let (first, second) = (one.expanded.unwrap_or(0.0), two.expanded.unwrap_or(0.0));
            assert!((first - second).abs() <= 1e-9 * first.abs(), "{}", one.id);
            let swapped = match one.verdict {
                Verdict::Gone => Verdict::New,
                Verdict::New => Verdict::Gone,
                same => same,
            };
            assert_eq!(swapped, two.verdict, "{}", one.id);
            compared += usize::from(one.by.is_some_and(|by| by != 0.0));
        }
        // Brought to the other side's air the same difference has another size, and the other sign.
        for (one, two) in there.pressures.lines.iter().zip(&back.pressures.lines) {
            assert_eq!(one.id, two.id);
            if let (Some(first), Some(second)) = (one.by, two.by) {
                assert!(first * second < 0.0 || first == second, "{}: {first} and {second}", one.id);
            }
        }
        if let (Some(one), Some(two)) = (&there.fork, &back.fork) {
            assert_eq!(one.by, -two.by);
            assert_eq!((one.largest_at, &one.a.points), (two.largest_at, &two.b.points));
        }
        assert_eq!(there.is_text_changed, back.is_text_changed);
        compared
    }
}

mod on_purpose {
    use super::*;

    #[test]
    fn two_clicks_are_two_clicks_and_no_figure() {
        let was = read(&Disk::new(demo()));
        let is = demo_with(DAY, |text| {
            text.replace(
                "other.levers = \"10 mm inboard, grips to match\"\n",
                "other.levers = \"10 mm inboard, grips to match\"\nfork.rebound = \"2 clicks in\"\n",
            )
        });
        let comparison = compare(&side(&was, DAY), &side(&is, DAY), false);
        let told: Vec<(&str, &str)> = comparison
            .changed_settings()
            .map(|line| (line.id.as_str(), line.change.as_deref().unwrap()))
            .collect();
        assert_eq!(told, [(settings::FORK_REBOUND, "2 clicks in")]);
        assert!(comparison.figures.is_empty() && comparison.pressures.lines.is_empty());
        assert!(comparison.fork.is_none() && !comparison.is_text_changed);
    }

    #[test]
    fn a_longer_tape_reading_moves_the_sag_by_as_much() {
        let was = read(&Disk::new(demo()));
        let is =
            demo_with(DAY, |text| text.replace("aboard = \"507 507 507 mm\"", "aboard = \"503 503 503 mm\""));
        let comparison = compare(&side(&was, DAY), &side(&is, DAY), false);
        assert_eq!(comparison.changed_settings().count(), 0);
        let sag = comparison.figures.iter().find(|line| line.id == "sag.rear.rider").unwrap();
        assert!((sag.by.unwrap() - 0.004).abs() < 1e-12);
        assert!((sag.expanded.unwrap() - two_readings()).abs() < 1e-9, "{:?}", sag.expanded);
        assert_eq!(sag.verdict, Verdict::Beyond);
        // 4 mm of 310 mm of wheel travel, by the machine's notebook.
        let share = comparison.figures.iter().find(|line| line.id == "sag.rear.rider_share").unwrap();
        assert!((share.by.unwrap() - 4.0 / 310.0).abs() < 1e-12);
        // The front stands otherwise on the ground for it; what was read there, and the fork, do not change.
        let of_front =
            |id: &&str| id.starts_with("fork.") || ["sag.front.rider", "sag.front.static"].contains(id);
        assert_eq!(ids(comparison.figures.iter()).into_iter().filter(of_front).count(), 0);
    }

    #[test]
    fn a_sprocket_shows_in_the_gearing_alone() {
        let was = read(&Disk::new(demo()));
        let is = demo_with(DAY, |text| {
            text.replace("fork.height = \"2 mm down\"\n", "fork.height = \"2 mm down\"\ndrive.rear = 50\n")
        });
        let comparison = compare(&side(&was, DAY), &side(&is, DAY), false);
        let ratio = comparison.figures.iter().find(|line| line.id == figures::DRIVE_RATIO).unwrap();
        assert!((ratio.by.unwrap() - (50.0 - 49.0) / 13.0).abs() < 1e-12);
        for line in comparison.figures.iter().filter(|line| line.id.starts_with("drive.speed.")) {
            let speed = |said: &Option<loambook::pages::compare::Said>| {
                said.as_ref().unwrap().value.split(' ').next().unwrap().parse::<f64>().unwrap()
            };
            // Speed goes with the inverse of the ratio.
            assert!((speed(&line.b) / speed(&line.a) - 49.0 / 50.0).abs() < 0.01, "{line:?}");
        }
        let strangers: Vec<&str> = ids(comparison.figures.iter())
            .into_iter()
            .filter(|id| {
                ["fork.", "air.", "laps.", "steering."].iter().any(|part| id.starts_with(part))
                    || id.ends_with(".rider")
            })
            .collect();
        assert!(strangers.is_empty(), "{strangers:?}");
    }

    #[test]
    fn prose_is_only_text_changed() {
        let was = read(&Disk::new(demo()));
        let is = demo_with(DAY, |text| {
            text.replace("Four steps and three Saturdays.", "Four steps.\n\nThree Saturdays.")
        });
        let comparison = compare(&side(&was, DAY), &side(&is, DAY), false);
        assert!(comparison.is_text_changed && !comparison.is_empty);
        assert!(comparison.figures.is_empty() && comparison.settings.is_empty() && comparison.fork.is_none());
    }

    #[test]
    fn a_machine_is_compared_entry_by_entry() {
        const MACHINE: &str = "machines/corrie-450.md";
        let was = read(&Disk::new(demo()));
        let is = demo_with(MACHINE, |text| text.replace("rake = \"26.9°\"", "rake = \"27.4°\""));
        let comparison = compare(&side(&was, MACHINE), &side(&is, MACHINE), false);
        let [entry] = comparison.written.as_slice() else { panic!("{:?}", comparison.written) };
        assert_eq!((entry.block.as_str(), entry.key.as_str()), ("frame", "rake"));
        assert_eq!((entry.a.as_deref(), entry.b.as_deref()), (Some("26.9°"), Some("27.4°")));
        assert!(comparison.settings.is_empty());
        // The day that stands on the machine sees it in its geometry.
        let day = compare(&side(&was, DAY), &side(&is, DAY), false);
        let rake = day.figures.iter().find(|line| line.id == figures::RAKE).unwrap();
        assert!((rake.by.unwrap().to_degrees() - 0.5).abs() < 1e-3, "{rake:?}");
    }

    #[test]
    fn pressures_are_brought_to_one_air() {
        let book = read(&Disk::new(demo()));
        let comparison = compare(&side(&book, EARLIER), &side(&book, DAY), true);
        // Both were set to 189 psi: in a leg of 10 °C for a gate of 11 °C and 1006 hPa, and in one of 13 °C for a gate
        // of 15 °C and 1011 hPa. Brought to the first gate by hand, p T/T and absolute throughout, from the legs'
        // temperatures; each leg stood at its own gate's height.
        let psi = 6894.757293168;
        let first = (189.0 * psi + 100_600.0) * (11.0 + 273.15) / (10.0 + 273.15) - 100_600.0;
        let second = (189.0 * psi + 101_100.0) * (11.0 + 273.15) / (13.0 + 273.15) - 100_600.0;
        let line = comparison.pressures.lines.iter().find(|line| line.id == "gate.chamber.inner").unwrap();
        assert!((line.by.unwrap() - (second - first)).abs() < 1.0, "{line:?} is not {}", second - first);
        assert_eq!(line.verdict, Verdict::Beyond);
        assert_eq!(comparison.pressures.brought_to.as_deref(), Some("11.0 °C and 1006.0 hPa"));
        // The same notebook at two lines of one day is in one air.
        let file = book.0.sources.find(DAY).unwrap();
        let line = Side::new(&book.0, &book.1, "early", Subject::Line(file, 60)).unwrap();
        assert_eq!(compare(&line, &side(&book, DAY), true).pressures.brought_to, None);
    }

    #[test]
    fn the_largest_difference_of_the_forks_is_where_it_is() {
        let was = read(&Disk::new(demo()));
        let is = demo_with(DAY, |text| text.replace("outer = \"0 psi\"", "outer = \"5 psi\""));
        let comparison = compare(&side(&was, DAY), &side(&is, DAY), false);
        let fork = comparison.fork.unwrap();
        let gaps: Vec<(f64, f64)> =
            fork.a.points.iter().zip(&fork.b.points).map(|(a, b)| (a.0, b.1 - a.1)).collect();
        let most = gaps
            .iter()
            .copied()
            .fold((0.0, 0.0), |most: (f64, f64), gap| if gap.1.abs() > most.1.abs() { gap } else { most });
        assert!((most.0 - fork.largest_at).abs() <= 305.0 / 60.0, "{most:?} and {}", fork.largest_at);
        assert!((most.1 - fork.by).abs() <= 1e-2 * fork.by.abs(), "{most:?} and {}", fork.by);
        assert!(fork.by > 0.0 && fork.verdict == Verdict::Beyond);
    }
}

mod seasons {
    use super::*;

    #[test]
    fn medians_ranges_tracks_and_drift_are_those_by_hand() {
        let mut store = Memory::new().with(
            "machines/heron.md",
            "+++\nkind = \"machine\"\n+++\n```settings\nfork.height = \"5 mm\"\nfork.rebound = \"12 clicks\"\n```\n",
        );
        store.set("tracks/quarry.md", "+++\nkind = \"track\"\nname = \"Quarry\"\n+++\n");
        store.set("riders/wren.md", "+++\nkind = \"rider\"\n+++\n");
        // Sags by hand: 100, 102, 104 a month apart; then 100 on every day.
        let days = [
            ("2025-03-01", 500, "fork.height = \"5 mm\""),
            ("2025-03-31", 498, "fork.height = \"4 mm\""),
            ("2025-04-30", 496, "fork.height = \"2 mm\""),
            ("2026-03-01", 500, "fork.rebound = \"10 clicks\""),
            ("2026-03-31", 500, "fork.height = \"2 mm\""),
        ];
        for (date, aboard, setting) in days {
            store.set(
                format!("days/{date}.md"),
                format!(
                    "+++\nkind = \"day\"\ndate = {date}\nmachine = \"heron\"\nrider = \"wren\"\ntrack = \"quarry\"\n+++\n\
                     ```settings\n{setting}\n```\n```sag rear\nhanging = \"600 mm\"\naboard = \"{aboard} mm\"\n```\n"
                ),
            );
        }
        let (book, season) = read(&store);
        let year = |wanted: i16| move |date: jiff::civil::Date| date.year() == wanted;
        let (then, now) = (year(2025), year(2026));
        let compared =
            compare_seasons(&book, &season, ("heron", Some("wren")), [("2025", &then), ("2026", &now)]);
        assert_eq!((compared.a.days, compared.b.days), (3, 2));
        assert_eq!(compared.a.tracks, [("Quarry".to_owned(), 3)]);
        let height = compared.settings.iter().find(|line| line.id == settings::FORK_HEIGHT).unwrap();
        let (a, b) = (height.a.as_ref().unwrap(), height.b.as_ref().unwrap());
        assert!((a.si.unwrap() - 0.004).abs() < 1e-12 && (b.si.unwrap() - 0.002).abs() < 1e-12);
        assert_eq!(a.range.as_deref().map(|range| range.matches("..").count()), Some(1));
        assert_eq!(height.change.as_deref(), Some("2 mm down"));
        let rebound = compared.settings.iter().find(|line| line.id == settings::FORK_REBOUND).unwrap();
        assert_eq!(rebound.change.as_deref(), Some("2 clicks in"));
        let sag = compared.figures.iter().find(|line| line.id == "sag.rear.rider").unwrap();
        assert!((sag.a.as_ref().unwrap().si.unwrap() - 0.102).abs() < 1e-12);
        let drifts: Vec<(&str, f64)> =
            compared.sag.iter().map(|drift| (drift.season.as_str(), drift.a_month.unwrap())).collect();
        assert!((drifts[0].1 - 0.002).abs() < 1e-12, "{drifts:?}");
        assert_eq!(drifts[1], ("2026", 0.0));
        assert_eq!(compared.sag[1].told.as_deref(), Some("stood still"));
    }
}

/// The demo book in a repository of its own, and the real program in it.
struct Desk {
    folder: tempfile::TempDir,
}

impl Desk {
    /// Committed once, under a folder of the repository.
    fn new() -> Self {
        let desk = Self { folder: tempfile::tempdir().unwrap() };
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

    fn commit(&self, message: &str) {
        self.git(&["add", "-A"]);
        self.git(&["commit", "-qm", message]);
    }
}

fn git(folder: &Path, arguments: &[&str]) -> String {
    let program = assert_cmd::cargo::cargo_bin("loambook");
    let path = std::env::join_paths(
        std::iter::once(program.parent().unwrap().to_owned())
            .chain(std::env::split_paths(&std::env::var_os("PATH").unwrap_or_default())),
    );
    let output = Command::new("git")
        .current_dir(folder)
        .args(["-c", "user.name=Wren", "-c", "user.email=wren@example.org", "-c", "commit.gpgsign=false"])
        .args(arguments)
        .env("PATH", path.unwrap())
        .env("GIT_CONFIG_GLOBAL", "/dev/null")
        .env("GIT_CONFIG_NOSYSTEM", "1")
        .output()
        .unwrap();
    assert!(output.status.success(), "{arguments:?}: {}", String::from_utf8_lossy(&output.stderr));
    String::from_utf8(output.stdout).unwrap()
}

fn copy(from: &Path, to: &Path) {
    fs::create_dir_all(to).unwrap();
    for entry in fs::read_dir(from).unwrap() {
        let path = entry.unwrap().path();
        let target = to.join(path.file_name().unwrap());
        if path.is_dir() {
            copy(&path, &target);
        } else {
            fs::copy(&path, target).unwrap();
        }
    }
}

fn run(folder: &Path, arguments: &[&str]) -> Output {
    let program = assert_cmd::cargo::cargo_bin("loambook");
    Command::new(program).current_dir(folder).args(arguments).output().unwrap()
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

fn up_two() -> Vec<(String, String)> {
    vec![(settings::FORK_HEIGHT.to_owned(), "2 mm up".to_owned())]
}

mod in_git {
    use super::*;

    const BEFORE: &str = "fork.height = \"2 mm down\"";
    const AFTER: &str = "fork.height = \"0 mm down\"";

    /// The day's change was taken back in a second commit.
    fn edited() -> Desk {
        let desk = Desk::new();
        desk.edit(DAY, BEFORE, AFTER);
        desk.commit("second");
        desk
    }

    #[test]
    fn revisions_are_compared_from_any_folder_and_leave_the_working_tree_alone() {
        let desk = edited();
        let there = format!("HEAD~1:{DAY}");
        assert_eq!(changes(&desk.book(), &[&there, DAY]), up_two());
        assert_eq!(changes(&desk.book(), &[&there, &format!("HEAD:{DAY}")]), up_two());
        let from_top = [format!("HEAD~1:book/{DAY}"), format!("book/{DAY}")];
        assert_eq!(changes(desk.top(), &[&from_top[0], &from_top[1]]), up_two());
        let days = desk.book().join("days");
        assert_eq!(
            changes(&days, &["HEAD~1:2026-05-09-senior.md", "HEAD:book/days/2026-05-09-senior.md"]),
            up_two()
        );
        assert_eq!(desk.git(&["status", "--porcelain"]), "");
    }

    #[test]
    fn a_rename_is_followed_both_ways_and_readings_are_known_again() {
        let desk = Desk::new();
        let new = "days/2026-05-09-third-outing.md";
        desk.git(&["mv", &format!("book/{DAY}"), &format!("book/{new}")]);
        // Still in the index alone.
        assert_eq!(changes(&desk.book(), &[&format!("HEAD:{new}"), new]), []);
        desk.commit("renamed");
        desk.edit(new, BEFORE, AFTER);
        desk.edit(new, "aboard = \"507 507 507 mm\"", "aboard = \"503 503 503 mm\"");
        desk.commit("second");
        assert_eq!(changes(&desk.book(), &[&format!("HEAD~2:{new}"), new]), up_two());
        assert_eq!(changes(&desk.book(), &[&format!("HEAD~2:{DAY}"), &format!("HEAD:{DAY}")]), up_two());
        let json = run(&desk.book(), &["compare", "--format", "json", &format!("HEAD~2:{new}"), new]);
        let value: Value = serde_json::from_str(out(&json)).unwrap();
        let figures = value["figures"].as_array().unwrap();
        let sag = figures.iter().find(|line| line["id"] == "sag.rear.rider").unwrap();
        // As without the rename: the tape's bias and the reading without the rider have cancelled.
        assert!((sag["expanded"].as_f64().unwrap() - two_readings()).abs() < 1e-9, "{sag}");
        assert!(figures.iter().all(|line| line["id"] != "sag.rear.static"), "an unchanged reading differs");
    }

    #[test]
    fn linked_worktrees_bare_packed_and_shallow_repositories_are_read() {
        let desk = edited();
        let there = format!("HEAD~1:book/{DAY}");
        let here = format!("HEAD:book/{DAY}");
        let others = tempfile::tempdir().unwrap();
        let at = |name: &str| others.path().join(name);
        desk.git(&["worktree", "add", "-q", "--detach", at("linked").to_str().unwrap()]);
        assert_eq!(changes(&at("linked"), &[&there, &here]), up_two());
        assert_eq!(changes(&at("linked/book"), &[&there, DAY]), up_two());

        desk.git(&["tag", "winter", "HEAD~1"]);
        desk.git(&["pack-refs", "--all"]);
        desk.git(&["gc", "-q"]);
        assert!(!desk.top().join(".git/refs/tags/winter").exists());
        assert_eq!(changes(desk.top(), &[&format!("winter:book/{DAY}"), &here]), up_two());

        let url = format!("file://{}", desk.top().display());
        git(others.path(), &["clone", "-q", "--bare", &url, "bare.git"]);
        assert_eq!(changes(&at("bare.git"), &[&there, &here]), up_two());
        git(others.path(), &["clone", "-q", "--depth", "1", &url, "shallow"]);
        assert_eq!(changes(&at("shallow"), &[&here, &format!("book/{DAY}")]), []);
        let output = run(&at("shallow"), &["compare", &there, &here]);
        let told = refused(&output);
        assert!(told.contains("git knows no revision `HEAD~1`") && told.contains("shallow"), "{told}");
    }

    #[test]
    fn what_is_not_there_is_said_clearly() {
        let desk = edited();
        let none = run(&desk.book(), &["compare", &format!("nowhere:{DAY}"), DAY]);
        assert!(refused(&none).contains("git knows no revision `nowhere`"));
        let none = run(&desk.book(), &["compare", "HEAD:days/none.md", DAY]);
        assert!(refused(&none).contains("there is no `days/none.md` at `HEAD`"));
        let none = run(&desk.book(), &["compare", "days/none.md", DAY]);
        assert!(refused(&none).contains("there is no days/none.md"));
        let none = run(&desk.book(), &["compare", &format!("{DAY}:4000"), DAY]);
        assert!(refused(&none).contains("has no line 4000"));
        let none = run(&desk.book(), &["compare", "tracks/tannery-pit.md", DAY]);
        assert!(refused(&none).contains("cannot be compared"));
        let outside = tempfile::tempdir().unwrap();
        let none = run(outside.path(), &["compare", "HEAD:a.md", "HEAD:b.md"]);
        assert!(refused(&none).contains("git repository"));
    }

    /// Sets git up as `git-attributes` says.
    fn set_up(desk: &Desk) {
        let printed = run(desk.top(), &["git-attributes"]);
        let lines: Vec<&str> =
            out(&printed).lines().filter(|line| !line.starts_with('#') && !line.is_empty()).collect();
        for line in lines {
            match line.strip_prefix("git config ") {
                None => fs::write(desk.top().join(".gitattributes"), format!("{line}\n")).unwrap(),
                Some(rest) => {
                    let (name, value) = rest.split_once(' ').unwrap();
                    let value = value.get(1..value.len() - 1).unwrap();
                    desk.git(&["config", name, value]);
                }
            }
        }
    }

    #[test]
    fn git_diff_log_and_show_go_through_the_driver() {
        let desk = Desk::new();
        set_up(&desk);
        fs::write(desk.book().join("notes.md"), "# Shopping\n\n- bread\n").unwrap();
        desk.commit("set up");
        desk.edit(DAY, BEFORE, AFTER);
        fs::write(desk.book().join("notes.md"), "# Shopping\n\n- butter\n").unwrap();
        let diff = desk.git(&["diff"]);
        let changed = |text: &str, sign: char| {
            let lines = text
                .lines()
                .filter(|line| line.starts_with(sign) && !line.starts_with(&sign.to_string().repeat(3)));
            lines.map(|line| line[1..].to_owned()).collect::<Vec<_>>()
        };
        let (gone, came) = (changed(&diff, '-'), changed(&diff, '+'));
        assert!(
            gone.iter().any(|line| line.contains(settings::FORK_HEIGHT) && line.contains("2 mm down")),
            "{diff}"
        );
        assert!(
            came.iter().any(|line| line.contains(settings::FORK_HEIGHT) && !line.contains("2 mm down")),
            "{diff}"
        );
        assert!(!diff.contains("fork.height = \""), "the driver was not asked:\n{diff}");
        // What is no notebook is shown as it is.
        assert!(gone.contains(&"- bread".to_owned()) && came.contains(&"- butter".to_owned()), "{diff}");
        desk.commit("second");
        for arguments in [&["log", "-p", "-1"][..], &["show"]] {
            assert!(desk.git(arguments).contains(&gone[0]), "{arguments:?}");
        }
    }

    #[test]
    fn a_difftool_compares_two_states_of_a_notebook() {
        let desk = edited();
        set_up(&desk);
        let told = desk.git(&["difftool", "-y", "-t", "loambook", "HEAD~1", "--", &format!("book/{DAY}")]);
        assert!(told.contains("2 mm up"), "{told}");
    }
}

mod pages {
    use super::*;

    #[test]
    fn dates_riders_and_seasons_are_found() {
        let book = demo();
        let told = run(
            &book,
            &["compare", "2026-04-25", "2026-05-09", "--machine", "corrie-450", "--rider", "senior"],
        );
        assert!(out(&told).contains("2 mm down"));
        let riders = run(&book, &["compare", "senior", "junior", "--on", "2026-05-09"]);
        assert!(refused(&riders).contains("no day on 2026-05-09 with `junior`"));
        let stretches = ["2026-03-01..2026-05-31", "2026-06-01..2026-12-31"];
        let season = [
            "compare",
            "--season",
            stretches[0],
            stretches[1],
            "--machine",
            "corrie-450",
            "--rider",
            "senior",
        ];
        let told = run(&book, &season);
        assert!(out(&told).contains("fork height") && out(&told).contains("Tannery Pit"), "{}", out(&told));
        let none = run(&book, &["compare", "--season", "2024", "2026", "--machine", "corrie-450"]);
        assert!(refused(&none).contains("2024"));
    }

    #[test]
    fn every_form_says_the_same_and_none_is_coloured_where_nobody_looks() {
        let book = demo();
        let text = run(&book, &["compare", EARLIER, DAY]);
        assert!(!out(&text).contains('\u{1b}'));
        let html = run(&book, &["compare", EARLIER, DAY, "--format", "html"]);
        let folder = tempfile::tempdir().unwrap();
        let pdf = folder.path().join("c.pdf");
        out(&run(&book, &["compare", EARLIER, DAY, "--format", "pdf", "-o", pdf.to_str().unwrap()]));
        assert!(fs::read(&pdf).unwrap().starts_with(b"%PDF-"));
        for said in ["2 mm down", "−16 mm", "11.0 °C", "within the measurement"] {
            assert!(out(&text).contains(said), "text: {said}");
            assert!(out(&html).contains(said), "html: {said}");
        }
        assert!(refused(&run(&book, &["compare", EARLIER, DAY, "--format", "pdf"])).contains("-o"));
        let same = run(&book, &["compare", DAY, DAY]);
        assert!(out(&same).contains("Nothing differs."));
    }
}
