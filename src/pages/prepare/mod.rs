//! Preparation: from the forecast and the days on file to the notebook of a day ahead.
//!
//! `choice` decides which day to start from. Here its settings are taken over, with its pressures as aims, and what to
//! set on the bench in the forecast's air is worked out. Nothing is written here.

mod choice;
mod notebook;
mod team;
mod words;

use serde::Serialize;

use crate::advice::{self, Advice, FuellingWord};
use crate::book::{Book, Day, Notebook};
use crate::checks;
use crate::figures::tape::Tape;
use crate::figures::{Bench, Figure, Here};
use crate::quantity::{Kind, Quantity};
use crate::season::{BenchPlace, HeldValue, Season, State};
use crate::speech::{Message, Tongue};
use crate::vocabulary::settings::{Owner, SettingId};
use crate::vocabulary::{End, FigureName, Setting};

use super::gauge::{Pump, by_hand};
use super::made::at_bench;
use super::roster::Changeover;
use super::say::Say;
use super::sheet::Look;
use super::told::Told;

pub use choice::{Points, Rated, WEIGHTS_FILE, Weights, rate};
pub use notebook::{Ahead, FORECAST_KEYS, draft, with_forecast};
pub use team::{Asked, Member, team};
pub(super) use words::jet_told;

/// The version of this format; a reader that knows another one should stop.
const SCHEMA: u32 = 1;

/// What a preparation says.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Plan {
    pub schema: u32,
    /// The rider's language.
    #[serde(skip)]
    pub tongue: Tongue,
    /// The notebook that it is written to, relative to the book.
    pub notebook: String,
    /// The day that it starts from; `None` for the standard setting.
    pub chosen: Option<Precedent>,
    /// Whether that day is a similar one; else it is the last one.
    pub is_similar: bool,
    pub runner_up: Option<Precedent>,
    /// How many days were compared.
    pub considered: usize,
    pub pressures: Vec<PressureLine>,
    /// Of a carburetted machine.
    pub jet: Option<Jet>,
    /// Of an injected machine with choices.
    pub fuelling: Option<FuellingWord>,
    /// In the order of the machine's notebook.
    pub due: Vec<Look>,
    /// What another rider left on the machine, if one did, and what to change from there.
    pub changeover: Option<Changed>,
    /// Settings that differ from those carried, by name, in the order of the sheet.
    #[serde(skip)]
    pub changes: Vec<(Setting, HeldValue)>,
}

/// A machine that another rider had last.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Changed {
    /// Who left it, and when.
    pub stands: String,
    /// What to change, springs first.
    pub changes: Vec<String>,
}

/// A day on file, and why it was chosen.
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
    pub setting: Setting,
    pub label: String,
    /// What the gauge should show at the track, cold; `None` where no number may be given.
    pub aim: Option<String>,
    /// In Pa.
    pub aim_value: Option<f64>,
    /// Both, and what to do where there is no number, in one line.
    pub told: String,
    /// What to set on the bench for that.
    pub bench: Told,
    /// Whether something is missing for the bench.
    #[serde(skip)]
    pub is_wanting: bool,
    /// Temperature of the bench.
    pub bench_at: Option<String>,
    /// In K.
    pub bench_temperature: Option<f64>,
}

/// The main jet for the forecast's air.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Jet {
    pub was: Option<String>,
    pub ideal: Told,
    /// The nearest on hand that is not leaner.
    pub fit: Told,
    /// Whether it is leaner than the one that is in.
    #[serde(skip)]
    pub is_leaner: bool,
}

