//! Changes that nobody has made: their effect is the same once they are written.

use super::*;

const CHECKED: &str = "\n```checked\ndone = [\"tyres\", \"spokes\", \"axles\", \"alignment\", \"chain\", \"fork-legs\", \
    \"leaks\", \"filter\", \"bearings\"]\n```\n";
const COMPLAINT: &str =
    "\n```stint\nlaps = \"2:04.1 2:04.3 2:04.0\"\nfeel = [\"pushes wide mid-corner 3\"]\n```\n";
const DAY_PATH: &str = "days/2026-04-04.md";

fn complaining() -> Desk {
    let desk = Desk::new();
    desk.write(DAY_PATH, &format!("{DAY}{CHECKED}{COMPLAINT}"));
    desk
}

/// How each figure moves, in its SI base unit, in a comparison or in the first set that is tried.
fn moves(figures: &Value) -> Vec<(String, f64)> {
    let lines = figures.as_array().unwrap().iter();
    lines.filter_map(|line| Some((line["id"].as_str()?.to_owned(), line["by"].as_f64()?))).collect()
}

#[test]
fn a_step_is_predicted_tried_and_found_alike_to_the_last_digit() {
    let desk = complaining();
    let change = desk.json(&["next"])["answer"].clone();
    assert_eq!(change["do"], "change", "{change}");
    let predictions = change["predictions"].as_array().unwrap().clone();
    assert!(predictions.len() > 2, "{predictions:?}");
    let write = change["write"].as_str().unwrap();
    let line = write.lines().find(|line| line.starts_with("fork.height")).unwrap();
    let tried = desk.json(&["try", line]);
    let tried = moves(&tried["sets"][0]["figures"]);
    for prediction in &predictions {
        let by = number(&prediction["value_after"]) - number(&prediction["value_before"]);
        let name = prediction["figure"].as_str().unwrap();
        let own = tried.iter().find(|(id, _)| id == name).unwrap_or_else(|| panic!("{name} is not tried"));
        assert_eq!(own.1.to_bits(), by.to_bits(), "{name}: {} is not {by}", own.1);
    }
    // Written at the end of the day, it is compared with the line before it.
    let text = desk.read(DAY_PATH);
    let before = format!("{DAY_PATH}:{}", text.lines().count());
    desk.write(DAY_PATH, &format!("{text}\n{write}"));
    let compared = desk.json(&["compare", &before, DAY_PATH]);
    let mut compared: Vec<(String, f64)> =
        [moves(&compared["figures"]), moves(&compared["pressures"]["lines"])].concat();
    compared.sort_by(|a, b| a.0.cmp(&b.0));
    let mut tried = tried;
    tried.sort_by(|a, b| a.0.cmp(&b.0));
    assert_eq!(tried, compared);
}

#[test]
fn nothing_is_written_and_sets_stand_side_by_side() {
    let desk = complaining();
    let files = || [file_names(&desk.path("")), file_names(&desk.path("days"))];
    let (before, text) = (files(), desk.read(DAY_PATH));
    let tried =
        desk.json(&["try", "fork.height = 2 mm up", "--or", "fork.height = 4 mm up; drive.rear = 52"]);
    assert_eq!((files(), desk.read(DAY_PATH)), (before, text));
    assert_eq!(tried["sets"].as_array().unwrap().len(), 2);
    let row =
        |id: &str| tried["rows"].as_array().unwrap().iter().find(|row| row["id"] == id).unwrap().clone();
    assert!(row("geometry.trail")["cells"].as_array().unwrap().iter().all(|cell| !cell.is_null()));
    let ratio = row("drive.ratio");
    assert!(ratio["cells"][0].is_null());
    assert_eq!(ratio["cells"][1]["then"]["told"], "4.000");
    // Twice the step is nearly twice the change: the second way.
    let trail = |set: usize| {
        moves(&tried["sets"][set]["figures"]).into_iter().find(|(id, _)| id == "geometry.trail").unwrap().1
    };
    assert!(trail(0) < 0.0 && trail(1) < 1.5 * trail(0), "{} and {}", trail(0), trail(1));
    let page = desk.run(&[
        "try",
        "fork.height = 2 mm up",
        "--or",
        "fork.compression = 1 click in",
        "--format",
        "html",
    ]);
    assert_eq!(code(&page), 0, "{}", err(&page));
    assert!(out(&page).contains("fork height") && out(&page).contains("written nowhere"));
}

