//! The uncertainty of figures, compared with random draws.
//!
//! First order propagation (JCGM 100:2008) is checked by Monte Carlo on the demo book (JCGM 101:2008): every error
//! source is drawn and the figures are worked out anew. Coverage is checked on made-up measurement days whose
//! truth is known.

use std::collections::{BTreeMap, BTreeSet};
use std::fmt::Write as _;
use std::path::Path;
use std::sync::Arc;

use loambook::book::Book;
use loambook::figures::tape::Tape;
use loambook::figures::{Bench, Cause, Here, Number, Plain, Shape, SourceNote};
use loambook::physics::uncertainty::coverage_factor;
use loambook::season::Season;
use loambook::session::{Compiled, Session};
use loambook::source::{Disk, Memory, Store};
use loambook::vocabulary::figures::FigureId;
use loambook::vocabulary::name::Row as _;
use loambook::vocabulary::{End, FigureName};
use rayon::prelude::*;

use crate::books::replayed;

/// Splitmix64: small, and good enough for draws that need no secrecy. G. Steele, D. Lea and C. Flood, OOPSLA
/// 2014.
struct Lots(u64);

impl Lots {
    fn next(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        z ^ (z >> 31)
    }

    /// In (0, 1).
    fn even(&mut self) -> f64 {
        ((self.next() >> 11) as f64 + 0.5) / (1_u64 << 53) as f64
    }

    /// Standard normal, by Box and Muller.
    fn normal(&mut self) -> f64 {
        let (a, b) = (self.even(), self.even());
        (-2.0 * libm::log(a)).sqrt() * libm::cos(2.0 * std::f64::consts::PI * b)
    }
}

/// The error of a source in one draw: the same source has the same error in all figures of the draw.
fn lot(draw: u64, note: &SourceNote) -> f64 {
    let name = note.id.as_str().bytes().fold(0xcbf2_9ce4_8422_2325_u64, |hash, byte| {
        (hash ^ u64::from(byte)).wrapping_mul(0x0100_0000_01b3)
    });
    let mut lots = Lots(name ^ draw.wrapping_mul(0xd6e8_feb8_6659_fd93));
    match note.shape {
        Shape::Normal => note.u * lots.normal(),
        Shape::Rectangular => note.u * 3.0_f64.sqrt() * (2.0 * lots.even() - 1.0),
    }
}

/// Draws of a figure: their count, mean and sum of squares, kept by Welford's recurrence.
#[derive(Clone, Copy, Default)]
struct Spread {
    count: f64,
    mean: f64,
    squares: f64,
}

impl Spread {
    fn add(&mut self, value: f64) {
        self.count += 1.0;
        let off = value - self.mean;
        self.mean += off / self.count;
        self.squares += off * (value - self.mean);
    }

    fn joined(self, other: Self) -> Self {
        let count = self.count + other.count;
        if count == 0.0 {
            return self;
        }
        let off = other.mean - self.mean;
        Self {
            count,
            mean: self.mean + off * other.count / count,
            squares: self.squares + other.squares + off * off * self.count * other.count / count,
        }
    }

    fn deviation(self) -> f64 {
        (self.squares / (self.count - 1.0)).sqrt()
    }
}

/// The demo book's values without a `±`, with one that a careful rider could write, so that every figure has an
/// uncertainty.
const DOUBTS: [(&str, &str, &str); 8] = [
    ("machines/corrie-450.md", "total_offset = \"52.1 mm\"", "total_offset = \"52.1 ± 0.4 mm\""),
    ("machines/corrie-450.md", "rollout = \"2141 mm\"", "rollout = \"2141 ± 4 mm\""),
    ("machines/corrie-450.md", "rollout = \"2069 mm\"", "rollout = \"2069 ± 4 mm\""),
    ("machines/corrie-450.md", "swingarm = \"588 mm\"", "swingarm = \"588 ± 1 mm\""),
    ("machines/skerry-125.md", "bars.width = \"784 mm\"", "bars.width = \"784 ± 2 mm\""),
    ("days/2026-10-17-senior.md", "pull = \"10.3 N\"", "pull = \"10.3 ± 0.5 N\""),
    ("days/2026-07-04-senior.md", "travel_used.front = \"268 mm\"", "travel_used.front = \"268 ± 3 mm\""),
    ("days/2026-07-04-senior.md", "travel_used.rear = \"277 mm\"", "travel_used.rear = \"277 ± 3 mm\""),
];

