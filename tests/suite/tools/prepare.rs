//! Preparation: the choice against an exhaustive search, pressures against the gas law.

use super::*;

/// A day on file, made up by the test.
#[derive(Clone, Debug)]
struct Filed {
    date: String,
    track: usize,
    soil: Option<&'static str>,
    traction: Option<&'static str>,
    /// In °C.
    air: Option<f64>,
    verdict: Option<&'static str>,
    /// In s, of the last stint.
    laps: Vec<f64>,
}

const TRACKS: [(&str, &str); 3] =
    [("quarry", "clay over stone"), ("dune", "sand, deep"), ("meadow", "loam over clay")];
const SOILS: [&str; 4] = ["clay", "sand", "loam and sand", "stone"];
const TRACTIONS: [&str; 3] = ["low", "medium", "high"];
const VERDICTS: [&str; 3] = ["better", "same", "worse"];

/// Numbers that are the same in every run.
struct Dice(u64);

impl Dice {
    fn below(&mut self, sides: usize) -> usize {
        // Knuth's MMIX constants, The Art of Computer Programming, vol. 2, 3.3.4.
        self.0 = self.0.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        (self.0 >> 33) as usize % sides
    }

    fn maybe<T: Copy>(&mut self, all: &[T]) -> Option<T> {
        let place = self.below(all.len() + 1);
        all.get(place).copied()
    }
}

fn filed(count: usize, dice: &mut Dice) -> Vec<Filed> {
    (0..count)
        .map(|index| Filed {
            date: format!("2026-{:02}-{:02}", 3 + index / 28, 1 + index % 28),
            track: dice.below(TRACKS.len()),
            soil: dice.maybe(&SOILS),
            traction: dice.maybe(&TRACTIONS),
            air: dice.maybe(&[4.0, 9.0, 14.0, 19.0, 31.0]),
            verdict: dice.maybe(&VERDICTS),
            laps: (0..[0, 3, 4][dice.below(3)]).map(|_| 100.0 + dice.below(90) as f64 / 10.0).collect(),
        })
        .collect()
}

fn notebook(day: &Filed) -> String {
    let mut text = format!(
        "+++\nkind = \"day\"\ndate = {}\nmachine = \"heron\"\nrider = \"wren\"\ntrack = \"{}\"\n+++\n\n",
        day.date, TRACKS[day.track].0
    );
    let mut lines = Vec::new();
    lines.extend(day.air.map(|air| format!("air = \"{air} °C\"")));
    lines.extend(day.soil.map(|soil| format!("soil = \"{soil}\"")));
    lines.extend(day.traction.map(|traction| format!("traction = \"{traction}\"")));
    if !lines.is_empty() {
        text += &format!("```conditions\n{}\n```\n\n", lines.join("\n"));
    }
    // An earlier stint that must not count.
    text += "```stint\nlaps = \"95 96 s\"\n```\n\n";
    let mut lines = Vec::new();
    if !day.laps.is_empty() {
        let laps: Vec<String> = day.laps.iter().map(|lap| format!("{lap:.1}")).collect();
        lines.push(format!("laps = \"{} s\"", laps.join(" ")));
    }
    lines.extend(day.verdict.map(|verdict| format!("verdict = \"{verdict}\"")));
    lines.push("note = \"the last\"".to_owned());
    text + &format!("```stint\n{}\n```\n", lines.join("\n"))
}

fn weight(table: &str, key: &str) -> f64 {
    let text = include_str!("../../../templates/prepare.toml");
    toml::from_str::<toml::Table>(text).unwrap()[table][key].as_float().unwrap()
}

fn median(laps: &[f64]) -> Option<f64> {
    let mut sorted = laps.to_vec();
    sorted.sort_by(f64::total_cmp);
    let (half, count) = (sorted.len() / 2, sorted.len());
    match count {
        0 => None,
        _ if count % 2 == 1 => Some(sorted[half]),
        _ => Some((sorted[half - 1] + sorted[half]) / 2.0),
    }
}

fn words(text: &str) -> Vec<&str> {
    text.split([' ', ',']).filter(|word| !["", "over", "and"].contains(word)).collect()
}

