//! Tonight: on one screen, what the sheet, the roster and the advice have.

use super::*;
use crate::chromium::Browser;

fn at(desk: &Desk, arguments: &[&str]) -> Value {
    desk.json(&[&["today"], arguments].concat())["riders"][0].clone()
}

const COMPLAINT: &str =
    "\n```stint\nlaps = \"2:04.1 2:04.3 2:04.0\"\nfeel = [\"pushes wide mid-corner 3\"]\n```\n";
const OTHER: &str = "\n```change\nshock.spring = \"44 N/mm\"\nfork.rebound = \"9 clicks\"\nfork.height = \"2 mm down\"\n\
    because = \"lighter\"\n```\n";

/// Wren's machine, which Finch had last.
fn lent() -> Desk {
    let desk = Desk::with_day();
    desk.write("riders/finch.md", &RIDER.replace("Wren", "Finch").replace("78 kg", "51 kg"));
    let day = DAY.replace("\"wren\"", "\"finch\"").replace("2026-04-04", "2026-04-11");
    desk.write("days/2026-04-11-finch.md", &format!("{day}{OTHER}"));
    desk
}

#[test]
fn it_fits_a_screen_of_eighty_by_forty() {
    let book = Path::new(env!("CARGO_MANIFEST_DIR")).join("notebooks");
    for rider in ["senior", "junior", "light", "veteran"] {
        for date in ["2026-05-15", "2026-09-12", "2026-12-05"] {
            let output =
                program().args(["today", "--rider", rider, "--date", date, "--book"]).arg(&book).output();
            let output = output.unwrap();
            assert_eq!(code(&output), 0, "{rider} {date}: {}", err(&output));
            let page = out(&output);
            assert!(page.lines().count() <= 40, "{rider} {date}: {page}");
            assert!(page.lines().all(|line| line.chars().count() <= 80), "{rider} {date}: {page}");
        }
    }
}

#[test]
fn it_says_what_the_sheet_and_next_say() {
    let desk = Desk::new();
    desk.write("days/2026-04-04.md", &format!("{DAY}{COMPLAINT}"));
    let today = at(&desk, &["--date", "2026-04-04"]);
    let next = desk.json(&["next", "--on", "2026-04-04"]);
    assert_eq!(today["next"], next["answer"]["text"], "{today}");
    assert_eq!(today["complaint"], "pushes wide, mid-corner");
    // The evening after, with no notebook for it yet: the same complaint, judged on that evening.
    let later = at(&desk, &["--date", "2026-04-05"]);
    assert_eq!(later["complaint"], today["complaint"]);
    assert_eq!(later["stands"], "as Wren left it on 2026-04-04");
    let sheet = desk.run(&["sheet", "days/2026-04-04.md", "-o", "-", "--format", "html"]);
    for line in today["to_pump"].as_array().unwrap() {
        let told = line["told"].as_str().unwrap().split(" at the track").next().unwrap();
        assert!(out(&sheet).contains(told.split(' ').next().unwrap()), "{told}");
    }
}

#[test]
fn what_another_rider_left_on_the_machine_is_what_has_to_be_changed() {
    let desk = lent();
    let today = at(&desk, &["--rider", "wren", "--date", "2026-04-12"]);
    assert_eq!(
        (today["stands"].as_str().unwrap(), &today["is_changeover"]),
        ("as Finch left it on 2026-04-11", &Value::Bool(true))
    );
    let to_set: Vec<&str> =
        today["to_set"].as_array().unwrap().iter().map(|text| text.as_str().unwrap()).collect();
    // Springs first.
    assert!(to_set[0].starts_with("shock spring 50 N/mm") && to_set[0].contains("+6 N/mm"), "{to_set:?}");
    assert!(to_set.iter().any(|text| text.starts_with("fork height 5 mm (2 mm up)")), "{to_set:?}");
    let own = at(&desk, &["--rider", "finch", "--date", "2026-04-12"]);
    assert_eq!((own["to_set"].as_array().unwrap().len(), &own["is_changeover"]), (0, &Value::Bool(false)));
}