/// Figures that are not drawn, and why.
const NOT_DRAWN: [(FigureId, &str); 10] = [
    (FigureId::SPRING_BEST_RATE, "one of the springs on hand"),
    (FigureId::JET_MAIN_ON_HAND, "one of the jets on hand"),
    (FigureId::DRIVE_RATIO, "teeth are counted"),
    (FigureId::DRIVE_LINKS_NEEDED, "teeth and links are counted, and the countershaft's place cancels"),
    (FigureId::DRIVE_AXLE_MOVE, "teeth and links are counted, and the countershaft's place cancels"),
    (FigureId::LAPS_BEST, "a watch has no error that anybody wrote"),
    (FigureId::LAPS_MEDIAN, "a watch has no error that anybody wrote"),
    (FigureId::LAPS_SPREAD, "a watch has no error that anybody wrote"),
    (FigureId::CHANGE_OFFSET, "nobody changes the clamps in the demo book, and what both have cancels"),
    (FigureId::STEP_OFFSET, "nobody changes the clamps in the demo book, and what both have cancels"),
];

fn doubtful_demo() -> (Arc<Book>, Arc<Season>) {
    let disk = Disk::new(Path::new(env!("CARGO_MANIFEST_DIR")).join("notebooks"));
    let mut texts: BTreeMap<&str, String> = BTreeMap::new();
    for (path, was, is) in DOUBTS {
        let read = || String::from_utf8(disk.read(path, 1 << 20).unwrap()).unwrap();
        let text = texts.entry(path).or_insert_with(read);
        assert!(text.contains(was), "{path}: {was}");
        *text = text.replace(was, is);
    }
    let store = texts.into_iter().fold(Memory::over(&disk), |store, (path, text)| store.with(path, text));
    let Compiled { book, season, .. } = replayed(&store);
    (book, season)
}

/// Each figure, worked out this often with every error source drawn anew.
fn drawn(here: Here<'_>, draws: u64, figures: &[(FigureName, f64)]) -> Vec<Spread> {
    (0..draws)
        .into_par_iter()
        .fold(
            || vec![Spread::default(); figures.len()],
            |mut spreads, draw| {
                let shift = |note: &SourceNote| lot(draw, note);
                let bench = Bench::new(here, Plain).shifted(&shift).untraced();
                for (spread, (name, _)) in spreads.iter_mut().zip(figures) {
                    if let Some(value) = bench.value(*name) {
                        spread.add(value);
                    }
                }
                spreads
            },
        )
        .reduce(
            || vec![Spread::default(); figures.len()],
            |a, b| a.into_iter().zip(b).map(|(a, b)| a.joined(b)).collect(),
        )
}

/// The standard uncertainty of every continuous figure of the demo book is that of random draws, within 3 %: for each machine and
/// rider, on the latest day on which the figure is uncertain. A figure of the vocabulary that is never compared must be named in
/// [`NOT_DRAWN`].
///
/// Ten thousand draws give a standard deviation to 0.7 %, so that 3 % is four times the error of chance. `LOAMBOOK_DRAWS` asks
/// for another number: a million on demand, some hundreds in a hurry.
#[test]
fn first_order_agrees_with_drawing_lots() {
    let draws: u64 =
        std::env::var("LOAMBOOK_DRAWS").ok().and_then(|draws| draws.parse().ok()).unwrap_or(10_000);
    let (book, season) = doubtful_demo();
    let mut report = String::new();
    let mut done: BTreeSet<(Option<&str>, Option<&str>, FigureName)> = BTreeSet::new();
    for (index, day) in book.days.iter().enumerate().rev() {
        let here = Here::of_day(&book, &season, index, season.days[index].end()).unwrap();
        let tape = Tape::new();
        let bench = Bench::new(here, &tape);
        let first_order: Vec<(FigureName, f64)> = bench
            .names()
            .into_iter()
            .filter_map(|name| {
                let standard = bench.figure(name).number()?.standard()?;
                Some((name, standard))
            })
            .filter(|(name, _)| done.insert((day.machine.as_deref(), day.rider.as_deref(), *name)))
            .collect();
        if first_order.is_empty() {
            continue;
        }
        let spreads = drawn(here, draws, &first_order);
        for (spread, (name, standard)) in spreads.iter().zip(&first_order) {
            let ratio = spread.deviation() / standard;
            // Few draws give a spread only roughly: four times its own standard deviation is allowed.
            let allowed = 0.03_f64.max(4.0 / (2.0 * draws as f64).sqrt());
            let enough = spread.count > 0.99 * draws as f64;
            if !(enough && (ratio - 1.0).abs() < allowed) {
                let (day, count) = (&day.notebook.name, spread.count);
                let _ = writeln!(report, "{day} {name}: drawn / first order = {ratio:.4} of {count} draws");
            }
        }
    }
    assert!(report.is_empty(), "{report}");
    let compared = |row: &FigureId| done.iter().any(|(_, _, name)| name.row == *row);
    let never: Vec<FigureId> = FigureId::ALL.iter().copied().filter(|row| !compared(row)).collect();
    println!("{} figures drawn {draws} times; not drawn: {never:?}", done.len());
    let excused = NOT_DRAWN.map(|(row, _)| row);
    let without_excuse: Vec<_> = never.iter().filter(|row| !excused.contains(row)).collect();
    let drawn_after_all: Vec<_> = excused.iter().filter(|row| !never.contains(row)).collect();
    assert!(
        without_excuse.is_empty() && drawn_after_all.is_empty(),
        "{without_excuse:?} {drawn_after_all:?}"
    );
}