/// The points of a day, from the words of the weights file and with nothing of the program.
fn points(day: &Filed, all: &[Filed], ahead: &Filed) -> f64 {
    let mut sum = 0.0;
    if day.track == ahead.track {
        sum += weight("alike", "track");
    }
    let (one, other) = (day.soil.unwrap_or(TRACKS[day.track].1), ahead.soil.unwrap_or(TRACKS[ahead.track].1));
    let (one, other) = (words(one), words(other));
    let shared = one.iter().filter(|word| other.contains(word)).count();
    sum += weight("alike", "soil") * shared as f64 / (one.len() + other.len() - shared) as f64;
    if let (Some(one), Some(other)) = (day.traction, ahead.traction) {
        let place = |word: &str| TRACTIONS.iter().position(|other| *other == word).unwrap() as f64;
        sum += weight("alike", "traction") * (1.0 - (place(one) - place(other)).abs() / 2.0);
    }
    if let (Some(one), Some(other)) = (day.air, ahead.air) {
        let near = 1.0 - (one - other).abs() / weight("alike", "temperature_reach");
        sum += weight("alike", "temperature") * near.max(0.0);
    }
    if let Some(verdict) = day.verdict {
        sum += weight("went", verdict);
    }
    let timed: Vec<f64> =
        all.iter().filter(|other| other.track == day.track).filter_map(|other| median(&other.laps)).collect();
    if let Some(own) = median(&day.laps)
        && timed.len() > 1
    {
        let best = timed.iter().copied().fold(f64::INFINITY, f64::min);
        sum += weight("went", "laps") * (1.0 - (own / best - 1.0) / weight("went", "laps_reach")).max(0.0);
    }
    sum
}

#[test]
fn the_choice_is_that_of_an_exhaustive_plain_search() {
    let mut dice = Dice(20_260_411);
    let days = filed(40, &mut dice);
    let desk = Desk::new();
    for (name, soil) in TRACKS {
        desk.write(&format!("tracks/{name}.md"), &track(name, soil, 85));
    }
    for day in &days {
        desk.write(&format!("days/{}.md", day.date), &notebook(day));
    }
    // Another rider's best day ever, and a later one of this rider: neither is on file for the day ahead.
    desk.write("riders/finch.md", &RIDER.replace("Wren", "Finch"));
    let other = notebook(&days[0]).replace("rider = \"wren\"", "rider = \"finch\"");
    desk.write("days/2026-03-02-finch.md", &other);
    for round in 0..12 {
        let mut ahead = filed(1, &mut dice).remove(0);
        // Some rounds stand in the middle of the season, where later days must not be seen.
        ahead.date = if round % 3 == 0 { "2026-03-30".to_owned() } else { "2026-06-01".to_owned() };
        let before: Vec<Filed> = days.iter().filter(|day| day.date < ahead.date).cloned().collect();
        let mut best: Option<(&Filed, f64)> = None;
        for day in &before {
            let sum = points(day, &before, &ahead);
            if best.is_none_or(|(_, most)| sum > most - 1e-9) {
                best = Some((day, sum));
            }
        }
        let (mut best, mut most) = best.unwrap();
        let is_similar = most >= weight("alike", "similar_from");
        if !is_similar {
            // Nothing similar: the last time out.
            best = before.iter().max_by_key(|day| &day.date).unwrap();
            most = points(best, &before, &ahead);
        }
        let name = format!("round-{round}");
        let air = ahead.air.map(|air| format!("{air}°C"));
        let mut arguments = vec![
            "prepare",
            "--machine",
            "heron",
            "--rider",
            "wren",
            "--track",
            TRACKS[ahead.track].0,
            "--date",
            &ahead.date,
            "--name",
            &name,
        ];
        for (option, value) in
            [("--air", air.as_deref()), ("--soil", ahead.soil), ("--traction", ahead.traction)]
        {
            arguments.extend(value.into_iter().flat_map(|value| [option, value]));
        }
        let plan = desk.json(&arguments);
        assert_eq!(plan["considered"], before.len());
        assert_eq!(plan["chosen"]["name"], best.date.as_str(), "{ahead:?}: {plan}");
        assert!((number(&plan["chosen"]["sum"]) - most).abs() < 1e-9, "{most} {plan}");
        assert_eq!(plan["is_similar"], is_similar);
        assert!(!is_similar || number(&plan["runner_up"]["sum"]) <= most + 1e-9);
        // The next round must not find this one on file.
        fs::remove_file(desk.path(&format!("days/{name}.md"))).unwrap();
    }
}

