//! `-o` and what it must not destroy.

use std::fs;
use std::os::unix::fs::{PermissionsExt, symlink};
use std::process::{Command, Stdio};

use super::small::{DAY, book, files};
use crate::desk::{Desk, PROGRAM, code, err, out};

const OTHER: &str = "days/2026-05-10.md";

/// The commands with `-o`, each in every format that it has, with the ending of that format.
fn commands() -> Vec<(Vec<&'static str>, &'static str)> {
    let mut all = Vec::new();
    for ending in ["pdf", "html"] {
        all.push((vec!["sheet", DAY], ending));
    }
    for ending in ["pdf", "html", "csv", "json"] {
        all.push((vec!["season"], ending));
    }
    for ending in ["pdf", "html", "json", "txt"] {
        all.push((vec!["compare", DAY, OTHER], ending));
    }
    all.push((vec!["roster", "--date", "2026-05-09"], "pdf"));
    for ending in ["ics", "txt"] {
        all.push((vec!["due", "--on", "2026-05-09"], ending));
    }
    all
}

fn to<'a>(command: &[&'a str], output: &'a str) -> Vec<&'a str> {
    command.iter().copied().chain(["-o", output]).collect()
}

#[test]
fn no_command_writes_over_anything_of_a_book() {
    let desk = book();
    desk.write("notes", "mine");
    let before = files(desk.folder.path());
    let mut commands: Vec<Vec<&str>> = commands().into_iter().map(|(command, _)| command).collect();
    commands.dedup();
    commands.push(vec![
        "prepare",
        "--machine",
        "brae",
        "--rider",
        "wren",
        "--track",
        "pit",
        "--date",
        "2026-06-01",
    ]);
    let change = "fork.height = 2 mm down";
    let others: [&[&str]; 12] = [
        &["card", "--machine", "brae"],
        &["figures", DAY],
        &["why", "sag.rear.rider", DAY],
        &["state", DAY],
        &["spring", DAY],
        &["gearing", DAY],
        &["next", DAY],
        &["try", DAY, change],
        &["today", "--date", "2026-05-09"],
        &["guide"],
        &["pocket", "--date", "2026-05-09"],
        &["export", "--format", "csv"],
    ];
    commands.extend(others.iter().map(|command| command.to_vec()));
    for command in &commands {
        for file in before.keys() {
            let output = desk.run(&to(command, file));
            assert_eq!(code(&output), 2, "{command:?} {file}: {}", out(&output));
        }
    }
    assert_eq!(files(desk.folder.path()), before);
}

#[test]
fn no_command_writes_over_a_file_with_its_own_ending_that_it_did_not_write() {
    let desk = book();
    let foreign = |ending: &str| match ending {
        "pdf" => "%PDF-1.7\n1 0 obj\n<< /Producer (another) >>\nendobj\n",
        "html" => "<!doctype html>\n<title><meta name=\"generator\" content=\"loambook\"></title>\n",
        "csv" => "lap,time\n1,1:58.2\n",
        "json" => "{ \"schema\": 1, \"mine\": true }\n",
        "ics" => "BEGIN:VCALENDAR\r\nVERSION:2.0\r\nPRODID:-//another//EN\r\nEND:VCALENDAR\r\n",
        _ => "mine\n",
    };
    for (command, ending) in commands() {
        let file = format!("mine.{ending}");
        desk.write(&file, foreign(ending));
        let before = files(desk.folder.path());
        let output = desk.run(&to(&command, &file));
        assert_eq!(code(&output), 2, "{command:?} {ending}");
        assert!(err(&output).contains(&file), "{}", err(&output));
        assert_eq!(files(desk.folder.path()), before, "{command:?} {ending}");
    }
}

#[test]
fn an_output_of_one_form_is_not_written_over_by_another() {
    let desk = book();
    for (command, ending) in commands() {
        assert_eq!(code(&desk.run(&to(&command, &format!("a.{ending}")))), 0, "{command:?}");
        for (_, other) in commands().iter().filter(|(_, other)| *other != ending) {
            fs::rename(desk.path(&format!("a.{ending}")), desk.path(&format!("b.{other}"))).unwrap();
            let (over, _) = commands().into_iter().find(|(_, known)| known == other).unwrap();
            assert_eq!(code(&desk.run(&to(&over, &format!("b.{other}")))), 2, "{other} over {ending}");
            fs::rename(desk.path(&format!("b.{other}")), desk.path(&format!("a.{ending}"))).unwrap();
        }
        fs::remove_file(desk.path(&format!("a.{ending}"))).unwrap();
    }
}

