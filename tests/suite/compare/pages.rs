//! The forms that a comparison is written in.

use super::*;

#[test]
fn dates_riders_and_seasons_are_found() {
    let book = demo();
    let told =
        run(&book, &["compare", "2026-04-25", "2026-05-09", "--machine", "corrie-450", "--rider", "senior"]);
    assert!(out(&told).contains("2 mm up"));
    let riders = run(&book, &["compare", "senior", "junior", "--on", "2026-05-09"]);
    assert!(out(&riders).contains("The senior") && out(&riders).contains("The junior"));
    let stretches = ["2026-03-01..2026-05-31", "2026-06-01..2026-12-31"];
    let season =
        ["compare", "--season", stretches[0], stretches[1], "--machine", "corrie-450", "--rider", "senior"];
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
    let folder = temp_dir::TempDir::new().unwrap();
    let pdf = folder.path().join("c.pdf");
    out(&run(&book, &["compare", EARLIER, DAY, "--format", "pdf", "-o", pdf.to_str().unwrap()]));
    assert!(fs::read(&pdf).unwrap().starts_with(b"%PDF-"));
    let legend = "a change with its ± is more than the readings may be off by; spread unknown: nobody wrote how exact it is";
    for said in ["2 mm up", "−2 psi", "12 °C", "o measurable change", legend] {
        let lines = out(&text).split_whitespace().collect::<Vec<_>>().join(" ");
        assert!(lines.contains(said), "text: {said}");
        assert!(out(&html).contains(said), "html: {said}");
    }
    assert!(refused(&run(&book, &["compare", EARLIER, DAY, "--format", "pdf"])).contains("-o"));
    let same = run(&book, &["compare", DAY, DAY]);
    assert!(out(&same).contains("Nothing differs."));
}

#[test]
fn no_line_is_wider_than_a_terminal() {
    let book = demo();
    let junior = "days/2026-05-10-junior.md";
    let season = ["--season", "2026-03-01..2026-05-31", "2026-06-01..2026-12-31", "--machine", "corrie-450"]
        .as_slice();
    for sides in [&[EARLIER, DAY, "--all"][..], &[DAY, junior], &["machines/corrie-450.md", DAY], season] {
        let told = run(&book, &[&["compare"], sides].concat());
        for line in out(&told).lines() {
            assert!(line.chars().count() <= 80, "{sides:?}: {line}");
        }
    }
}

#[test]
fn pressures_that_cannot_be_brought_are_compared_as_written_and_said_so() {
    let day = |date: &str, pressures: &str| {
        format!(
            "+++\nkind = \"day\"\ndate = {date}\nmachine = \"corrie-450\"\nrider = \"senior\"\n+++\n\n\
             ```pressures\n{pressures}\n```\n"
        )
    };
    let (one, two) = ("days/2027-01-09.md", "days/2027-01-16.md");
    let disk = Disk::new(demo());
    let book = read(
        &Memory::over(&disk)
            .with(one, day("2027-01-09", "main = \"151 psi\"\ntyre.rear = \"12 psi\""))
            .with(two, day("2027-01-16", "main = \"153 psi\"\ntyre.rear = \"12 psi\"")),
    );
    let comparison = compare(&side(&book, one), &side(&book, two), false);
    assert_eq!(ids(comparison.pressures.lines.iter()), ["gate.chamber.main", "full.chamber.main"]);
    let line = &comparison.pressures.lines[0];
    assert_eq!((line.verdict, line.expanded), (Verdict::Unknown, None));
    assert!((line.by.unwrap() - 2.0 * 6894.757293168).abs() < 1e-6);
    assert_eq!(comparison.pressures.as_written, std::slice::from_ref(&line.label));
    assert_eq!(comparison.pressures.brought_to, None);
    let told = crate::desk::told("compare.md", &comparison);
    let taken = "pressures as written, not brought to the gate".to_owned();
    assert!(comparison.assumed.contains(&taken), "{:?}", comparison.assumed);
    assert!(told.contains("As written, with no temperature to bring them by: main chamber"), "{told}");
}

