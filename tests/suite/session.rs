//! A book that is being worked on: after every edit it is what it would be if it were read afresh.

use std::collections::BTreeMap;
use std::fmt::Write as _;
use std::sync::atomic::AtomicU32;
use std::sync::atomic::Ordering::Relaxed;

use jiff::civil::date;
use loambook::finding::{Finding, Severity};
use loambook::pages::{figures, state};
use loambook::render::findings::json;
use loambook::session::{Compiled, Session};
use loambook::source::{Disk, Memory, Store, limits};
use loambook::vocabulary::{End, FigureName};
use proptest::prelude::*;

/// Ways of writing a file, drawn by numbers: each uses of the number what it needs.
struct Draw(u32);

impl Draw {
    fn of(&mut self, count: u32) -> u32 {
        let drawn = self.0 % count;
        self.0 = (self.0 / count).wrapping_mul(0x9e37_79b1) ^ (self.0 >> 7);
        drawn
    }

    /// The first of them as often as all others together.
    fn mostly<'t>(&mut self, texts: &[&'t str]) -> &'t str {
        if self.of(2) == 0 { texts[0] } else { self.one(texts) }
    }

    fn one<'t>(&mut self, texts: &[&'t str]) -> &'t str {
        texts[self.of(u32::try_from(texts.len()).unwrap()) as usize]
    }
}

const MACHINES: [&str; 2] = ["whin", "gorse"];

fn machine(draw: &mut Draw) -> String {
    let mut text = format!(
        "+++\nkind = \"machine\"\n{}+++\n\n# A machine\n\n",
        draw.mostly(&["", "name = \"Whin 250\"\n", "nmae = \"Whin\"\n"])
    );
    text.push_str(draw.mostly(&["", "Long ago it was blue.\n\n", "`@sag.rear.rider` `@geometry.trial`\n\n"]));
    text.push_str(draw.mostly(&[
        "```shock\ntravel = \"300 mm\"\nleverage = 3\nspring = \"48 N/mm\"\nthread_pitch = \"1.5 mm\"\n```\n",
        "```shock\ntravel = \"300 mm\"\nleverage = 2.9\nspring = \"50 N/mm\"\n```\n",
        "```shock\ntravel = 300 mm\n```\n",
    ]));
    text.push_str(draw.mostly(&[
        "```settings\nfork.height = \"5 mm\"\nfork.rebound = \"12 clicks\"\nshock.preload = \"8 mm\"\ntyre.front = \"13 psi\"\n```\n",
        "```settings\nfork.rebound = \"9 clicks\"\nshock.preload = \"8 mm\"\n```\n",
        "",
    ]));
    text.push_str(draw.mostly(&["", "```settings sand\nfork.rebound = \"15 clicks\"\n```\n"]));
    text.push_str(draw.mostly(&[
        "```band\nsag.rear.rider = { aim = \"105 mm\", within = \"100..110 mm\", recheck = \"30 days\" }\n```\n",
        "```band\nsag.rear.rider = { within = \"104..106 mm\" }\ntyre.front = { within = \"12..14 psi\" }\n```\n",
        "```limits\nfork.rebound = \"0..20 clicks\"\n```\n",
    ]));
    text.push_str(draw.mostly(&[
        "",
        "```adjusters\nfork.rebound = \"14 clicks\"\n```\n",
        "```valving rear\ndate = 2026-04-03\nnote = \"softer\"\n```\n",
    ]));
    text
}

fn rider(draw: &mut Draw) -> String {
    let mut text = "+++\nkind = \"rider\"\n+++\n\n".to_owned();
    text.push_str(draw.mostly(&[
        "```rider\nmass = \"80 kg\"\n```\n",
        "```rider\nmass = \"92 kg\"\nrear_share = \"62 %\"\n```\n",
        "",
    ]));
    text.push_str(draw.mostly(&[
        "",
        "```settings whin\nfork.rebound = \"10 clicks\"\n```\n",
        "```settings whin\nfork.rebound = \"3 turns\"\n```\n",
    ]));
    text
}