#[test]
fn what_is_mistyped_is_told_where_it_was_typed_as_in_a_notebook() {
    let desk = complaining();
    let typed = desk.run(&["try", "fork.heigth = 2 mm up; shock.preload = \"1 trun in\""]);
    assert_eq!((code(&typed), out(&typed)), (2, ""));
    assert!(err(&typed).contains("as typed:1:1") && err(&typed).contains("as typed:2:20"), "{}", err(&typed));
    let text = desk.read(DAY_PATH);
    let block =
        "```change\nfork.heigth = \"2 mm up\"\nshock.preload = \"1 trun in\"\nbecause = \"to see\"\n```\n";
    desk.write(DAY_PATH, &format!("{text}\n{block}"));
    let checked = desk.run(&["check", "--brief", "--on", "2026-04-04"]);
    for code in ["name/unknown", "quantity/unknown-unit"] {
        assert!(err(&typed).contains(code) && out(&checked).contains(code), "{code}: {}", out(&checked));
    }
    for nonsense in ["fork.height", "```", "= 3", "fork.height = 2\n```\n"] {
        let output = desk.run(&["try", "days", nonsense]);
        assert_eq!(code(&output), 2, "{nonsense:?}: {}", out(&output));
    }
    assert_eq!(code(&desk.run(&["try"])), 2);
}

#[test]
fn a_pressure_past_its_limit_is_said_and_has_no_number() {
    let desk = complaining();
    let arguments = ["try", "tyre.front = +6 psi", "--format", "json"];
    let output = desk.run(&arguments);
    assert_eq!(code(&output), 1);
    let tried: Value = exact(out(&output));
    let set = &tried["sets"][0];
    assert!(set["limits"][0].as_str().unwrap().contains("its limit of 15 psi"), "{set}");
    assert_eq!(set["settings"][0]["b"]["told"], "past its limit");
    assert_eq!((&set["settings"][0]["by"], set["figures"].as_array().unwrap().len()), (&Value::Null, 0));
    assert!(!out(&output).contains("19"), "{}", out(&output));
    // The charge is shown, with its band where it leaves one.
    let inside = desk.json(&["try", "shock.preload = 2 turns in"]);
    let band = &inside["sets"][0]["bands"][0];
    assert_eq!(
        (band["id"].as_str().unwrap(), band["was"].as_str().unwrap()),
        ("sag.rear.rider_expected", "inside")
    );
    assert_eq!(band["is"], "outside", "{band}");
}

#[test]
fn beside_a_pressure_past_its_limit_the_other_changes_are_told_as_if_alone() {
    let desk = complaining();
    let alone = desk.json(&["try", "shock.preload = 1 turn in"])["sets"][0].clone();
    let output =
        desk.run(&["try", "tyre.front = +6 psi; shock.preload = 1 turn in", "--format", "json", "--all"]);
    assert_eq!(code(&output), 1);
    let tried: Value = exact(out(&output));
    let set = &tried["sets"][0];
    assert!(!moves(&alone["figures"]).is_empty());
    assert_eq!(moves(&set["figures"]), moves(&alone["figures"]));
    assert_eq!(set["bands"], alone["bands"]);
    assert_eq!(set["limits"].as_array().unwrap().len(), 1, "{set}");
    assert!(set["limits"][0].as_str().unwrap().contains("of the other changes alone"), "{set}");
    let tyre = set["settings"].as_array().unwrap().iter().find(|line| line["id"] == "tyre.front").unwrap();
    assert_eq!((tyre["b"]["told"].as_str().unwrap(), &tyre["by"]), ("past its limit", &Value::Null));
    let ids: Vec<&str> =
        tried["rows"].as_array().unwrap().iter().map(|row| row["id"].as_str().unwrap()).collect();
    assert!(!ids.iter().any(|id| id.contains("tyre")), "{ids:?}");
}

#[test]
fn a_turn_of_the_collar_is_told_as_a_hand_writes_a_length() {
    let desk = complaining();
    // From 6 mm, by a thread of 1.5 mm.
    for (change, told) in [("1 turn in", "7.5 mm"), ("0.8 turns in", "7.2 mm"), ("0.25 turn in", "6.4 mm")] {
        let tried = desk.json(&["try", &format!("shock.preload = {change}")]);
        assert_eq!(tried["sets"][0]["settings"][0]["b"]["told"], told, "{change}: {tried}");
    }
}

/// The rear rider sag that is expected with a preload, in m.
fn sag_with(desk: &Desk, turns: f64) -> f64 {
    let way = if turns < 0.0 { "out" } else { "in" };
    let change = format!("shock.preload = {} turns {way}", turns.abs());
    let tried = desk.json(&["try", &change]);
    let by = moves(&tried["sets"][0]["figures"]).into_iter().find(|(id, _)| id == "sag.rear.rider_expected");
    // 612 − 507 mm, as read.
    0.105 + by.map_or(0.0, |(_, by)| by)
}