pub const MACHINE: &str = r#"+++
kind = "machine"
+++
```frame
rake = "27 deg"
trail = "115 mm"
wheelbase = "1480 mm"
swingarm = "600 mm"
pivot_height = "420 mm"
measured_at.fork.height = "5 mm"
measured_at.sag.front = "0 mm"
measured_at.sag.rear = "0 mm"
```
```wheel front
loaded_radius = "345 mm"
unsprung = "19 kg"
```
```wheel rear
loaded_radius = "335 mm"
unsprung = "24 kg"
```
```shock
travel = "300 mm"
leverage = [3.0, 2.6]
spring = "48 N/mm"
```
```chamber main
side = "positive"
bore = "32 mm"
volume = "180 cm3"
```
```settings
fork.height = "5 mm"
```
"#;

const BOOK: &str = r#"
[instrument.tape]
resolution = "1 mm"
bias = "1 mm"
repeatability = "0.8 mm"
[instrument.scale]
resolution = "0.5 kg"
bias = "0.5 kg"
repeatability = "0.4 kg"
[instrument.gauge]
resolution = "1 psi"
bias = "2 psi"
repeatability = "0.7 psi"
[defaults]
tape = "tape"
scale = "scale"
gauge = "gauge"
machine = "machine"
rider = "rider"
"#;

/// What is true on every made-up day, in the units of its notebook.
pub const TRUTH: [(&str, &str, f64); 11] = [
    ("sag rear", "hanging", 612.0),
    ("sag rear", "alone", 575.3),
    ("sag rear", "aboard", 507.4),
    ("sag front", "hanging", 700.0),
    ("sag front", "alone", 664.6),
    ("sag front", "aboard", 631.2),
    ("scales", "front_alone", 53.3),
    ("scales", "rear_alone", 57.2),
    ("scales", "front_aboard", 86.4),
    ("scales", "rear_aboard", 104.9),
    ("pressures", "main", 151.3),
];

/// A day's notebook with a reading of each truth.
fn day(date: &str, mut reading: impl FnMut(&str, &str, f64) -> String) -> String {
    let mut text = format!("+++\nkind = \"day\"\ndate = {date}\n+++\n");
    let mut open = "";
    for (block, key, truth) in TRUTH {
        if block != open {
            if !open.is_empty() {
                text.push_str("```\n");
            }
            let _ = writeln!(text, "```{block}");
            open = block;
        }
        let unit = match block {
            "scales" => "kg",
            "pressures" => "psi",
            _ => "mm",
        };
        let _ = writeln!(text, "{key} = \"{} {unit}\"", reading(block, key, truth));
    }
    text.push_str("at = \"9 °C\"\n```\n```conditions\nair = \"24 °C\"\npressure = \"98.5 kPa abs\"\n```\n");
    text
}

/// A `±` beside a supposed value does not change that value, whether errors are recorded or not.
#[test]
fn a_setting_with_a_doubt_can_be_supposed_otherwise() {
    let machine =
        MACHINE.replace("fork.height = \"5 mm\"", "fork.height = \"5 mm\"\nshock.preload = \"10 ± 0.5 mm\"");
    let store = Memory::new()
        .with("book.toml", BOOK)
        .with("machine.md", machine)
        .with("rider.md", "+++\nkind = \"rider\"\n+++\n")
        .with("days/a.md", day("2026-05-02", |_, _, truth| format!("{truth}")));
    let Compiled { book, season, .. } = replayed(&store);
    let end = season.days[0].end();
    let by = loambook::quantity::quantity("2 mm", &[loambook::quantity::Kind::Length], &Default::default())
        .unwrap();
    let supposed = end.with_step(loambook::vocabulary::Setting::SHOCK_PRELOAD, by);
    let expected = |state| {
        let here = Here::of_day(&book, &season, 0, state).unwrap();
        let tape = Tape::new();
        let sag = FigureName::SAG_RIDER_EXPECTED.of(End::Rear);
        let recorded = Bench::new(here, &tape).figure(sag).number().unwrap().value;
        (Bench::new(here, Plain).value(sag).unwrap(), recorded)
    };
    let (before, after) = (expected(end), expected(&supposed));
    assert!((before.0 - before.1).abs() < 1e-9 && (after.0 - after.1).abs() < 1e-9, "{before:?} {after:?}");
    assert!(after.0 < before.0 - 1e-3, "more preload holds the rear up: {before:?} {after:?}");
}

