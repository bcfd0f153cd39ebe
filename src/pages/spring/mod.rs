//! Springs on hand: the preload that each needs, the static sag that follows, and what is really fitted.

mod bare;

use std::cmp::Ordering;

use serde::Serialize;

use crate::book::Book;
use crate::figures::tape::Tape;
use crate::figures::{Absent, Bench, Figure, Here, Recorder, SpringOnHand};
use crate::quantity::Kind;
use crate::season::Season;
use crate::speech::{Message, Tongue, say};
use crate::vocabulary::blocks::{self, Coil};
use crate::vocabulary::values::Band;
use crate::vocabulary::{End, FigureName, Setting};

use super::say::{Say, wanted};
use super::told::{Told, Verdict, band_text, verdict_on};

pub use bare::{Bare, Diameter, Measured, bare};

/// The version of this format; a reader that knows another one should stop.
const SCHEMA: u32 = 1;

/// The springs of one machine under one rider.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Springs {
    pub schema: u32,
    /// The reader's language.
    #[serde(skip)]
    pub tongue: Tongue,
    /// The day's notebook, relative to the book.
    pub notebook: String,
    /// Machine and rider.
    pub title: String,
    pub ends: Vec<EndSprings>,
    pub frequency: Frequencies,
    pub coils: Vec<CoilLine>,
    /// The figures' assumptions, each once.
    pub assumed: Vec<String>,
}

/// The springs of one end.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct EndSprings {
    pub end: &'static str,
    /// The aim of the rider sag.
    pub aim: Option<String>,
    pub rider_band: Option<String>,
    pub static_band: Option<String>,
    pub fitted: Option<Fitted>,
    /// That the fitted spring should stay, and why: then there is none to fit.
    pub keep: Option<String>,
    pub springs: Vec<SpringLine>,
    /// Why there are no springs to choose from.
    pub wanted: Option<String>,
}

/// The spring in use, by its label and by the readings.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Fitted {
    pub label: Option<String>,
    pub by_readings: Told,
    /// Whether the readings agree with the label.
    pub verdict: Option<String>,
    /// The preload that brings the rider sag from the last reading to its aim.
    pub preload: Told,
    /// Why no preload does, and which spring it takes.
    pub unset: Option<String>,
    /// The static sag that follows from the last reading.
    pub static_sag: Told,
    /// The turns of the collar that do it.
    pub turns: Option<Told>,
}

/// One spring on hand.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct SpringLine {
    pub rate: String,
    /// In N/m.
    pub rate_si: f64,
    pub is_on: bool,
    /// Whether it is the one to fit, by the middle of the static band.
    pub is_best: bool,
    /// Whether both sags are in their bands as far as can be told.
    #[serde(skip)]
    pub keeps: bool,
    pub preload: Told,
    /// Whether the collar can be turned that far.
    pub is_within_reach: bool,
    pub rider_sag: Told,
    pub rider_verdict: Option<Verdict>,
    pub static_sag: Told,
    pub static_verdict: Option<Verdict>,
}

/// Natural frequencies of both ends.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Frequencies {
    pub front: Told,
    pub rear: Told,
    /// Front over rear.
    pub ratio: Told,
}

/// A bare coil from its measurements.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct CoilLine {
    pub end: &'static str,
    pub rate: Told,
    pub label: Option<String>,
    pub verdict: Option<String>,
}

/// The springs at the end of a day, by its place in the book.
pub fn springs(book: &Book, season: &Season, day: usize) -> Option<Springs> {
    let (this, replay) = (book.days.get(day)?, season.days.get(day)?);
    let units = book.units_for(this.rider.as_deref());
    let machine = book.machine(this)?;
    let tape = Tape::new();
    let bench = Bench::new(Here::of_day(book, season, day, replay.end())?, &tape);
    let standard =
        End::BOTH.map(|end| season.standard.get(&machine.name)?.get(Setting::spring_of(end))?.value.number());
    let standard = match standard {
        [Some(front), Some(rear)] if rear > 0.0 => Some(front / rear),
        _ => None,
    };
    let mut page = Page { say: Say::new(&units), bench: &bench, standard, assumed: Vec::new() };
    let ends = End::BOTH.map(|end| page.end(machine.fork(), end)).into();
    let frequency = Frequencies {
        front: page.told(FigureName::WHEEL_FREQUENCY.of(End::Front)),
        rear: page.told(FigureName::WHEEL_FREQUENCY.of(End::Rear)),
        ratio: page.told(FigureName::BALANCE_FREQUENCY),
    };
    let coils = machine.all::<Coil>().filter_map(|coil| page.coil(coil)).collect();
    let rider = book.rider(this).map(|rider| rider.title.as_str());
    let title = [Some(machine.title.as_str()), rider].into_iter().flatten().collect::<Vec<_>>().join(", ");
    let notebook = this.notebook.path.clone();
    Some(Springs {
        schema: SCHEMA,
        tongue: units.tongue().clone(),
        notebook,
        title,
        ends,
        frequency,
        coils,
        assumed: page.assumed,
    })
}