/// What a program prints on a terminal: `script` is one.
#[cfg(target_os = "linux")]
#[test]
fn only_a_terminal_is_coloured_and_not_where_nobody_wants_it() {
    let command = format!("{PROGRAM} compare {EARLIER} {DAY}");
    let on_a_terminal = |no_colour: Option<&str>| {
        let mut script = Command::new("script");
        script.current_dir(demo()).args(["-qec", &command, "/dev/null"]).env_remove("NO_COLOR");
        script.envs(no_colour.map(|value| ("NO_COLOR", value)));
        String::from_utf8(script.output().unwrap().stdout).unwrap()
    };
    let plain = run(&demo(), &["compare", EARLIER, DAY]);
    let coloured = on_a_terminal(None);
    assert!(coloured.contains("\u{1b}[1mSettings\u{1b}[0m"), "{coloured}");
    // No word is lost along with the colour.
    let bare = ["1", "2", "3", "0"]
        .iter()
        .fold(coloured.clone(), |text, code| text.replace(&format!("\u{1b}[{code}m"), ""));
    assert_eq!(bare.replace("\r\n", "\n"), out(&plain));
    assert_eq!(on_a_terminal(Some("1")).replace("\r\n", "\n"), out(&plain));
    assert_eq!(on_a_terminal(Some("")), coloured);
}

#[test]
fn a_sag_that_was_read_seated_is_not_compared_with_one_read_standing() {
    let folder = temp_dir::TempDir::new().unwrap();
    copy(&demo(), folder.path());
    let path = folder.path().join(DAY);
    let text = fs::read_to_string(&path).unwrap();
    let at = text.find("```sag rear\n").unwrap() + "```sag rear\n".len();
    fs::write(&path, format!("{}posture = \"seated\"\n{}", &text[..at], &text[at..])).unwrap();
    let told = out(&run(folder.path(), &["compare", EARLIER, DAY, "--all", "--format", "json"])).to_owned();
    let told: serde_json::Value = serde_json::from_str(&told).unwrap();
    let line =
        |id: &str| told["figures"].as_array().unwrap().iter().find(|line| line["id"] == id).unwrap().clone();
    for id in ["sag.rear.rider", "sag.rear.rider_share", "balance.sag_ratio"] {
        assert_eq!(
            (&line(id)["change"], &line(id)["by"]),
            (&"one standing, one seated: not compared".into(), &serde_json::Value::Null),
            "{id}"
        );
    }
    assert!(line("sag.front.rider")["by"].is_number());
}

#[test]
fn two_years_are_compared_in_every_form() {
    let book = temp_dir::TempDir::new().unwrap();
    copy(&demo(), book.path());
    let last = fs::read_to_string(book.path().join(LAST)).unwrap();
    let path = book.path().join("days/2027-03-06-senior.md");
    fs::write(path, last.replace("date = 2026-10-17", "date = 2027-03-06")).unwrap();
    let years = ["compare", "--season", "2026", "2027", "--machine", "corrie-450", "--rider", "senior"];
    let json = run(book.path(), &[&years[..], &["--format", "json"]].concat());
    let told: Value = serde_json::from_str(out(&json)).unwrap();
    assert_eq!((&told["a"]["days"], &told["b"]["days"]), (&9.into(), &1.into()));
    assert_eq!(told["b"]["tracks"], serde_json::json!([["Tannery Pit", 1]]));
    // Nine days, by eye: 2026-05-09 is the fourth, and the tubes stood at 6 mm from then on, to the last day, when one went down.
    let height =
        told["settings"].as_array().unwrap().iter().find(|line| line["id"] == "fork.height").unwrap();
    assert_eq!((&height["a"]["median"], &height["a"]["range"]), (&"6 mm".into(), &"4–6 mm".into()));
    assert_eq!((&height["b"]["median"], &height["change"]), (&"5 mm".into(), &"1 mm down".into()));
    let html = run(book.path(), &[&years[..], &["--format", "html"]].concat());
    for said in [
        "Tannery Pit",
        "6 mm (4–6 mm)",
        "116 links",
        "48 N/mm",
        "rear rider sag",
        "one reading shows no drift",
    ] {
        assert!(out(&html).contains(said), "{said}");
    }
    // As they were written, whatever digits a computed value of their kind has.
    for line in told["settings"].as_array().unwrap() {
        for year in ["a", "b"] {
            let median = line[year]["median"].as_str().unwrap_or_default();
            assert!(!median.contains(".0"), "{}: {median}", line["id"]);
        }
    }
    let pdf = book.path().join("years.pdf");
    out(&run(book.path(), &[&years[..], &["--format", "pdf", "-o", pdf.to_str().unwrap()]].concat()));
    assert!(fs::read(&pdf).unwrap().starts_with(b"%PDF-"));
}