/// What is planned for a day, by its place in a book that has its draft.
pub fn plan(book: &Book, season: &Season, ahead: usize, weights: &Weights, advice: &Advice) -> Option<Plan> {
    let (day, replay) = (book.days.get(ahead)?, season.days.get(ahead)?);
    let machine = book.machine(day)?;
    let units = book.units_for(day.rider.as_deref());
    let say = Say::new(&units);
    let rated = rate(book, season, ahead, weights);
    let precedent = |rated: &Rated| precedent(book, rated);
    let similar = rated.first().filter(|best| weights.are_similar(&best.points));
    let chosen = similar.or_else(|| rated.iter().max_by_key(|rated| rated.day));
    let start = match chosen {
        Some(chosen) => season.days.get(chosen.day)?.end().clone(),
        None => standard(season, machine, &replay.start),
    };
    let mut bench = Preparing { book, season, ahead, machine, say, state: replay.end().clone() };
    // The rider now has the present mass, and the machine its present state. What carries the rider stays as it was
    // last left, and clicks from before a rebuild mean something else.
    let is_taken = |name: Setting| {
        let is_rebuilt = name.info().damper.is_some_and(|damper| {
            let rebuild = |state: &State| state.valving(damper).map(|held| held.span);
            rebuild(&start) != rebuild(replay.end())
        });
        chosen.is_none() || !(carries_the_rider(name) || is_rebuilt)
    };
    for (name, held) in start.settings().into_iter().filter(|(name, _)| is_taken(*name)) {
        bench.take(name, &held.value);
    }
    let jet = bench.jet();
    let fuelling = bench.fuelling(advice);
    let pressures = bench.pressure_names().into_iter().filter_map(|name| bench.pressure(name)).collect();
    let due = checks::due(book, season, ahead, day.date).into_iter();
    let changeover = Changeover::of(book, season, ahead).filter(|it| it.is_of_another()).map(|it| {
        let it = it.wanting(&bench.state);
        Changed { stands: it.told(), changes: it.changes() }
    });
    Some(Plan {
        schema: SCHEMA,
        tongue: units.tongue().clone(),
        notebook: day.notebook.path.clone(),
        chosen: chosen.and_then(precedent),
        is_similar: similar.is_some(),
        runner_up: similar.and_then(|_| rated.get(1)).and_then(precedent),
        considered: rated.len(),
        pressures,
        jet,
        fuelling,
        due: due.map(|due| Look::of(say, due)).collect(),
        changeover: changeover.filter(|changeover| !changeover.changes.is_empty()),
        changes: bench
            .state
            .settings()
            .into_iter()
            .filter(|(name, held)| {
                replay.end().setting(*name).is_none_or(|now| !now.value.same_as(&held.value))
            })
            .map(|(name, held)| (name, held.value.clone()))
            .collect(),
    })
}

/// The main jet for the air of a day, by its place in the book; `None` without a carburettor.
pub fn jet(book: &Book, season: &Season, day: usize) -> Option<Jet> {
    let (about, replay) = (book.days.get(day)?, season.days.get(day)?);
    let units = book.units_for(about.rider.as_deref());
    let (machine, say) = (book.machine(about)?, Say::new(&units));
    Preparing { book, season, ahead: day, machine, say, state: replay.end().clone() }.jet()
}

/// The notebook of the day: it compiles, and its sheet is the plan's.
pub fn notebook(ahead: &Ahead<'_>, plan: &Plan) -> String {
    notebook::whole(ahead, plan)
}

/// The plan in words, for its template.
#[derive(Debug, Serialize)]
pub struct Laid<'p> {
    notebook: &'p str,
    why: Vec<String>,
    changeover: Option<&'p Changed>,
    pressures: Vec<String>,
    jet: Option<String>,
    fuelling: Option<String>,
    due: Vec<String>,
    caution: String,
}

impl Plan {
    /// Prepared for its template.
    pub fn laid(&self) -> Laid<'_> {
        Laid {
            notebook: &self.notebook,
            why: self.say(words::why(self)),
            changeover: self.changeover.as_ref(),
            pressures: self.say(words::pressures(self)),
            jet: words::jet(self).map(|jet| self.tongue.say(&jet)),
            fuelling: words::fuelling(self).map(|fuelling| self.tongue.say(&fuelling)),
            due: self.say(words::due(self)),
            caution: self.tongue.say(&words::caution()),
        }
    }

    fn say(&self, all: Vec<Message>) -> Vec<String> {
        all.iter().map(|message| self.tongue.say(message)).collect()
    }
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

/// Whether a setting depends on the rider's mass: it is never taken from the day whose track fits best.
fn carries_the_rider(name: Setting) -> bool {
    matches!(
        name.row,
        SettingId::FORK_SPRING
            | SettingId::FORK_PRELOAD
            | SettingId::SHOCK_SPRING
            | SettingId::SHOCK_PRELOAD
            | SettingId::SHOCK_LINK
            | SettingId::CHAMBER
    )
}

/// The machine's standard setting overlaid with the rider's own, whatever another rider left on the machine.
fn standard(season: &Season, machine: &Notebook, start: &State) -> State {
    let standard = season.standard.get(&machine.name);
    let of_machine = standard
        .into_iter()
        .flat_map(|standard| standard.iter())
        .filter(|(name, _)| name.info().owner == Owner::Machine);
    let mut state = start.clone();
    for (name, held) in of_machine {
        state = state.with_setting(name, held.value.clone());
    }
    state
}