/// The page being made.
struct Page<'p, 'a, R: Recorder> {
    say: Say<'p>,
    bench: &'p Bench<'a, R>,
    /// The front's rate over the rear's with the machine's standard springs, where both are on file.
    standard: Option<f64>,
    assumed: Vec<String>,
}

impl<R: Recorder> Page<'_, '_, R> {
    fn tell(&mut self, figure: &Figure) -> Told {
        if figure.value().is_some() {
            for text in figure.assumed.iter().map(|text| self.say.text(text)) {
                if !self.assumed.contains(&text) {
                    self.assumed.push(text);
                }
            }
        }
        Told::of(self.say, figure)
    }

    fn told(&mut self, name: FigureName) -> Told {
        let figure = self.bench.figure(name);
        self.tell(&figure)
    }

    fn end(&mut self, fork: Option<&blocks::Fork>, end: End) -> EndSprings {
        let rider_band = self.bench.band(FigureName::SAG_RIDER.of(end));
        let static_band = self.bench.band(FigureName::SAG_STATIC.of(end));
        let is_air = end == End::Front
            && fork.and_then(|fork| fork.kind.as_ref()).is_some_and(|kind| kind.text == blocks::AIR);
        let (springs, wanted) = if is_air {
            (Vec::new(), Some(self.say.text(&say!("an air fork has no springs to choose from"))))
        } else {
            match self.bench.springs_on_hand(end) {
                Ok(springs) => (self.lines(end, &springs), None),
                Err(absent) => {
                    let needs = say!("needs {wanted}", wanted = wanted(&absent));
                    (Vec::new(), Some(self.say.text(&needs)))
                }
            }
        };
        let keep = match springs.iter().find(|line| line.is_on) {
            Some(on) if on.keeps => {
                Some(self.keep(&say!("both sags are in their bands as far as the readings show")))
            }
            Some(on) => self.one_sided(end, on, &springs).map(|why| self.keep(&why)),
            None => None,
        };
        let springs: Vec<SpringLine> = springs
            .into_iter()
            .map(|line| SpringLine { is_best: line.is_best && (keep.is_none() || line.is_on), ..line })
            .collect();
        EndSprings {
            end: end.word(),
            keep,
            aim: rider_band.and_then(|band| band.aim).map(|aim| self.say.quantity(&aim.quantity).to_string()),
            rider_band: band_text(self.say, rider_band),
            static_band: band_text(self.say, static_band),
            fitted: (!is_air).then(|| self.fitted(end)),
            springs,
            wanted,
        }
    }

    fn lines(&mut self, end: End, springs: &[SpringOnHand]) -> Vec<SpringLine> {
        let rider_band = self.bench.band(FigureName::SAG_RIDER.of(end));
        let static_band = self.bench.band(FigureName::SAG_STATIC.of(end));
        let on = self.bench.setting_value(Setting::spring_of(end));
        let best = self.bench.value(FigureName::SPRING_BEST_RATE.of(end));
        let is =
            |rate: f64, other: Option<f64>| other.is_some_and(|other| (rate - other).abs() < 1e-6 * rate);
        let lines = springs.iter().map(|spring| SpringLine {
            rate: self.say.quantity(&spring.rate).to_string(),
            rate_si: spring.rate.value,
            is_on: is(spring.rate.value, on),
            is_best: is(spring.rate.value, best),
            keeps: spring.is_within_reach
                && may_be_inside(&spring.rider_sag, rider_band)
                && may_be_inside(&spring.static_sag, static_band),
            is_within_reach: spring.is_within_reach,
            rider_verdict: verdict_on(&spring.rider_sag, rider_band),
            static_verdict: verdict_on(&spring.static_sag, static_band),
            preload: self.tell(&spring.preload),
            rider_sag: self.tell(&spring.rider_sag),
            static_sag: self.tell(&spring.static_sag),
        });
        lines.collect()
    }