fn track(draw: &mut Draw) -> String {
    let mut text = "+++\nkind = \"track\"\n+++\n\n".to_owned();
    text.push_str(draw.mostly(&[
        "",
        "```track\nelevation = \"300 m\"\nsections = [\"step\"]\n```\n",
        "```track\nelevation = \"1500 m\"\n```\n",
    ]));
    text
}

fn about(draw: &mut Draw) -> String {
    let mut text = draw.mostly(&["", "title = \"Loam\"\n", "title = Loam\n"]).to_owned();
    text.push_str(draw.mostly(&["", "[units]\npressure = \"bar\"\n", "[units]\nlength = \"in\"\n"]));
    text.push_str(draw.mostly(&["", "[defaults]\nmachine = \"whin\"\ntape = \"steel\"\n"]));
    text.push_str(draw.mostly(&[
        "",
        "[instrument.steel]\nresolution = \"1 mm\"\nbias = \"0.5 mm\"\n",
        "[instrument.steel]\nresolution = \"5 mm\"\nbias = \"3 mm\"\n",
    ]));
    text
}

fn advice(draw: &mut Draw) -> String {
    draw.mostly(&[
        "",
        "[complaint.wooden]\nsay = \"wooden\"\nfirst = \"warm the oil\"\n",
        "[reading]\nnothing = 1\n",
        "broken",
    ])
    .to_owned()
}

fn laps(draw: &mut Draw) -> String {
    draw.mostly(&[
        "lap\n2:04.1\n2:02.8\n2:03.0\n",
        "lap\n2:04.1\n2:52.8\n2:03.0\n2:03.5\n",
        "lap\nquick\n",
        "",
    ])
    .to_owned()
}

/// The date comes from the day's head, and need not be that of its place among the files.
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
            "Both hands numb at noon.\n\n",
            "```checked\ncleared = \"the doctor, today\"\n```\n",
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
        1 => ("templates/advice.toml".to_owned(), advice(draw)),
        2 | 3 => (format!("machines/{}.md", MACHINES[number as usize - 2]), machine(draw)),
        4 => ("riders/tall.md".to_owned(), rider(draw)),
        5 => ("riders/short.md".to_owned(), rider(draw)),
        6 => ("tracks/hill.md".to_owned(), track(draw)),
        7 => ("tracks/dale.md".to_owned(), track(draw)),
        8 => ("laps/day.csv".to_owned(), laps(draw)),
        _ => (format!("days/{}.md", number - 8), day(number - 9, draw)),
    }
}

/// All findings.
fn found(compiled: &Compiled) -> String {
    json(&compiled.findings, &compiled.book.sources)
}

/// All findings, and the result of each notebook.
fn told(compiled: &Compiled) -> String {
    let Compiled { book, season, findings, .. } = compiled;
    let mut told = json(findings, &book.sources);
    for day in 0..book.days.len() {
        let page = figures::of_day(book, season, day).unwrap();
        told.push_str(&serde_json::to_string(&page).unwrap());
        told.push_str(&serde_json::to_string(&state::of_day(book, season, day, None).unwrap()).unwrap());
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
        // Half of them are in the store; the others were never saved.
        let saved = files.iter().step_by(2);
        let store = saved.fold(Memory::new(), |store, (path, text)| store.with(path.as_str(), text.as_str()));
        let mut session = Session::over(&store).unwrap();
        for (path, text) in files.iter().skip(1).step_by(2) {
            session.edit(path.as_str(), text.as_str());
        }
        let on = Some(date(2026, 5, 1));
        let (one, other) = (found(&session.compile(on)), found(&anew(&files)));
        prop_assert!(one == other, "before any edit: {}", differ(&one, &other));
        for (number, bits) in edits {
            let (path, text) = file(number, bits.unwrap_or_default());
            match bits {
                Some(_) => {
                    session.edit(path.as_str(), text.as_str());
                    files.insert(path.clone(), text);
                }
                // An edit of a stored file is dropped, and a file that was never stored is gone.
                None => {
                    session.close(&path);
                    match loambook::source::Store::read(&store, &path, limits::TEXT_BYTES) {
                        Ok(text) => files.insert(path.clone(), String::from_utf8(text).unwrap()),
                        Err(_) => files.remove(&path),
                    };
                }
            }
            // For this one somebody waits only for a while, and often not long enough.
            let looks = AtomicU32::new(bits.unwrap_or_default() % 64);
            let waits = || looks.fetch_update(Relaxed, Relaxed, |left| left.checked_sub(1)).is_ok();
            let _ = session.compile_while(on, &waits);
            if bits.is_none_or(|bits| bits % 3 == 0) {
                continue;
            }
            let (one, other) = (found(&session.compile(on)), found(&anew(&files)));
            prop_assert!(one == other, "{path}: {}", differ(&one, &other));
        }
        let (one, other) = (told(&session.compile(on)), told(&anew(&files)));
        prop_assert!(one == other, "in the end: {}", differ(&one, &other));
    }
}

