//! The data of the page for the telephone: who rides what, the settings on the machine, and the words that its forms
//! offer.
//!
//! The page writes notebook text and computes nothing: every unit, word and step that it can offer is here. It speaks the
//! language of the chosen rider; what it writes into notebooks is the same in every language.

mod words;

use std::collections::BTreeMap;

use jiff::civil::Date;
use serde::Serialize;

use crate::advice::{self, Advice};
use crate::book::{Book, Notebook, Tongues};
use crate::quantity::{Kind, Units as InUnits, Way as Direction, unit_word};
use crate::season::{Held, HeldValue, Season, State};
use crate::speech::{Message, Tongue, say};
use crate::vocabulary::settings::SettingValue;
use crate::vocabulary::values::Instrument;
use crate::vocabulary::{End, Setting};

use super::say::Say;

/// The whole page.
#[derive(Debug, Clone, Serialize)]
pub struct Pocket {
    pub title: String,
    /// The day that the page was made for.
    pub date: String,
    pub rides: Vec<Ride>,
    pub tracks: Vec<Named>,
    /// The book's language, in which the page begins.
    pub language: String,
    /// The page's words, in the book's language and in those of its riders.
    pub speech: BTreeMap<String, Speech>,
    /// The book's texts by their paths, for the checks on the telephone.
    pub files: Vec<(String, String)>,
}

/// The page's words in one language.
#[derive(Debug, Clone, Serialize)]
pub struct Speech {
    pub decimal: char,
    /// By the names in the page's script and frame.
    pub words: BTreeMap<&'static str, String>,
    /// The complaints that a rider can pick, and the places.
    pub complaints: Vec<Named>,
    pub places: Vec<Named>,
}

/// A rider on a machine.
#[derive(Debug, Clone, Serialize)]
pub struct Ride {
    pub rider: Named,
    pub machine: Named,
    /// The tag of the rider's language.
    pub language: String,
    pub track: Option<String>,
    /// The day's notebook in the book, or the path for a new one.
    pub notebook: String,
    /// That the rider is not cleared to ride, if so.
    pub not_cleared: Option<String>,
    pub settings: Vec<SettingLine>,
    pub chambers: Vec<Named>,
    /// Ends whose tyre has a pressure.
    pub tyres: Vec<Named>,
    pub units: Units,
    pub tapes: Vec<String>,
    pub gauges: Vec<String>,
    /// What to write into the notebook after a crash, and when somebody is hurt.
    pub crashed: String,
    pub injured: String,
    /// The sheet, as a page of its own.
    pub sheet: String,
}

/// A name as notebooks spell it, and as it is printed.
#[derive(Debug, Clone, Serialize)]
pub struct Named {
    pub name: String,
    pub title: String,
}

/// The units of readings.
#[derive(Debug, Clone, Serialize)]
pub struct Units {
    pub length: &'static str,
    pub pressure: &'static str,
    pub temperature: &'static str,
}

/// A setting in force, and how to write a change of it.
#[derive(Debug, Clone, Serialize)]
pub struct SettingLine {
    pub id: Setting,
    pub label: String,
    pub value: String,
    /// Relative changes: what to write before the number and behind it; none for words.
    pub ways: Vec<Way>,
    /// What follows a number that is set outright, and its printed form.
    pub unit: Named,
    /// The words that it can have, where there are no others.
    pub words: Vec<String>,
    pub is_number: bool,
}

/// One direction of a change.
#[derive(Debug, Clone, Serialize)]
pub struct Way {
    pub label: String,
    pub before: &'static str,
    pub behind: String,
}

/// Everything except the rides.
pub fn pocket(
    book: &Book,
    advice: &Advice,
    date: Date,
    rides: Vec<Ride>,
    files: Vec<(String, String)>,
) -> Pocket {
    let tongue = book.about.units.tongue();
    let riders = rides.iter().map(|ride| book.units_for(Some(&ride.rider.name)));
    let tongues: Vec<Tongue> =
        std::iter::once(tongue.clone()).chain(riders.map(|units| units.tongue().clone())).collect();
    Pocket {
        title: book.about.title.clone().unwrap_or_else(|| tongue.say(&say!("Set-up"))),
        date: date.to_string(),
        rides,
        tracks: book.tracks.values().map(|track| named(&track.name, &track.title)).collect(),
        language: tongue.tag().to_owned(),
        speech: tongues.iter().map(|tongue| (tongue.tag().to_owned(), Speech::of(tongue, advice))).collect(),
        files: with_words(files, &tongues),
    }
}

impl Pocket {
    /// The page's words in the book's language.
    pub fn words(&self) -> &BTreeMap<&'static str, String> {
        static NONE: BTreeMap<&str, String> = BTreeMap::new();
        self.speech.get(&self.language).map_or(&NONE, |speech| &speech.words)
    }
}

impl Speech {
    fn of(tongue: &Tongue, advice: &Advice) -> Self {
        let said = |(name, told): (String, Message)| Named { name, title: tongue.say(&told) };
        Self {
            decimal: tongue.decimal(),
            words: words::words(advice).into_iter().map(|(name, told)| (name, tongue.say(&told))).collect(),
            complaints: words::complaints(advice).into_iter().map(said).collect(),
            places: words::places(advice).into_iter().map(said).collect(),
        }
    }
}

/// The files, with the whole catalogue of each language in use: a browser's library ships with English alone.
fn with_words(files: Vec<(String, String)>, tongues: &[Tongue]) -> Vec<(String, String)> {
    let mut all: BTreeMap<String, String> = files.into_iter().collect();
    let catalogues = tongues.iter().filter_map(Tongue::catalogue);
    all.extend(catalogues.map(|words| (Tongues::path(&words.tag), words.written())));
    all.into_iter().collect()
}

