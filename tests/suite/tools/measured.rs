//! What was measured is told as it was measured: gains as gains, nothing as nothing, and no value past what can be set.

use super::*;

const AIR: &str = "\n```conditions\nair = \"14 °C\"\npressure = \"1000 hPa\"\n```\n";

/// An air fork with two chambers in place of the coil one.
fn with_air_fork() -> Desk {
    let desk = Desk::new();
    let fork = "```fork\nkind = \"air\"\ntravel = \"300 mm\"\n```\n\n\
        ```chamber main\nside = \"positive\"\narea = \"12 cm2\"\nvolume = \"760 cm3\"\nlimit = \"200 psi\"\n```\n\n\
        ```chamber counter\nside = \"negative\"\narea = \"9 cm2\"\nvolume = \"130 cm3\"\nlimit = \"200 psi\"\n```\n";
    let coil =
        "```fork\nkind = \"coil\"\ntravel = \"300 mm\"\nspring = \"4.6 N/mm\"\npreload = \"8 mm\"\n```\n";
    let machine = MACHINE.replace(coil, fork);
    assert_ne!(machine, MACHINE);
    let aims = "tyre.front = \"13 psi\"\nchamber.main = \"150 psi\"\nchamber.counter = \"140 psi\"";
    desk.write("machines/heron.md", &machine.replacen("tyre.front = \"13 psi\"", aims, 1));
    desk
}

fn head(date: &str) -> String {
    format!(
        "+++\nkind = \"day\"\ndate = {date}\nmachine = \"heron\"\nrider = \"wren\"\ntrack = \"quarry\"\n+++\n"
    )
}

fn figure(desk: &Desk, day: &str, name: &str) -> Value {
    let page = desk.json(&["figures", day]);
    page["figures"].as_array().unwrap().iter().rfind(|it| it["id"] == name).unwrap().clone()
}

#[test]
fn a_gain_is_no_loss_and_a_change_within_its_uncertainty_is_none() {
    let desk = with_air_fork();
    let left = "\n```pressures\nmain = \"150 psi\"\ncounter = \"140 psi\"\nat = \"14 °C\"\n```\n";
    let found = "\n```pressures\nfound.main = \"148.9 psi\"\nfound.counter = \"143 psi\"\nmain = \"150 psi\"\ncounter = \"140 psi\"\nat = \"14 °C\"\n```\n";
    desk.write("days/2026-04-04.md", &(head("2026-04-04") + AIR + left));
    desk.write("days/2026-04-06.md", &(head("2026-04-06") + AIR + found));
    let sides = ["compare", "days/2026-04-04.md", "days/2026-04-06.md"];
    let page = desk.json(&[sides.as_slice(), &["--all"]].concat());
    let told = |name: &str| {
        let lines = page["figures"].as_array().unwrap();
        let line = lines.iter().find(|line| line["id"] == name).unwrap_or_else(|| panic!("{page}"));
        line["b"]["told"].as_str().unwrap().to_owned()
    };
    let gained = told("leak.chamber.counter");
    assert!(gained.starts_with("gained ") && gained.ends_with(" in 2 days"), "{gained}");
    assert_eq!(told("leak.chamber.main"), "no measurable change");
    // By one function: each page says the same.
    for (name, word) in [("leak.chamber.counter", gained.as_str()), ("leak.chamber.main", "no measurable")] {
        let why = desk.run(&["why", name, "days/2026-04-06.md"]);
        assert!(out(&why).contains(word), "{word}: {}", out(&why));
        let shown = figure(&desk, "days/2026-04-06.md", name)["shown"].as_str().unwrap().to_owned();
        assert!(shown.contains(word), "{word}: {shown}");
    }
    let text = out(&desk.run(&sides)).to_owned();
    assert!(!text.contains("chamber lost"), "{text}");
}