/// The test book's day with pressures, a gate and a change.
fn ridden() -> Desk {
    let desk = Desk::new();
    let day = r#"
```conditions
air = "12 °C"
pressure = "1000 hPa"
traction = "medium"
```

```pressures
tyre.front = "13 psi"
tyre.rear = "12 psi"
at = "20 °C"
```

```change
fork.compression = "3 clicks in"
because = "dives"
```
"#;
    desk.write("days/2026-04-04.md", &format!("{DAY}{day}"));
    desk
}

const ASK: [&str; 9] =
    ["prepare", "--machine", "heron", "--rider", "wren", "--track", "quarry", "--date", "2026-05-02"];

/// Pa in a psi. **Source** NIST SP 811, appendix B.8.
const PSI: f64 = 6_894.757;

#[test]
fn pressures_agree_with_the_gas_law() {
    let desk = ridden();
    let more = ["--air", "24 °C", "--pressure", "880 hPa", "--bench", "15 °C"];
    let plan = desk.json(&[ASK.as_slice(), more.as_slice()].concat());
    let lines = plan["pressures"].as_array().unwrap();
    assert_eq!(lines.len(), 2);
    // The aims are the machine's; what was left that day in the cold is what was in it then.
    for (line, aim) in lines.iter().zip([13.0, 12.5]) {
        let told = number(&line["aim_value"]);
        assert!((told - aim * PSI).abs() < 0.1, "{line} {aim}");
        let bench = (told + 88_000.0) * 288.15 / 297.15 - 88_000.0;
        assert!((number(&line["bench"]["value"]) - bench).abs() < 1e-6, "{line} {bench}");
    }
}

#[test]
fn a_bench_lower_down_stands_in_thicker_air() {
    let desk = ridden();
    let more = ["--air", "24 °C", "--elevation", "1240 m", "--bench", "15 °C", "--bench-elevation", "85 m"];
    let plan = desk.json(&[ASK.as_slice(), more.as_slice()].concat());
    // ISO 2533, troposphere: 101 325 Pa (1 − 0.0065 h / 288.15)^5.25588.
    let air = |height: f64| 101_325.0 * libm::pow(1.0 - 0.0065 * height / 288.15, 5.255_88);
    for line in plan["pressures"].as_array().unwrap() {
        let aim = number(&line["aim_value"]);
        let bench = (aim + air(1240.0)) * 288.15 / 297.15 - air(85.0);
        assert!((number(&line["bench"]["value"]) - bench).abs() < 30.0, "{line} {bench}");
    }
}

#[test]
fn the_notebook_checks_clean_and_brings_back_what_the_day_ended_on() {
    let desk = ridden();
    // Since then the machine was somewhere else, on other settings.
    desk.write("tracks/dune.md", &track("The Dune", "sand", 5));
    let since = "\n```change\nfork.compression = \"4 clicks out\"\nfork.height = \"2 mm up\"\nbecause = \"sand\"\n```\n";
    let since = DAY.replace("2026-04-04", "2026-04-20").replace("quarry", "dune") + since;
    desk.write("days/2026-04-20.md", &since);
    let output = desk.run(&[ASK.as_slice(), &["--air", "24 °C", "--humidity", "40%"]].concat());
    assert_eq!(code(&output), 0, "{}{}", out(&output), err(&output));
    let day = desk.read("days/2026-05-02-wren.md");
    for line in ["air = \"24 °C\"", "fork.compression = \"9 clicks\"", "fork.height = \"5 mm\"", "because = "]
    {
        assert!(day.contains(line), "{line} in {day}");
    }
    // A setting that is so already is not a change.
    assert!(!day.contains("shock.preload"), "{day}");
    checks_clean(&desk, "days/2026-05-02-wren.md");
    assert!(fs::read(desk.path("sheets/2026-05-02-wren.pdf")).unwrap().starts_with(b"%PDF-"));
}

