//! A block with an error in it counts for nothing, and stops nothing else.

use serde_json::Value;

use crate::desk::{Desk, code, err, file_names, out};

/// An invented machine with its rider, and a first day in June on which all is well.
const BOOK: &[(&str, &str)] = &[
    ("book.toml", "title = \"Slips\"\n[defaults]\nmachine = \"heron\"\nrider = \"wren\"\n"),
    ("riders/wren.md", "+++\nkind = \"rider\"\n+++\n\n```rider\nmass = \"78 kg\"\n```\n"),
    ("tracks/pit.md", "+++\nkind = \"track\"\n+++\n\n```track\nelevation = \"300 m\"\n```\n"),
    (
        "machines/heron.md",
        r#"+++
kind = "machine"
+++

```frame
rake = "26.9°"
trail = "115 mm"
wheelbase = "1485 mm"
swingarm = "590 mm"
pivot_height = "410 mm"
mass = "112 kg"
front_share = "49 %"
```

```wheel front
loaded_radius = "345 mm"
```

```wheel rear
loaded_radius = "330 mm"
```

```fork
kind = "coil"
travel = "300 mm"
```

```shock
travel = "310 mm"
leverage = 2.8
spring = "52 N/mm"
thread_pitch = "1.5 mm"
```

```settings
shock.preload = "8 mm"
fork.height = "5 mm"
```

```band
sag.rear.rider = { aim = "105 mm", within = "100..110 mm" }
```
"#,
    ),
];

const JUNE: &str = "\n```sag front\nhanging = \"500 mm\"\naboard  = \"430 mm\"\n```\n\n```sag rear\nhanging = \"612 mm\"\n\
                    alone   = \"577 mm\"\naboard  = \"500 mm\"\n```\n";
/// A unit that does not exist, on line 9.
const JULY: &str = "\n```sag rear\nhanging = \"612 mm\"\nalone   = \"577 mm\"\naboard  = \"507 nm\"\n```\n";

fn desk(days: &[(&str, &str)]) -> Desk {
    let desk = Desk::empty();
    for (path, text) in BOOK {
        desk.write(path, text);
    }
    for (date, text) in days {
        let head = format!("+++\nkind = \"day\"\ndate = {date}\ntrack = \"pit\"\n+++\n");
        desk.write(&format!("days/{date}.md"), &format!("{head}{text}"));
    }
    desk
}

/// A figure as a day ends on it.
fn figure(desk: &Desk, date: &str, id: &str) -> Value {
    let all = desk.json(&["figures", &format!("days/{date}.md")]);
    let mut lines = all["figures"].as_array().unwrap().iter();
    lines.rfind(|line| line["id"] == id).unwrap_or_else(|| panic!("no {id}")).clone()
}

fn missing(desk: &Desk, date: &str, id: &str) -> String {
    let figure = figure(desk, date, id);
    assert!(figure["value"].is_null(), "{figure}");
    figure["missing"].as_array().unwrap().iter().map(|it| it.as_str().unwrap()).collect::<Vec<_>>().join("; ")
}

#[test]
fn no_figure_rests_on_readings_that_were_swapped() {
    let day = JUNE
        .replace("577", "500_")
        .replace("aboard  = \"500 mm\"", "aboard  = \"577 mm\"")
        .replace("500_", "500");
    let desk = desk(&[("2026-06-11", &day)]);
    // The finding is placed at the earlier of the two, line 14.
    for id in ["sag.rear.static", "sag.rear.rider", "spring.rear.collar_turns", "spring.rear.rate_fitted"] {
        assert_eq!(missing(&desk, "2026-06-11", id), "written, with an error at line 14", "{id}");
    }
    // What was read of the front counts.
    assert!(figure(&desk, "2026-06-11", "sag.front.rider")["value"].is_number());
}

#[test]
fn another_digit_is_one_finding_and_no_sag() {
    for (from, to) in
        [("\"612 mm\"", "\"6120 mm\""), ("\"577 mm\"", "\"57 mm\""), ("alone   = \"577", "alone   = \"5770")]
    {
        let desk = desk(&[("2026-06-11", &JUNE.replace(from, to))]);
        let output = desk.run(&["check", "days/2026-06-11.md", "--format", "json"]);
        let errors = out(&output).lines().filter(|line| line.contains("\"severity\":\"error\"")).count();
        assert_eq!(errors, 1, "{to}: {}", out(&output));
        assert!(missing(&desk, "2026-06-11", "sag.rear.static").starts_with("written"), "{to}");
    }
}

