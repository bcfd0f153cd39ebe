//! A book is found, a named file is checked, and what is due or outside its band is listed.

use std::fs;

use serde_json::Value;

use crate::desk::{Desk, code, err, out};

/// A small machine with a band and things that are looked at at intervals.
const MACHINE: &str = r#"+++
kind = "machine"
+++

```band
sag.rear.rider = { within = "100..110 mm", recheck = "30 days" }
steering.drop = { want = "stays", recheck = "14 days" }
```
"#;

fn day(date: &str, rest: &str) -> String {
    format!(
        "+++\nkind = \"day\"\ndate = {date}\nmachine = \"corrie\"\nrider = \"me\"\ntrack = \"pit\"\n+++\n\n{rest}"
    )
}

fn sag(aboard: &str) -> String {
    format!("```sag rear\nhanging = \"612 mm\"\naboard = \"{aboard}\"\n```\n")
}

fn book() -> Desk {
    let desk = Desk::empty();
    desk.write("book.toml", "title = \"A small book\"\n");
    desk.write("machines/corrie.md", MACHINE);
    desk.write("riders/me.md", "+++\nkind = \"rider\"\nname = \"Wren\"\n+++\n");
    desk.write("tracks/pit.md", "+++\nkind = \"track\"\n+++\n");
    desk
}

/// The findings of a run, in the form for programs.
fn found(desk: &Desk, arguments: &[&str]) -> Vec<Value> {
    let arguments: Vec<&str> = arguments.iter().copied().chain(["--format", "json"]).collect();
    let output = desk.run(&arguments);
    assert!(code(&output) < 2, "{}", err(&output));
    out(&output).lines().map(|line| serde_json::from_str(line).unwrap()).collect()
}

fn codes(findings: &[Value]) -> Vec<&str> {
    findings.iter().map(|finding| finding["code"].as_str().unwrap()).collect()
}

/// At the track one types a date, or what the file is called.
#[test]
fn a_notebook_is_asked_for_by_its_name_and_a_day_by_its_date() {
    let desk = book();
    desk.write("days/2026-04-11-me.md", &day("2026-04-11", &sag("507 507 mm")));
    desk.write("days/wet.md", &day("2026-04-18", &sag("506 506 mm")));
    desk.write("days/wet-evening.md", &day("2026-04-18", &sag("505 505 mm")));
    desk.write("tracks/me.md", "+++\nkind = \"track\"\n+++\n");
    let asked_for = |asked: &str| {
        let output = desk.run(&["figures", asked, "--format", "json"]);
        assert_eq!(code(&output), 0, "{asked}: {}", err(&output));
        let pages = out(&output).lines().map(|line| serde_json::from_str::<Value>(line).unwrap());
        pages.map(|page| page["notebook"].as_str().unwrap().to_owned()).collect::<Vec<_>>()
    };
    assert_eq!(asked_for("wet"), ["days/wet.md"]);
    assert_eq!(asked_for("2026-04-11-me"), ["days/2026-04-11-me.md"]);
    assert_eq!(asked_for("2026-04-11"), ["days/2026-04-11-me.md"]);
    assert_eq!(asked_for("2026-04-18").len(), 2, "a date is all of its days");
    assert_eq!(asked_for("corrie"), ["machines/corrie.md"]);
    for command in ["next", "sheet", "state", "check", "why"] {
        let figure = (command == "why").then_some("sag.rear.rider");
        let arguments: Vec<&str> = [command].into_iter().chain(figure).chain(["wet"]).collect();
        assert!(code(&desk.run(&arguments)) < 2, "{arguments:?}");
    }
    for sides in [&["2026-04-11-me", "wet"][..], &["wet:9", "wet"], &["2026-04-11", "wet-evening"]] {
        let output = desk.run(&[&["compare"], sides].concat());
        assert_eq!(code(&output), 0, "{sides:?}: {}", err(&output));
    }
    for (asked, said) in [
        ("wett", "did you mean `wet`?"),
        ("me", "give the path: riders/me.md, tracks/me.md"),
        ("days/wett.md", "did you mean `days/wet.md`?"),
        ("2026-05-01", "give a notebook by its path or its name, or a day by its date"),
    ] {
        let output = desk.run(&["sheet", asked]);
        assert_eq!(code(&output), 2, "{asked}");
        assert!(err(&output).contains(said), "{asked}: {}", err(&output));
    }
    // What is there is a path, whatever else its name could mean.
    desk.write("wet/2026-05-02.md", &day("2026-05-02", &sag("504 504 mm")));
    assert_eq!(asked_for("wet"), ["wet/2026-05-02.md"]);
}

