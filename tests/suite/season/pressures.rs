//! Aim and charge against a model of their definition. Made-up seasons of two riders on one machine run through the
//! book and through the model, and are compared after every block.

use jiff::civil::date;
use loambook::figures::{Bench, Here, Plain};
use loambook::session::Compiled;
use loambook::source::Memory;
use loambook::vocabulary::{End, FigureName, Setting};
use proptest::prelude::*;

use crate::books;

/// Pa in a psi. **Source** NIST SP 811, appendix B.8.
const PSI: f64 = 6_894.757_293_168;

/// One that the machine has a standard for, one that nobody aims at, and a tyre.
const PRESSURES: [&str; 3] = ["chamber.upper", "chamber.lower", "tyre.rear"];

const MACHINE: &str = r#"+++
kind = "machine"
+++
```fork
kind = "air"
travel = "300 mm"
```
```chamber upper
side = "positive"
area = "471 mm²"
volume = "225 cm³"
```
```chamber lower
side = "negative"
area = "395 mm²"
volume = "150 cm³"
```
```settings
chamber.upper = "140 psi"
```
```settings mud
chamber.upper = "133 psi"
```
"#;

const RIDER_A: &str = "+++\nkind = \"rider\"\n+++\n```settings corrie\ntyre.rear = \"12 psi\"\n```\n";
const RIDER_B: &str = "+++\nkind = \"rider\"\n+++\n";

/// One block of a day. Pressures are in tenths of a psi, temperatures in °C.
#[derive(Debug, Clone, Copy)]
enum Act {
    Settings(usize, i32),
    Change(usize, i32),
    Step(usize, i32),
    Left(usize, i32, Option<i32>),
    Found(usize, i32, Option<i32>),
    FoundAndLeft(usize, i32, i32, Option<i32>),
    AfterRide(usize, i32),
    Back,
    Mud,
    Stint,
    Insert(bool),
    Conditions(i32),
}

#[derive(Debug, Clone)]
struct Day {
    rider: usize,
    /// The day's first air, in °C and hPa; without one the air is unknown.
    air: Option<(i32, i32)>,
    acts: Vec<Act>,
}

fn act() -> impl Strategy<Value = Act> {
    let which = || 0..3_usize;
    let pressure = || prop_oneof![5 => 900..1700_i32, 1 => 80..3300_i32];
    let at = || prop::option::weighted(0.6, -5..45_i32);
    // A tyre has a tenth of what a chamber has.
    let of = |which: usize, tenths: i32| if which == 2 { tenths / 10 } else { tenths };
    prop_oneof![
        2 => (which(), pressure()).prop_map(move |(which, to)| Act::Settings(which, of(which, to))),
        2 => (which(), pressure()).prop_map(move |(which, to)| Act::Change(which, of(which, to))),
        4 => (which(), -60..60_i32).prop_map(move |(which, by)| Act::Step(which, of(which, by))),
        4 => (which(), pressure(), at()).prop_map(move |(which, to, at)| Act::Left(which, of(which, to), at)),
        3 => (which(), pressure(), at()).prop_map(move |(which, to, at)| Act::Found(which, of(which, to), at)),
        2 => (which(), pressure(), pressure(), at()).prop_map(move |(which, found, left, at)| {
            Act::FoundAndLeft(which, of(which, found), of(which, left), at)
        }),
        1 => (which(), pressure()).prop_map(|(which, to)| Act::AfterRide(which, to)),
        4 => Just(Act::Back),
        1 => Just(Act::Mud),
        2 => Just(Act::Stint),
        1 => any::<bool>().prop_map(Act::Insert),
        1 => (-5..40_i32).prop_map(Act::Conditions),
    ]
}

fn day() -> impl Strategy<Value = Day> {
    let air = prop::option::weighted(0.9, (-5..40_i32, 850..1040_i32));
    (0..2_usize, air, prop::collection::vec(act(), 0..7)).prop_map(|(rider, air, acts)| Day {
        rider,
        air,
        acts,
    })
}