#[test]
fn somebody_who_was_just_prepared_is_not_told_what_was_changed_since_the_last_ride() {
    let desk = ridden();
    let complaint = "\n```checked\ndone = [\"tyres\", \"spokes\", \"axles\", \"alignment\", \"chain\", \"fork-legs\", \
        \"leaks\", \"bearings\"]\n```\n\n```stint\nfeel = [\"lazy 3\"]\n```\n";
    let since = "\n```change\nfork.compression = \"4 clicks out\"\nbecause = \"mud\"\n```\n";
    desk.write("tracks/dune.md", &track("The Dune", "sand", 5));
    let later = DAY.replace("2026-04-04", "2026-04-20").replace("quarry", "dune");
    desk.write("days/2026-04-20.md", &(later + since + complaint));
    let air = ["--air", "24 °C"];
    assert_eq!(code(&desk.run(&[ASK.as_slice(), &air].concat())), 0);
    let answer = desk.json(&["next", "days/2026-05-02-wren.md", "--on", "2026-05-02"])["answer"].clone();
    let text = answer["text"].as_str().unwrap();
    assert!(text.starts_with("as prepared for this day") && !text.contains("was changed"), "{answer}");
    assert!(text.contains("fork compression 13 clicks → 9 clicks"), "{answer}");
    // The jet follows the air and tries nothing: where it is all that was fitted, the complaint is answered.
    desk.write("machines/heron.md", &(MACHINE.to_owned() + CARBURETTOR));
    let prepared = desk.read("days/2026-05-02-wren.md");
    let line = prepared.lines().find(|line| line.starts_with("fork.compression")).unwrap();
    desk.write("days/2026-05-02-wren.md", &prepared.replace(line, "jet.main = 400"));
    let answer = desk.json(&["next", "days/2026-05-02-wren.md", "--on", "2026-05-02"])["answer"].clone();
    assert_ne!(answer["do"], "ride", "{answer}");
}

#[test]
fn clay_settings_are_not_carried_into_sand() {
    let desk = ridden();
    desk.write("tracks/dune.md", &track("The Dune", "deep sand", 5));
    let since = "\n```change\nfork.compression = \"4 clicks out\"\nbecause = \"mud\"\n```\n";
    desk.write("days/2026-04-20.md", &(DAY.replace("2026-04-04", "2026-04-20") + since));
    let plan = desk.json(&[
        "prepare",
        "--machine",
        "heron",
        "--rider",
        "wren",
        "--track",
        "dune",
        "--date",
        "2026-05-02",
        "--traction",
        "medium",
        "--air",
        "12 °C",
    ]);
    assert_eq!(
        (&plan["is_similar"], &plan["chosen"]["name"]),
        (&false.into(), &"2026-04-20".into()),
        "{plan}"
    );
    let day = desk.read("days/2026-05-02-wren.md");
    assert!(
        day.contains("Nothing similar on file; from the last time out") && !day.contains("fork.compression"),
        "{day}"
    );
}

#[test]
fn a_spring_that_was_outgrown_and_clicks_of_before_a_rebuild_stay_where_they_are() {
    let desk = ridden();
    desk.write("tracks/dune.md", &track("The Dune", "sand", 5));
    let since = r#"
```valving fork
by = "the shop"
```

```change
shock.spring = "99 N/mm"
shock.preload = "7 mm"
fork.compression = "11 clicks"
fork.height = "9 mm"
because = "grown"
```
"#;
    let since = DAY.replace("2026-04-04", "2026-04-20").replace("quarry", "dune") + since;
    desk.write("days/2026-04-20.md", &since);
    // The quarry fits best, and it was ridden on the old spring, before the rebuild.
    let plan = desk.json(&ASK);
    assert_eq!(plan["chosen"]["name"], "2026-04-04", "{plan}");
    let day = desk.read("days/2026-05-02-wren.md");
    for stays in ["shock.spring", "shock.preload", "fork.compression"] {
        assert!(!day.contains(stays), "{stays}: {day}");
    }
    assert!(day.contains("fork.height"), "{day}");
}