#[test]
fn what_another_chamber_fills_is_not_pumped_and_the_one_that_fills_it_is() {
    let desk = with_air_fork();
    let machine = desk.read("machines/heron.md").replace("chamber.counter = \"140 psi\"\n", "");
    let filled = "side = \"negative\"\ncharged_from = \"main\"";
    desk.write("machines/heron.md", &machine.replace("side = \"negative\"", filled));
    desk.write("days/2026-04-04.md", &(head("2026-04-04") + AIR));
    let today = desk.json(&["today", "--date", "2026-04-04"]);
    let pumped: Vec<&str> = today["riders"][0]["to_pump"]
        .as_array()
        .unwrap()
        .iter()
        .map(|line| line["setting"].as_str().unwrap())
        .collect();
    assert_eq!(pumped, ["tyre.front", "tyre.rear", "chamber.main"]);
    let sheet = desk.run(&["sheet", "days/2026-04-04.md", "--format", "html", "-o", "-"]);
    assert!(
        out(&sheet).contains("main chamber") && !out(&sheet).contains("counter chamber at"),
        "{}",
        out(&sheet)
    );
}

#[test]
fn a_collar_is_not_turned_past_its_range_and_the_other_spring_is_named() {
    let desk = Desk::with_day();
    // 95 mm more or less: the collar would have to go past either end.
    for (aboard, spring, end) in [("530 mm", "a softer spring", 3.0), ("470 mm", "a stiffer spring", 12.0)] {
        desk.write("days/2026-04-04.md", &DAY.replace("507 mm", aboard));
        let check = desk.run(&["check", "days/2026-04-04.md"]);
        let text = out(&check).split_whitespace().collect::<Vec<_>>().join(" ");
        assert!(text.contains(spring) && text.contains(&format!("ends at {end:.1} mm")), "{text}");
        assert!(!text.contains("turn the collar"), "{text}");
        for name in ["spring.rear.collar_turns", "spring.rear.preload_wanted", "spring.rear.static_then"] {
            let figure = figure(&desk, "days/2026-04-04.md", name);
            assert!(figure["value"].is_null(), "{figure}");
        }
        // What the end of the range gives: the constant leverage moves the wheel by it times the collar's way.
        let sag = match aboard {
            "530 mm" => 82.0 + (6.0 - end) * 2.8,
            _ => 142.0 + (6.0 - end) * 2.8,
        };
        let told = text.split_once("where the rider sag is ").unwrap().1.split_once(" mm").unwrap().0;
        let (told, doubt) = told.split_once(" ± ").unwrap();
        assert!((told.parse::<f64>().unwrap() - sag).abs() <= 0.5, "{sag}: {text}");
        assert!((0.5..5.0).contains(&doubt.parse::<f64>().unwrap()), "{text}");
        let page = out(&desk.run(&["spring", "days/2026-04-04.md"]))
            .split_whitespace()
            .collect::<Vec<_>>()
            .join(" ");
        assert!(page.contains("from the last reading: the preload's range ends"), "{page}");
    }
    desk.write("days/2026-04-04.md", &DAY.replace("507 mm", "511 mm"));
    let text = out(&desk.run(&["check", "days/2026-04-04.md"])).to_owned();
    assert!(text.contains("turn the collar"), "{text}");
}

#[test]
fn where_the_standard_is_unknown_there_is_no_change_against_it() {
    let desk = Desk::with_day();
    let step = "\n```change\nclamp.offset = \"20 mm\"\nbecause = \"trial\"\n```\n";
    let change = |desk: &Desk| figure(desk, "days/2026-04-04.md", "change.geometry.trail");
    assert!(change(&desk)["value"].is_number());
    desk.write("days/2026-04-04.md", &format!("{DAY}{step}"));
    let unknown = change(&desk);
    assert!(unknown["value"].is_null() && unknown.to_string().contains("clamp.offset"), "{unknown}");
    let sheet = out(&desk.run(&["sheet", "days/2026-04-04.md", "--format", "html", "-o", "-"])).to_owned();
    assert!(!sheet.contains("against standard"), "{sheet}");
    // With the standard on file there is one.
    desk.write("machines/heron.md", &MACHINE.replace("fork.height", "clamp.offset = \"22 mm\"\nfork.height"));
    assert!(change(&desk)["value"].is_number());
}