fn psi(tenths: i32) -> String {
    format!("\"{} psi\"", f64::from(tenths) / 10.0)
}

fn notebook(on: usize, day: &Day) -> String {
    let date = date(2026, 3, 1).saturating_add(jiff::Span::new().days(on as i64));
    let rider = ["a", "b"][day.rider];
    let mut text =
        format!("+++\nkind = \"day\"\ndate = {date}\nmachine = \"corrie\"\nrider = \"{rider}\"\n+++\n");
    if let Some((air, pressure)) = day.air {
        text += &format!("```conditions\nair = \"{air} °C\"\npressure = \"{pressure} hPa\"\n```\n");
    }
    let change = |body: String| format!("```change\n{body}\nbecause = \"x\"\naccepted = \"x\"\n```\n");
    let read = |body: String, at: Option<i32>| {
        let at = at.map(|at| format!("at = \"{at} °C\"\n")).unwrap_or_default();
        format!("```pressures\n{body}\n{at}```\n")
    };
    for act in &day.acts {
        text += &match *act {
            Act::Settings(which, to) => {
                // Drawn as they are, aims jump.
                format!("```settings\n{} = {}\naccepted = \"x\"\n```\n", PRESSURES[which], psi(to))
            }
            Act::Change(which, to) => change(format!("{} = {}", PRESSURES[which], psi(to))),
            Act::Step(which, by) => {
                let sign = if by < 0 { "" } else { "+" };
                change(format!("{} = \"{sign}{} psi\"", PRESSURES[which], f64::from(by) / 10.0))
            }
            Act::Left(which, to, at) => read(format!("{} = {}", PRESSURES[which], psi(to)), at),
            Act::Found(which, to, at) => read(format!("found.{} = {}", PRESSURES[which], psi(to)), at),
            Act::FoundAndLeft(which, found, left, at) => {
                let name = PRESSURES[which];
                read(format!("{name} = {}\nfound.{name} = {}", psi(left), psi(found)), at)
            }
            Act::AfterRide(which, to) => read(format!("after_ride.{} = {}", PRESSURES[which], psi(to)), None),
            Act::Back => "```change\nback = true\n```\n".to_owned(),
            Act::Mud => change("use = \"mud\"".to_owned()),
            Act::Stint => "```stint\nlaps = \"2:04 2:03\"\n```\n".to_owned(),
            Act::Insert(is_solid) => {
                let word = if is_solid { "mousse" } else { "tube" };
                format!("```settings\ninsert.rear = \"{word}\"\n```\n")
            }
            Act::Conditions(air) => {
                format!("```conditions\nair = \"{air} °C\"\npressure = \"990 hPa\"\n```\n")
            }
        };
    }
    text
}

/// Compared after a block, for each pressure: the aim in Pa, and what counts at the gate.
type Seen = [(Option<f64>, Option<f64>); 3];

fn replayed(days: &[Day]) -> Vec<Seen> {
    let mut store = Memory::new()
        .with("machines/corrie.md", MACHINE)
        .with("riders/a.md", RIDER_A)
        .with("riders/b.md", RIDER_B);
    for (on, day) in days.iter().enumerate() {
        store.set(format!("days/{on:02}.md"), notebook(on, day));
    }
    let Compiled { book, season, .. } = books::replayed(&store);
    let mut seen = Vec::new();
    for (index, (day, replay)) in days.iter().zip(&season.days).enumerate() {
        // The air that a day begins with is not a change.
        for point in replay.points.iter().skip(usize::from(day.air.is_some())) {
            let bench = Bench::new(Here::of_day(&book, &season, index, &point.state).unwrap(), Plain);
            seen.push(PRESSURES.map(books::setting).map(|name| {
                let aim = point.state.pressure(name).aim.map(|aim| aim.value.number().unwrap());
                let chamber = Setting::CHAMBER.word_of(name);
                let gate = match chamber {
                    Some(chamber) => FigureName::GATE_CHAMBER.named(chamber),
                    None => FigureName::GATE_TYRE.of(End::Rear),
                };
                (aim, bench.value(gate))
            }));
        }
    }
    seen
}