#[test]
fn the_best_preload_is_the_nearest_quarter_of_a_turn_inside_its_range() {
    let desk = complaining();
    for wanted in [0.098, 0.1015, 0.108] {
        let best = desk.json(&["try", "--best", &format!("sag.rear.rider={} mm", wanted * 1e3)]);
        let line = best["sets"][0]["changes"][0].as_str().unwrap().to_owned();
        let words: Vec<&str> = line.split(['"', ' ']).filter(|word| !word.is_empty()).collect();
        let size: f64 = words[2].parse().unwrap();
        let turns = if words[4] == "out" { -size } else { size };
        let off = |turns: f64| (sag_with(&desk, turns) - wanted).abs();
        assert!(off(turns) <= off(turns - 0.25) && off(turns) <= off(turns + 0.25), "{line} for {wanted}");
        // A quarter of a turn of 1.5 mm moves it by about a millimetre.
        assert!(off(turns) < 0.0006, "{line}: {} m off {wanted}", off(turns));
    }
    let best = desk.json(&["try", "--best", "sag.rear.rider=60mm"]);
    let solved = best["sets"][0]["solved"].as_str().unwrap();
    assert!(solved.contains("cannot be reached") && solved.contains("3–12 mm"), "{solved}");
    // 6 mm and four turns of 1.5 mm are the 12 mm at which the range ends.
    assert_eq!(best["sets"][0]["changes"][0], "shock.preload = \"4 turns in\"");
    let stays = desk.json(&["try", "--best", "sag.rear.rider=105mm"]);
    assert!(stays["sets"][0]["changes"].as_array().unwrap().is_empty());
}

#[test]
fn best_takes_another_setting_and_says_what_cannot_be_solved() {
    let desk = complaining();
    let best = desk.json(&["try", "--best", "drive.ratio=4.0"]);
    assert_eq!(best["sets"][0]["changes"][0], "drive.rear = \"+2 teeth\"");
    let by = desk.json(&["try", "--best", "drive.ratio=3.6", "--by", "drive.front"]);
    assert_eq!(by["sets"][0]["changes"][0], "drive.front = \"+1 tooth\"");
    let spring = desk.json(&["try", "--best", "sag.rear.rider=90mm", "--by", "shock.spring"]);
    assert_eq!(spring["sets"][0]["changes"][0], "shock.spring = \"60 N/mm\"");
    for (best, by, why) in [
        ("geometry.trail=100 mm", Some("fork.rebound"), "not on file"),
        ("geometry.trail=128 mm", Some("fork.compression"), "does not move"),
        ("laps.median=2:00", None, "--by"),
        ("geometry.trail=26°", None, "is not a value"),
        ("geometry.trial=100 mm", None, "no figure"),
    ] {
        let mut arguments = vec!["try", "--best", best];
        if let Some(by) = by {
            arguments.extend(["--by", by]);
        }
        let output = desk.run(&arguments);
        assert_eq!(code(&output), 2, "{best}: {}", out(&output));
        assert!(err(&output).contains(why), "{best}: {}", err(&output));
    }
}

#[test]
fn no_limit_on_file_is_no_increase() {
    let desk = complaining();
    let machine =
        desk.read("machines/heron.md").replace("tyre.front = \"8..15 psi\"", "seat.height = \"..990 mm\"");
    desk.write("machines/heron.md", &machine);
    let air = "\n```conditions\nair = \"18 °C\"\n```\n";
    desk.write(DAY_PATH, &format!("{DAY}{air}"));
    let best = desk.json(&["try", "--best", "gate.tyre.front=14 psi", "--by", "tyre.front"]);
    let solved = best["sets"][0]["solved"].as_str().unwrap();
    assert!(
        solved.contains("limit unknown") && best["sets"][0]["changes"].as_array().unwrap().is_empty(),
        "{best}"
    );
}

#[test]
fn of_a_rider_who_is_not_cleared_nothing_is_tried() {
    let desk = Desk::new();
    desk.write(DAY_PATH, &format!("{DAY}{CHECKED}\n```stint\nfeel = [\"fingers tingle 3\"]\n```\n"));
    let output = desk.run(&["try", "fork.height = 2 mm up"]);
    assert!(out(&output).contains("Do not ride") && !out(&output).contains("trail"), "{}", out(&output));
}

#[test]
fn names_with_commas_are_told_apart_where_they_run_on() {
    let desk = Desk::with_day();
    let change = "fork.spring = 4.8 N/mm";
    let page = desk.json(&["try", change]);
    let all = desk.run(&["try", change, "--format", "json", "--all"]);
    let all: Value = serde_json::from_str(out(&all)).unwrap();
    let labels: Vec<&str> =
        all["rows"].as_array().unwrap().iter().map(|row| row["label"].as_str().unwrap()).collect();
    let also: Vec<&str> = page["also"].as_str().unwrap().split("; ").collect();
    assert!(also.iter().any(|name| name.contains(", ")), "{also:?}");
    for name in also {
        assert!(labels.contains(&name), "{name} is none of {labels:?}");
    }
}

#[test]
fn a_line_to_write_has_no_marks_at_a_terminal_and_a_word_has() {
    let desk = Desk::with_day();
    let output = desk.run(&["try", "fork.spring = 4.8 N/mm"]);
    let text = out(&output);
    assert!(text.contains("fork.spring = ") && !text.contains("`fork.spring ="), "{text}");
    assert!(text.contains("`--all`"), "{text}");
}
