//! A book that is being worked on: after every edit it is what it would be if it were read anew.

use std::collections::BTreeMap;
use std::fmt::Write as _;

use jiff::civil::date;
use loambook::pages::{figures, state};
use loambook::render::findings::json;
use loambook::session::{Compiled, Session};
use loambook::source::{Memory, limits};
use proptest::prelude::*;

/// Ways of writing a file, drawn by numbers: each takes from the number what it needs.
struct Draw(u32);

impl Draw {
    fn of(&mut self, count: u32) -> u32 {
        let drawn = self.0 % count;
        self.0 = (self.0 / count).wrapping_mul(0x9e37_79b1) ^ (self.0 >> 7);
        drawn
    }

    fn one<'t>(&mut self, texts: &[&'t str]) -> &'t str {
        texts[self.of(u32::try_from(texts.len()).unwrap()) as usize]
    }
}

const MACHINES: [&str; 2] = ["whin", "gorse"];

fn machine(draw: &mut Draw) -> String {
    let mut text = format!(
        "+++\nkind = \"machine\"\n{}+++\n\n# A machine\n\n",
        draw.one(&["", "name = \"Whin 250\"\n", "nmae = \"Whin\"\n"])
    );
    text.push_str(draw.one(&["", "Long ago it was blue.\n\n", "`@sag.rear.rider` `@geometry.trial`\n\n"]));
    text.push_str(draw.one(&[
        "```shock\ntravel = \"300 mm\"\nleverage = 3\nspring = \"48 N/mm\"\nthread_pitch = \"1.5 mm\"\n```\n",
        "```shock\ntravel = \"300 mm\"\nleverage = 2.9\nspring = \"50 N/mm\"\n```\n",
        "```shock\ntravel = 300 mm\n```\n",
    ]));
    text.push_str(draw.one(&[
        "```settings\nfork.height = \"5 mm\"\nfork.rebound = \"12 clicks\"\nshock.preload = \"8 mm\"\ntyre.front = \"13 psi\"\n```\n",
        "```settings\nfork.rebound = \"9 clicks\"\nshock.preload = \"8 mm\"\n```\n",
        "",
    ]));
    text.push_str(draw.one(&["", "```settings sand\nfork.rebound = \"15 clicks\"\n```\n"]));
    text.push_str(draw.one(&[
        "```band\nsag.rear.rider = { aim = \"105 mm\", within = \"100..110 mm\", recheck = \"30 days\" }\n```\n",
        "```band\nsag.rear.rider = { within = \"104..106 mm\" }\ntyre.front = { within = \"12..14 psi\" }\n```\n",
        "```limits\nfork.rebound = \"0..20 clicks\"\n```\n",
    ]));
    text.push_str(draw.one(&[
        "",
        "```adjusters\nfork.rebound = \"14 clicks\"\n```\n",
        "```valving rear\ndate = 2026-04-03\nnote = \"softer\"\n```\n",
    ]));
    text
}

fn rider(draw: &mut Draw) -> String {
    let mut text = "+++\nkind = \"rider\"\n+++\n\n".to_owned();
    text.push_str(draw.one(&[
        "```rider\nmass = \"80 kg\"\n```\n",
        "```rider\nmass = \"92 kg\"\nrear_share = \"62 %\"\n```\n",
        "",
    ]));
    text.push_str(draw.one(&[
        "",
        "```settings whin\nfork.rebound = \"10 clicks\"\n```\n",
        "```settings whin\nfork.rebound = \"3 turns\"\n```\n",
    ]));
    text
}

fn track(draw: &mut Draw) -> String {
    let mut text = "+++\nkind = \"track\"\n+++\n\n".to_owned();
    text.push_str(draw.one(&[
        "",
        "```track\nelevation = \"300 m\"\nsections = [\"step\"]\n```\n",
        "```track\nelevation = \"1500 m\"\n```\n",
    ]));
    text
}