#[test]
fn a_sprocket_that_is_on_already_is_no_change() {
    let desk = ridden();
    for (date, teeth) in [("2026-04-10", 50), ("2026-04-12", 52), ("2026-04-20", 50)] {
        let change = format!("\n```change\ndrive.rear = {teeth}\nbecause = \"gearing\"\n```\n");
        desk.write(&format!("days/{date}.md"), &(DAY.replace("2026-04-04", date) + &change));
    }
    desk.json(&ASK);
    let day = desk.read("days/2026-05-02-wren.md");
    assert!(!day.contains("drive.rear"), "{day}");
}

/// A notebook that is written gives no finding at all.
fn checks_clean(desk: &Desk, path: &str) {
    let check = desk.run(&["check", path, "--format", "json", "--on", "2026-05-02"]);
    assert_eq!((code(&check), out(&check)), (0, ""), "{path}");
}

#[test]
fn every_flag_alone_and_all_together_write_a_notebook_that_checks_clean() {
    let flags = [
        ["--air", "-3 °C"],
        ["--air", "48 °C"],
        ["--humidity", "100%"],
        ["--pressure", "650 hPa"],
        ["--sea-level-pressure", "1045 hPa"],
        ["--elevation", "310 m"],
        ["--soil", "snow, \"packed\" @ the top `gate`"],
        ["--surface", "ice"],
        ["--traction", "low"],
        ["--bench", "-12 °C"],
    ];
    let desk = ridden();
    let prepare = |name: &str, more: &[&str]| {
        let output = desk.run(&[ASK.as_slice(), &["--name", name], more].concat());
        assert_eq!(code(&output), 0, "{more:?}: {}{}", out(&output), err(&output));
        let path = format!("days/{name}.md");
        checks_clean(&desk, &path);
        // The sheet, and the machine's side view on a page behind it.
        assert_eq!(pages(&desk.path(&format!("sheets/{name}.pdf"))), 2, "{more:?}");
        fs::remove_file(desk.path(&path)).unwrap();
    };
    prepare("none", &[]);
    for (place, flag) in flags.iter().enumerate() {
        prepare(&format!("flag-{place}"), flag);
    }
    let all: Vec<&str> = flags
        .iter()
        .filter(|flag| flag[1] != "48 °C" && flag[0] != "--pressure")
        .flatten()
        .copied()
        .collect();
    prepare("all", &all);
}

#[test]
fn the_bench_is_written_into_the_notebook_and_its_sheet_goes_by_it() {
    let desk = ridden();
    let more = ["--air", "24 °C", "--pressure", "880 hPa", "--bench", "15 °C"];
    let plan = desk.json(&[ASK.as_slice(), more.as_slice()].concat());
    let day = desk.read("days/2026-05-02-wren.md");
    assert!(day.contains("bench = \"15 °C\""), "{day}");
    checks_clean(&desk, "days/2026-05-02-wren.md");
    let figures = desk.run(&["figures", "days/2026-05-02-wren.md", "--format", "json"]);
    for (end, line) in ["front", "rear"].into_iter().zip(plan["pressures"].as_array().unwrap()) {
        let figure = last_figure(out(&figures), &format!("bench.tyre.{end}"));
        assert!((figure - number(&line["bench"]["value"])).abs() < 1e-6, "{end} {figure} {line}");
    }
    let text = pdf_text(&desk.path("sheets/2026-05-02-wren.pdf"));
    assert!(text.contains("on the bench,\n15 °C") && text.contains("12\n.2\npsi"), "{text}");
    // The bench stays as planned; the legs' temperature at the reading is that day's cold.
    let read = "\n```pressures\ntyre.front = \"12 psi\"\ntyre.rear = \"11 psi\"\nat = \"19 °C\"\n```\n```settings\ntyre.front = \"12.3 psi\"\n```\n";
    desk.write("days/2026-05-02-wren.md", &(day + read));
    let figures = desk.run(&["figures", "days/2026-05-02-wren.md", "--format", "json"]);
    let bench = (12.3 * PSI + 88_000.0) * 288.15 / 292.15 - 88_000.0;
    let told = last_figure(out(&figures), "bench.tyre.front");
    assert!((told - bench).abs() < 2.0, "{told} {bench} {}", out(&figures));
}

