//! Gearing: every pair of the sprockets on hand near today's, and what each does to chain, axle, wheelbase and
//! anti-squat.

use std::collections::BTreeSet;

use serde::Serialize;

use crate::book::{Book, Notebook};
use crate::figures::tape::Tape;
use crate::figures::{Bench, Figure, Here};
use crate::quantity::{Kind, Quantity};
use crate::season::{HeldValue, Season, State};
use crate::speech::{Message, Tongue, say};
use crate::vocabulary::blocks::Drive;
use crate::vocabulary::values::{Bounds, Readings};
use crate::vocabulary::{FigureName, Setting, Typed};

use super::say::Say;
use super::told::Told;

/// The version of this format; a reader that knows another one should stop.
const SCHEMA: u32 = 1;

/// How far a ratio may be from today's to count as near, as a share: about two rear teeth and a front tooth.
const NEAR: f64 = 0.12;

/// How many more or fewer links are tried. A chain has an even number of links.
const LINK_STEPS: [i32; 6] = [-2, 2, -4, 4, -6, 6];

/// The pairs of sprockets of one machine.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Gearings {
    pub schema: u32,
    /// The rider's language.
    #[serde(skip)]
    pub tongue: Tongue,
    /// The day's notebook, relative to the book.
    pub notebook: String,
    /// Machine and rider.
    pub title: String,
    /// By rising ratio, today's among them.
    pub pairs: Vec<Pair>,
    /// Pairs on hand whose ratio is not near today's.
    pub left_out: usize,
    /// How far the axle can be moved, as written.
    pub adjuster: Option<String>,
    /// The figures' assumptions, each once.
    pub assumed: Vec<String>,
}

/// One pair of sprockets.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Pair {
    pub front: u32,
    pub rear: u32,
    pub is_today: bool,
    pub ratio: Told,
    /// Compared with today's, as a share; below zero is taller gearing.
    pub ratio_change: f64,
    /// The same for people.
    pub ratio_by: String,
    /// At the rev limit, first gear first.
    pub speeds: Vec<Told>,
    /// With the axle at its standard place; usually not a whole number.
    pub links_needed: Told,
    /// The chain it is worked out with: today's where the axle is then inside its adjuster, else the nearest one
    /// that puts it there.
    pub links: Option<u32>,
    pub is_todays_chain: bool,
    /// Backwards along the swingarm, from its place with the standard gearing.
    pub axle: Told,
    /// Whether the axle is inside its adjuster; `None` where that is unknown.
    pub is_inside: Option<bool>,
    pub wheelbase: Told,
    pub wheelbase_change: Option<Told>,
    pub anti_squat: Told,
    pub anti_squat_change: Option<Told>,
}

/// The gearing at the end of a day, by its place in the book; `None` for a day without a machine.
pub fn gearings(book: &Book, season: &Season, day: usize) -> Option<Gearings> {
    let (this, replay) = (book.days.get(day)?, season.days.get(day)?);
    let machine = book.machine(this)?;
    let units = book.units_for(this.rider.as_deref());
    let here = Here::of_day(book, season, day, replay.end())?;
    let mut shop = Shop { here, machine, say: Say::new(&units), assumed: Vec::new() };
    let (pairs, left_out) = shop.pairs();
    let adjuster = shop.adjuster().map(|bounds| shop.say.range(bounds.low, bounds.high));
    let rider = book.rider(this).map(|rider| rider.title.as_str());
    let title = [Some(machine.title.as_str()), rider].into_iter().flatten().collect::<Vec<_>>().join(", ");
    let notebook = this.notebook.path.clone();
    Some(Gearings {
        schema: SCHEMA,
        tongue: units.tongue().clone(),
        notebook,
        title,
        pairs,
        left_out,
        adjuster,
        assumed: shop.assumed,
    })
}

/// The machine with any sprockets and chain.
struct Shop<'a> {
    here: Here<'a>,
    machine: &'a Notebook,
    say: Say<'a>,
    assumed: Vec<String>,
}

/// The figures of one pair of sprockets with one chain.
struct Worn {
    ratio: Figure,
    speeds: Vec<Figure>,
    links_needed: Figure,
    axle: Figure,
    wheelbase: Figure,
    anti_squat: Figure,
}

