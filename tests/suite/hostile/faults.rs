//! When something fails: full disks, readers that leave, several runs at once, files that cannot be read.

use std::fs;
use std::os::unix::fs::symlink;
use std::process::{Child, Command, Stdio};

use super::small::{DAY, book, day, files};
use crate::desk::{Desk, PROGRAM, code, err, file_names, out, program};

fn shell(desk: &Desk, line: &str) -> std::process::Output {
    let mut command = Command::new("sh");
    command.args(["-c", line]).current_dir(desk.folder.path());
    command.env("LOAMBOOK", PROGRAM).output().unwrap()
}

#[test]
fn where_no_file_can_hold_anything_nothing_is_left() {
    let desk = book();
    let before = files(desk.folder.path());
    // A limit of no blocks for a file has the effect of a full disk. The signal is turned into an error.
    for command in [
        "new machine swift",
        "new book other",
        "new day 2026-06-01",
        "prepare --machine brae --rider wren --track pit --date 2026-06-02",
        "sheet DAY -o a.pdf",
        "sheet",
        "season -o h.csv",
        "roster --date 2026-05-09",
    ] {
        let line = format!("trap '' XFSZ; ulimit -f 0; \"$LOAMBOOK\" {}", command.replace("DAY", DAY));
        let output = shell(&desk, &line);
        assert!([1, 2].contains(&code(&output)), "{command}: {}{}", out(&output), err(&output));
        assert_eq!(files(desk.folder.path()), before, "{command}");
        assert!(!desk.path("other").exists(), "nor is a folder");
    }
    assert_eq!(code(&desk.run(&["new", "machine", "swift"])), 0, "a second try mends it");
}

#[test]
fn where_only_a_little_can_be_held_the_old_file_stays_whole() {
    let desk = book();
    assert_eq!(code(&desk.run(&["sheet", DAY, "-o", "a.pdf"])), 0);
    let before = files(desk.folder.path());
    let output = shell(&desk, &format!("trap '' XFSZ; ulimit -f 4; \"$LOAMBOOK\" sheet {DAY} -o a.pdf"));
    assert_eq!(code(&output), 2, "{}", err(&output));
    assert_eq!(files(desk.folder.path()), before);
}

#[test]
fn a_run_that_is_killed_leaves_what_the_next_one_clears() {
    let desk = book();
    fs::create_dir(desk.path("sheets")).unwrap();
    let stale = "sheets/.loambook-00000000000000ff.part";
    desk.write(stale, "half");
    assert_eq!(code(&desk.run(&["sheet", DAY])), 0);
    assert_eq!(file_names(&desk.path("sheets")), ["2026-05-09.pdf"]);
}

#[test]
fn what_only_looks_like_a_temporary_file_is_not_cleared_and_stops_nobody() {
    let desk = book();
    fs::create_dir(desk.path("sheets")).unwrap();
    let pipe = "sheets/.loambook-0000000000000001.part";
    assert!(Command::new("mkfifo").arg(desk.path(pipe)).status().unwrap().success());
    symlink(desk.path(DAY), desk.path("sheets/.loambook-0000000000000002.part")).unwrap();
    desk.write("sheets/.loambook-0000000000000003.part/kept", "kept");
    assert_eq!(code(&desk.run(&["sheet", DAY])), 0);
    assert_eq!(file_names(&desk.path("sheets")).len(), 4);
}

#[test]
fn several_runs_write_one_folder_at_once() {
    let desk = book();
    for at in 10..30 {
        desk.write(&format!("days/2026-05-{at}.md"), &day(&format!("2026-05-{at}"), "9 °C"));
    }
    let start = || -> Child {
        program()
            .args(["sheet", "-o", "print"])
            .current_dir(desk.folder.path())
            .stdout(Stdio::piped())
            .stderr(Stdio::piped())
            .spawn()
            .unwrap()
    };
    let runs: Vec<Child> = (0..4).map(|_| start()).collect();
    for run in runs {
        let output = run.wait_with_output().unwrap();
        assert_eq!((code(&output), err(&output)), (0, ""));
    }
    let names = file_names(&desk.path("print"));
    assert_eq!(names.len(), 21, "{names:?}");
    for name in names {
        let document = lopdf::Document::load(desk.path(&format!("print/{name}"))).unwrap();
        assert_eq!(document.get_pages().len(), 1, "{name} is whole");
    }
}

#[test]
fn of_several_runs_that_start_one_notebook_one_does() {
    let desk = book();
    let runs: Vec<Child> = (0..6)
        .map(|_| {
            program()
                .args(["new", "machine", "swift"])
                .current_dir(desk.folder.path())
                .stdout(Stdio::null())
                .stderr(Stdio::null())
                .spawn()
                .unwrap()
        })
        .collect();
    let codes: Vec<i32> = runs.into_iter().map(|run| code(&run.wait_with_output().unwrap())).collect();
    assert_eq!(codes.iter().filter(|code| **code == 0).count(), 1, "{codes:?}");
    assert!(desk.read("machines/swift.md").contains("kind = \"machine\""));
    assert_eq!(file_names(&desk.path("machines")), ["brae.md", "swift.md"]);
}

#[test]
fn a_reader_that_leaves_does_not_hide_the_errors() {
    let desk = book();
    // More than any pipe holds, so that the program meets the closed end.
    for at in 0..400 {
        desk.write(&format!("days/bad-{at}.md"), "+++\nkind = \"day\"\ndate = 2026-05-01\nmachne = 1\n+++\n");
    }
    for format in ["text", "json", "sarif"] {
        let line = format!(
            "{{ \"$LOAMBOOK\" check --format {format}; echo $? > status; }} | head -n 1 > /dev/null; cat status"
        );
        let output = shell(&desk, &line);
        assert_eq!(out(&output), "1\n", "{format}");
        assert!(!err(&output).contains("pipe"), "{}", err(&output));
    }
}

#[test]
fn an_advice_file_that_cannot_be_read_is_a_finding_and_stops_no_command() {
    let file = "templates/advice.toml";
    type Make = fn(&Desk, &str);
    let faulty: [(&str, Make); 5] = [
        ("not UTF-8", |desk, file| fs::write(desk.path(file), b"places = [\"\xff\"]\n").unwrap()),
        ("no TOML", |desk, file| desk.write(file, "places = [\n")),
        ("a folder", |desk, file| fs::create_dir_all(desk.path(file)).unwrap()),
        ("too large", |desk, file| {
            fs::File::create(desk.path(file)).unwrap().set_len((16 << 20) + 1).unwrap();
        }),
        ("of other values", |desk, file| desk.write(file, "places = 3\n[step]\nx = 1\n")),
    ];
    for (name, make) in faulty {
        let desk = book();
        make(&desk, file);
        let check = desk.run(&["check", "--format", "json", "--on", "2026-05-10"]);
        assert_eq!(code(&check), 1, "{name}: {}", err(&check));
        assert!(out(&check).contains(file), "{name}: {}", out(&check));
        for command in [&["sheet"][..], &["season", "-o", "h.json"], &["figures", DAY], &["next", DAY]] {
            let output = desk.run(command);
            assert_eq!(code(&output), 0, "{name}, {command:?}: {}", err(&output));
        }
    }
}