/// Temperature in K and pressure in Pa; `None` where the air is not written.
type Air = Option<(f64, f64)>;

#[derive(Clone, Copy, PartialEq, Debug)]
enum Aim {
    Nobodys,
    /// As last left.
    Left(f64),
    Written(f64),
}

impl Aim {
    fn number(self) -> Option<f64> {
        match self {
            Self::Nobodys => None,
            Self::Left(number) | Self::Written(number) => Some(number),
        }
    }
}

/// A gauge reading, the air in which it was read, and the day.
#[derive(Clone, Copy)]
struct Charge(f64, Air, usize);

/// What a change undoes: a step from somebody's aim, or the aim before.
type Undo = (usize, Result<f64, Aim>);

/// What one rider has of the machine.
struct Pair {
    aims: [Aim; 3],
    undo: Vec<Undo>,
}

/// The machine, and the day that it is on.
#[derive(Default)]
struct Model {
    charges: [Option<Charge>; 3],
    is_solid: bool,
    cold: Air,
    gate: Air,
    on: usize,
    has_ridden: bool,
}

fn of(tenths: i32) -> f64 {
    f64::from(tenths) / 10.0 * PSI
}

fn air((degrees, hectopascal): (i32, i32)) -> (f64, f64) {
    (f64::from(degrees) + 273.15, f64::from(hectopascal) * 100.0)
}

/// The definition, as plainly as it can be written.
impl Model {
    fn set(&mut self, pair: &mut Pair, which: usize, aim: Aim) {
        pair.aims[which] = aim;
        let has_air = !(which == 2 && self.is_solid);
        self.charges[which] = aim.number().filter(|_| has_air).map(|aim| Charge(aim, self.cold, self.on));
    }

    fn step(&mut self, pair: &mut Pair, which: usize, by: f64) -> bool {
        let from = pair.aims[which].number().or(self.charges[which].map(|charge| charge.0));
        let Some(to) = from.map(|from| from + by).filter(|to| *to >= 0.0) else { return false };
        // No more comes out than the gauge shows.
        let inside =
            self.charges[which].filter(|charge| charge.2 == self.on && !(which == 2 && self.is_solid));
        if inside.is_some_and(|inside| inside.0 + by < 0.0) {
            return false;
        }
        pair.aims[which] = Aim::Written(to);
        self.charges[which] = match self.charges[which] {
            _ if which == 2 && self.is_solid => None,
            Some(Charge(number, air, on)) if on == self.on => Some(Charge(number + by, air, on)),
            _ => Some(Charge(to, self.cold, self.on)),
        };
        true
    }

    fn back(&mut self, pair: &mut Pair) {
        match pair.undo.pop() {
            Some((which, Ok(by))) => drop(self.step(pair, which, -by)),
            Some((which, Err(Aim::Nobodys))) => self.set(pair, which, Aim::Nobodys),
            Some((which, Err(before))) => self.set(pair, which, Aim::Written(before.number().unwrap())),
            None => {}
        }
    }

    fn read(
        &mut self,
        pair: &mut Pair,
        which: usize,
        found: Option<i32>,
        left: Option<i32>,
        at: Option<i32>,
    ) {
        let counts = !(which == 2 && self.is_solid) && (at.is_some() || !self.has_ridden);
        let air = self.gate.map(|(air, pressure)| (at.map_or(air, |at| f64::from(at) + 273.15), pressure));
        let aim = pair.aims[which].number().filter(|aim| *aim > 0.0);
        let share = |number: f64| aim.map_or(1.0, |aim| number / aim);
        if let Some(found) = found.map(of).filter(|found| counts && share(*found) <= 2.0) {
            self.charges[which] = Some(Charge(found, air, self.on));
        }
        if let Some(left) = left.map(of).filter(|left| counts && (0.5..=2.0).contains(&share(*left))) {
            self.charges[which] = Some(Charge(left, air, self.on));
            if !matches!(pair.aims[which], Aim::Written(_)) {
                pair.aims[which] = Aim::Left(left);
            }
        }
    }

