//! Everyday use: commands without a path, the short list of figures, several riders on one machine.

use super::desk::{Desk, code, err, out};

const MACHINE: &str = "+++\nkind = \"machine\"\n+++\n\n```drive\nfront = 13\nrear = 50\n```\n\n\
    ```shock\ntravel = \"300 mm\"\nspring = \"48 N/mm\"\n```\n";

fn day(date: &str, machine: &str, rider: &str, more: &str, body: &str) -> String {
    format!(
        "+++\nkind = \"day\"\ndate = {date}\nmachine = \"{machine}\"\nrider = \"{rider}\"\n{more}+++\n\n{body}\n"
    )
}

fn sag(aboard: u32) -> String {
    format!("```sag rear\nhanging = \"600 mm\"\nalone = \"565 mm\"\naboard = \"{aboard} mm\"\n```\n")
}

/// Two riders on a machine, one of them on another too; the book's own are the heron and Wren.
fn book() -> Desk {
    let desk = Desk::empty();
    desk.write("book.toml", "[defaults]\nmachine = \"heron\"\nrider = \"wren\"\n");
    for machine in ["heron", "snipe"] {
        desk.write(&format!("machines/{machine}.md"), MACHINE);
    }
    for rider in ["wren", "ash"] {
        desk.write(&format!("riders/{rider}.md"), "+++\nkind = \"rider\"\n+++\n");
    }
    desk.write("days/2026-04-04.md", &day("2026-04-04", "heron", "wren", "", &sag(495)));
    desk.write("days/2026-05-09.md", &day("2026-05-09", "heron", "wren", "", &sag(490)));
    desk.write("days/2026-06-06.md", &day("2026-06-06", "snipe", "ash", "", &sag(480)));
    desk
}

#[test]
fn without_a_path_commands_take_the_last_day_of_the_books_own_machine_and_rider() {
    let desk = book();
    for arguments in [&["figures"][..], &["state"], &["next"], &["why", "sag.rear.rider"]] {
        let output = desk.run(arguments);
        let told = format!("{}{}", out(&output), err(&output));
        assert_eq!(code(&output), 0, "{arguments:?}: {told}");
        assert!(told.contains("2026-05-09") && !told.contains("2026-06-06"), "{arguments:?}: {told}");
    }
    for arguments in [&["spring"][..], &["gearing"]] {
        let output = desk.run(arguments);
        assert_eq!(code(&output), 0, "{arguments:?}: {}", err(&output));
        let named = desk.run(&[arguments[0], "days/2026-05-09.md"]);
        assert_eq!(out(&output), out(&named));
    }
    desk.write("book.toml", "");
    assert!(out(&desk.run(&["figures"])).contains("2026-06-06"));
}

#[test]
fn without_a_path_and_without_a_day_it_is_said_that_there_is_none() {
    let desk = Desk::empty();
    desk.write("book.toml", "");
    for arguments in
        [&["figures"][..], &["state"], &["next"], &["spring"], &["gearing"], &["why", "sag.rear.rider"]]
    {
        let output = desk.run(arguments);
        assert_eq!(code(&output), 2, "{arguments:?}");
        assert!(err(&output).contains("no day"), "{arguments:?}: {}", err(&output));
    }
}

#[test]
fn why_of_a_folder_is_of_its_last_day_and_names_it() {
    let desk = book();
    let output = desk.run(&["why", "sag.rear.rider", "days"]);
    assert_eq!(code(&output), 0, "{}", err(&output));
    assert!(out(&output).contains("120"), "{}", out(&output));
    assert!(err(&output).contains("days/2026-06-06.md"), "{}", err(&output));
    let one = desk.run(&["why", "sag.rear.rider", "days/2026-04-04.md"]);
    assert!(out(&one).contains("105") && err(&one).is_empty(), "{}{}", out(&one), err(&one));
}

