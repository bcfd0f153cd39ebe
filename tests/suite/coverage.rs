//! How often printed intervals hold the truth, by simulation. A machine whose truth is known is read by a careful hand and
//! by rough ones: once, twice and three times, on the first day of a book and on the fiftieth.

use std::fmt::Write as _;

use loambook::figures::tape::Tape;
use loambook::figures::{Bench, Here};
use loambook::session::Compiled;
use loambook::source::Memory;
use loambook::vocabulary::{End, FigureName};

use crate::books::replayed;
use crate::properties::draws::Draws;
use crate::uncertainty::{MACHINE, TRUTH};

/// Days on which figures are compared with the truth, for each case.
const DAYS: usize = 1_000;

/// One kind of instrument: its key in a block, unit, division, bias and the scatter of a usual hand.
struct Instrument {
    key: &'static str,
    unit: &'static str,
    division: f64,
    bias: f64,
    scatter: f64,
}

const TAPE: Instrument = Instrument { key: "tape", unit: "mm", division: 1.0, bias: 1.0, scatter: 1.0 };
const GAUGE: Instrument = Instrument { key: "gauge", unit: "psi", division: 0.5, bias: 1.0, scatter: 0.5 };
const SCALE: Instrument = Instrument { key: "scale", unit: "kg", division: 0.1, bias: 0.3, scatter: 0.2 };

/// The instrument that reads a block, and its place among the biases of a hand.
fn instrument(block: &str) -> (&'static Instrument, usize) {
    match block {
        "scales" => (&SCALE, 0),
        "pressures" => (&GAUGE, 1),
        _ => (&TAPE, 2),
    }
}

/// A hand with its own tape, gauge and scale.
struct Hand {
    number: usize,
    /// Scatter with scale, gauge and tape, in units of a usual hand's.
    roughness: [f64; 3],
    repeats: usize,
    biases: [f64; 3],
}

impl Hand {
    fn new(number: usize, roughness: [f64; 3], repeats: usize, draws: &mut Draws) -> Self {
        let biases = [&SCALE, &GAUGE, &TAPE].map(|tool| tool.bias * (2.0 * draws.uniform() - 1.0));
        Self { number, roughness, repeats, biases }
    }

    fn declared(&self) -> String {
        let mut text = String::new();
        for Instrument { key, unit, division, bias, .. } in [&SCALE, &GAUGE, &TAPE] {
            let _ = write!(
                text,
                "[instrument.{key}-{}]\nresolution = \"{division} {unit}\"\nbias = \"{bias} {unit}\"\n",
                self.number
            );
        }
        text
    }

    /// A day's blocks, every truth read as often as the hand reads it.
    fn blocks(&self, draws: &mut Draws) -> String {
        let mut text = String::new();
        for (at, (block, key, truth)) in TRUTH.iter().enumerate() {
            let (tool, bias) = instrument(block);
            if at == 0 || TRUTH[at - 1].0 != *block {
                let _ = writeln!(text, "```{block}\n{} = \"{}-{}\"", tool.key, tool.key, self.number);
            }
            let read = || {
                let read = truth + self.biases[bias] + self.roughness[bias] * tool.scatter * draws.normal();
                format!("{:.1}", (read / tool.division).round() * tool.division)
            };
            let values: Vec<String> = std::iter::repeat_with(read).take(self.repeats).collect();
            let _ = writeln!(text, "{key} = \"{} {}\"", values.join(" "), tool.unit);
            if *block == "pressures" {
                text.push_str("at = \"9 °C\"\n");
            }
            if TRUTH.get(at + 1).is_none_or(|(next, ..)| next != block) {
                text.push_str("```\n");
            }
        }
        text
    }
}

const AIR: &str = "```conditions\nair = \"24 °C\"\npressure = \"98.5 kPa abs\"\n```\n";

fn day(date: &str, blocks: &str) -> String {
    format!(
        "+++\nkind = \"day\"\ndate = {date}\nmachine = \"machine\"\nrider = \"rider\"\n+++\n{blocks}{AIR}"
    )
}