#[test]
fn a_rider_who_is_not_cleared_reads_that_and_nothing_else() {
    let desk = Desk::new();
    desk.write(
        "days/2026-04-04.md",
        &format!("{DAY}\n```stint\nfeel = [\"fingers tingle 3\", \"pushes wide 3\"]\n```\n"),
    );
    let output = desk.run(&["today", "--date", "2026-04-20"]);
    let page = out(&output);
    assert!(
        page.split("\n\n").nth(1).is_some_and(|part| part.trim_start().starts_with("Do not ride")),
        "{page}"
    );
    assert!(!page.contains("To set") && !page.contains("To pump") && !page.contains("fork height"), "{page}");
    let html = desk.run(&["today", "--date", "2026-04-20", "--format", "html"]);
    assert!(out(&html).contains("Do not ride") && !out(&html).contains("To pump"));
}

#[test]
fn the_next_day_that_is_written_goes_before_the_machine_as_it_stands() {
    let desk = Desk::with_day();
    let prepared = [
        "prepare",
        "--rider",
        "wren",
        "--track",
        "quarry",
        "--date",
        "2099-04-11",
        "--air",
        "24°C",
        "--bench",
        "9°C",
    ];
    assert_eq!(code(&desk.run(&prepared)), 0);
    let today = at(&desk, &[]);
    assert_eq!(today["about"], "for Saturday 11 April 2099");
    let told = today["to_pump"][0]["told"].as_str().unwrap();
    assert!(told.contains("at the track") && told.contains("on the bench at 9 °C"), "{told}");
    // Its notebook has the air.
    let output = desk.run(&["today", "--air", "12°C"]);
    assert_eq!(code(&output), 2);
    assert!(err(&output).contains("2099-04-11") && err(&output).contains("`air`"), "{}", err(&output));
    let other = at(&desk, &["--date", "2026-04-05", "--air", "24°C", "--bench", "9°C"]);
    assert!(other["about"].as_str().unwrap().contains("no notebook yet"));
    assert_eq!(other["to_pump"][0]["told"], told);
    assert_eq!(file_names(&desk.path("days")).len(), 2, "nothing is written");
}

#[test]
fn air_that_the_days_notebook_does_not_tell_is_taken_from_the_command_line() {
    let desk = Desk::with_day();
    let prepare = |more: &[&str]| {
        let base = ["prepare", "--rider", "wren", "--track", "quarry", "--date", "2099-04-11"];
        let _ = std::fs::remove_file(desk.path("days/2099-04-11-wren.md"));
        assert_eq!(code(&desk.run(&[&base, more].concat())), 0);
    };
    let given = ["--air", "24°C", "--bench", "9°C"];
    prepare(&given);
    let told = at(&desk, &[])["to_pump"].clone();
    assert!(told[0]["told"].as_str().unwrap().contains("on the bench at 9 °C"), "{told}");
    // Neither of them, or one of them, in the notebook: with the other it is the same evening.
    prepare(&[]);
    let text = desk.read("days/2099-04-11-wren.md");
    assert_eq!(at(&desk, &given)["to_pump"], told);
    assert_eq!(desk.read("days/2099-04-11-wren.md"), text, "nothing is written");
    prepare(&["--air", "24°C"]);
    assert_eq!(at(&desk, &["--bench", "9°C"])["to_pump"], told);
    assert_eq!(code(&desk.run(&["today", "--bench", "9°C", "--air", "12°C"])), 2);
    let typo = desk.run(&["today", "--bench", "9 furlongs"]);
    assert_eq!(code(&typo), 2);
    assert!(err(&typo).contains("furlongs"), "{}", err(&typo));
}

#[test]
fn without_options_it_is_about_those_who_ride_next() {
    let desk = lent();
    assert_eq!(at(&desk, &[])["rider"], "Finch");
    for rider in ["finch", "wren"] {
        let prepare = ["prepare", "--rider", rider, "--track", "quarry", "--date", "2099-04-11"];
        assert_eq!(code(&desk.run(&prepare)), 0);
    }
    let all = desk.json(&["today"]);
    let riders: Vec<&str> =
        all["riders"].as_array().unwrap().iter().map(|one| one["rider"].as_str().unwrap()).collect();
    assert_eq!(riders, ["Finch", "Wren"]);
    desk.write(
        "book.toml",
        "title = \"Test book\"\n\n[units]\npressure = \"psi\"\n\n[defaults]\nrider = \"wren\"\n",
    );
    assert_eq!(at(&desk, &[])["rider"], "Wren");
    let empty = Desk::new();
    assert_eq!(code(&empty.run(&["today"])), 2);
}