/// A rider on a day of the book, by its place; `None` where it is unknown who rides what.
pub fn ride(book: &Book, season: &Season, advice: &Advice, index: usize, sheet: String) -> Option<Ride> {
    let day = book.days.get(index)?;
    let (rider, machine) = (book.rider(day)?, book.machine(day)?);
    let state = season.days.get(index)?.end();
    let units = book.units_for(day.rider.as_deref());
    let say = Say::new(&units);
    let pumped = |open: &str, setting: Setting| named(open, &say.text(&setting.label()));
    let not_cleared = advice::not_cleared(book, advice, [index]).into_iter().next();
    // A barometer is not a gauge for a valve.
    let is_barometer = |it: &Instrument| book.about.barometer.as_ref().is_some_and(|own| own.text == it.name);
    let reads = |kind: Kind| -> Vec<String> {
        let divided = |it: &&Instrument| it.resolution.as_ref().is_some_and(|it| it.quantity.kind == kind);
        let all = book.about.instruments.values().filter(divided).filter(|it| !is_barometer(it));
        all.map(|it| it.name.clone()).collect()
    };
    // What another chamber fills is neither pumped nor read by itself.
    let chambers = machine.chambers().filter(|(_, chamber)| chamber.charged_from.is_none());
    Some(Ride {
        rider: named(&rider.name, &rider.title),
        machine: named(&machine.name, &machine.title),
        language: units.tongue().tag().to_owned(),
        track: day.track.clone(),
        notebook: day.notebook.path.clone(),
        not_cleared,
        settings: settings(book, season, index),
        chambers: chambers.map(|(name, _)| pumped(name, Setting::CHAMBER.named(name))).collect(),
        tyres: tyres(state).map(|end| pumped(end.word(), Setting::TYRE.of(end))).collect(),
        units: Units {
            length: say.unit(Kind::Length).symbol(),
            pressure: say.unit(Kind::GaugePressure).symbol(),
            temperature: say.unit(Kind::Temperature).symbol(),
        },
        tapes: reads(Kind::Length),
        gauges: reads(Kind::GaugePressure),
        crashed: say.text(&say!("Crashed.")),
        injured: say.text(&say!("Hurt: signs of an injury.")),
        sheet,
    })
}

fn named(name: &str, title: &str) -> Named {
    Named { name: name.to_owned(), title: title.to_owned() }
}

/// Ends whose tyre has a pressure: all but those with a mousse.
fn tyres(state: &State) -> impl Iterator<Item = End> {
    End::BOTH.into_iter().filter(|end| !state.is_solid(Setting::TYRE.of(*end)))
}

/// The settings in force at the end of a day, by its place in the book, each with the ways to change it.
pub fn settings(book: &Book, season: &Season, index: usize) -> Vec<SettingLine> {
    let Some((day, replay)) = book.days.get(index).zip(season.days.get(index)) else { return Vec::new() };
    let Some(machine) = book.machine(day) else { return Vec::new() };
    let units = book.units_for(day.rider.as_deref());
    let row = |(id, held): (Setting, &Held)| setting(machine, id, &held.value, &units);
    replay.end().settings().into_iter().map(row).collect()
}

fn setting(machine: &Notebook, id: Setting, value: &HeldValue, units: &InUnits) -> SettingLine {
    let say = Say::new(units);
    let row = id.info();
    let words = match row.value {
        SettingValue::Word(words) => words.iter().map(|word| (*word).to_owned()).collect(),
        _ => Vec::new(),
    };
    let kind = match value {
        HeldValue::Quantity(held) => Some(held.kind),
        HeldValue::Word(_) => None,
    };
    let unit = kind.map_or("", |kind| unit(kind, say));
    SettingLine {
        id,
        label: say.text(&id.label()),
        value: say.setting(row, value).told,
        ways: kind.map(|kind| ways(machine, id, kind, say)).unwrap_or_default(),
        unit: named(unit, &say.text(&unit_word(unit))),
        words,
        is_number: kind.is_some(),
    }
}

/// The unit that follows a number of a kind, as notebooks write it; nothing where it counts things.
fn unit(kind: Kind, say: Say<'_>) -> &'static str {
    match kind {
        Kind::Teeth | Kind::Links | Kind::Count | Kind::Number => "",
        kind => say.unit(kind).symbol(),
    }
}

/// Both directions of a number, the one that makes it smaller first.
fn ways(machine: &Notebook, id: Setting, kind: Kind, say: Say<'_>) -> Vec<Way> {
    // A collar is turned, where the thread's pitch is known.
    let is_turned =
        id == Setting::SHOCK_PRELOAD && machine.shock().is_some_and(|shock| shock.thread_pitch.is_some());
    let unit = unit(if is_turned { Kind::Turns } else { kind }, say);
    let behind = if unit.is_empty() { String::new() } else { format!(" {unit}") };
    let way = |is_more: bool| {
        let (way, size) = (id.info().way(is_more), unit_word(unit));
        let label = match way {
            Direction::Plus => say!("{size} more", size),
            Direction::Minus => say!("{size} less", size),
            Direction::In => say!("{size} in", size),
            Direction::Out => say!("{size} out", size),
            Direction::Up => say!("{size} up", size),
            Direction::Down => say!("{size} down", size),
        };
        let (before, behind) = match way {
            Direction::Plus | Direction::Minus => (way.word(), behind.clone()),
            _ => ("", format!("{behind} {}", way.word())),
        };
        Way { label: say.text(&label).trim().to_owned(), before, behind }
    };
    [false, true].map(way).into()
}
