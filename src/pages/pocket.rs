//! The data of the page for the telephone: who rides what, the settings on the machine, and the words that its forms
//! offer.
//!
//! The page writes notebook text and works nothing out: every unit, word and step that it can offer is here.

use jiff::civil::Date;
use serde::Serialize;

use crate::advice::{self, Advice};
use crate::book::{Book, Notebook};
use crate::quantity::{Kind, Way as Direction};
use crate::season::{Held, HeldValue, Season, State};
use crate::vocabulary::settings::SettingValue;
use crate::vocabulary::values::Instrument;
use crate::vocabulary::{End, Setting};

use super::say::Say;
use super::sheet::cautions::Caution;

/// The whole page.
#[derive(Debug, Clone, Serialize)]
pub struct Pocket {
    pub title: String,
    /// The day that the page was made for.
    pub date: String,
    pub rides: Vec<Ride>,
    pub tracks: Vec<Named>,
    pub complaints: Vec<Complaint>,
    pub places: Vec<String>,
    pub hurt: Hurt,
    pub cautions: Cautions,
    /// The book's texts by their paths, for the checks on the telephone.
    pub files: Vec<(String, String)>,
}

/// What to read before filling in a form, and behind what is worked out.
#[derive(Debug, Clone, Serialize)]
pub struct Cautions {
    pub pressures: String,
    pub sag: String,
    pub change: String,
    pub figures: String,
}

/// A rider on a machine.
#[derive(Debug, Clone, Serialize)]
pub struct Ride {
    pub rider: Named,
    pub machine: Named,
    pub track: Option<String>,
    /// The day's notebook in the book, or the path for a new one.
    pub notebook: String,
    /// That the rider is not cleared to ride, if so.
    pub not_cleared: Option<String>,
    pub settings: Vec<SettingLine>,
    pub chambers: Vec<String>,
    /// Ends whose tyre has a pressure.
    pub tyres: Vec<&'static str>,
    pub units: Units,
    pub tapes: Vec<String>,
    pub gauges: Vec<String>,
    /// The sheet, as a page of its own.
    pub sheet: String,
}

/// A notebook by its name, and its printed name.
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
    /// What follows a number that is set outright.
    pub unit: String,
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

/// What a rider can complain of.
#[derive(Debug, Clone, Serialize)]
pub struct Complaint {
    pub word: String,
    pub say: String,
}

/// What to do when somebody is hurt or has crashed: the words of the advice.
#[derive(Debug, Clone, Serialize)]
pub struct Hurt {
    pub say: String,
    pub others: String,
    pub ask: String,
    pub look_over: String,
}

/// Everything except the rides.
pub fn pocket(
    book: &Book,
    advice: &Advice,
    date: Date,
    rides: Vec<Ride>,
    files: Vec<(String, String)>,
) -> Pocket {
    let injury = &advice.injury;
    let mut complaints: Vec<Complaint> = Vec::new();
    for complaint in &advice.complaints {
        // One word can have an entry for each place.
        if !complaints.iter().any(|known| known.word == complaint.word()) {
            complaints.push(Complaint { word: complaint.word().to_owned(), say: complaint.say.clone() });
        }
    }
    Pocket {
        title: book.about.title.clone().unwrap_or_else(|| "Set-up".to_owned()),
        date: date.to_string(),
        rides,
        tracks: book.tracks.values().map(|track| named(&track.name, &track.title)).collect(),
        complaints,
        places: advice.places.clone(),
        hurt: Hurt {
            say: injury.say.clone(),
            others: injury.others.clone(),
            ask: injury.ask.clone(),
            look_over: injury.look_over.clone(),
        },
        cautions: Cautions {
            pressures: Caution::Air.told().to_string(),
            sag: Caution::Stand.told().to_string(),
            change: [Caution::Preload, Caution::AfterAChange].map(|it| it.told().to_string()).join(" "),
            figures: Caution::Always.told().to_string(),
        },
        files,
    }
}