#[test]
fn a_meter_that_runs_backwards_is_not_used() {
    let desk = Desk::new();
    let service = "\n```service\n\"engine oil\" = { every = \"10 h\", last = \"12 h\" }\n```\n";
    desk.write("machines/heron.md", &format!("{MACHINE}{service}"));
    desk.write("days/2026-04-04.md", &(head("2026-04-04") + "```hours\nmeter = \"21 h\"\n```\n"));
    desk.write("days/2026-04-05.md", &(head("2026-04-05") + "```hours\nmeter = \"20.5 h\"\n```\n"));
    let due = || out(&desk.run(&["due", "--on", "2026-04-05"])).to_owned();
    assert!(due().contains("9 hours ridden since"), "{}", due());
    // Hours of the ride in the same block count from the last good reading.
    let both = "```hours\nmeter = \"20.5 h\"\nridden = \"2 h\"\n```\n";
    desk.write("days/2026-04-05.md", &(head("2026-04-05") + both));
    assert!(due().contains("11 hours ridden since"), "{}", due());
}

#[test]
fn what_was_read_is_judged_before_the_model_and_one_page_has_one_answer() {
    let desk = Desk::with_day();
    // The machine alone hardly sags: with its rider at the aim, the spring is too soft and wound up.
    desk.write("days/2026-04-04.md", &DAY.replace("577 mm", "610 mm"));
    let text = out(&desk.run(&["spring", "days/2026-04-04.md"])).to_owned();
    assert!(!text.contains("fitted; keep"), "{text}");
    let page = desk.json(&["spring", "days/2026-04-04.md"]);
    let rear = page["ends"].as_array().unwrap().iter().find(|end| end["end"] == "rear").unwrap();
    let on = rear["springs"].as_array().unwrap().iter().find(|it| it["is_on"] == true).unwrap();
    // The table and the line under it.
    for (of_table, of_line) in [("preload", "preload"), ("static_sag", "static_sag")] {
        let (table, line) = (number(&on[of_table]["value"]), number(&rear["fitted"][of_line]["value"]));
        assert!((table - line).abs() < 1e-12, "{of_table}: {on} {}", rear["fitted"]);
    }
    assert!((number(&on["static_sag"]["value"]) - 0.002).abs() < 1e-9, "{on}");
    let check =
        out(&desk.run(&["check", "days/2026-04-04.md"])).split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(check.contains("fit a stiffer one, with less preload"), "{check}");
    desk.write("days/2026-04-04.md", &DAY.replace("577 mm", "560 mm"));
    let check =
        out(&desk.run(&["check", "days/2026-04-04.md"])).split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(check.contains("fit a softer one, with more preload"), "{check}");
    desk.write("days/2026-04-04.md", &DAY.replace("577 mm", "610 mm").replace("507 mm", "514 mm"));
    let check =
        out(&desk.run(&["check", "days/2026-04-04.md"])).split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(check.contains("bring the rider sag into its band first"), "{check}");
}

#[test]
fn clicks_on_both_sides_of_a_rebuild_did_not_drift() {
    let desk = Desk::new();
    desk.write(
        "days/2026-04-04.md",
        &(head("2026-04-04") + "```settings\nfork.compression = \"10 clicks\"\n```\n"),
    );
    let set = "```settings\nfork.compression = \"15 clicks\"\n```\n";
    desk.write("days/2026-04-05.md", &(head("2026-04-05") + set));
    let drifted = || out(&desk.run(&["check"])).contains("settings/drifted");
    assert!(drifted());
    desk.write("days/2026-04-05.md", &(head("2026-04-05") + "```valving fork\nby = \"me\"\n```\n" + set));
    assert!(!drifted());
    // The shock's rebuild says nothing about the fork.
    desk.write("days/2026-04-05.md", &(head("2026-04-05") + "```valving shock\nby = \"me\"\n```\n" + set));
    assert!(drifted());
}