fn about(draw: &mut Draw) -> String {
    let mut text = draw.one(&["", "title = \"Loam\"\n", "title = Loam\n"]).to_owned();
    text.push_str(draw.one(&["", "[units]\npressure = \"bar\"\n", "[units]\nlength = \"in\"\n"]));
    text.push_str(draw.one(&["", "[defaults]\nmachine = \"whin\"\ntape = \"steel\"\n"]));
    text.push_str(draw.one(&[
        "",
        "[instrument.steel]\nresolution = \"1 mm\"\nbias = \"0.5 mm\"\n",
        "[instrument.steel]\nresolution = \"5 mm\"\nbias = \"3 mm\"\n",
    ]));
    text
}

fn advice(draw: &mut Draw) -> String {
    draw.one(&["", "[complaint.wooden]\nwhat = \"wooden\"\n", "[reading]\nnothing = 1\n", "broken"])
        .to_owned()
}

fn laps(draw: &mut Draw) -> String {
    draw.one(&["lap\n2:04.1\n2:02.8\n2:03.0\n", "lap\n2:04.1\n2:52.8\n2:03.0\n2:03.5\n", "lap\nquick\n", ""])
        .to_owned()
}

/// The day's head tells its date, which need not be that of its place among the files.
fn day(number: u32, draw: &mut Draw) -> String {
    let on = if draw.of(6) == 0 { 1 + draw.of(9) } else { 1 + number };
    let mut text = format!("+++\nkind = \"day\"\ndate = 2026-04-{on:02}\n");
    let _ = writeln!(text, "machine = \"{}\"", draw.one(&["whin", "whin", "whin", "gorse", "whon"]));
    let _ = writeln!(text, "rider = \"{}\"", draw.one(&["tall", "tall", "tall", "short"]));
    let _ = writeln!(text, "track = \"{}\"\n+++\n", draw.one(&["hill", "hill", "dale"]));
    for _ in 0..2 + draw.of(6) {
        text.push_str(draw.one(&[
            "A dry day.\n\n",
            "Wet.\n\n",
            "`@sag.rear.rider` and `@sag.rear.rider on 2026-04-02`\n\n",
            "```conditions\nair = \"12 °C\"\npressure = \"990 hPa\"\nhumidity = \"50 %\"\n```\n",
            "```conditions\nair = \"24 °C\"\n```\n",
            "```pressures\ntyre.front = \"13 psi\"\nat = \"9 °C\"\n```\n",
            "```pressures\ntyre.front = \"15 psi\"\nfound.tyre.front = \"12 psi\"\n```\n",
            "```sag rear\nhanging = \"612 mm\"\nalone = \"577 mm\"\naboard = \"505 506 508 mm\"\n```\n",
            "```sag rear\nhanging = \"612 mm\"\naboard = \"507 mm\"\ntape = \"steel\"\n```\n",
            "```sag rear\nhanging = \"612 mm\"\naboard = \"650 mm\"\n```\n",
            "```change\nfork.rebound = \"2 clicks out\"\nbecause = \"harsh\"\n```\n",
            "```change\nfork.rebound = \"1 click in\"\n```\n",
            "```change\nback = true\n```\n",
            "```change\nuse = \"sand\"\nbecause = \"sand\"\n```\n",
            "```settings\nfork.rebound = \"16 clicks\"\n```\n",
            "```settings\nfork.rebound = 16 clicks\n```\n",
            "```stint\nlaps = \"2:04.1 2:03.9 2:44.0\"\nfeel = \"harsh chatter 3\"\nrode = \"1 h\"\n```\n",
            "```stint\nlaps = \"laps/day.csv\"\nfeel = \"wooden in the step\"\n```\n",
            "```hours\nmeter = \"40 h\"\n```\n",
            "```rider\nmass = \"85 kg\"\n```\n",
            "```checked\ndone = [\"steering.drop\", \"chain\"]\n```\n",
            "```valving rear\nnote = \"rebuilt\"\n```\n",
            "```scales\nfront_alone = \"52 kg\"\nrear_alone = \"55 kg\"\n```\n",
        ]));
    }
    text
}

const DAYS: u32 = 7;
const FILES: u32 = DAYS + 9;

