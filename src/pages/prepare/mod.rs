//! Preparation: from the forecast and what is on file to the notebook of a day ahead.
//!
//! Which day to start from is `choice`'s; here its settings are taken over, its pressures kept as they were at the
//! gate, and both brought to the forecast's air. Nothing is written here.

mod choice;
mod notebook;
mod words;

use std::fmt::Write;

use jiff::civil::Date;
use serde::Serialize;

use crate::advice::{self, Advice, FuellingWord};
use crate::book::{Book, Day, Notebook};
use crate::checks;
use crate::figures::tape::Tape;
use crate::figures::{Bench, Figure, Here, Plain};
use crate::quantity::{Kind, Quantity, UnitDefaults, quantity};
use crate::season::{BenchPlace, HeldValue, Season, State};
use crate::vocabulary::blocks::Limits;
use crate::vocabulary::names::{fill, opened};
use crate::vocabulary::values::LimitBounds;
use crate::vocabulary::{End, figures, settings};

use super::gauge::on_gauge;
use super::say::Say;
use super::sheet::Look;
use super::told::Told;

pub use choice::{Points, Rated, WEIGHTS_FILE, Weights, rate};
pub use notebook::{Ahead, FORECAST_KEYS, draft};

/// The version of this form; a reader that knows another one should stop.
const SCHEMA: u32 = 1;

/// What a preparation says.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Plan {
    pub schema: u32,
    /// The notebook that it is written to, relative to the book.
    pub notebook: String,
    /// The day that it starts from; `None` where it starts from the standard setting.
    pub chosen: Option<Precedent>,
    pub runner_up: Option<Precedent>,
    /// How many days were weighed.
    pub considered: usize,
    pub pressures: Vec<PressureLine>,
    /// Of a carburetted machine.
    pub jet: Option<Jet>,
    /// Of an injected machine with choices.
    pub fuelling: Option<FuellingWord>,
    /// In the order of the machine's notebook.
    pub due: Vec<Look>,
    /// Settings that are not so on the machine already, by name, in the order of the sheet.
    #[serde(skip)]
    pub changes: Vec<(String, HeldValue)>,
}

/// A day on file, and what speaks for it.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Precedent {
    /// The name of its notebook.
    pub name: String,
    pub date: String,
    pub track: Option<String>,
    pub points: Points,
    pub sum: f64,
}

/// A chamber or tyre.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct PressureLine {
    /// Its name in notebooks.
    pub setting: String,
    pub label: String,
    /// What it is to be at the gate.
    pub gate: String,
    /// In Pa.
    pub gate_value: f64,
    /// What to set on the bench for that.
    pub bench: Told,
    /// Temperature of the bench.
    pub bench_at: Option<String>,
    /// In K.
    pub bench_temperature: Option<f64>,
    pub note: Option<String>,
}

/// The main jet for the forecast's air.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Jet {
    pub was: Option<String>,
    pub ideal: Told,
    /// The nearest on hand that is not leaner.
    pub fit: Told,
}

/// What is planned for a day, by its place in a book that has its draft.
pub fn plan(book: &Book, season: &Season, ahead: usize, weights: &Weights, advice: &Advice) -> Option<Plan> {
    let (day, replay) = (book.days.get(ahead)?, season.days.get(ahead)?);
    let machine = book.machine(day)?;
    let units = book.units_for(day.rider.as_deref());
    let say = Say::new(&units);
    let rated = rate(book, season, ahead, weights);
    let precedent = |rated: &Rated| precedent(book, rated);
    let start = match rated.first() {
        Some(best) => season.days.get(best.day)?.end().clone(),
        None => standard(season, machine, &replay.start),
    };
    let mut bench = Preparing { book, season, ahead, machine, say, state: replay.end().clone() };
    for (name, held) in start.settings() {
        bench.state = bench.state.with_setting(name, held.value.clone());
    }
    let kept = bench.keep_pressures(rated.first());
    let jet = bench.jet();
    let fuelling = bench.fuelling(advice);
    let pressures =
        kept.into_iter().map(|(name, note)| bench.pressure(&name, note)).collect::<Option<_>>()?;
    let due = checks::due(book, season, ahead, day.date).into_iter();
    Some(Plan {
        schema: SCHEMA,
        notebook: day.notebook.path.clone(),
        chosen: rated.first().and_then(precedent),
        runner_up: rated.get(1).and_then(precedent),
        considered: rated.len(),
        pressures,
        jet,
        fuelling,
        due: due.map(Look::of).collect(),
        changes: bench
            .state
            .settings()
            .into_iter()
            .filter(|(name, held)| {
                replay.end().setting(name).is_none_or(|now| !now.value.same_as(&held.value))
            })
            .map(|(name, held)| (name.to_owned(), held.value.clone()))
            .collect(),
    })
}