#[test]
fn a_rider_who_sat_is_not_taken_to_have_stood() {
    let desk = Desk::with_day();
    // Without scales, the load behind a sag goes by how a rider stands.
    let standing: String = DAY
        .split("```")
        .enumerate()
        .filter(|(at, text)| at % 2 == 0 || !text.starts_with("scales"))
        .map(|(at, text)| if at % 2 == 0 { text.to_owned() } else { format!("```{text}```") })
        .collect();
    desk.write("days/2026-04-04.md", &standing);
    assert!(figure(&desk, "days/2026-04-04.md", "spring.rear.rate_fitted")["value"].is_number());
    desk.write(
        "days/2026-04-04.md",
        &standing.replace("```sag rear\n", "```sag rear\nposture = \"seated\"\n"),
    );
    let fitted = figure(&desk, "days/2026-04-04.md", "spring.rear.rate_fitted");
    assert_eq!(fitted["missing"][0], "rider/rear_share", "{fitted}");
}

#[test]
fn an_air_fork_wants_no_preload() {
    let desk = with_air_fork();
    desk.write("days/2026-04-04.md", &(DAY.to_owned() + AIR));
    let wanted = figure(&desk, "days/2026-04-04.md", "spring.front.preload_wanted");
    assert!(wanted.to_string().contains("an air fork has no coil spring"), "{wanted}");
}

/// All that `next` says of a day with a complaint, on one line.
fn advised(desk: &Desk, complaint: &str, more: &str) -> String {
    let stint = format!("\n```stint\nlaps = \"2:04.1 2:04.3\"\nfeel = \"{complaint}\"\n```\n");
    desk.write("days/2026-04-04.md", &format!("{DAY}{more}{stint}"));
    let next = desk.run(&["next", "--all", "--on", "2026-04-04"]);
    assert_eq!(code(&next), 0, "{}", err(&next));
    out(&next).split_whitespace().collect::<Vec<_>>().join(" ")
}

#[test]
fn each_absence_has_its_own_reason() {
    let desk = Desk::new();
    let text = advised(&desk, "harsh chatter 3", "");
    assert!(!text.contains("add `travel` to `fork`") && !text.contains("add travel to fork"), "{text}");
    assert!(text.contains("what the O-ring says is not known: add"), "{text}");
    // Where it is the travel that is missing, that is said.
    desk.write("machines/heron.md", &MACHINE.replace("travel = \"300 mm\"\n", ""));
    let text = advised(&desk, "harsh chatter 3\"\ntravel_used.front = \"200 mm", "");
    assert!(text.replace('`', "").contains("not known: add travel to fork"), "{text}");
}

#[test]
fn a_step_is_listed_once() {
    let text = advised(&with_air_fork(), "dives braking 4", AIR);
    assert_eq!(text.matches("main chamber +2 psi").count(), 1, "{text}");
}

#[test]
fn a_jet_worked_out_for_the_air_asks_for_nothing_that_it_does_not_move() {
    let desk = Desk::new();
    let jets = "\n```carburettor\nmain = 170\non_hand = [165, 170, 175]\nnumbering = \"diameter\"\n\
        tuned_at = { air = \"20 °C\", pressure = \"1013 hPa\", humidity = \"50 %\" }\n```\n";
    let machine = MACHINE.replace("countershaft.ahead_of_pivot = \"75 mm\"\n", "");
    desk.write("machines/heron.md", &format!("{machine}{jets}"));
    let air = "\n```conditions\nair = \"0 °C\"\npressure = \"1000 hPa\"\nhumidity = \"20 %\"\n```\n";
    for complaint in ["lazy", "bogs"] {
        let text = advised(&desk, complaint, air);
        assert!(text.contains("worked out from the density of the day's air"), "{complaint}: {text}");
        assert!(!text.contains("countershaft"), "{complaint}: {text}");
    }
}