impl Shop<'_> {
    fn adjuster(&self) -> Option<Bounds> {
        self.machine.drive()?.adjuster
    }

    /// A setting of teeth or links in force.
    fn count(&self, name: Setting) -> Option<u32> {
        whole(self.here.state.setting(name)?.value.number()?)
    }

    /// Sprockets on hand, and the one in use.
    fn on_hand(&self, on: u32, readings: Option<&Readings>) -> BTreeSet<u32> {
        let hand = readings.into_iter().flat_map(|hand| &hand.values);
        hand.filter_map(|given| whole(given.value())).chain([on]).collect()
    }

    fn pairs(&mut self) -> (Vec<Pair>, usize) {
        let on = (self.count(Setting::DRIVE_FRONT), self.count(Setting::DRIVE_REAR));
        let (Some(front), Some(rear)) = on else { return (Vec::new(), 0) };
        let drive = self.machine.drive();
        let fronts = self.on_hand(front, drive.and_then(|drive| drive.sprockets_front.as_ref()));
        let rears = self.on_hand(rear, drive.and_then(|drive| drive.sprockets_rear.as_ref()));
        let ratio = |(front, rear): (u32, u32)| f64::from(rear) / f64::from(front);
        let today = ratio((front, rear));
        let all: Vec<(u32, u32)> =
            fronts.iter().flat_map(|front| rears.iter().map(|rear| (*front, *rear))).collect();
        let mut near: Vec<(u32, u32)> =
            all.iter().copied().filter(|pair| (ratio(*pair) / today - 1.0).abs() <= NEAR).collect();
        near.sort_by(|a, b| ratio(*a).total_cmp(&ratio(*b)).then(a.cmp(b)));
        let left_out = all.len() - near.len();
        let worn_today = self.worn(self.here.state, true);
        let pairs = near.into_iter().map(|pair| {
            let is_today = pair == (front, rear);
            self.pair(pair, is_today, ratio(pair) / today - 1.0, &worn_today)
        });
        (pairs.collect(), left_out)
    }

    fn pair(&mut self, (front, rear): (u32, u32), is_today: bool, ratio_change: f64, today: &Worn) -> Pair {
        let state = self.here.state.with_setting(Setting::DRIVE_FRONT, teeth(front));
        let state = state.with_setting(Setting::DRIVE_REAR, teeth(rear));
        let todays = self.count(Setting::DRIVE_LINKS);
        let links = todays.map(|todays| if is_today { todays } else { self.chain_for(&state, todays) });
        let state = match links {
            Some(links) if links != todays.unwrap_or(links) => with_links(&state, links),
            _ => state,
        };
        let worn = self.worn(if is_today { self.here.state } else { &state }, true);
        for figure in worn.all().filter(|figure| figure.value().is_some()) {
            for text in figure.assumed.iter().map(|text| self.say.text(text)) {
                if !self.assumed.contains(&text) {
                    self.assumed.push(text);
                }
            }
        }
        // The axle moves with the gearing: where nobody knows how far, nobody knows the wheelbase.
        let is_placed = is_today || worn.axle.value().is_some();
        let by_axle = |figure: &Figure| Told::of(self.say, if is_placed { figure } else { &worn.axle });
        let change = |from: &Figure, to: &Figure| {
            if is_today || !is_placed { None } else { Told::change(self.say, from.number(), to.number()) }
        };
        Pair {
            front,
            rear,
            is_today,
            ratio_change,
            ratio_by: self.say.text(&Message::number(percent(ratio_change))),
            links,
            is_todays_chain: links == todays,
            is_inside: self.is_inside(&worn.axle),
            wheelbase_change: change(&today.wheelbase, &worn.wheelbase),
            anti_squat_change: change(&today.anti_squat, &worn.anti_squat),
            ratio: Told::of(self.say, &worn.ratio),
            speeds: worn.speeds.iter().map(|speed| Told::of(self.say, speed)).collect(),
            links_needed: Told::of(self.say, &worn.links_needed),
            axle: Told::of(self.say, &worn.axle),
            wheelbase: by_axle(&worn.wheelbase),
            anti_squat: by_axle(&worn.anti_squat),
        }
    }

    /// Today's chain where the axle is then inside its adjuster, else the chain nearest in length that puts it
    /// there; today's where no chain does, or where it is unknown.
    fn chain_for(&self, state: &State, todays: u32) -> u32 {
        let lies_inside = |links: u32| {
            let axle = self.worn(&with_links(state, links), false).axle;
            self.is_inside(&axle)
        };
        if lies_inside(todays) != Some(false) {
            return todays;
        }
        let others = LINK_STEPS.iter().filter_map(|step| todays.checked_add_signed(*step));
        others.into_iter().find(|links| lies_inside(*links) == Some(true)).unwrap_or(todays)
    }

    fn is_inside(&self, axle: &Figure) -> Option<bool> {
        Some(self.adjuster()?.contain(axle.value()?))
    }

    /// The figures of a state; only the axle's place unless all are asked for.
    fn worn(&self, state: &State, is_all: bool) -> Worn {
        let tape = Tape::new();
        let bench = Bench::new(Here { state, ..self.here }, &tape);
        let gears = if is_all { self.machine.drive().and_then(|drive| drive.gears.as_ref()) } else { None };
        let gears = gears.map_or(0, |gears| u8::try_from(gears.values.len()).unwrap_or(u8::MAX));
        let speed = |gear: u8| bench.figure(FigureName::DRIVE_SPEED.of(gear));
        let axle = bench.figure(FigureName::DRIVE_AXLE_MOVE);
        let more = |name: FigureName| if is_all { bench.figure(name) } else { axle.clone() };
        Worn {
            ratio: more(FigureName::DRIVE_RATIO),
            speeds: (1..=gears).map(speed).collect(),
            links_needed: more(FigureName::DRIVE_LINKS_NEEDED),
            wheelbase: more(FigureName::WHEELBASE),
            anti_squat: more(FigureName::ANTI_SQUAT),
            axle,
        }
    }
}