/// At least 93 % of the intervals of 1,000 measurement days contain the truth.
#[test]
fn intervals_contain_the_truth() {
    const DAYS: u64 = 1_000;
    let mut store = Memory::new()
        .with("book.toml", BOOK)
        .with("machine.md", MACHINE)
        .with("rider.md", "+++\nkind = \"rider\"\n+++\n")
        .with("days/0000.md", day("2020-01-01", |_, _, truth| format!("{truth}")));
    let mut lots = Lots(20_261_125);
    for number in 1..=DAYS {
        let date = format!("{}-{:02}-{:02}", 2021 + number / 336, number / 28 % 12 + 1, number % 28 + 1);
        // Each day has its own instruments: the bias is one draw for all readings of one of them.
        let bias: BTreeMap<&str, f64> = [("sag", 1.0), ("scales", 0.5), ("pressures", 2.0)]
            .map(|(tool, most)| (tool, most * (2.0 * lots.even() - 1.0)))
            .into();
        let text = day(&date, |block, _, truth| {
            let tool = block.split(' ').next().unwrap();
            let (scatter, division) = match tool {
                "scales" => (0.4, 0.5),
                "pressures" => (0.7, 1.0),
                _ => (0.8, 1.0),
            };
            let read = truth + bias[tool] + scatter * lots.normal();
            format!("{}", (read / division).round() * division)
        });
        store = store.with(format!("days/{number:04}.md"), text);
    }
    let Compiled { book, season, .. } = replayed(&store);
    let asked = [
        FigureName::SAG_RIDER.of(End::Rear),
        FigureName::SPRING_RATE_FITTED.of(End::Rear),
        FigureName::TRAIL,
        FigureName::GATE_CHAMBER.named("main"),
    ];
    let mut truth = Vec::new();
    let mut inside = vec![0_u32; asked.len()];
    for index in 0..book.days.len() {
        let tape = Tape::new();
        let bench = Bench::new(Here::of_day(&book, &season, index, season.days[index].end()).unwrap(), &tape);
        for (place, name) in asked.into_iter().enumerate() {
            let figure = bench.figure(name);
            let value = figure.value().unwrap_or_else(|| panic!("{name}: {:?}", figure.absent()));
            if index == 0 {
                truth.push(value);
            } else if (value - truth[place]).abs() <= figure.expanded().unwrap() {
                inside[place] += 1;
            }
        }
    }
    let coverage: Vec<String> = asked
        .iter()
        .zip(&inside)
        .map(|(name, inside)| format!("{name} {:.1} %", f64::from(*inside) / DAYS as f64 * 100.0))
        .collect();
    println!("coverage: {}", coverage.join(", "));
    assert!(inside.iter().all(|inside| f64::from(*inside) >= 0.93 * DAYS as f64), "{}", coverage.join(", "));
}

/// A figure of the only day of a book, after its first `blocks` blocks.
fn after(text: &str, blocks: usize, name: FigureName) -> Number {
    let store = Memory::new()
        .with("book.toml", BOOK)
        .with("machine.md", MACHINE)
        .with("rider.md", "+++\nkind = \"rider\"\n+++\n")
        .with("days/day.md", text.to_owned());
    let Compiled { book, season, findings, .. } = replayed(&store);
    // That it names no track is the only finding.
    assert!(findings.iter().all(|finding| finding.code.name == "link/missing"), "{findings:?}");
    let tape = Tape::new();
    let state = &season.days[0].points[blocks - 1].state;
    let bench = Bench::new(Here::of_day(&book, &season, 0, state).unwrap(), &tape);
    let figure = bench.figure(name);
    figure.number().unwrap_or_else(|| panic!("{name}: {:?}", figure.absent())).clone()
}

fn at_end(text: &str, name: FigureName) -> Number {
    after(text, text.matches("```\n").count(), name)
}