    fn fitted(&mut self, end: End) -> Fitted {
        let by_readings = self.bench.figure(FigureName::SPRING_RATE_FITTED.of(end));
        let label = self.bench.setting_value(Setting::spring_of(end));
        let turns = (end == End::Rear).then(|| self.told(FigureName::SPRING_COLLAR_TURNS.of(end)));
        let wanted = self.bench.figure(FigureName::SPRING_PRELOAD_WANTED.of(end));
        let unset = match wanted.absent() {
            Some(Absent::Instead(why)) => Some(self.say.text(why)),
            _ => None,
        };
        Fitted {
            unset,
            label: label.map(|label| self.say.picked(Kind::Rate, label).to_string()),
            verdict: against_label(self.say, &by_readings, label),
            by_readings: self.tell(&by_readings),
            preload: self.tell(&wanted),
            static_sag: self.told(FigureName::SPRING_STATIC_THEN.of(end)),
            turns,
        }
    }

    /// Says so where the spring for the static sag would make one end even stiffer, or softer, than the other. An end counts as
    /// stiff or soft by the front's frequency over the rear's. It does where the ratio is outside the machine's band; without a
    /// band, where it differs from that of the machine's standard springs by more than its uncertainty. Not to fit such a spring
    /// is this project's judgement: practice has no ratio for all machines.
    fn one_sided(&mut self, end: End, on: &SpringLine, springs: &[SpringLine]) -> Option<Message> {
        let best = springs.iter().find(|line| line.is_best)?;
        let front_over_rear = self.bench.figure(FigureName::BALANCE_FREQUENCY);
        let (ratio, expanded) = (front_over_rear.value()?, front_over_rear.expanded().unwrap_or(0.0));
        let within = self.bench.band(FigureName::BALANCE_FREQUENCY).and_then(|band| band.within);
        let (low, high) = match within {
            Some(within) => (within.low.map(|low| low.value), within.high.map(|high| high.value)),
            None => {
                let [front, rear] = End::BOTH.map(|end| self.bench.setting_value(Setting::spring_of(end)));
                // A frequency goes with the root of its rate.
                let standard = ratio * (self.standard? / (front? / rear?)).sqrt();
                (Some(standard), Some(standard))
            }
        };
        let front_is_stiff = high.is_some_and(|high| ratio - expanded > high);
        let front_is_soft = low.is_some_and(|low| ratio + expanded < low);
        let (is_stiff, is_soft) = match end {
            End::Front => (front_is_stiff, front_is_soft),
            End::Rear => (front_is_soft, front_is_stiff),
        };
        let other = match end {
            End::Front => End::Rear,
            End::Rear => End::Front,
        };
        match best.rate_si.total_cmp(&on.rate_si) {
            Ordering::Greater if is_stiff && other == End::Front => {
                Some(say!("it is stiff against the front already"))
            }
            Ordering::Greater if is_stiff => Some(say!("it is stiff against the rear already")),
            Ordering::Less if is_soft && other == End::Front => {
                Some(say!("it is soft against the front already"))
            }
            Ordering::Less if is_soft => Some(say!("it is soft against the rear already")),
            _ => None,
        }
    }

    /// That the fitted spring stays, and why, with the two frequencies: a spring is stiff or soft compared with the other end
    /// too.
    fn keep(&mut self, why: &Message) -> String {
        let [front, rear] = End::BOTH.map(|end| {
            let frequency = self.told(FigureName::WHEEL_FREQUENCY.of(end));
            frequency.told()
        });
        self.say.text(&say!(
            "fitted; keep: {why}; natural frequencies: front {front}, rear {rear}",
            why,
            front,
            rear,
        ))
    }

    fn coil(&mut self, coil: &Coil) -> Option<CoilLine> {
        let rate = self.bench.coil_rate(coil);
        let label = coil.label.as_ref();
        Some(CoilLine {
            end: coil.header.end()?.word(),
            label: label.map(|label| self.say.quantity(&label.quantity).to_string()),
            verdict: against_label(self.say, &rate, label.map(|label| label.value())),
            rate: self.tell(&rate),
        })
    }
}

/// Whether a sag is in its band as far as its uncertainty can tell; false where there is no band.
fn may_be_inside(sag: &Figure, band: Option<&Band>) -> bool {
    let within = band.and_then(|band| band.within);
    sag.value().zip(within).is_some_and(|(value, within)| match within.past(value) {
        None => true,
        Some(off) => sag.expanded().is_some_and(|expanded| off <= expanded),
    })
}

/// Whether a rate agrees with a label, in words.
fn against_label(say: Say<'_>, rate: &Figure, label: Option<f64>) -> Option<String> {
    let (value, label) = (rate.value()?, label.filter(|label| *label > 0.0)?);
    let off = value - label;
    if rate.expanded().is_some_and(|expanded| off.abs() <= expanded) {
        return Some(say.text(&say!("agrees with the label")));
    }
    let percent = format!("{:.0} %", 100.0 * off.abs() / label);
    Some(say.text(&match off < 0.0 {
        true => say!("{percent} softer than the label", percent),
        false => say!("{percent} stiffer than the label", percent),
    }))
}