#[test]
fn without_a_book_a_command_says_how_one_is_made() {
    let desk = Desk::empty();
    desk.write("plain/a.md", "Prose.\n");
    for arguments in
        [&["check"][..], &["sheet"], &["due"], &["new", "machine", "corrie"], &["new", "day", "saturday"]]
    {
        let output = desk.run(arguments);
        assert_eq!(code(&output), 2, "{arguments:?}");
        let said = err(&output);
        assert!(said.contains("there is no book here") && said.contains("loambook new book NAME"), "{said}");
    }
    assert_eq!(fs::read_dir(desk.folder.path()).unwrap().count(), 1, "nothing is written");
    // A named file is looked at, in a book or not.
    for named in ["plain", "plain/a.md"] {
        assert!(code(&desk.run(&["check", named])) < 2, "{named}");
    }
}

#[test]
fn a_book_inside_another_is_a_book_of_its_own() {
    let desk = book();
    desk.write("lent/book.toml", "");
    desk.write("lent/days/2026-04-11.md", &day("2026-13-11", ""));
    assert_eq!(code(&desk.run(&["check"])), 0);
    assert_eq!(code(&desk.run_in("lent", &["check"])), 1);
}

#[test]
fn the_first_lines_of_the_readme_work_to_the_letter() {
    let readme = include_str!("../../README.md");
    let lines: Vec<&str> = readme
        .lines()
        .skip_while(|line| !line.starts_with("    loambook new book"))
        .take_while(|line| line.starts_with("    "))
        .take(14)
        .collect();
    assert!(lines.iter().any(|line| line.contains("loambook sheet")), "{lines:?}");
    let desk = Desk::empty();
    let mut folder = String::new();
    for line in lines {
        let typed = line.split('#').next().unwrap();
        let words: Vec<&str> = typed.split_whitespace().collect();
        match words.as_slice() {
            ["cd", into] => folder = (*into).to_owned(),
            ["loambook", arguments @ ..] => {
                let output = desk.run_in(&folder, arguments);
                assert_eq!(code(&output), 0, "{line}\n{}{}", out(&output), err(&output));
                if arguments == ["check"] {
                    assert_eq!(out(&output), "", "an untouched book is silent");
                }
            }
            _ => panic!("{line}"),
        }
    }
}

#[test]
fn what_is_overdue_is_one_line_for_machine_and_rider_with_a_label_for_each_thing() {
    let desk = book();
    let steering = "```steering\ndrop = \"stays\"\n```\n";
    desk.write("days/2026-04-11.md", &day("2026-04-11", &(sag("507 mm") + "\n" + steering)));
    desk.write("days/2026-05-20.md", &day("2026-05-20", ""));
    let findings = found(&desk, &["check", "--on", "2026-08-01"]);
    assert_eq!(codes(&findings), ["check/overdue"]);
    let [finding] = findings.as_slice() else { panic!() };
    assert_eq!(finding["file"], "days/2026-05-20.md");
    let headline = finding["headline"].as_str().unwrap();
    assert!(
        headline.starts_with("2 things are due on corrie") && headline.contains("`loambook due`"),
        "{headline}"
    );
    let labels: Vec<&str> =
        finding["labels"].as_array().unwrap().iter().map(|label| label["text"].as_str().unwrap()).collect();
    assert!(labels[0].starts_with("rear rider sag:") && labels[1].starts_with("steering drop"), "{labels:?}");
    let listed = desk.run(&["due", "--on", "2026-08-01"]);
    assert!(out(&listed).contains("rear rider sag") && out(&listed).contains("drop"), "{}", out(&listed));
}

#[test]
fn what_a_past_day_left_outside_its_band_is_told_of_the_last_day_or_where_it_was_asked() {
    let desk = book();
    desk.write("days/2026-04-11.md", &day("2026-04-11", &sag("490 mm")));
    desk.write("days/2026-04-12.md", &day("2026-04-12", &sag("491 mm")));
    let files = |findings: &[Value]| -> Vec<String> {
        let outside = findings.iter().filter(|finding| finding["code"] == "band/outside");
        outside.map(|finding| finding["file"].as_str().unwrap().to_owned()).collect()
    };
    let whole = found(&desk, &["check", "--on", "2026-04-13"]);
    assert_eq!(files(&whole), ["days/2026-04-12.md"]);
    let named = found(&desk, &["check", "days/2026-04-11.md", "--on", "2026-04-13"]);
    assert_eq!(files(&named), ["days/2026-04-11.md"]);
    // Put right on the last day: what was wrong before no longer counts.
    desk.write("days/2026-04-13.md", &day("2026-04-13", &sag("507 mm")));
    assert!(files(&found(&desk, &["check", "--on", "2026-04-13"])).is_empty());
    // Accepted, beside the reading or in the band.
    let accepted = sag("490 mm").replace("aboard", "accepted = \"he likes it low\"\naboard");
    desk.write("days/2026-04-13.md", &day("2026-04-13", &accepted));
    assert!(files(&found(&desk, &["check", "--on", "2026-04-13"])).is_empty());
    desk.write("days/2026-04-13.md", &day("2026-04-13", &sag("490 mm")));
    assert_eq!(files(&found(&desk, &["check", "--on", "2026-04-13"])).len(), 1);
    desk.write("machines/corrie.md", &MACHINE.replace("110 mm\",", "110 mm\", accepted = \"sand\","));
    assert!(files(&found(&desk, &["check", "--on", "2026-04-13"])).is_empty());
}