#[test]
fn an_older_reading_does_not_stand_in_for_one_with_an_error() {
    let desk = desk(&[("2026-06-11", JUNE), ("2026-07-11", JULY), ("2026-10-11", "\nNothing new.\n")]);
    assert!(figure(&desk, "2026-06-11", "spring.rear.collar_turns")["value"].is_number());
    assert_eq!(missing(&desk, "2026-07-11", "sag.rear.rider"), "written, with an error at line 10");
    for id in [
        "sag.rear.rider",
        "sag.rear.rider_expected",
        "spring.rear.collar_turns",
        "spring.rear.preload_wanted",
        "geometry.trail",
    ] {
        let place = "written, with an error at days/2026-07-11.md:10";
        assert_eq!(missing(&desk, "2026-10-11", id), place, "{id}");
    }
    assert!(figure(&desk, "2026-10-11", "sag.rear.static")["value"].is_number());
    // No point of the season comes from it either.
    let season = desk.run(&["season", "heron", "--format", "json"]);
    assert!(!out(&season).contains("0.105"), "{}", out(&season));
}

#[test]
fn a_slip_in_july_empties_a_box_of_octobers_sheet_and_stops_nothing_else() {
    let desk = desk(&[("2026-06-11", JUNE), ("2026-07-11", JULY), ("2026-10-11", "\nNothing new.\n")]);
    let output = desk.run(&["sheet", "-o", "print", "--format", "html"]);
    assert_eq!(code(&output), 1, "{}", err(&output));
    assert_eq!(file_names(&desk.path("print")), ["2026-06-11.html", "2026-07-11.html", "2026-10-11.html"]);
    let sheet = desk.read("print/2026-10-11.html");
    assert!(sheet.contains("days/2026-07-11.md line 10"), "{sheet}");
    assert!(sheet.contains("written, with an error at days/2026-07-11.md:10"), "{sheet}");
    assert!(!desk.read("print/2026-06-11.html").contains("2026-07-11"));
    // Nothing on the sheet of June comes from it.
    assert_eq!(code(&desk.run(&["sheet", "days/2026-06-11.md", "-o", "june", "--format", "html"])), 0);
    // October's check names what is in its way.
    let check = desk.run(&["check", "days/2026-10-11.md"]);
    assert_eq!(code(&check), 1);
    assert!(out(&check).contains("days/2026-07-11.md:10"), "{}", out(&check));
    assert_eq!(code(&desk.run(&["check", "days/2026-06-11.md"])), 0);
}

#[test]
fn a_setting_with_an_error_is_not_carried_on_as_it_was() {
    let change = "\n```change\nfork.height = \"2 mm in\"\nbecause = \"it wanders\"\n```\n";
    let later = "\n```change\nfork.height = \"2 mm down\"\nbecause = \"it wanders still\"\n```\n";
    let desk = desk(&[("2026-06-11", JUNE), ("2026-07-11", change), ("2026-10-11", later)]);
    assert!(figure(&desk, "2026-06-11", "geometry.rake")["value"].is_number());
    assert_eq!(
        missing(&desk, "2026-10-11", "geometry.rake"),
        "written, with an error at days/2026-07-11.md:8"
    );
    // A step from a setting that nobody knows is no second finding.
    let output = desk.run(&["check", "--format", "json"]);
    let errors: Vec<&str> = out(&output).lines().filter(|line| line.contains("\"error\"")).collect();
    assert_eq!(errors.len(), 1, "{errors:?}");
    // Back is back: the setting before the slip is in force again.
    let back = "\n```change\nback = true\n```\n";
    desk.write("days/2026-10-11.md", &desk.read("days/2026-10-11.md").replace(later, back));
    assert!(figure(&desk, "2026-10-11", "geometry.rake")["value"].is_number());
}

#[test]
fn what_is_written_with_an_error_is_not_assumed() {
    let desk = desk(&[("2026-06-11", JUNE)]);
    let machine = desk.read("machines/heron.md");
    desk.write(
        "machines/heron.md",
        &machine.replace("loaded_radius = \"330 mm\"", "loaded_radius = \"330 mm\"\nunsprung = \"25 kgs\""),
    );
    let place = missing(&desk, "2026-06-11", "spring.rear.rate_fitted");
    assert!(place.contains("machines/heron.md:21"), "{place}");
    assert!(figure(&desk, "2026-06-11", "sag.rear.rider")["value"].is_number());
}

#[test]
fn loads_that_cannot_be_carry_no_spring() {
    let day = format!("{JUNE}\n```scales\nfront_alone = \"52 kg\"\nrear_alone = \"588 kg\"\n```\n");
    let desk = desk(&[("2026-06-11", &day)]);
    assert_eq!(missing(&desk, "2026-06-11", "spring.rear.rate_fitted"), "written, with an error at line 20");
    assert!(figure(&desk, "2026-06-11", "sag.rear.rider")["value"].is_number());
}