/// A bias that two revisions of a notebook share cancels in the difference. So does every reading that is in both,
/// also when a line of prose came between them.
#[test]
fn what_two_revisions_share_cancels() {
    let before = day("2026-04-01", |_, _, truth| format!("{}", truth.round()));
    let after = before
        .replace("```sag rear", "A line more.\n\n```sag rear")
        .replace("aboard = \"507 mm\"", "aboard = \"503 mm\"");
    let sag = FigureName::SAG_RIDER.of(End::Rear);
    let (one, other) = (at_end(&before, sag), at_end(&after, sag));
    let difference = other.minus(&one);
    // What is left is two readings aboard: a repeatability of 0.8 mm and half a division of 1 mm, by hand.
    let of_reading = 0.8 * 0.8 + 0.25 / 3.0;
    let by_hand = 2.0 * (2.0_f64 * of_reading).sqrt() / 1000.0;
    assert!((difference.value - 0.004).abs() < 1e-12);
    assert!((difference.expanded().unwrap() - by_hand).abs() < 1e-9, "{difference:?}");
    // If nothing were shared it would be half as much again.
    let apart = libm::hypot(one.expanded().unwrap(), other.expanded().unwrap());
    assert!(by_hand < 0.75 * apart, "{by_hand} {apart}");
    let prose_alone = before.replace("```scales", "A line more.\n\n```scales");
    assert_eq!(at_end(&prose_alone, sag).minus(&one).expanded(), None);
    let gate = FigureName::GATE_CHAMBER.named("main");
    let more_air = prose_alone.replace("main = \"151 psi\"", "main = \"155 psi\"");
    let lift = at_end(&more_air, gate).minus(&at_end(&before, gate));
    assert!(lift.sources.iter().all(|source| !source.id.as_str().contains("bias")), "{lift:?}");
}

/// The same reading twice in one notebook is two readings, each with its own error. They stay the same two when a line of
/// prose is added, or another reading above.
#[test]
fn equal_readings_at_two_places_do_not_cancel() {
    let sag = FigureName::SAG_RIDER.of(End::Rear);
    let block = "```sag rear\nhanging = \"612 mm\"\naboard = \"507 mm\"\n```\n";
    let head = "+++\nkind = \"day\"\ndate = 2026-04-01\n+++\n";
    let text = format!("{head}{block}\nLater, once more.\n\n{block}");
    let (first, second) = (after(&text, 1, sag), after(&text, 2, sag));
    let difference = second.minus(&first);
    assert_eq!(difference.value, 0.0);
    // Four readings without their bias, by hand.
    let by_hand = 2.0 * (4.0_f64 * (0.8 * 0.8 + 0.25 / 3.0)).sqrt() / 1000.0;
    assert!((difference.expanded().unwrap() - by_hand).abs() < 1e-9, "{difference:?}");
    let other = "```sag front\nhanging = \"612 mm\"\naboard = \"507 mm\"\n```\n";
    let revised = format!("{head}A line more.\n\n{other}{block}\nLater, *once* more.\n\n{block}");
    assert_eq!(after(&revised, 2, sag).minus(&first).expanded(), None);
    assert_eq!(after(&revised, 3, sag).minus(&second).expanded(), None);
    assert!(after(&revised, 3, sag).minus(&first).expanded().is_some());
}