#[test]
fn on_a_telephone_nothing_is_wider_than_the_screen() {
    let desk = lent();
    let html = desk.run(&["today", "--rider", "wren", "--date", "2026-04-12", "--format", "html"]);
    let page = out(&html);
    assert!(page.contains("shock spring") && page.contains("as Finch left it"));
    // Measured by the browser itself, where there is one.
    let Some(mut browser) = Browser::blank(320) else { return };
    browser.show(page);
    for width in [320, 390] {
        browser.widen(width);
        assert_eq!(browser.scroll_width(), u64::from(width));
    }
    let wide = page.replace("</body>", "<p style=\"width:2000px\">wide</p></body>");
    browser.show(&wide);
    assert!(browser.scroll_width() >= 2000, "it measures");
}

#[test]
fn what_stands_over_a_riders_lines_is_in_the_riders_language() {
    let desk = lent();
    let finch = RIDER.replace("Wren", "Finch").replacen("+++\n", "+++\nlanguage = \"de\"\n", 1);
    desk.write("riders/finch.md", &finch);
    let output = desk.run(&["today", "--rider", "wren", "--rider", "finch", "--date", "2026-04-18"]);
    let german = loambook::speech::Tongue::shipped("de").unwrap();
    let (wren, finch) = out(&output).split_once("\nFinch").unwrap();
    for head in ["To set", "To pump, cold", "Due", "One next change"] {
        assert!(wren.contains(head) && !wren.contains(&german.word(head)), "{head}: {wren}");
        assert!(finch.contains(&german.word(head)) && !finch.contains(head), "{head}: {finch}");
    }
}

#[test]
fn without_a_rider_of_its_own_the_book_shows_everybody_or_says_who_is_missing() {
    let desk = lent();
    let page = desk.json(&["today", "--date", "2026-04-20"]);
    let riders: Vec<&str> =
        page["riders"].as_array().unwrap().iter().map(|it| it["rider"].as_str().unwrap()).collect();
    assert_eq!((riders, &page["others"]), (vec!["Finch", "Wren"], &Value::Null));
    // A day is written for one of them: the other is named.
    let page = desk.json(&["today", "--date", "2026-04-11"]);
    assert_eq!(page["riders"].as_array().unwrap().len(), 1);
    assert_eq!(page["others"], "not shown: wren (`--rider NAME`)");
    assert!(out(&desk.run(&["today", "--date", "2026-04-11"])).contains("not shown: wren"));
    // Who was asked for is all that was asked for.
    assert!(desk.json(&["today", "--date", "2026-04-11", "--rider", "finch"])["others"].is_null());
}

#[test]
fn what_is_overdue_comes_first_and_says_so() {
    let desk = Desk::new();
    let more = "\n```band\ntyre.rear = { within = \"10..14 psi\", recheck = \"before each ride\" }\n```\n\n\
        ```service\n\"engine oil\" = { every = \"10 h\", last = \"0 h\" }\n```\n";
    desk.write("machines/heron.md", &format!("{MACHINE}{more}"));
    desk.write("days/2026-04-04.md", &format!("{DAY}\n```hours\nmeter = \"21 h\"\n```\n"));
    let due = at(&desk, &["--date", "2026-04-05"])["due"].clone();
    let told: Vec<&str> = due.as_array().unwrap().iter().map(|look| look["told"].as_str().unwrap()).collect();
    assert_eq!(told[0], "overdue: 21 hours ridden since; every 10 hours");
    assert!(told[1..].iter().all(|told| !told.contains("overdue")) && told.len() > 1, "{told:?}");
    assert!(out(&desk.run(&["today", "--date", "2026-04-05"])).contains("engine oil, overdue: 21 hours"));
}