/// The day ahead, with the settings planned so far.
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

    /// Chambers that are set by themselves, and tyres with air.
    fn pressure_names(&self) -> Vec<Setting> {
        let chambers = self.machine.chambers().filter(|(_, chamber)| chamber.charged_from.is_none());
        let chambers = chambers.map(|(name, _)| Setting::CHAMBER.named(name));
        let tyres = End::BOTH.into_iter().map(|end| Setting::TYRE.of(end));
        chambers.chain(tyres.filter(|tyre| !self.state.is_solid(*tyre))).collect()
    }

    /// Takes a setting over. An aim that is already the same is not set again: that would count as gas in the chamber,
    /// and hide a leak.
    fn take(&mut self, name: Setting, value: &HeldValue) {
        let is_same = self.state.setting(name).is_some_and(|now| now.value.same_as(value));
        let is_past = value.number().is_some_and(|number| self.machine.pressure_past(name, number).is_some());
        if name.is_pressure() && (is_same || is_past) {
            return;
        }
        self.state = self.state.with_setting(name, value.clone());
    }

    fn pressure(&self, setting: Setting) -> Option<PressureLine> {
        let pump = Pump { say: self.say, book: self.book, machine: Some(self.machine), state: &self.state };
        let at_track = pump.at_track(setting)?;
        let figure = at_bench(setting)?;
        let figure = self.with_bench(|bench| bench.figure(figure))?;
        let on_bench = pump.on_bench(setting, &figure);
        let shown =
            on_bench.as_ref().and_then(|to_pump| to_pump.as_ref().ok()).map(|set| set.shown.to_string());
        let at = self.state.bench(setting).and_then(BenchPlace::temperature);
        let bench_at = at.map(|at| self.say.quantity(&at.quantity).to_string());
        let aim = self.state.pressure(setting).aim.and_then(|held| held.value.number());
        Some(PressureLine {
            label: self.say.text(&setting.label()),
            aim: at_track.as_ref().ok().map(|set| set.shown.to_string()),
            aim_value: aim.filter(|_| at_track.is_ok()),
            told: by_hand(self.say, Some(&at_track), on_bench.as_ref(), bench_at.clone())?,
            is_wanting: at_track.is_ok() && on_bench.is_none(),
            bench: Told { shown, ..Told::of(self.say, &figure) },
            bench_at,
            bench_temperature: at.map(|at| at.value()),
            setting,
        })
    }

    /// The fuelling rule; the leanest choice is removed where it is forbidden.
    fn fuelling(&mut self, advice: &Advice) -> Option<FuellingWord> {
        let word = advice::fuelling(self.book, self.season, advice, self.ahead, &self.state)?;
        if let Some(right) = word.right.as_ref().filter(|_| word.is_too_lean) {
            self.state = self.state.with_setting(Setting::FUELLING, HeldValue::Word(right.clone()));
        }
        Some(word)
    }

    /// Fits the main jet for the air, where that is known.
    fn jet(&mut self) -> Option<Jet> {
        self.machine.carburettor()?;
        let was = self.state.setting(Setting::JET_MAIN).map(|held| held.value.clone());
        let (ideal, fit) = self.with_bench(|bench| {
            (bench.figure(FigureName::JET_MAIN_FOR_AIR), bench.figure(FigureName::JET_MAIN_ON_HAND))
        })?;
        if let Some(number) = fit.value() {
            let unit = Kind::Number.usual_unit();
            let jet = Quantity { kind: Kind::Number, value: number, unit, plus_minus: None, last_digit: 1.0 };
            self.state = self.state.with_setting(Setting::JET_MAIN, HeldValue::Quantity(jet));
        }
        let number = was.as_ref().and_then(|was| was.quantity()).map(|was| was.value);
        Some(Jet {
            is_leaner: fit.value().zip(number).is_some_and(|(fit, was)| fit < was),
            was: was.map(|was| notebook::setting_text(self.say, &was)),
            ideal: jet_number(self.say, &ideal, 1),
            fit: jet_number(self.say, &fit, 0),
        })
    }
}

/// A jet's number, with no more decimals than a drill can follow.
fn jet_number(say: Say<'_>, figure: &Figure, decimals: usize) -> Told {
    let shown = figure.value().map(|value| say.text(&Message::number(format!("{value:.decimals$}"))));
    Told { shown, ..Told::of(say, figure) }
}
