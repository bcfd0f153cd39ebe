//! A sheet for every day, whatever days and folders are called.

use std::collections::BTreeMap;
use std::fs;

use super::small::{book, day};
use crate::desk::{Desk, code, err, file_names, out};

/// Days with one file name in many folders, in other capitals, with accents of both forms, and named after other
/// files.
const DAYS: [&str; 13] = [
    "days/a.md",
    "days/x/a.md",
    "days/y/A.md",
    "days-x-a.md",
    "days/x-a.md",
    "x/days/a.md",
    "days/caf\u{e9}.md",
    "days/y/cafe\u{301}.md",
    "days/STRASSE.md",
    "days/stra\u{df}e.md",
    "days/season.md",
    "days/first of June.md",
    "days/roster-2026-06-01.md",
];

fn folded(name: &str) -> String {
    name.replace("e\u{301}", "\u{e9}").to_uppercase()
}

fn many_days() -> Desk {
    let desk = book();
    fs::remove_dir_all(desk.path("days")).unwrap();
    for (at, path) in DAYS.iter().enumerate() {
        desk.write(path, &day(&format!("2026-06-{:02}", at + 1), "9 °C"));
    }
    desk
}

/// The date of each file of a folder.
fn dates(desk: &Desk, folder: &str) -> BTreeMap<String, String> {
    let mut dates = BTreeMap::new();
    for name in file_names(&desk.path(folder)) {
        let text = desk.read(&format!("{folder}/{name}"));
        let (_, behind) = text.split_once("<meta name=\"date\" content=\"").unwrap();
        dates.insert(name, behind[..10].to_owned());
    }
    dates
}

#[test]
fn days_of_one_stem_each_have_a_sheet_on_any_disk() {
    let desk = many_days();
    for _ in 0..4 {
        let output = desk.run(&["sheet", "-o", "print", "--format", "html"]);
        assert_eq!(code(&output), 0, "{}", err(&output));
        assert_eq!(out(&output).lines().count(), DAYS.len());
        let dates = dates(&desk, "print");
        assert_eq!(dates.len(), DAYS.len(), "{dates:?}");
        let mut seen: Vec<String> = dates.keys().map(|name| folded(name)).collect();
        seen.sort();
        seen.dedup();
        assert_eq!(seen.len(), DAYS.len(), "{dates:?}");
        let mut of: Vec<&String> = dates.values().collect();
        of.sort();
        of.dedup();
        assert_eq!(of.len(), DAYS.len(), "each is of a day of its own: {dates:?}");
    }
}

#[test]
fn a_day_has_the_same_file_whichever_days_are_asked_for() {
    let desk = many_days();
    assert_eq!(code(&desk.run(&["sheet", "-o", "print", "--format", "html"])), 0);
    let before = dates(&desk, "print");
    for path in DAYS {
        assert_eq!(code(&desk.run(&["sheet", path, "-o", "print", "--format", "html"])), 0);
    }
    assert_eq!(dates(&desk, "print"), before);
}

#[test]
fn a_roster_of_days_of_one_stem_has_all_their_sheets() {
    let desk = many_days();
    for (at, path) in DAYS.iter().enumerate() {
        let rider = desk.read("riders/wren.md");
        desk.write(&format!("riders/wren-{at}.md"), &rider);
        let day = day("2026-06-01", "9 °C").replace("\"wren\"", &format!("\"wren-{at}\""));
        desk.write(path, &day);
    }
    let output = desk.run(&["roster", "--date", "2026-06-01", "-o", "van", "--format", "html"]);
    assert_eq!(code(&output), 0, "{}", err(&output));
    let names = file_names(&desk.path("van"));
    assert_eq!(names.len(), DAYS.len() + 1, "{names:?}");
    let roster = desk.read("van/roster-2026-06-01.html");
    for name in names.iter().filter(|name| *name != "roster-2026-06-01.html") {
        let address =
            name.replace('\u{e9}', "%C3%A9").replace('\u{301}', "%CC%81").replace('\u{df}', "%C3%9F");
        let address = address.replace(' ', "%20");
        assert!(roster.contains(&format!("href=\"{address}\"")), "{name}: {roster}");
    }
}

#[test]
fn names_of_255_bytes_are_written_and_cut_where_the_sheet_would_be_longer() {
    let desk = book();
    let (long, other) = ("a".repeat(252), format!("{}b", "a".repeat(251)));
    for (name, date) in [(&long, "2026-07-01"), (&other, "2026-07-02")] {
        desk.write(&format!("days/{name}.md"), &day(date, "9 °C"));
    }
    let output = desk.run(&["sheet", "-o", "print", "--format", "html"]);
    assert_eq!(code(&output), 0, "{}", err(&output));
    let dates = dates(&desk, "print");
    assert_eq!(dates.len(), 4, "{dates:?}");
    assert!(dates.keys().all(|name| name.len() <= 255 && name.ends_with(".html")));
    let machine = "m".repeat(252);
    assert_eq!(code(&desk.run(&["new", "machine", &machine])), 0);
    assert!(desk.path(&format!("machines/{machine}.md")).is_file());
    let file = format!("{}.pdf", "p".repeat(251));
    assert_eq!(code(&desk.run(&["sheet", "days/2026-05-09.md", "-o", &file])), 0);
    assert_eq!(code(&desk.run(&["sheet", "days/2026-05-09.md", "-o", &file])), 0);
}

#[test]
fn what_cannot_be_printed_is_named_and_stops_no_other() {
    let desk = book();
    desk.write("sheets/2026-05-09.pdf", "mine");
    desk.write("sheets/2026-05-10.pdf/kept", "mine");
    desk.write("days/2026-05-11.md", &day("2026-05-11", "9 °C"));
    let output = desk.run(&["sheet"]);
    assert_eq!(code(&output), 1, "{}", err(&output));
    assert!(out(&output).contains("2026-05-11.pdf") && out(&output).lines().count() == 1, "{}", out(&output));
    for named in ["days/2026-05-09.md", "days/2026-05-10.md"] {
        assert!(err(&output).contains(named), "{named}: {}", err(&output));
    }
    assert_eq!(desk.read("sheets/2026-05-09.pdf"), "mine");
}

#[test]
fn a_leg_at_absolute_zero_is_a_finding_at_its_place() {
    for at in ["-273.15 °C", "0 K", "-459.67 °F", "-200 °C", "400 °C"] {
        let desk = book();
        desk.write("days/2026-05-11.md", &day("2026-05-11", at));
        let output = desk.run(&["check", "--on", "2026-05-11", "--format", "json"]);
        let findings: Vec<serde_json::Value> =
            out(&output).lines().map(|line| serde_json::from_str(line).unwrap()).collect();
        let of_value: Vec<&serde_json::Value> =
            findings.iter().filter(|finding| finding["code"] == "quantity/impossible").collect();
        assert_eq!(of_value.len(), 1, "{at}: {findings:?}");
        assert_eq!(of_value[0]["file"], "days/2026-05-11.md", "{at}: {findings:?}");
        let sheets = desk.run(&["sheet"]);
        assert_eq!((code(&sheets), out(&sheets).lines().count()), (1, 3), "{at}: {}", err(&sheets));
        assert!(!err(&sheets).contains("template"), "{at}: {}", err(&sheets));
    }
}