impl Worn {
    fn all(&self) -> impl Iterator<Item = &Figure> {
        [&self.ratio, &self.links_needed, &self.axle, &self.wheelbase, &self.anti_squat]
            .into_iter()
            .chain(&self.speeds)
    }
}

fn whole(value: f64) -> Option<u32> {
    let rounded = value.round();
    // In range, so nothing is cut off.
    ((value - rounded).abs() < 1e-6 && (1.0..=10_000.0).contains(&rounded)).then_some(rounded as u32)
}

fn teeth(count: u32) -> HeldValue {
    counted(Kind::Teeth, count)
}

fn with_links(state: &State, links: u32) -> State {
    state.with_setting(Setting::DRIVE_LINKS, counted(Kind::Links, links))
}

fn counted(kind: Kind, count: u32) -> HeldValue {
    let unit = kind.usual_unit();
    HeldValue::Quantity(Quantity { kind, value: f64::from(count), unit, plus_minus: None, last_digit: 1.0 })
}

/// The page, with what follows from all its pairs.
#[derive(Debug, Serialize)]
pub struct Laid<'p> {
    #[serde(flatten)]
    page: &'p Gearings,
    /// Whether any speed is known.
    has_speeds: bool,
    /// The speeds of the pair with most of them, for the heads.
    gears: &'p [Told],
    wants: Vec<Want>,
}

/// What an empty place of the page needs.
#[derive(Debug, PartialEq, Serialize)]
pub struct Want {
    what: String,
    wanted: String,
}

impl Gearings {
    /// Prepared for its template.
    pub fn laid(&self) -> Laid<'_> {
        let speeds = || self.pairs.iter().map(|pair| pair.speeds.as_slice());
        Laid {
            page: self,
            has_speeds: speeds().flatten().any(|speed| speed.shown.is_some()),
            gears: speeds().max_by_key(|speeds| speeds.len()).unwrap_or_default(),
            wants: wants(self),
        }
    }
}

/// What the second table shows.
fn speeds_of() -> Message {
    say!("speed in each gear")
}

/// What the empty places of the tables need, each thing once.
fn wants(page: &Gearings) -> Vec<Want> {
    let tongue = &page.tongue;
    let mut wants = Vec::new();
    for pair in &page.pairs {
        let cells = [
            (say!("ratio"), &pair.ratio),
            (say!("links needed"), &pair.links_needed),
            (say!("axle"), &pair.axle),
            (say!("wheelbase"), &pair.wheelbase),
            (say!("anti-squat"), &pair.anti_squat),
        ];
        let speeds = pair.speeds.iter().map(|speed| (speeds_of(), speed));
        for (what, told) in cells.into_iter().chain(speeds) {
            let want =
                told.wanted.as_ref().map(|wanted| Want { what: tongue.say(&what), wanted: wanted.clone() });
            wants.extend(want.filter(|want| !wants.contains(want)));
        }
    }
    if page.pairs.iter().all(|pair| pair.speeds.is_empty()) {
        let keys = [Drive::gears, Drive::primary, Drive::rev_limit].join(", ");
        wants.push(Want { what: tongue.say(&speeds_of()), wanted: format!("{} {keys}", Drive::SPEC.word) });
    }
    wants
}

/// A share as a change, with a typographic minus sign.
fn percent(change: f64) -> String {
    format!("{:+.1} %", 100.0 * change).replace('-', "\u{2212}")
}