/// What a check of one day shows: all that is found in its notebook, and the errors behind its sheet.
fn of_day(compiled: &Compiled, findings: &[Finding], day: usize) -> String {
    let Compiled { book, season, .. } = compiled;
    let (own, under) = (book.days[day].notebook.document.file, compiled.files_under(day));
    let rejected = season.days[day].end().rejections();
    let is_of_day = |finding: &&Finding| {
        finding.span.file == own
            || finding.rejects().is_some_and(|own| rejected.contains(&own))
            || finding.severity == Severity::Error && under.contains(&finding.span.file)
    };
    let all: Vec<Finding> = findings.iter().filter(is_of_day).cloned().collect();
    json(&all, &book.sources)
}

fn finds_of_a_day_what_a_check_of_all_finds(files: &BTreeMap<String, String>) {
    let on = Some(date(2026, 5, 1));
    let all = anew(files);
    let store =
        files.iter().fold(Memory::new(), |store, (path, text)| store.with(path.as_str(), text.as_str()));
    let mut session = Session::over(store).unwrap();
    for day in 0..all.book.days.len() {
        let about = session.findings_about(&[day].into(), on);
        let (one, other) = (of_day(&all, &about, day), of_day(&all, &all.findings, day));
        assert!(one == other, "{}: {}", all.book.days[day].notebook.path, differ(&one, &other));
    }
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 48, ..ProptestConfig::default() })]

    #[test]
    fn a_check_of_a_day_finds_of_it_what_a_check_of_all_finds(
        bits in proptest::collection::vec(any::<u32>(), FILES as usize),
    ) {
        let files = (0..FILES).zip(bits).map(|(number, bits)| file(number, bits)).collect();
        finds_of_a_day_what_a_check_of_all_finds(&files);
    }
}

#[test]
fn a_check_of_a_day_of_the_demonstration_finds_of_it_what_a_check_of_all_finds() {
    let store = Disk::new(concat!(env!("CARGO_MANIFEST_DIR"), "/notebooks"));
    let texts = store.list().unwrap().files.into_iter().filter_map(|listed| {
        let bytes = store.read(&listed.path, limits::TEXT_BYTES).ok()?;
        Some((listed.path, String::from_utf8(bytes).ok()?))
    });
    finds_of_a_day_what_a_check_of_all_finds(&texts.collect());
}