/// The share of intervals that hold the truth: rider sag, fitted rate, trail, chamber at the gate.
///
/// Each of so many hands has read a number of days before, and then reads as many days as make up [`DAYS`].
fn coverage(
    roughness: impl Fn(&mut Draws) -> [f64; 3],
    repeats: usize,
    hands: usize,
    days_before: usize,
) -> [f64; 4] {
    let asked = [
        FigureName::SAG_RIDER.of(End::Rear),
        FigureName::SPRING_RATE_FITTED.of(End::Rear),
        FigureName::TRAIL,
        FigureName::GATE_CHAMBER.named("main"),
    ];
    let mut draws = Draws::new(20_261_129 + repeats as u64);
    let exact = Hand { number: 0, roughness: [0.0; 3], repeats: 1, biases: [0.0; 3] };
    let mut about = String::new();
    let mut store =
        Memory::new().with("machine.md", MACHINE).with("rider.md", "+++\nkind = \"rider\"\n+++\n");
    let mut truth_day = exact.blocks(&mut draws);
    for (block, key, truth) in TRUTH {
        let (tool, _) = instrument(block);
        let rounded =
            format!("{key} = \"{:.1} {}\"", (truth / tool.division).round() * tool.division, tool.unit);
        truth_day = truth_day.replace(&rounded, &format!("{key} = \"{truth} {}\"", tool.unit));
    }
    about.push_str(&exact.declared());
    store = store.with("days/0-truth.md", day("2020-01-01", &truth_day));
    for number in 1..=hands {
        let roughness = roughness(&mut draws);
        let hand = Hand::new(number, roughness, repeats, &mut draws);
        about.push_str(&hand.declared());
        if days_before > 0 {
            let before: String = (0..days_before).map(|_| hand.blocks(&mut draws)).collect();
            store = store.with(format!("days/{number}-before.md"), day("2020-06-01", &before));
        }
        for at in 0..DAYS / hands {
            let date = format!("{}-{:02}-{:02}", 2021 + at / 336, at / 28 % 12 + 1, at % 28 + 1);
            let text = day(&date, &hand.blocks(&mut draws));
            store = store.with(format!("days/{number}-day-{at}.md"), text);
        }
    }
    let Compiled { book, season, findings, .. } = replayed(store.with("book.toml", about));
    let said = findings.iter().find(|finding| finding.code.name != "link/missing");
    assert!(said.is_none(), "{said:?}");
    let (mut truth, mut inside, mut seen) = (Vec::new(), [0_u32; 4], 0_usize);
    for (index, day) in book.days.iter().enumerate() {
        if day.notebook.name.ends_with("before") {
            continue;
        }
        let tape = Tape::new();
        let here = Here::of_day(&book, &season, index, season.days[index].end()).unwrap();
        let bench = Bench::new(here, &tape);
        for (place, name) in asked.into_iter().enumerate() {
            let figure = bench.figure(name);
            let value = figure.value().unwrap_or_else(|| panic!("{name}: {:?}", figure.absent()));
            if day.notebook.name == "0-truth" {
                truth.push(value);
            } else if (value - truth[place]).abs() <= figure.expanded().unwrap() {
                inside[place] += 1;
            }
        }
        seen += usize::from(day.notebook.name != "0-truth");
    }
    assert_eq!(seen, DAYS);
    inside.map(|inside| f64::from(inside) / DAYS as f64)
}

fn told(shares: [f64; 4]) -> String {
    shares.map(|share| format!("{:5.1} %", share * 100.0)).join("  ")
}

/// A hand that is this rough with the tape, and usual with scale and gauge.
fn with_tape(roughness: f64) -> [f64; 3] {
    [1.0, 1.0, roughness]
}

/// The first day of a book: no earlier readings with the instrument.
#[test]
fn a_book_that_knows_no_hand_yet_is_honest_about_usual_ones() {
    for repeats in [1, 2, 3] {
        for roughness in [0.5, 1.0, 1.5, 3.0] {
            let shares = coverage(|_| with_tape(roughness), repeats, DAYS, 0);
            println!("first day, {repeats} readings, scatter {roughness} mm: {}", told(shares));
            // A rough hand cannot be told from a usual one by its first readings, and not at all by single
            // ones.
            let least = match (roughness, repeats) {
                (0.5, _) => 0.95,
                (1.0, _) => 0.93,
                // 200,000 draws with numpy of a sag alone: 93.8, 92.3 and 93.7 % for one, two and three readings.
                (1.5, _) => 0.92,
                // The same: 65, 81 and 87 %.
                (_, 1) => 0.63,
                _ => 0.78,
            };
            // A share of so many days is itself known to a hundredth and a half (two standard deviations).
            assert!(shares[0] >= least, "{repeats} {roughness}: {}", told(shares));
            assert!(
                shares.iter().all(|share| *share >= least - 0.015),
                "{repeats} {roughness}: {}",
                told(shares)
            );
        }
    }
}

/// Usual hands as a group, up to half as rough again: 93 % or more of their first day's intervals hold the truth, with
/// no allowance for the draw. The roughest of them alone lie a little below that where they read twice; see above.
#[test]
fn of_all_usual_hands_first_days_are_held() {
    for repeats in [1, 2, 3] {
        let shares = coverage(|draws| with_tape(0.5 + draws.uniform()), repeats, DAYS, 0);
        println!("first day, {repeats} readings, scatter 0.5 to 1.5 mm: {}", told(shares));
        assert!(shares.iter().all(|share| *share >= 0.93), "{repeats}: {}", told(shares));
    }
}

/// Half as rough again with scale and gauge too. A gauge is read by itself, and its assumed scatter is the smaller part
/// of its error: this doubt hardly widens the interval.
#[test]
fn a_hand_rough_with_everything_is_nearly_held_on_its_first_day() {
    let shares = coverage(|_| [1.5; 3], 1, DAYS, 0);
    println!("first day, 1 reading, all half as rough again: {}", told(shares));
    assert!(shares.iter().all(|share| *share >= 0.86), "{}", told(shares));
}

/// From the fiftieth day on, every hand that reads more than once is known.
#[test]
fn a_book_of_many_repeats_knows_its_hand() {
    for repeats in [2, 3] {
        for roughness in [0.5, 1.0, 1.5, 3.0] {
            let shares = coverage(|_| [roughness; 3], repeats, 40, 49);
            println!("fiftieth day, {repeats} readings, scatter {roughness} mm: {}", told(shares));
            let least = if roughness < 1.0 { 0.95 } else { 0.93 };
            assert!(shares.iter().all(|share| *share >= least), "{repeats} {roughness}: {}", told(shares));
        }
    }
}