/// The notebook of the day: it compiles, and its sheet is the plan's.
pub fn notebook(book: &Book, ahead: &Ahead<'_>, plan: &Plan) -> String {
    let units = book.units_for(Some(ahead.rider));
    notebook::whole(ahead, plan, Say::new(&units))
}

/// The plan as a terminal shows it.
pub fn text(plan: &Plan) -> String {
    let mut text = words::why(plan).join("\n") + "\n";
    let mut list = |title: &str, lines: Vec<String>| {
        if !lines.is_empty() {
            let _ = writeln!(text, "\n{title}");
            for line in lines {
                let _ = writeln!(text, "  {line}");
            }
        }
    };
    list("pressures", words::pressures(plan));
    list("jetting", words::jet(plan).into_iter().collect());
    list("fuelling", words::fuelling(plan).into_iter().collect());
    list("due", words::due(plan));
    let _ = writeln!(text, "\n{}\n", words::CAUTION);
    text
}

fn precedent(book: &Book, rated: &Rated) -> Option<Precedent> {
    let day: &Day = book.days.get(rated.day)?;
    Some(Precedent {
        name: day.notebook.name.clone(),
        date: day.date.to_string(),
        track: book.track(day).map(|track| track.title.clone()),
        points: rated.points,
        sum: rated.points.sum(),
    })
}

/// The machine's standard setting with the rider's own over it, whatever another rider left on the machine.
fn standard(season: &Season, machine: &Notebook, start: &State) -> State {
    let standard = season.standard.get(&machine.name);
    let of_machine = standard
        .into_iter()
        .flat_map(|standard| standard.iter())
        .filter(|(name, _)| settings::row(name).is_some_and(|row| row.owner == settings::Owner::Machine));
    let mut state = start.clone();
    for (name, held) in of_machine {
        state = state.with_setting(name, held.value.clone());
    }
    state
}

/// The day ahead with settings as they are being planned.
struct Preparing<'a> {
    book: &'a Book,
    season: &'a Season,
    ahead: usize,
    machine: &'a Notebook,
    say: Say<'a>,
    state: State,
}