/// Parts of the book that matter where readings are repeated: bands with the readings at their edges, limits, a spring
/// that may not be what its label says. The scatter of a tape, a gauge and a pull scale shows from repeats alone.
fn read_again_and_again() -> BTreeMap<String, String> {
    let machine = "+++\nkind = \"machine\"\n+++\n\
        ```frame\nmass = \"110 kg\"\nfront_share = \"48 %\"\n```\n\
        ```fork\nkind = \"air\"\ntravel = \"300 mm\"\n```\n\
        ```chamber main\nside = \"positive\"\narea = \"740 mm²\"\nvolume = \"345 cm³\"\n```\n\
        ```shock\ntravel = \"300 mm\"\nleverage = 3\nspring = \"48 N/mm\"\nthread_pitch = \"1.5 mm\"\n```\n\
        ```settings\nshock.preload = \"8 mm\"\nchamber.main = \"150 psi\"\n```\n\
        ```limits\nsteering.pull = \"..12 N\"\nsag.rear.rider = \"..115 mm\"\n```\n\
        ```band\nsag.rear.rider = { aim = \"105 mm\", within = \"101..110 mm\" }\n\
        sag.rear.static = { within = \"34..36 mm\" }\nsteering.pull = { within = \"9..11 N\" }\n```\n";
    [
        ("machines/whin.md", machine),
        ("riders/tall.md", "+++\nkind = \"rider\"\n+++\n```rider\nmass = \"80 kg\"\n```\n"),
        ("tracks/hill.md", EMPTY_TRACK),
        ("book.toml", "[instrument.steel]\nresolution = \"1 mm\"\nbias = \"0.5 mm\"\n"),
    ]
    .map(|(path, text)| (path.to_owned(), text.to_owned()))
    .into()
}