/// Thermometer, barometer, hygrometer and altimeter count as tapes and gauges do.
#[test]
fn the_days_air_is_as_uncertain_as_its_instruments() {
    const INSTRUMENTS: &str = r#"
[instrument.post]
resolution = "1 °C"
bias = "0.6 °C"
[instrument.glass]
resolution = "1 hPa"
bias = "2 hPa"
[instrument.hair]
resolution = "5 %"
[instrument.watch]
resolution = "10 m"
bias = "15 m"
[defaults]
barometer = "glass"
"#;
    let number = |conditions: &str, name: FigureName| {
        let text = format!("+++\nkind = \"day\"\ndate = 2026-04-01\n+++\n```conditions\n{conditions}\n```\n");
        let store = Memory::new().with("book.toml", INSTRUMENTS).with("day.md", text);
        let Compiled { book, season, findings, .. } = replayed(&store);
        // It names no machine, rider or track.
        assert!(findings.iter().all(|finding| finding.code.name == "link/missing"), "{findings:?}");
        let tape = Tape::new();
        let bench = Bench::new(Here::of_day(&book, &season, 0, season.days[0].end()).unwrap(), &tape);
        bench.figure(name).number().unwrap().clone()
    };
    let station = "air = \"20 °C\"\npressure = \"1000 hPa\"\nhumidity = \"50 %\"\n";
    let named = format!("{station}thermometer = \"post\"\nhygrometer = \"hair\"");
    // The usual barometer counts without being named: half a division, and its bias; ρ goes with p, by hand.
    let density = number(station, FigureName::AIR_DENSITY);
    let of_pressure = ((0.5_f64 * 0.5 + 2.0 * 2.0) / 3.0).sqrt() / 1000.0;
    let relative = |number: &Number| number.standard().unwrap() / number.value;
    assert!((relative(&density) - of_pressure).abs() < 0.01 * of_pressure, "{density:?}");
    // ρ goes with 1/T, nearly: half a degree and the bias; damp air is lighter, to a fifth of that.
    let of_temperature = ((0.5_f64 * 0.5 + 0.6 * 0.6) / 3.0).sqrt() / 293.15;
    let all = number(&named, FigureName::AIR_DENSITY);
    assert_eq!(all.sources.len(), 5, "{all:?}");
    let without_humidity = libm::hypot(of_pressure, of_temperature);
    assert!(relative(&all) > without_humidity && relative(&all) < 1.1 * without_humidity, "{all:?}");
    // Standard air at a height: a metre is 11 to 12 Pa at the sea (ISO 2533), so 15 m and half a division.
    let height =
        "air = \"20 °C\"\nhumidity = \"50 %\"\nelevation = \"0 m\"\nsea_level_pressure = \"1013.25 hPa\"\n";
    let high = number(&format!("{height}altimeter = \"watch\""), FigureName::AIR_DENSITY);
    let of_height = ((5.0_f64 * 5.0 + 15.0 * 15.0) / 3.0).sqrt() * 12.013 / 101_325.0;
    assert!((relative(&high) - of_height).abs() < 0.01 * of_height, "{high:?}");
    // An instrument of another kind does not count for it.
    let wrong = format!("{station}thermometer = \"watch\"");
    assert_eq!(number(&wrong, FigureName::AIR_DENSITY).sources.len(), 2);
}

/// A day whose rider sag lies within its band by less than its uncertainty, on a machine with that band.
fn close_to_an_edge(dates: &[&str]) -> Compiled {
    let band = "```band\nsag.rear.rider = { aim = \"105 mm\", within = \"95..106 mm\" }\n```\n";
    let base = Memory::new()
        .with("book.toml", BOOK)
        .with("machine.md", format!("{MACHINE}{band}"))
        .with("rider.md", "+++\nkind = \"rider\"\n+++\n")
        .with("track.md", "+++\nkind = \"track\"\n+++\n");
    let store = dates.iter().fold(base, |store, date| {
        let text = format!(
            "+++\nkind = \"day\"\ndate = {date}\ntrack = \"track\"\n+++\n\
             ```sag rear\nhanging = \"612 mm\"\naboard = \"507 mm\"\n```\n"
        );
        // The latest day does not stand last by its name.
        store.with(format!("days/{}.md", date.replace("2026-05", "2026-00")), text)
    });
    Session::over(&store).unwrap().compile(None)
}

/// Every notebook gives the finding that a value is too close to an edge; of many checked together, only the
/// latest does.
#[test]
fn what_is_too_close_to_an_edge_is_told_once() {
    let mut found = close_to_an_edge(&["2026-04-01", "2026-04-08", "2026-05-02"]);
    let close = |findings: &[loambook::finding::Finding]| {
        let close = findings.iter().filter(|finding| finding.code.name == "band/too-close-to-tell");
        close.cloned().collect::<Vec<_>>()
    };
    let each = close(&found.findings);
    assert_eq!(each.len(), 3, "{:?}", found.findings);
    assert!(
        each.iter()
            .all(|finding| finding.headline.to_string().contains("105.0 ± ") && finding.label.is_empty())
    );
    loambook::checks::tell_once(&found.book, &mut found.findings);
    let once = close(&found.findings);
    let place = |finding: &loambook::finding::Finding| found.book.place(finding.span);
    assert_eq!(once.iter().map(place).collect::<Vec<_>>(), ["days/2026-00-02.md:8"]);
    assert_eq!(once[0].label.to_string(), "so it was on 2 days before");
    // All other findings are still there.
    let mut one = close_to_an_edge(&["2026-04-01"]);
    let before = one.findings.clone();
    loambook::checks::tell_once(&one.book, &mut one.findings);
    assert_eq!(one.findings, before);
}