#[test]
fn figures_of_a_machine_are_of_its_standard_setting_and_other_notebooks_have_none() {
    let desk = book();
    let all = desk.json(&["figures", "machines/heron.md"]);
    assert_eq!(all["notebook"], "machines/heron.md");
    let ratio = all["figures"].as_array().unwrap().iter().find(|line| line["id"] == "drive.ratio").unwrap();
    assert!((ratio["value"].as_f64().unwrap() - 50.0 / 13.0).abs() < 1e-9);
    for arguments in
        [["figures", "riders/wren.md"], ["sheet", "machines/heron.md"], ["sheet", "riders/wren.md"]]
    {
        let output = desk.run(&arguments);
        assert_eq!(code(&output), 2, "{arguments:?}: {}", out(&output));
        assert!(err(&output).contains(arguments[1]), "{arguments:?}: {}", err(&output));
    }
}

#[test]
fn figures_fit_eighty_columns_with_what_was_assumed_at_the_foot() {
    let desk = Desk::empty();
    let notebooks = concat!(env!("CARGO_MANIFEST_DIR"), "/notebooks/days");
    let few = desk.run(&["figures", notebooks]);
    let all = desk.run(&["figures", notebooks, "--all"]);
    for text in [out(&few), out(&all)] {
        for line in text.lines() {
            assert!(line.chars().count() <= 80, "{line}");
        }
        assert!(text.contains("  1. ") && text.contains("assumed: "), "{text}");
    }
    assert!(out(&few).contains("sag.rear.rider") && !out(&few).contains("fork.force"));
    assert!(out(&few).contains("with `--all`") && !out(&all).contains("with `--all`"));
    assert!(out(&all).contains("fork.force.50"));
}

/// Which of Ash and Wren rode last on one day, each with lines for the head and for the day; by its name Ash's file comes
/// first.
fn last_of_the_day(ash: (&str, &str), wren: (&str, &str)) -> &'static str {
    let desk = book();
    let rear = |rear: u32| format!("```settings\ndrive.rear = {rear}\n```\n\n");
    let body = |rear_teeth: u32, stint: &str| rear(rear_teeth) + stint;
    desk.write("days/2026-07-04-ash.md", &day("2026-07-04", "heron", "ash", ash.0, &body(52, ash.1)));
    desk.write("days/2026-07-04-wren.md", &day("2026-07-04", "heron", "wren", wren.0, &body(48, wren.1)));
    desk.write("days/2026-07-11.md", &day("2026-07-11", "heron", "wren", "", ""));
    let state = desk.run(&["state", "days/2026-07-11.md"]);
    let line = out(&state).lines().find(|line| line.contains("drive.rear")).unwrap_or_default();
    assert!(line.contains("52") || line.contains("48"), "{}{}", out(&state), err(&state));
    if line.contains("52") { "ash" } else { "wren" }
}

fn starting_at(time: &str) -> String {
    format!("```stint\nstart = \"{time}\"\n```\n")
}

#[test]
fn riders_on_one_machine_on_one_day_follow_the_clock_or_their_order_and_not_the_files_names() {
    let (gearing, at) = (last_of_the_day, starting_at);
    assert_eq!(gearing(("", ""), ("", "")), "wren");
    assert_eq!(gearing(("", &at("14:30")), ("", &at("9:15"))), "ash");
    assert_eq!(gearing(("", &at("9:15")), ("", &at("14:30"))), "wren");
    assert_eq!(gearing(("order = 2\n", ""), ("order = 1\n", "")), "ash");
    // What a notebook says outright goes before the clock.
    assert_eq!(gearing(("order = 2\n", &at("9:15")), ("order = 1\n", &at("14:30"))), "ash");
}

#[test]
fn a_start_at_a_huge_hour_is_no_time_and_ends_nothing() {
    // In minutes the first three are more than a number of 32 bits holds.
    for time in
        ["99999999:00", "4294967295:59", "71582789:00", "24:00", "9:60", "-1:00", "99999999999999999999:00"]
    {
        // An invalid time sorts behind a valid one.
        let last = last_of_the_day(("", &starting_at(time)), ("", &starting_at("23:59")));
        assert_eq!(last, "ash", "{time}");
    }
}