/// A day with readings drawn near edges, some of them read three times, and mostly alike.
fn day_of_readings(bits: u32) -> String {
    let mut draw = Draw(bits);
    let mut near = |middle: f64, step: f64, unit: &str| {
        let rough = f64::from([1_u8, 1, 1, 4][draw.of(4) as usize]);
        let count = [1, 3, 3][draw.of(3) as usize];
        let values = (0..count).map(|_| {
            let value = middle + step * rough * (f64::from(draw.of(9)) - 4.0);
            format!("{value:.1}")
        });
        format!("\"{} {unit}\"", values.collect::<Vec<_>>().join(" "))
    };
    let mut text = format!(
        "```sag rear\nhanging = {}\nalone = {}\naboard = {}\n",
        near(612.0, 0.5, "mm"),
        near(577.0, 0.5, "mm"),
        near(506.0, 1.5, "mm"),
    );
    let pull = near(10.5, 0.3, "N");
    let (found, left) = (near(143.0, 0.5, "psi"), near(150.0, 0.5, "psi"));
    let tape = draw.one(&["", "", "tape = \"steel\"\n"]);
    let _ = writeln!(text, "{tape}```");
    if draw.of(3) == 0 {
        let _ = write!(text, "```steering\npull = {pull}\nradius = \"370 mm\"\n```\n");
    }
    if draw.of(3) == 0 {
        let _ = write!(text, "```pressures\nfound.main = {found}\nmain = {left}\nat = \"12 °C\"\n```\n");
    }
    if draw.of(4) == 0 {
        text.push_str("```expect\nsag.rear.rider = { aim = \"105 mm\" }\nwheel.rate.rear = { within = \"4..9 N/mm\" }\n```\n");
    }
    text
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 24, ..ProptestConfig::default() })]

    /// The repeats of one day show the scatter of tape, gauge and hand; the intervals of all later days rest on
    /// it.
    #[test]
    fn an_edit_of_repeats_leaves_no_later_day_with_what_was_found_before(
        first in proptest::collection::vec(any::<u32>(), 12),
        edits in proptest::collection::vec((0_usize..12, any::<u32>()), 1..16),
    ) {
        let mut files = read_again_and_again();
        let path = |number: usize| format!("days/2026-04-{:02}.md", number + 1);
        let day = |number: usize, bits| ridden(&format!("2026-04-{:02}", number + 1), &day_of_readings(bits));
        files.extend(first.iter().enumerate().map(|(number, bits)| (path(number), day(number, *bits))));
        let mut session = Session::new();
        files.iter().for_each(|(path, text)| session.edit(path.as_str(), text.as_str()));
        let on = Some(date(2026, 5, 1));
        session.compile(on);
        for (number, bits) in edits {
            let (path, text) = (path(number), day(number, bits));
            session.edit(path.as_str(), text.as_str());
            files.insert(path.clone(), text);
            let (one, other) = (found(&session.compile(on)), found(&anew(&files)));
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
            (spot.block.map(|block| block.word.to_string()), spot.key, value)
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
    let sag = |offset| compiled.figure(day, offset, FigureName::SAG_RIDER.of(End::Rear)).unwrap().value();
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

/// A day whose rear sag is 109.5 mm: inside its band by less than some readings can resolve.
const NEAR_THE_EDGE: &str = "```sag rear\nhanging = \"612 mm\"\naboard = \"502.5 mm\"\n```\n";

/// The file that is edited, and its new text; before that, its old text.
type EditOf = (&'static str, String, String);

/// Edits of one file that change the findings in another day's notebook, or in a file that nobody touched.
#[test]
fn whatever_a_day_rests_on_is_looked_at_again_when_it_is_edited() {
    let rough = "```sag rear\nhanging = \"612 mm\"\naboard = \"495 507 519 mm\"\n```\n";
    let fine = "```sag rear\nhanging = \"612 mm\"\naboard = \"507 507 507 mm\"\n```\n";
    let clicks = |clicks: u32| format!("```settings\nfork.rebound = \"{clicks} clicks\"\n```\n");
    let (few, many) = (clicks(3), clicks(30));
    let days = |first: &str, second: &str, third: &str| {
        vec![ridden("2026-04-01", first), ridden("2026-04-02", second), ridden("2026-04-03", third)]
    };
    let first = "days/2026-04-01.md";
    let day = |body: &str| ridden("2026-04-01", body);
    let plan = |to: u32| format!("```settings sand\nfork.rebound = \"{to} clicks\"\n```\n");
    let other_machine = |body: &str| day(body).replace("\"whin\"", "\"gorse\"");
    let limits = "```limits\nfork.rebound = \"0..20 clicks\"\n```\n";
    let harsh = "```stint\nlaps = \"2:04.1\"\nfeel = \"wooden 3\"\n```\n";
    let out = "```change\nfork.rebound = \"10 clicks out\"\nbecause = \"harsh\"\n```\n";
    let step = "```change\nfork.rebound = \"2 clicks out\"\nbecause = \"harsh\"\n```\n";
    let back = format!("```change\nback = true\n```\n{out}");
    let set = "```change\nfork.rebound = \"8 clicks\"\nbecause = \"harsh\"\n```\n";
    let at_sea = "```conditions\nair = \"12 °C\"\npressure = \"1013 hPa\"\n```\n";
    let asks = "`@sag.rear.rider on 2026-04-01`\n";
    let laps = "```stint\nlaps = \"laps.csv\"\n```\n";
    let limited = format!("{WHIN}{limits}");
    let cases: Vec<(&str, Vec<String>, EditOf)> = vec![
        (
            "repeats on another machine",
            vec![other_machine(fine), ridden("2026-04-02", NEAR_THE_EDGE)],
            (first, other_machine(fine), other_machine(rough)),
        ),
        (
            "another machine's day that is asked for",
            vec![other_machine(SAG), ridden("2026-04-02", asks)],
            (first, other_machine(SAG), other_machine("Dry.\n")),
        ),
        (
            "a plan of the machine",
            days("", &format!("{}{out}", "```change\nuse = \"sand\"\nbecause = \"sand\"\n```\n"), ""),
            ("machines/whin.md", limited.clone() + &plan(3), limited.clone() + &plan(15)),
        ),
        (
            "a standard setting",
            days("", out, ""),
            ("machines/whin.md", limited.clone() + &few, limited.clone() + &clicks(15)),
        ),
        ("a setting that is carried", days(&few, out, ""), (first, day(&few), day(&clicks(15)))),
        ("what is gone back to", days(&few, set, &back), (first, day(&few), day(&clicks(15)))),
        ("another day that is asked for", days(SAG, "", asks), (first, day(SAG), day("Dry.\n"))),
        (
            "the date of a day",
            days(SAG, &few, step),
            ("days/2026-04-02.md", ridden("2026-04-02", &few), ridden("2026-04-04", &few)),
        ),
        ("a machine", days("", "", &many), ("machines/whin.md", WHIN.to_owned(), limited.clone())),
        (
            "a rider",
            days("", step, ""),
            (
                "riders/tall.md",
                EMPTY_RIDER.to_owned(),
                "+++\nkind = \"rider\"\n+++\n```settings whin\nfork.rebound = \"10 clicks\"\n```\n".to_owned(),
            ),
        ),
        (
            "a track",
            days("", at_sea, ""),
            (
                "tracks/hill.md",
                EMPTY_TRACK.to_owned(),
                "+++\nkind = \"track\"\n+++\n```track\nelevation = \"1500 m\"\n```\n".to_owned(),
            ),
        ),
        (
            "an instrument",
            days("", NEAR_THE_EDGE, ""),
            (
                "book.toml",
                "[instrument.steel]\nresolution = \"1 mm\"\n\n[defaults]\ntape = \"steel\"\n".to_owned(),
                "[instrument.steel]\nresolution = \"1 mm\"\nrepeatability = \"5 mm\"\n\n[defaults]\ntape = \"steel\"\n".to_owned(),
            ),
        ),
        (
            "a unit",
            days("", "```sag rear\nhanging = 612\naboard = 507\n```\n", ""),
            ("book.toml", "".to_owned(), "[units]\nlength = \"mm\"\n".to_owned()),
        ),
        (
            "a file of laps",
            days("", laps, ""),
            ("laps.csv", "lap\n2:04.1\n2:03.9\n2:04.0\n".to_owned(), "lap\n2:04.1\n9:03.9\n2:04.0\n".to_owned()),
        ),
        ("the advice", days("", harsh, ""), ("templates/advice.toml", "".to_owned(), "[complaint.wooden]\nsay = \"wooden\"\nfirst = \"warm the oil\"\n".to_owned())),
    ];
    for (what, days, (path, was, is)) in cases {
        let mut files: BTreeMap<String, String> = [
            ("machines/whin.md", limited.as_str()),
            ("machines/gorse.md", "+++\nkind = \"machine\"\n+++\n"),
            ("riders/tall.md", EMPTY_RIDER),
            ("tracks/hill.md", EMPTY_TRACK),
            ("laps.csv", "lap\n2:04.1\n"),
        ]
        .into_iter()
        .map(|(path, text)| (path.to_owned(), text.to_owned()))
        .collect();
        for (number, text) in days.into_iter().enumerate() {
            files.insert(format!("days/2026-04-0{}.md", number + 1), text);
        }
        files.insert(path.to_owned(), was.clone());
        let mut session = Session::new();
        files.iter().for_each(|(path, text)| session.edit(path.as_str(), text.as_str()));
        let on = Some(date(2026, 5, 1));
        let elsewhere = |compiled: &Compiled| -> Vec<String> {
            let is_there =
                |line: &&str| line.split("\"file\":\"").nth(1).is_some_and(|file| file.starts_with(path));
            // A row of laps is judged by the day that reads it.
            let counts = |line: &&str| path.ends_with(".csv") || !is_there(line);
            found(compiled).lines().filter(counts).map(str::to_owned).collect()
        };
        let before = session.compile(on);
        session.edit(path, is.as_str());
        files.insert(path.to_owned(), is);
        let after = session.compile(on);
        assert_ne!(
            elsewhere(&before),
            elsewhere(&after),
            "{what} changes nothing elsewhere: {}",
            found(&after)
        );
        assert_eq!(found(&after), found(&anew(&files)), "{what}");
        session.edit(path, was);
        assert_eq!(found(&session.compile(on)), found(&before), "{what}, and back");
    }
}