/// The error of a dense gas is a twentieth of the absolute pressure, wherever the pressure is felt.
#[test]
fn a_dense_gas_is_uncertain_wherever_it_is_felt() {
    let (book, season) = doubtful_demo();
    let index = book.days.iter().position(|day| day.notebook.name == "2026-10-17-senior").unwrap();
    let tape = Tape::new();
    let bench = Bench::new(Here::of_day(&book, &season, index, season.days[index].end()).unwrap(), &tape);
    let dense = |name: FigureName| {
        let number = bench.figure(name).number().unwrap().clone();
        let source = number.sources.iter().find(|source| source.cause == Cause::Model).cloned();
        (number.value, source)
    };
    let (pressure, source) = dense(FigureName::FULL_CHAMBER.named("main"));
    let source = source.unwrap();
    // The station's pressure of that day, 1013 hPa, is what the gauge leaves out.
    assert!((source.sensitivity - (pressure + 101_300.0)).abs() < 1.0 && source.u == 0.025, "{source:?}");
    for (name, most) in [
        (FigureName::FORK_FORCE.of(100), 1.2),
        (FigureName::FORK_STIFFNESS.of(100), 1.0),
        (FigureName::FORK_ENERGY, 1.0),
    ] {
        let (value, source) = dense(name);
        let share = source.unwrap().sensitivity / value;
        assert!(share > 0.5 && share <= most, "{name}: {share}");
    }
    for name in [
        FigureName::FORK_STIFFNESS.of(0),
        FigureName::FORK_FORCE.of(25),
        FigureName::FULL_CHAMBER.named("counter"),
    ] {
        assert_eq!(dense(name).1, None, "{name}");
    }
}

/// Rider sag of the first of several days, with no instrument declared; each day is a date with the readings hanging and
/// aboard.
fn undeclared(days: &[(&str, &str, &str)]) -> Number {
    let store = Memory::new()
        .with("book.toml", "[defaults]\nmachine = \"machine\"\nrider = \"rider\"\n")
        .with("machine.md", MACHINE)
        .with("rider.md", "+++\nkind = \"rider\"\n+++\n");
    let store = days.iter().enumerate().fold(store, |store, (number, (date, hanging, aboard))| {
        let text = format!(
            "+++\nkind = \"day\"\ndate = {date}\n+++\n\
             ```sag rear\nhanging = \"{hanging} mm\"\naboard = \"{aboard} mm\"\n```\n"
        );
        store.with(format!("days/{number}.md"), text)
    });
    let Compiled { book, season, .. } = replayed(&store);
    let tape = Tape::new();
    let index = book.days.iter().position(|day| day.notebook.name == "0").unwrap();
    let bench = Bench::new(Here::of_day(&book, &season, index, season.days[index].end()).unwrap(), &tape);
    bench.figure(FigureName::SAG_RIDER.of(End::Rear)).number().unwrap().clone()
}

fn width_mm(hanging: &str, aboard: &str) -> f64 {
    undeclared(&[("2026-04-01", hanging, aboard)]).expanded().unwrap() * 1000.0
}

/// With nothing declared, one reading is uncertain, equal readings are not perfect, and a tape's assumed bias
/// cancels.
#[test]
fn few_readings_are_told_with_a_doubt_that_can_be_believed() {
    // By hand: 1 mm of scatter with 4 degrees of freedom and half a division of 1 mm, twice over.
    let by_hand = |scatter_of_mean: f64, scatter: f64, freedom: f64| {
        let (pooled, steady) = (scatter * scatter * scatter_of_mean, 2.0 * 0.25 / 3.0);
        let u = (pooled + steady).sqrt();
        let effective = (u * u * u * u) * freedom / (pooled * pooled);
        coverage_factor(effective) * u
    };
    let close = |found: f64, wanted: f64| assert!((found - wanted).abs() < 1e-6, "{found} is not {wanted}");
    close(width_mm("605", "493"), by_hand(2.0, 1.0, 4.0));
    close(width_mm("605", "492 493"), by_hand(1.5, (4.5_f64 / 5.0).sqrt(), 5.0));
    close(width_mm("605 605 605", "493 493 493"), by_hand(2.0 / 3.0, (4.0_f64 / 8.0).sqrt(), 8.0));
    let sag = undeclared(&[("2026-04-01", "605", "493")]);
    assert!(sag.sources.iter().all(|source| source.cause == Cause::Written), "{sag:?}");
    assert!((sag.freedom() - 4.66).abs() < 0.05, "{}", sag.freedom());
}

/// Two readings are never worse than one where they lie within two and a half millimetres, and a third of the same is
/// better still. Readings that lie far apart mean a rough hand.
#[test]
fn reading_more_often_is_not_punished() {
    let once = width_mm("605", "493");
    for apart in ["493.0", "493.5", "494.0", "494.5", "495.0", "495.5"] {
        let twice = width_mm("605", &format!("493 {apart}"));
        assert!(twice < once, "{apart}: {twice} is not below {once}");
    }
    assert!(width_mm("605", "493 493 493") < width_mm("605", "493 493"));
    assert!(width_mm("605", "493 503") > once);
}