#[test]
fn git_is_told_how_once_and_another_way_is_left() {
    let desk = book();
    let git = |arguments: &[&str]| {
        let run = std::process::Command::new("git").arg("-C").arg(desk.path("")).args(arguments).output();
        String::from_utf8(run.unwrap().stdout).unwrap()
    };
    let driver = ["config", "--local", "--get-all", "diff.loambook.textconv"];
    git(&["init", "-q"]);
    for _ in 0..2 {
        let output = desk.run(&["git-attributes", "--write"]);
        assert_eq!((code(&output), err(&output)), (0, ""));
        assert!(!out(&output).contains("git config diff.loambook.textconv"), "{}", out(&output));
        assert_eq!(git(&driver), "loambook state --alone\n");
    }
    git(&["config", "diff.loambook.textconv", "cat"]);
    let output = desk.run(&["git-attributes", "--write"]);
    assert_eq!(code(&output), 0);
    assert!(err(&output).contains("`cat`"), "{}", err(&output));
    assert!(out(&output).contains("git config diff.loambook.textconv"), "{}", out(&output));
    assert_eq!(git(&driver), "cat\n");
}

#[test]
fn gits_line_is_written_once_behind_what_is_there() {
    let desk = book();
    desk.write(".gitattributes", "*.png binary");
    for _ in 0..2 {
        let output = desk.run(&["git-attributes", "--write"]);
        assert_eq!(code(&output), 0, "{}", err(&output));
        assert!(out(&output).contains("git config diff.loambook.textconv"));
        assert_eq!(desk.read(".gitattributes"), "*.png binary\n*.md diff=loambook\n");
    }
}

#[test]
fn a_notebook_on_standard_input_is_checked_in_the_book_and_told_alone() {
    let desk = book();
    desk.write("days/2026-05-16.md", &day("2026-05-16", "nobodys", "wren", "", ""));
    let check =
        |text: &str| desk.run_with_input(&["check", "-", "--on", "2026-05-31", "--format", "json"], text);
    let slip = check(&day("2026-05-30", "hreon", "wren", "", &sag(495)));
    let findings: Vec<serde_json::Value> =
        out(&slip).lines().map(|line| serde_json::from_str(line).unwrap()).collect();
    assert_eq!(code(&slip), 1, "{}", err(&slip));
    assert!(!findings.is_empty() && out(&slip).contains("link/unknown") && out(&slip).contains("heron"));
    assert!(!out(&slip).contains("nobodys"), "{}", out(&slip));
    assert!(findings.iter().all(|finding| finding.to_string().contains("\"-\"")), "{}", out(&slip));
    let good = check(&day("2026-05-30", "heron", "wren", "", &sag(495)));
    assert_eq!(code(&good), 0, "{}{}", out(&good), err(&good));
    let large = check(&"x".repeat(20 << 20));
    assert_eq!(code(&large), 2, "{}", err(&large));
}

#[test]
fn a_book_in_a_book_is_mentioned() {
    let desk = book();
    desk.write("loan/book.toml", "");
    let check = desk.run(&["check", "--on", "2026-06-07"]);
    assert!(
        out(&check).contains("file/another-book") && out(&check).contains("loan/book.toml"),
        "{}",
        out(&check)
    );
    assert_eq!(code(&check), 0, "{}", out(&check));
}

#[test]
fn without_two_sides_the_last_day_is_compared_with_what_was_before_it() {
    let desk = book();
    let whole = desk.json(&["compare"]);
    let dates = |page: &serde_json::Value| [page["a"]["date"].clone(), page["b"]["date"].clone()];
    assert_eq!(dates(&whole), ["2026-04-04", "2026-05-09"]);
    assert_eq!(dates(&desk.json(&["compare", "days/2026-05-09.md"])), ["2026-04-04", "2026-05-09"]);
    // Before its first day the machine is as its notebook has it.
    let first = desk.json(&["compare", "--machine", "snipe"]);
    assert_eq!((&first["a"]["date"], &first["b"]["date"]), (&serde_json::Value::Null, &"2026-06-06".into()));
    for arguments in [&["compare", "wren", "--on", "2026-05-09"][..], &["compare", "2026", "--season"]] {
        let output = desk.run(arguments);
        assert_eq!(code(&output), 2, "{arguments:?}");
        assert!(err(&output).contains("two sides"), "{}", err(&output));
    }
}