fn pages(path: &Path) -> usize {
    lopdf::Document::load(path).unwrap().get_pages().len()
}

fn pdf_text(path: &Path) -> String {
    let file = lopdf::Document::load(path).unwrap();
    let pages: Vec<u32> = file.get_pages().into_keys().collect();
    file.extract_text(&pages).unwrap()
}

/// The last value of a figure that `figures` prints.
fn last_figure(json: &str, name: &str) -> f64 {
    let figures: Value = serde_json::from_str(json.trim()).unwrap();
    let all = figures["figures"].as_array().unwrap();
    number(&all.iter().rfind(|figure| figure["id"] == name).unwrap()["value"])
}

#[test]
fn the_leanest_choice_goes_out_where_the_rule_forbids_it() {
    let desk = ridden();
    let machine = desk.read("machines/heron.md")
        + "\n```fuelling\nchoices = [\"crisp\", \"standard\", \"mellow\", \"soft\"]\n```\n\n```settings\nfuelling = \"standard\"\nexhaust = \"standard\"\n```\n";
    desk.write("machines/heron.md", &machine);
    let day = desk.read("days/2026-04-04.md") + "\n```settings\nfuelling = \"crisp\"\n```\n";
    desk.write("days/2026-04-04.md", &day);
    let cases: [(&[&str], &str, &str); 5] = [
        (&["--air", "20 °C", "--soil", "clay"], "crisp", "and by the rule"),
        (&["--air", "31 °C", "--soil", "clay"], "standard", "heat"),
        (&["--air", "20 °C", "--soil", "deep sand"], "standard", "sand"),
        (&["--air", "20 °C", "--soil", "clay", "--traction", "low"], "crisp", "by the rule soft"),
        (&["--soil", "clay"], "crisp", "gives no answer"),
    ];
    for (place, (more, wanted, says)) in cases.into_iter().enumerate() {
        let name = format!("round-{place}");
        let output = desk.run(&[ASK.as_slice(), &["--name", &name], more].concat());
        assert_eq!(code(&output), 0, "{}{}", out(&output), err(&output));
        assert!(out(&output).contains(says), "{says}: {}", out(&output));
        let path = format!("days/{name}.md");
        let state = desk.run(&["state", &path]);
        let line = out(&state).lines().find(|line| line.contains("fuelling")).unwrap().to_owned();
        assert!(line.contains(wanted), "{more:?}: {line}");
        checks_clean(&desk, &path);
        fs::remove_file(desk.path(&path)).unwrap();
    }
}

/// A two-stroke's carburettor, as it was tuned on a cool day.
const CARBURETTOR: &str = "\n```carburettor\nmain = 410\non_hand = [400, 410, 420]\nnumbering = \"flow\"\ntuned_at = { air = \"20 °C\", pressure = \"1013 hPa\", humidity = \"50 %\" }\n```\n";

#[test]
fn a_leaner_jet_comes_with_the_plug_and_with_what_to_refit() {
    let desk = ridden();
    desk.write("machines/heron.md", &(MACHINE.to_owned() + CARBURETTOR));
    let thin = ["--air", "30 °C", "--pressure", "930 hPa", "--humidity", "50 %"];
    let text = out(&desk.run(&[ASK.as_slice(), &thin, &["--name", "thin"]].concat())).to_owned();
    let line = text.lines().find(|line| line.contains("main jet")).unwrap_or_else(|| panic!("{text}"));
    for words in [
        "main jet: 400 (it was 410)",
        "never leaner",
        "can seize an engine",
        "read the plug",
        "refit 410 before riding lower or colder",
    ] {
        assert!(text.replace("\n ", "").contains(words) || line.contains(words), "{words}: {text}");
    }
    let notebook = desk.read("days/thin.md");
    assert!(notebook.contains("refit 410 before riding lower or colder"), "{notebook}");
    fs::remove_file(desk.path("days/thin.md")).unwrap();
    // The jet fitted is right for the air it was tuned in: nothing to refit.
    let same = ["--air", "20 °C", "--pressure", "1013 hPa", "--humidity", "50 %"];
    let text = out(&desk.run(&[ASK.as_slice(), &same, &["--name", "same"]].concat())).to_owned();
    assert!(text.contains("main jet: 410") && !text.contains("refit"), "{text}");
}