#[test]
fn a_former_output_is_replaced_and_keeps_its_mode() {
    let desk = book();
    for (command, ending) in commands().into_iter().filter(|(_, ending)| *ending != "txt") {
        let file = format!("a.{ending}");
        let _ = fs::remove_file(desk.path(&file));
        let output = desk.run(&to(&command, &file));
        assert_eq!((code(&output), out(&output)), (0, format!("{file}\n").as_str()), "{}", err(&output));
        fs::set_permissions(desk.path(&file), fs::Permissions::from_mode(0o640)).unwrap();
        let first = fs::read(desk.path(&file)).unwrap();
        assert_eq!(code(&desk.run(&to(&command, &file))), 0, "{command:?} {ending}");
        assert_eq!(fs::read(desk.path(&file)).unwrap(), first, "the same bytes");
        assert_eq!(fs::metadata(desk.path(&file)).unwrap().permissions().mode() & 0o777, 0o640);
    }
}

#[test]
fn a_write_protected_output_stays() {
    let desk = book();
    assert_eq!(code(&desk.run(&["sheet", DAY, "-o", "a.pdf"])), 0);
    fs::set_permissions(desk.path("a.pdf"), fs::Permissions::from_mode(0o444)).unwrap();
    assert_eq!(code(&desk.run(&["sheet", DAY, "-o", "a.pdf"])), 2);
}

#[test]
fn a_named_link_is_followed_and_stays_a_link() {
    let desk = book();
    assert_eq!(code(&desk.run(&["sheet", DAY, "-o", "real.html"])), 0);
    symlink("real.html", desk.path("link.html")).unwrap();
    fs::write(desk.path("mine.html"), "mine").unwrap();
    symlink("mine.html", desk.path("foreign.html")).unwrap();
    symlink("nothing.html", desk.path("dangling.html")).unwrap();
    symlink("/dev/null", desk.path("device.html")).unwrap();
    assert_eq!(code(&desk.run(&["sheet", OTHER, "-o", "link.html"])), 0);
    assert!(desk.read("real.html").contains("10 May 2026"), "the file behind the link was written");
    for refused in ["foreign.html", "dangling.html", "device.html"] {
        assert_eq!(code(&desk.run(&["sheet", DAY, "-o", refused])), 2, "{refused}");
    }
    assert_eq!(desk.read("mine.html"), "mine");
    for link in ["link.html", "foreign.html", "dangling.html", "device.html"] {
        assert!(desk.path(link).is_symlink(), "{link}");
    }
    assert!(!desk.path("nothing.html").exists());
}

#[test]
fn a_link_in_the_place_of_a_sheet_is_not_followed() {
    let desk = book();
    assert_eq!(code(&desk.run(&["sheet", DAY, "-o", "elsewhere.pdf"])), 0);
    let before = fs::read(desk.path("elsewhere.pdf")).unwrap();
    fs::create_dir(desk.path("sheets")).unwrap();
    symlink("../elsewhere.pdf", desk.path("sheets/2026-05-10.pdf")).unwrap();
    let output = desk.run(&["sheet"]);
    assert_eq!(code(&output), 1, "{}", err(&output));
    assert!(err(&output).contains(OTHER), "{}", err(&output));
    assert!(desk.path("sheets/2026-05-09.pdf").is_file(), "the other sheet is printed");
    assert_eq!(fs::read(desk.path("elsewhere.pdf")).unwrap(), before);
}

#[test]
fn devices_and_pipes_are_written_to_and_not_replaced() {
    let desk = book();
    assert_eq!(code(&desk.run(&["sheet", DAY, "-o", "/dev/null"])), 0);
    let full = desk.run(&["sheet", DAY, "-o", "/dev/full"]);
    assert_eq!(code(&full), 2, "{}", err(&full));
    let shell = |line: &str| {
        let mut command = Command::new("sh");
        command.args(["-c", line]).current_dir(desk.folder.path());
        command.env("LOAMBOOK", PROGRAM).stderr(Stdio::inherit());
        command.output().unwrap()
    };
    let pipe = shell(&format!(
        "mkfifo p.pdf && {{ head -c 5 p.pdf & }} && \"$LOAMBOOK\" sheet {DAY} -o p.pdf > /dev/null; wait"
    ));
    assert_eq!(out(&pipe), "%PDF-");
    assert!(!desk.path("p.pdf").is_file(), "the pipe is still one");
    for (name, line) in [
        ("standard output as a file", "sheet DAY -o /dev/stdout > a.pdf; head -c 5 a.pdf"),
        ("standard output as a pipe", "sheet DAY -o /dev/stdout | head -c 5"),
        ("an open file", "sheet DAY -o /proc/self/fd/3 3> b.pdf > /dev/null; head -c 5 b.pdf"),
    ] {
        let line = format!("\"$LOAMBOOK\" {}", line.replace("DAY", DAY));
        assert_eq!(String::from_utf8_lossy(&shell(&line).stdout), "%PDF-", "{name}");
    }
    shell(&format!("echo mine > c.pdf; \"$LOAMBOOK\" sheet {DAY} -o /proc/self/fd/3 3>> c.pdf"));
    assert!(fs::read(desk.path("c.pdf")).unwrap().starts_with(b"mine\n%PDF-"), "it goes on where it was");
}