#[test]
fn the_newest_day_is_said_first_within_a_weight() {
    let desk = book();
    for date in ["2026-04-11", "2026-04-12"] {
        desk.write(&format!("days/{date}.md"), &day(date, "```change\nfork.height = \"2 mm\"\n```\n"));
    }
    let output = desk.run(&["check", "--brief", "--on", "2026-04-13"]);
    let said = out(&output);
    let at = |day: &str| said.find(day).unwrap();
    assert!(at("days/2026-04-12.md") < at("days/2026-04-11.md"), "{said}");
}

#[test]
fn an_unknown_machine_and_a_broken_date_are_one_finding_each() {
    let desk = book();
    let body = "`@sag.rear.rider`\n\n```change\nfork.height = \"2 mm down\"\nfork.compression = \"2 clicks in\"\nbecause = \"x\"\n```\n\n```settings\nchamber.main = \"150 psi\"\n```\n";
    desk.write("days/2026-04-11.md", &day("2026-04-11", body).replace("\"corrie\"", "\"corry\""));
    assert_eq!(codes(&found(&desk, &["check", "--on", "2026-04-13"])), ["link/unknown"]);
    desk.write("days/2026-04-11.md", &day("15.08.2026", &sag("507 mm")));
    let findings = found(&desk, &["check", "--on", "2026-09-13"]);
    assert_eq!(codes(&findings), ["toml/unquoted"]);
    assert!(findings[0]["remedy"].to_string().contains("date = 2026-08-15"), "{}", findings[0]);
}

#[test]
fn names_that_are_asked_for_are_found_or_the_nearest_is_told() {
    let desk = book();
    desk.write("days/2026-04-11.md", &day("2026-04-11", &sag("507 mm")));
    let said = |arguments: &[&str], holds: &str| {
        let output = desk.run(arguments);
        let all = format!("{}{}", out(&output), err(&output));
        assert!(all.contains(holds), "{arguments:?}: {all}");
        code(&output)
    };
    assert_eq!(said(&["rule", "sag"], "sag/reading-order"), 0);
    assert_eq!(said(&["words", "fork.height"], "fork.height"), 0);
    assert_eq!(said(&["words", "sag.rear.rider"], "sag.rear.rider"), 0);
    assert_eq!(said(&["words", "sag.rear"], "sag.rear.static"), 0);
    assert_eq!(said(&["words", "feel"], "knifes"), 0);
    assert_eq!(said(&["words", "fork.comp"], "did you mean `fork.compression`?"), 2);
    assert_eq!(said(&["why", "sag.rear", "days/2026-04-11.md"], "`sag.rear.rider`"), 2);
    assert_eq!(said(&["rule", "sag/reading"], "did you mean `sag/reading-order`"), 2);
}

/// Four months by hand with twenty slips.
#[test]
fn twenty_slips_in_four_months_are_at_most_one_finding_each() {
    const SLIPS: usize = 20;
    let folder = concat!(env!("CARGO_MANIFEST_DIR"), "/tests/notebooks/slips");
    let findings = found(&Desk::empty(), &["check", folder, "--on", "2026-09-06"]);
    let due = codes(&findings).iter().filter(|code| **code == "check/overdue").count();
    assert_eq!(due, 1);
    // Feelings that are understood as meant have no finding.
    assert!(
        (SLIPS - 3..=SLIPS).contains(&(findings.len() - due)),
        "{} findings: {:?}",
        findings.len(),
        codes(&findings)
    );
}

#[test]
fn a_day_that_is_only_prepared_may_lie_ahead() {
    let desk = book();
    let prepare = [
        "prepare",
        "--machine",
        "corrie",
        "--rider",
        "me",
        "--track",
        "pit",
        "--date",
        "2026-05-09",
        "--air",
        "24 °C",
    ];
    let output = desk.run(&prepare);
    assert!(desk.path("days/2026-05-09-me.md").is_file(), "{}", err(&output));
    let ahead = |findings: &[Value]| codes(findings).contains(&"date/in-the-future");
    assert!(!ahead(&found(&desk, &["check", "--on", "2026-05-01"])));
    let ridden = desk.read("days/2026-05-09-me.md") + "\n```stint\nlaps = \"2:01 2:02\"\n```\n";
    desk.write("days/2026-05-09-me.md", &ridden);
    assert!(ahead(&found(&desk, &["check", "--on", "2026-05-01"])));
}