/// A file by its number, and its text.
fn file(number: u32, bits: u32) -> (String, String) {
    let mut draw = Draw(bits);
    let draw = &mut draw;
    match number {
        0 => ("book.toml".to_owned(), about(draw)),
        1 => ("advice.toml".to_owned(), advice(draw)),
        2 | 3 => (format!("machines/{}.md", MACHINES[number as usize - 2]), machine(draw)),
        4 => ("riders/tall.md".to_owned(), rider(draw)),
        5 => ("riders/short.md".to_owned(), rider(draw)),
        6 => ("tracks/hill.md".to_owned(), track(draw)),
        7 => ("tracks/dale.md".to_owned(), track(draw)),
        8 => ("laps/day.csv".to_owned(), laps(draw)),
        _ => (format!("days/{}.md", number - 8), day(number - 9, draw)),
    }
}

/// Everything that is found, and what each notebook comes to.
fn told(compiled: &Compiled) -> String {
    let Compiled { book, season, findings, .. } = compiled;
    let mut told = json(findings, &book.sources);
    for day in 0..book.days.len() {
        let page = figures::of_day(book, season, day).unwrap();
        told.push_str(&serde_json::to_string(&page).unwrap());
        told.push_str(&state::text(&state::of_day(book, season, day, None).unwrap()));
    }
    for machine in book.machines.values() {
        told.push_str(&serde_json::to_string(&figures::of_machine(book, season, machine)).unwrap());
    }
    told
}

fn anew(files: &BTreeMap<String, String>) -> Compiled {
    let store =
        files.iter().fold(Memory::new(), |store, (path, text)| store.with(path.as_str(), text.as_str()));
    Session::over(store).unwrap().compile(Some(date(2026, 5, 1)))
}

fn differ(one: &str, other: &str) -> String {
    let at = one.bytes().zip(other.bytes()).take_while(|(one, other)| one == other).count();
    let near = |text: &str| {
        let from = text.floor_char_boundary(at.saturating_sub(300));
        text[from..text.ceil_char_boundary((at + 300).min(text.len()))].to_owned()
    };
    format!("worked on: {}\n\nread anew: {}", near(one), near(other))
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 24, ..ProptestConfig::default() })]

    #[test]
    fn after_every_edit_a_session_says_what_a_fresh_one_says(
        first in proptest::collection::vec(any::<u32>(), FILES as usize),
        edits in proptest::collection::vec((0..FILES, proptest::option::weighted(0.85, any::<u32>())), 1..12),
    ) {
        let mut files: BTreeMap<String, String> =
            (0..FILES).zip(first).map(|(number, bits)| file(number, bits)).collect();
        // Half of them lie in the store, and the others were never saved.
        let saved = files.iter().step_by(2);
        let store = saved.fold(Memory::new(), |store, (path, text)| store.with(path.as_str(), text.as_str()));
        let mut session = Session::over(&store).unwrap();
        for (path, text) in files.iter().skip(1).step_by(2) {
            session.edit(path.as_str(), text.as_str());
        }
        let on = Some(date(2026, 5, 1));
        let (one, other) = (told(&session.compile(on)), told(&anew(&files)));
        prop_assert!(one == other, "before any edit: {}", differ(&one, &other));
        for (number, bits) in edits {
            let (path, text) = file(number, bits.unwrap_or_default());
            match bits {
                Some(_) => {
                    session.edit(path.as_str(), text.as_str());
                    files.insert(path.clone(), text);
                }
                // Of what lies in the store an edit is closed, and what does not is gone.
                None => {
                    session.close(&path);
                    match loambook::source::Store::read(&store, &path, limits::TEXT_BYTES) {
                        Ok(text) => files.insert(path.clone(), String::from_utf8(text).unwrap()),
                        Err(_) => files.remove(&path),
                    };
                }
            }
            let (one, other) = (told(&session.compile(on)), told(&anew(&files)));
            prop_assert!(one == other, "{path}: {}", differ(&one, &other));
        }
    }
}

const WHIN: &str = "+++\nkind = \"machine\"\n+++\n```band\nsag.rear.rider = { aim = \"105 mm\", within = \"100..110 mm\" }\n```\n";
const EMPTY_RIDER: &str = "+++\nkind = \"rider\"\n+++\n";
const EMPTY_TRACK: &str = "+++\nkind = \"track\"\n+++\n";