#[test]
fn what_a_check_adds_up_to_fits_its_lines() {
    let desk = book();
    for saturday in [9, 16, 23] {
        let notebook = day(
            &format!("2026-05-{saturday:02}"),
            "heron",
            "wren",
            "",
            "```sag rear\nalone = \"5,66 mm\"\n```\n",
        );
        desk.write(&format!("days/2026-05-{saturday:02}-a-rather-long-name-of-a-day.md"), &notebook);
    }
    let check = desk.run(&["check", "--on", "2026-06-07"]);
    let told = err(&check);
    assert!(told.contains("errors") && told.contains("sheets are incomplete until"), "{told}");
    assert!(!told.contains("; "), "both are more than a line: {told}");
}

#[test]
fn notebooks_where_nobody_looks_for_them_are_mentioned() {
    let around = Desk::empty();
    around.write("book/book.toml", "");
    around.write("book/machines/heron.md", MACHINE);
    around.write("book/riders/wren.md", "+++\nkind = \"rider\"\n+++\n");
    around.write("book/days/2026-04-04.md", &day("2026-04-04", "heron", "wren", "", ""));
    let check = |folder: &str, arguments: &[&str]| {
        let output = around.run_in(folder, &[&["check", "--on", "2026-04-04"], arguments].concat());
        err(&output).to_owned()
    };
    assert!(!check("book", &[]).contains("not read") && !check("book", &[]).contains("all the same"));
    // A day's notebook beside the book is not counted; inside the book it is, wherever it lies.
    around.write("2026-04-11.md", &day("2026-04-11", "heron", "wren", "", ""));
    around.write("README.md", "# Not a notebook\n\nkind = \"day\"\n");
    around.write("book/old/2026-04-04.md", &day("2026-04-04", "heron", "wren", "", ""));
    let told = check("book", &[]);
    assert!(told.contains("2026-04-11.md; move it into the book") && !told.contains("README"), "{told}");
    assert!(told.contains("read all the same: old/2026-04-04.md"), "{told}");
    assert!(!check("book", &["days"]).contains("not read"), "who asks about something is told of that");
    // A book around it reads them itself.
    around.write("book.toml", "");
    assert!(!check("book", &[]).contains("not read"));
}

/// A steering head that falls by itself, under an unknown key, was passed over by `next` without a word.
#[test]
fn what_advice_could_not_count_is_shown_beside_it() {
    let desk = book();
    let falls = format!("{}\n```steering\ndrop_test = \"falls\"\n```\n", sag(490));
    desk.write("days/2026-05-09.md", &day("2026-05-09", "heron", "wren", "", &falls));
    for arguments in [&["next"][..], &["spring"], &["gearing"], &["next", "--format", "json"]] {
        let output = desk.run(arguments);
        assert_eq!(code(&output), 1, "{arguments:?}: {}", err(&output));
        assert!(err(&output).contains("drop_test"), "{arguments:?}: {}", err(&output));
        assert!(!out(&output).is_empty(), "{arguments:?}");
    }
}

/// A box to tick *bled* on the card of an air fork would have somebody press its air valve.
#[test]
fn a_card_has_forks_bled_only_where_there_are_screws_for_it() {
    let desk = book();
    let fork = |kind: &str, more: &str| {
        format!("{MACHINE}\n```fork\nkind = \"{kind}\"\ntravel = \"300 mm\"\n{more}```\n")
    };
    desk.write("machines/air.md", &fork("air", "bleeders = true\n"));
    desk.write("machines/coil.md", &fork("coil", ""));
    desk.write("machines/screws.md", &fork("coil", "bleeders = true\n"));
    for (machine, has_box) in [("air", false), ("coil", false), ("screws", true)] {
        let page = format!("{machine}.html");
        assert_eq!(code(&desk.run(&["card", "--machine", machine, "-o", &page])), 0);
        let page = desk.read(&page);
        assert!(page.contains("spokes"), "{page}");
        assert_eq!(page.contains("bled"), has_box, "{machine}");
    }
}