#[test]
fn a_richer_jet_is_not_told_to_be_lean() {
    let desk = ridden();
    desk.write("machines/heron.md", &(MACHINE.to_owned() + CARBURETTOR));
    let dense = ["--air", "12 °C", "--pressure", "1020 hPa", "--humidity", "50 %"];
    let text = out(&desk.run(&[ASK.as_slice(), &dense, &["--name", "dense"]].concat())).to_owned();
    let text = text.split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(text.contains("main jet: 420 (it was 410)") && text.contains("can foul the plug"), "{text}");
    assert!(!text.contains("refit 410 before"), "{text}");
    let notebook = desk.read("days/dense.md");
    assert!(notebook.contains("the main jet for this air\""), "{notebook}");
}

#[test]
fn a_sheet_that_asks_for_a_jet_says_what_lean_does() {
    let desk = ridden();
    desk.write("machines/heron.md", &(MACHINE.to_owned() + CARBURETTOR));
    let sheet = |air: &str, feel: &str| {
        let air =
            format!("\n```conditions\nair = \"{air}\"\npressure = \"930 hPa\"\nhumidity = \"50 %\"\n```\n");
        let ride = format!("\n```stint\nlaps = \"2:04.1 2:02.8\"\nfeel = \"{feel}\"\n```\n");
        desk.write("days/2026-04-04.md", &(DAY.to_owned() + &air + &ride));
        let text = out(&desk.run(&["sheet", "days/2026-04-04.md", "--format", "text"])).to_owned();
        text.split_whitespace().collect::<Vec<_>>().join(" ")
    };
    let thin = sheet("30 °C", "bogs");
    assert!(thin.contains("410 → 400"), "{thin}");
    for said in ["refit 410 before riding lower or colder", "running lean can seize or burn an engine"] {
        assert!(thin.contains(said), "{said}: {thin}");
    }
    assert!(!sheet("30 °C", "").contains("running lean"), "nothing is asked for");
}

#[test]
fn a_sheet_says_in_which_air_its_jet_was_fitted() {
    let desk = ridden();
    desk.write("machines/heron.md", &(MACHINE.to_owned() + CARBURETTOR));
    let air = |air: &str| format!("\n```conditions\nair = \"{air}\"\npressure = \"1000 hPa\"\n```\n");
    let jet =
        "\n```settings\njet.main = 420\njet.pilot = 45\nneedle.clip = 3\nair_screw = \"1.5 turns\"\n```\n";
    let sheet = |text: String| {
        desk.write("days/2026-04-04.md", &(DAY.to_owned() + &text));
        desk.run(&["sheet", "days/2026-04-04.md", "--format", "html", "-o", "sheet.html"]);
        desk.read("sheet.html")
    };
    // The four of them are one change: main, pilot, needle and air screw.
    assert_eq!(sheet(air("4 °C") + jet + &air("19 °C")).matches("fitted in 4 °C").count(), 4);
    assert!(!sheet(air("4 °C") + &air("19 °C") + jet).contains("fitted in"));
    assert!(!sheet(air("19 °C") + jet).contains("fitted in"));
}

#[test]
fn clicks_of_before_a_rebuild_are_marked_on_the_sheet() {
    let desk = ridden();
    let ahead = |between: &str| {
        let head = "+++\nkind = \"day\"\ndate = 2026-04-20\nmachine = \"heron\"\nrider = \"wren\"\ntrack = \"quarry\"\n+++\n";
        desk.write(
            "days/2026-04-20.md",
            &format!("{head}{between}\n```settings\nfork.compression = \"11 clicks\"\n```\n"),
        );
        desk.run(&["sheet", "days/2026-04-20.md", "--format", "html", "-o", "sheet.html"]);
        desk.read("sheet.html")
    };
    let rebuilt = ahead("\n```valving fork\nstack = \"softer\"\n```\n");
    assert!(rebuilt.contains("rebuilt since") && !rebuilt.contains("2 clicks out"), "{rebuilt}");
    let plain = ahead("");
    assert!(!plain.contains("rebuilt since") && plain.contains("2 clicks out"), "{plain}");
}