/// A figure of a day uses what was read up to that day: a sheet that was printed last month stays the same.
#[test]
fn an_old_sheet_does_not_change_when_more_is_read() {
    let rough = ("2026-04-08", "601 607 604", "490 497 494");
    let first = ("2026-04-01", "605", "493");
    let alone = undeclared(&[first]);
    assert_eq!(undeclared(&[first, rough]), alone);
    // Earlier readings count, and so do those of another notebook of the same date.
    for date in ["2026-03-25", "2026-04-01"] {
        let (_, hanging, aboard) = rough;
        let told = undeclared(&[first, (date, hanging, aboard)]);
        assert_eq!(told.value, alone.value);
        assert!(told.expanded() > alone.expanded(), "{date}");
    }
}

/// Two compared days both use what the later one knows of the hand.
#[test]
fn a_comparison_takes_what_the_later_day_knows() {
    let sag = |date: &str, aboard: &str| {
        format!(
            "+++\nkind = \"day\"\ndate = {date}\n+++\n```sag rear\nhanging = \"605 mm\"\naboard = \"{aboard} mm\"\n```\n"
        )
    };
    let store = Memory::new()
        .with("book.toml", "[defaults]\nmachine = \"machine\"\nrider = \"rider\"\n")
        .with("machine.md", MACHINE)
        .with("rider.md", "+++\nkind = \"rider\"\n+++\n")
        .with("a.md", sag("2026-04-01", "493"))
        .with("b.md", sag("2026-04-08", "497 499 501 499"));
    let Compiled { book, season, .. } = replayed(&store);
    let here = |day: usize| Here::of_day(&book, &season, day, season.days[day].end()).unwrap();
    let freedom = |here: Here<'_>| {
        let tape = Tape::new();
        let number =
            Bench::new(here, &tape).figure(FigureName::SAG_RIDER.of(End::Rear)).number().unwrap().clone();
        number.sources[0].scatter.as_ref().unwrap().pool.freedom
    };
    assert_eq!([freedom(here(0)), freedom(here(1))], [4.0, 7.0]);
    for (one, other) in [(0, 1), (1, 0)] {
        let (one, other) = here(one).side_by_side(here(other));
        assert_eq!([freedom(one), freedom(other)], [7.0, 7.0]);
    }
}

/// A slip that the check rejects does not count for the hand: 5 and 150 psi in a chamber that is set to 150.
#[test]
fn a_rejected_reading_is_no_repeat() {
    let freedom = |first: &str| {
        let head = |day: u32| format!("+++\nkind = \"day\"\ndate = 2026-04-0{day}\n+++\n");
        let store = Memory::new()
            .with("book.toml", "[defaults]\nmachine = \"machine\"\nrider = \"rider\"\n")
            .with("machine.md", format!("{MACHINE}```settings\nchamber.main = \"150 psi\"\n```\n"))
            .with("rider.md", "+++\nkind = \"rider\"\n+++\n")
            .with("a.md", format!("{}```pressures\nmain = \"{first} psi\"\nat = \"9 °C\"\n```\n", head(1)))
            .with(
                "b.md",
                format!(
                    "{}```conditions\nair = \"15 °C\"\n```\n```pressures\nmain = \"150 psi\"\nat = \"9 °C\"\n```\n",
                    head(2)
                ),
            );
        let Compiled { book, season, .. } = replayed(&store);
        let tape = Tape::new();
        let bench = Bench::new(Here::of_day(&book, &season, 1, season.days[1].end()).unwrap(), &tape);
        let gate = bench.figure(FigureName::GATE_CHAMBER.named("main"));
        let scatter = |number: &Number| {
            number
                .sources
                .iter()
                .find_map(|source| source.scatter.clone())
                .map(|scatter| scatter.pool.freedom)
        };
        gate.number().and_then(scatter)
    };
    assert_eq!(freedom("149 150"), Some(5.0));
    assert_eq!(freedom("5 150"), Some(4.0));
}

/// Neither do readings of an impossible sag, with a slipped digit, or under swapped keys.
#[test]
fn repeats_of_a_sag_that_cannot_be_are_none() {
    let first = ("2026-04-01", "605", "493");
    let alone = undeclared(&[first]).expanded();
    for aboard in ["5800 580 579", "610 612 611"] {
        assert_eq!(undeclared(&[first, ("2026-03-25", "605", aboard)]).expanded(), alone, "{aboard}");
    }
    assert_ne!(undeclared(&[first, ("2026-03-25", "605", "490 496 493")]).expanded(), alone);
}