/// A rider on a day of the book, by its place; `None` where it is unknown who rides what.
pub fn ride(book: &Book, season: &Season, advice: &Advice, index: usize, sheet: String) -> Option<Ride> {
    let day = book.days.get(index)?;
    let (rider, machine) = (book.rider(day)?, book.machine(day)?);
    let state = season.days.get(index)?.end();
    let units = book.units_for(day.rider.as_deref()).plain();
    let say = Say::new(&units);
    let not_cleared = advice::not_cleared(book, advice, [index]).into_iter().next();
    // A barometer is not a gauge for a valve.
    let is_barometer = |it: &Instrument| book.about.barometer.as_ref().is_some_and(|own| own.text == it.name);
    let reads = |kind: Kind| -> Vec<String> {
        let divided = |it: &&Instrument| it.resolution.as_ref().is_some_and(|it| it.quantity.kind == kind);
        let all = book.about.instruments.values().filter(divided).filter(|it| !is_barometer(it));
        all.map(|it| it.name.clone()).collect()
    };
    Some(Ride {
        rider: named(&rider.name, &rider.title),
        machine: named(&machine.name, &machine.title),
        track: day.track.clone(),
        notebook: day.notebook.path.clone(),
        not_cleared,
        settings: settings(book, season, index),
        chambers: machine.chambers().map(|(name, _)| name.to_owned()).collect(),
        tyres: tyres(state),
        units: Units {
            length: say.unit(Kind::Length).symbol(),
            pressure: say.unit(Kind::GaugePressure).symbol(),
            temperature: say.unit(Kind::Temperature).symbol(),
        },
        tapes: reads(Kind::Length),
        gauges: reads(Kind::GaugePressure),
        sheet,
    })
}

fn named(name: &str, title: &str) -> Named {
    Named { name: name.to_owned(), title: title.to_owned() }
}

/// Ends whose tyre has a pressure: all but those with a mousse.
fn tyres(state: &State) -> Vec<&'static str> {
    End::BOTH.into_iter().filter(|end| !state.is_solid(Setting::TYRE.of(*end))).map(End::word).collect()
}

/// The settings in force at the end of a day, by its place in the book, each with the ways to change it.
pub fn settings(book: &Book, season: &Season, index: usize) -> Vec<SettingLine> {
    let Some((day, replay)) = book.days.get(index).zip(season.days.get(index)) else { return Vec::new() };
    let Some(machine) = book.machine(day) else { return Vec::new() };
    let units = book.units_for(day.rider.as_deref()).plain();
    let row = |(id, held): (Setting, &Held)| setting(machine, id, &held.value, Say::new(&units));
    replay.end().settings().into_iter().map(row).collect()
}

fn setting(machine: &Notebook, id: Setting, value: &HeldValue, say: Say<'_>) -> SettingLine {
    let row = id.info();
    let words = match row.value {
        SettingValue::Word(words) => words.iter().map(|word| (*word).to_owned()).collect(),
        _ => Vec::new(),
    };
    let kind = match value {
        HeldValue::Quantity(held) => Some(held.kind),
        HeldValue::Word(_) => None,
    };
    SettingLine {
        id,
        label: id.label().in_english(),
        value: say.setting(value).told,
        ways: kind.map(|kind| ways(machine, id, kind, say)).unwrap_or_default(),
        unit: kind.map(|kind| unit(kind, say)).unwrap_or_default(),
        words,
        is_number: kind.is_some(),
    }
}

/// What follows a number of a kind; nothing where it counts things.
fn unit(kind: Kind, say: Say<'_>) -> String {
    match kind {
        Kind::Teeth | Kind::Links | Kind::Count | Kind::Number => String::new(),
        kind => format!(" {}", say.unit(kind).symbol()),
    }
}

/// Both directions of a number, the one that makes it smaller first.
fn ways(machine: &Notebook, id: Setting, kind: Kind, say: Say<'_>) -> Vec<Way> {
    // A collar is turned, where the thread's pitch is known.
    let is_turned =
        id == Setting::SHOCK_PRELOAD && machine.shock().is_some_and(|shock| shock.thread_pitch.is_some());
    let unit = unit(if is_turned { Kind::Turns } else { kind }, say);
    let way = |is_more: bool| match id.info().way(is_more) {
        Direction::Plus => {
            Way { label: format!("{unit} more").trim().to_owned(), before: "+", behind: unit.clone() }
        }
        Direction::Minus => {
            Way { label: format!("{unit} less").trim().to_owned(), before: "-", behind: unit.clone() }
        }
        way => Way {
            label: format!("{unit} {}", way.word()).trim().to_owned(),
            before: "",
            behind: format!("{unit} {}", way.word()),
        },
    };
    [false, true].map(way).into()
}