impl Preparing<'_> {
    fn with_bench<T>(&self, work: impl FnOnce(&Bench<'_, &Tape>) -> T) -> Option<T> {
        let tape = Tape::new();
        let here = Here::of_day(self.book, self.season, self.ahead, &self.state)?;
        Some(work(&Bench::new(here, &tape)))
    }

    fn date(&self) -> Option<Date> {
        self.book.days.get(self.ahead).map(|day| day.date)
    }

    /// Chambers that are set by themselves, and tyres that hold air.
    fn pressure_names(&self) -> Vec<String> {
        let chambers = self.machine.chambers().filter(|(_, chamber)| chamber.charged_from.is_none());
        let chambers = chambers.map(|(name, _)| fill(settings::CHAMBER, name));
        let holds_air = |end: &End| {
            let insert = self.state.setting(&fill(settings::INSERT, end.word()));
            insert.and_then(|held| held.value.word()) != Some(settings::MOUSSE)
        };
        let tyres = End::BOTH.into_iter().filter(holds_air).map(|end| fill(settings::TYRE, end.word()));
        chambers.chain(tyres).collect()
    }

    /// Sets every pressure to what it was at the gate of the day that this one starts from; returns their names, each
    /// with a note where it is not so.
    fn keep_pressures(&mut self, from: Option<&Rated>) -> Vec<(String, Option<String>)> {
        let mut kept = Vec::new();
        for name in self.pressure_names() {
            let set = self.state.setting(&name).and_then(|held| held.value.number());
            let at_gate = from.and_then(|from| self.at_gate(from.day, &name));
            // A chamber that is left open is open at every gate.
            let is_open = set == Some(0.0);
            let (wanted, mut note) = match (at_gate, set) {
                (Some(gate), _) if !is_open => (gate, None),
                (None, Some(set)) if from.is_some() && !is_open => {
                    (set, Some("as set; what it came to at that gate is not known".to_owned()))
                }
                (_, Some(set)) => (set, None),
                _ => continue,
            };
            let most = self.most(&name);
            let wanted = match most {
                Some(most) if wanted > most => {
                    note = Some("it was more, and is kept within the maker's limit".to_owned());
                    most
                }
                _ => wanted.max(0.0),
            };
            if let Some(value) = self.written(wanted, most) {
                self.state = self.state.with_setting(&name, HeldValue::Quantity(value));
                kept.push((name, note));
            }
        }
        kept
    }

    /// A pressure as the notebook will have it: rounded as it is written, downwards where that would pass the limit.
    fn written(&self, wanted: f64, most: Option<f64>) -> Option<Quantity> {
        let as_written = |value: f64| {
            let text = self.say.value(Kind::GaugePressure, value).to_string();
            quantity(&text, &[Kind::GaugePressure], &UnitDefaults::default()).ok()
        };
        let written = as_written(wanted)?;
        match most {
            Some(most) if written.value > most => as_written(written.value - written.last_digit),
            _ => Some(written),
        }
    }

    /// What a chamber or tyre came to at the gate of another day, in Pa.
    fn at_gate(&self, day: usize, setting: &str) -> Option<f64> {
        let here = Here::of_day(self.book, self.season, day, self.season.days.get(day)?.end())?;
        let bench = Bench::new(here, Plain);
        let gate = |pattern: &str, figure: &str| Some(fill(figure, opened(pattern, setting)?));
        let name = gate(settings::CHAMBER, figures::GATE_CHAMBER)
            .or_else(|| gate(settings::TYRE, figures::GATE_TYRE))?;
        bench.value(&name)
    }

    /// The maker's highest pressure, in Pa.
    fn most(&self, setting: &str) -> Option<f64> {
        let limits = self.machine.all::<Limits>().flat_map(|block| &block.others.limits);
        let written = limits.filter(|limit| limit.name == setting).filter_map(|limit| match &limit.bounds {
            LimitBounds::Range(bounds) => bounds.high.map(|high| high.value),
            LimitBounds::Exactly(given) => Some(given.value()),
            LimitBounds::Word(_) => None,
        });
        let of_chamber = opened(settings::CHAMBER, setting)
            .and_then(|name| self.machine.chamber(name))
            .and_then(|chamber| chamber.limit)
            .map(|limit| limit.value());
        written.chain(of_chamber).reduce(f64::min)
    }

    fn pressure(&self, name: &str, note: Option<String>) -> Option<PressureLine> {
        let held = self.state.setting(name)?;
        let open = |pattern: &str, figure: &str| Some(fill(figure, opened(pattern, name)?));
        let figure = open(settings::CHAMBER, figures::BENCH_CHAMBER)
            .or_else(|| open(settings::TYRE, figures::BENCH_TYRE))?;
        let figure = self.with_bench(|bench| bench.figure(&figure))?;
        let by_hand = |value| on_gauge(self.say, self.book, &self.state, name, value).to_string();
        let bench = Told { shown: figure.value().map(by_hand), ..Told::of(self.say, &figure) };
        let at = self.state.bench(name, self.date()).and_then(BenchPlace::temperature);
        let passes = bench.value.zip(self.most(name)).is_some_and(|(value, most)| value > most);
        let warned = "on the bench that would pass the maker's limit: fill it at the gate";
        Some(PressureLine {
            label: settings::row(name).map(|row| row.label_for(name)).unwrap_or_default(),
            gate: notebook::setting_text(self.say, &held.value),
            gate_value: held.value.number()?,
            bench_at: at.map(|at| self.say.quantity(&at.quantity).to_string()),
            bench_temperature: at.map(|at| at.value()),
            note: if passes { Some(warned.to_owned()) } else { note },
            setting: name.to_owned(),
            bench,
        })
    }

    /// What the rule says of the fuelling; the leanest goes out where it must not be.
    fn fuelling(&mut self, advice: &Advice) -> Option<FuellingWord> {
        let word = advice::fuelling(self.book, self.season, advice, self.ahead, &self.state)?;
        if let Some(right) = word.right.as_ref().filter(|_| word.is_too_lean) {
            self.state = self.state.with_setting(settings::FUELLING, HeldValue::Word(right.clone()));
        }
        Some(word)
    }

    /// Fits the main jet that the air asks for, where it can be told.
    fn jet(&mut self) -> Option<Jet> {
        self.machine.carburettor()?;
        let was = self.state.setting(settings::JET_MAIN).map(|held| held.value.clone());
        let (ideal, fit) = self.with_bench(|bench| {
            (bench.figure(figures::JET_MAIN_FOR_AIR), bench.figure(figures::JET_MAIN_ON_HAND))
        })?;
        if let Some(number) = fit.value() {
            let unit = Kind::Number.usual_unit();
            let jet = Quantity { kind: Kind::Number, value: number, unit, plus_minus: None, last_digit: 1.0 };
            self.state = self.state.with_setting(settings::JET_MAIN, HeldValue::Quantity(jet));
        }
        Some(Jet {
            was: was.map(|was| notebook::setting_text(self.say, &was)),
            ideal: jet_number(self.say, &ideal, 1),
            fit: jet_number(self.say, &fit, 0),
        })
    }
}

/// A jet's number; of its decimals no more than anybody could drill.
fn jet_number(say: Say<'_>, figure: &Figure, decimals: usize) -> Told {
    let shown = figure.value().map(|value| format!("{value:.decimals$}"));
    Told { shown, ..Told::of(say, figure) }
}