    /// What counts, at the gate.
    fn counts(&self, pair: &Pair, which: usize) -> Option<f64> {
        let todays = self.charges[which].filter(|charge| charge.2 == self.on);
        let aimed = pair.aims[which].number().map(|aim| Charge(aim, self.cold, self.on));
        let Charge(number, air, _) = todays.or(aimed).or(self.charges[which])?;
        let ((from, low), (to, high)) = air.zip(self.gate)?;
        Some((number + low) * to / from - high).filter(|_| !(which == 2 && self.is_solid))
    }

    fn act(&mut self, pair: &mut Pair, act: Act) {
        match act {
            Act::Settings(which, to) => self.set(pair, which, Aim::Written(of(to))),
            Act::Change(which, to) => {
                pair.undo.push((which, Err(pair.aims[which])));
                self.set(pair, which, Aim::Written(of(to)));
            }
            Act::Mud => {
                pair.undo.push((0, Err(pair.aims[0])));
                self.set(pair, 0, Aim::Written(133.0 * PSI));
            }
            Act::Step(which, by) => {
                let before = pair.aims[which];
                if self.step(pair, which, of(by)) {
                    let is_nobodys = before == Aim::Nobodys;
                    pair.undo.push((which, if is_nobodys { Err(before) } else { Ok(of(by)) }));
                }
            }
            Act::AfterRide(..) => {}
            Act::Back => self.back(pair),
            Act::Left(which, left, at) => self.read(pair, which, None, Some(left), at),
            Act::Found(which, found, at) => self.read(pair, which, Some(found), None, at),
            Act::FoundAndLeft(which, found, left, at) => self.read(pair, which, Some(found), Some(left), at),
            Act::Insert(is_solid) => {
                self.is_solid = is_solid;
                self.charges[2] = self.charges[2].filter(|_| !is_solid);
            }
            Act::Stint => self.has_ridden = true,
            Act::Conditions(degrees) => self.gate = Some(air((degrees, 990))),
        }
    }
}

fn modelled(days: &[Day]) -> Vec<Seen> {
    let pair = |tyre| Pair { aims: [Aim::Written(140.0 * PSI), Aim::Nobodys, tyre], undo: Vec::new() };
    let mut pairs = [pair(Aim::Written(12.0 * PSI)), pair(Aim::Nobodys)];
    let mut model = Model::default();
    let mut seen = Vec::new();
    for (on, day) in days.iter().enumerate() {
        let below = day.acts.iter().find_map(|act| match act {
            Act::Conditions(degrees) => Some(air((*degrees, 990))),
            _ => None,
        });
        // One state a day: the legs where they were first read, else the air.
        let legs = day.acts.iter().find_map(|act| match act {
            Act::Left(.., at) | Act::Found(.., at) | Act::FoundAndLeft(.., at) => *at,
            _ => None,
        });
        (model.on, model.has_ridden) = (on, false);
        model.gate = day.air.map(air).or(below);
        model.cold = model.gate.map(|(air, low)| (legs.map_or(air, |at| f64::from(at) + 273.15), low));
        let pair = &mut pairs[day.rider];
        for act in &day.acts {
            model.act(pair, *act);
            seen.push([0, 1, 2].map(|which| (pair.aims[which].number(), model.counts(pair, which))));
        }
    }
    seen
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(400))]

    #[test]
    fn aim_and_charge_are_those_of_the_model_after_every_block(days in prop::collection::vec(day(), 1..9)) {
        let (here, there) = (replayed(&days), modelled(&days));
        prop_assert_eq!(here.len(), there.len());
        for (block, (here, there)) in here.iter().zip(&there).enumerate() {
            for (one, other) in here.iter().zip(there) {
                for (one, other) in [(one.0, other.0), (one.1, other.1)] {
                    let is_same = match (one, other) {
                        (Some(one), Some(other)) => (one - other).abs() < 1e-4,
                        (one, other) => one.is_none() && other.is_none(),
                    };
                    prop_assert!(is_same, "block {}: {:?}, and by the model {:?}", block, here, there);
                }
            }
        }
    }
}