/// A day of one machine and rider.
fn ridden(date: &str, body: &str) -> String {
    format!(
        "+++\nkind = \"day\"\ndate = {date}\nmachine = \"whin\"\nrider = \"tall\"\ntrack = \"hill\"\n+++\n{body}"
    )
}

fn worked_on(days: &[(&str, &str)]) -> Session<'static> {
    let mut session = Session::new();
    session.edit("machines/whin.md", WHIN);
    session.edit("riders/tall.md", EMPTY_RIDER);
    session.edit("tracks/hill.md", EMPTY_TRACK);
    for (date, body) in days {
        session.edit(format!("days/{date}.md"), ridden(date, body));
    }
    session
}

const SAG: &str = "```sag rear\nhanging = \"612 mm\"\naboard = \"507 mm\"\n```\n";

#[test]
fn an_editor_is_told_what_stands_under_the_cursor() {
    let mut session = worked_on(&[("2026-04-11", &format!("Dry.\n\n{SAG}"))]);
    let compiled = session.compile(None);
    let text = ridden("2026-04-11", &format!("Dry.\n\n{SAG}"));
    let at = |path: &str, text: &str, what: &str| {
        let offset = u32::try_from(text.find(what).unwrap()).unwrap();
        compiled.spot(path, offset).map(|spot| {
            let value = spot.value.map(|value| compiled.book.sources.text(value).to_owned());
            (spot.block.map(|block| block.word.clone()), spot.key, value)
        })
    };
    let told = |block: Option<&str>, key: &str, value: &str| {
        Some((block.map(str::to_owned), Some(key.to_owned()), Some(value.to_owned())))
    };
    let day = "days/2026-04-11.md";
    assert_eq!(at(day, &text, "507"), told(Some("sag"), "aboard", "\"507 mm\""));
    assert_eq!(at(day, &text, "hanging"), told(Some("sag"), "hanging", "\"612 mm\""));
    assert_eq!(at(day, &text, "2026"), told(None, "date", "2026-04-11"));
    assert_eq!(at(day, &text, "```sag"), Some((Some("sag".to_owned()), None, None)));
    assert_eq!(at(day, &text, "Dry"), None);
    assert_eq!(
        at("machines/whin.md", WHIN, "100..110"),
        told(Some("band"), "sag.rear.rider.within", "\"100..110 mm\"")
    );
    assert_eq!(compiled.spot("days/other.md", 0), None);

    let before = u32::try_from(text.find("Dry").unwrap()).unwrap();
    let sag = |offset| compiled.figure(day, offset, "sag.rear.rider").unwrap().value();
    assert_eq!(sag(before), None);
    assert!((sag(u32::MAX).unwrap() - 0.105).abs() < 1e-9);
    assert!(compiled.state(day, before).unwrap().rider_sag(loambook::vocabulary::End::Rear).is_none());
}

#[test]
fn a_day_rests_on_the_days_whose_words_still_hold() {
    let setting = |clicks: u32| format!("```settings\nfork.rebound = \"{clicks} clicks\"\n```\n");
    let mut session = worked_on(&[
        ("2026-04-01", &setting(9)),
        ("2026-04-02", &setting(10)),
        ("2026-04-03", "```sag rear\nhanging = \"612 mm\"\naboard = \"506 507 508 mm\"\n```\n"),
        ("2026-04-04", SAG),
        ("2026-04-05", "```stint\nlaps = \"laps.csv\"\n```\n"),
    ]);
    session.edit("laps.csv", "lap\n2:04.1\n");
    let compiled = session.replay();
    let paths = |files: &std::collections::BTreeSet<loambook::source::FileId>| -> Vec<String> {
        files.iter().map(|file| compiled.book.sources.path(*file).to_owned()).collect()
    };
    let rests = compiled.rests_on(4);
    let standing = ["laps.csv", "machines/whin.md", "riders/tall.md", "tracks/hill.md"];
    let days = ["days/2026-04-02.md", "days/2026-04-04.md", "days/2026-04-05.md"];
    assert_eq!(paths(&rests.files), [&days[..], &standing[..]].concat());
    assert_eq!(paths(&rests.repeats), ["days/2026-04-03.md"]);
    assert_eq!(compiled.rests_on(99), loambook::session::RestsOn::default());
}