#[test]
fn a_dash_is_standard_output_and_nothing_else_is_said_there() {
    let desk = book();
    for (command, ending) in commands() {
        let format = if ending == "txt" { "text" } else { ending };
        let asked = command.iter().copied().chain(["--format", format, "-o", "-"]).collect::<Vec<_>>();
        let output = desk.run(&asked);
        assert_eq!(code(&output), 0, "{asked:?}: {}", err(&output));
        let file = format!("a-{}.{ending}", command[0]);
        assert_eq!(code(&desk.run(&to(&command, &file))), 0);
        assert_eq!(output.stdout, fs::read(desk.path(&file)).unwrap(), "{asked:?}");
    }
    assert!(!desk.path("-").exists());
    assert_eq!(code(&desk.run(&["sheet", "-o", "-"])), 2, "two sheets are not one file");
}

#[test]
fn a_name_with_an_ending_is_a_file_and_one_without_a_folder() {
    let desk = book();
    for (command, known) in commands() {
        let output = desk.run(&to(&command, "x.doc"));
        assert_eq!(code(&output), 2, "{command:?}");
        assert!(err(&output).contains(&format!("`.{known}`")), "it says what is possible: {}", err(&output));
    }
    for named in ["prints", "v1.2/", "./deep/er"] {
        let output = desk.run(&["sheet", DAY, "-o", named]);
        assert_eq!(code(&output), 0, "{}", err(&output));
        assert!(desk.path(named).join("2026-05-09.pdf").is_file(), "{named}");
    }
    assert_eq!(code(&desk.run(&["season", "--format", "csv", "-o", "prints"])), 0);
    assert!(desk.read("prints/season.csv").starts_with("machine,rider,date"));
    assert_eq!(code(&desk.run(&["sheet", DAY, "-o", "A.HTML", "--format", "pdf"])), 2);
    desk.write("notes", "mine");
    assert_eq!(code(&desk.run(&["sheet", DAY, "-o", "notes"])), 2, "a file is no folder");
    assert!(!desk.path("x.doc").exists());
}

#[test]
fn compare_says_what_it_wrote() {
    let desk = book();
    let output = desk.run(&["compare", DAY, OTHER, "-o", "c.html"]);
    assert_eq!((code(&output), out(&output)), (0, "c.html\n"));
}

#[test]
fn the_roster_of_one_date_is_not_written_over_by_that_of_another() {
    let desk = book();
    let roster = |date: &str, rest: &[&str]| {
        let asked: Vec<&str> = ["roster", "--date", date].iter().chain(rest).copied().collect();
        code(&desk.run(&asked))
    };
    for format in ["pdf", "html"] {
        for date in ["2026-05-09", "2026-05-10"] {
            assert_eq!(roster(date, &["-o", "van", "--format", format]), 0);
        }
        for date in ["2026-05-09", "2026-05-10"] {
            assert!(desk.path(&format!("van/roster-{date}.{format}")).is_file());
        }
    }
    assert_eq!(roster("2026-05-09", &["-o", "van.pdf"]), 0);
    let first = fs::read(desk.path("van.pdf")).unwrap();
    assert_eq!(roster("2026-05-10", &["-o", "van.pdf"]), 2);
    assert_eq!(fs::read(desk.path("van.pdf")).unwrap(), first);
    assert_eq!(roster("2026-05-09", &["-o", "van.pdf"]), 0, "its own may be printed again");
    assert_eq!(code(&desk.run(&["roster", "--track", "pit", "-o", "van"])), 0);
    assert!(desk.path("van/roster-2026-05-10-pit.pdf").is_file());
}

#[test]
fn a_pdf_that_only_names_the_program_is_none_of_its_own() {
    let desk = Desk::empty();
    desk.write("mine.md", "+++\nkind = \"day\"\ndate = 2026-05-09\n+++\n");
    desk.write("sheets/mine.pdf", "%PDF-1.7\n% loambook\n/Producer (loambook)\n");
    let output = desk.run(&["sheet"]);
    assert_eq!(code(&output), 2, "{}", err(&output));
    assert_eq!(desk.read("sheets/mine.pdf"), "%PDF-1.7\n% loambook\n/Producer (loambook)\n");
}