#[test]
fn nothing_is_overwritten() {
    let desk = ridden();
    desk.write("days/2026-05-02-wren.md", "mine\n");
    let output = desk.run(&ASK);
    assert_eq!(code(&output), 2, "{}", out(&output));
    assert_eq!(desk.read("days/2026-05-02-wren.md"), "mine\n");
    assert!(!desk.path("sheets").exists());
}

#[test]
fn a_forecast_that_is_none_writes_nothing() {
    let desk = ridden();
    let output = desk.run(&[ASK.as_slice(), &["--air", "24 psi"]].concat());
    assert_eq!(code(&output), 2, "{}", out(&output));
    assert!(err(&output).contains("24 ▸psi◂"), "{}", err(&output));
    assert_eq!(file_names(&desk.path("days")), ["2026-04-04.md"]);
}

#[test]
fn with_nothing_on_file_it_starts_from_the_standard_setting_and_says_so() {
    let desk = Desk::new();
    // Another rider left another sprocket on the machine.
    desk.write("riders/finch.md", &RIDER.replace("Wren", "Finch"));
    let left =
        DAY.replace("\"wren\"", "\"finch\"") + "\n```change\ndrive.rear = 52\nbecause = \"sand\"\n```\n";
    desk.write("days/2026-04-04.md", &left);
    let output = desk.run(&[ASK.as_slice(), &["--air", "24 °C"]].concat());
    assert_eq!(code(&output), 0, "{}{}", out(&output), err(&output));
    assert!(out(&output).contains("Nothing is on file"), "{}", out(&output));
    let day = desk.read("days/2026-05-02-wren.md");
    assert!(day.contains("starts from the standard setting"), "{day}");
    assert!(day.contains("drive.rear = \"50 teeth\""), "{day}");
    // The others are so already, from the machine's own page.
    assert!(!day.contains("fork.compression"), "{day}");
}

#[test]
fn a_books_own_weights_stand_in_the_place_of_those_that_ship() {
    let desk = ridden();
    desk.write("templates/prepare.toml", "[alike]\ntrak = 1.0\n");
    let output = desk.run(&ASK);
    assert_eq!(code(&output), 2, "{}", out(&output));
    assert!(
        err(&output).contains("templates/prepare.toml") && err(&output).contains("trak"),
        "{}",
        err(&output)
    );
}

#[test]
fn the_notebook_is_written_in_the_riders_language_and_its_keys_are_english() {
    use crate::mixing::{self, Own};
    let desk = ridden();
    desk.write(&format!("templates/words/{}.toml", mixing::TAG), &mixing::language());
    let rider = RIDER.replacen("+++\n", &format!("+++\nlanguage = \"{}\"\n", mixing::TAG), 1);
    desk.write("riders/wren.md", &rider);
    let output = desk.run(&[ASK.as_slice(), &["--air", "24 °C"]].concat());
    assert_eq!(code(&output), 0, "{}{}", out(&output), err(&output));
    let day = desk.read("days/2026-05-02-wren.md");
    checks_clean(&desk, "days/2026-05-02-wren.md");
    for line in ["```conditions\n", "air = \"24 °C\"", "```sag rear\n# hanging = \"612 mm\""] {
        assert!(day.contains(line), "{line} in {day}");
    }
    let mut own = Own::default();
    for path in ["machines/heron.md", "riders/wren.md", "tracks/quarry.md", "days/2026-04-04.md"] {
        own.add(path, &desk.read(path));
    }
    // An option of the program: prose has it without marks of code.
    own.add("option.md", "option = \"bench\"\n");
    let (_, prose) = day.rsplit_once("+++").unwrap();
    let mut is_block = false;
    let mut told = 0;
    for line in prose.lines() {
        if line.starts_with("```") {
            is_block = !is_block;
            continue;
        }
        // In a block people read the comment behind a value.
        let said = if is_block { line.rsplit_once("  # ").map_or("", |(_, said)| said) } else { line };
        told += usize::from(!said.is_empty());
        assert_eq!(mixing::strays(said, &own), [""; 0], "{line}");
    }
    assert!(told > 15, "{day}");
}
