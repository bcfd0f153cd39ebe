//! Tonight: what to set, what to pump, what is due and the one next change, on one screen.
//!
//! It brings together what the sheet, the roster, the preparation and the advice say of a day, and works nothing out itself.

mod when;

use std::collections::BTreeMap;

use jiff::civil::Date;
use serde::Serialize;

use crate::advice::Advice;
use crate::book::Book;
use crate::quantity::Units;
use crate::season::Season;
use crate::speech::{Tongue, say};
use crate::vocabulary::Setting;
use crate::vocabulary::blocks::Stint;

use super::dates;
use super::prepare::{self, jet_told};
use super::roster::Changeover;
use super::sheet::{self, Look, Options, PressureLine};

pub use when::{Rides, When, not_shown, riders, when};

/// The version of this format; a reader that knows another one should stop.
const SCHEMA: u32 = 1;

/// The page for all riders asked for.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Tonight {
    pub schema: u32,
    /// The reader's language.
    #[serde(skip)]
    pub tongue: Tongue,
    /// For bookmarks and windows.
    pub title: String,
    /// The date of asking, as ISO 8601 writes it.
    pub date: String,
    pub riders: Vec<Today>,
    /// Who else has ridden in the book, where nobody was asked for.
    pub others: Option<String>,
}

/// The page of one rider on one machine.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Today {
    /// The rider's language, for the heads: the lines are in it already.
    #[serde(skip)]
    pub tongue: Tongue,
    pub rider: Option<String>,
    pub machine: Option<String>,
    pub track: Option<String>,
    /// What it is about: a day that is written, or the date of asking with the machine as it is now.
    pub about: String,
    /// The rider is not to ride: nothing else is shown.
    pub stop: Option<String>,
    /// How the machine stands before: who left it, and when.
    pub stands: Option<String>,
    /// Whether another rider left it.
    pub is_changeover: bool,
    /// What to change from there.
    pub to_set: Vec<String>,
    /// What to pump, at the track and on the bench.
    pub to_pump: Vec<Pumped>,
    /// The main jet for the day's air.
    pub jet: Option<String>,
    /// What is due or overdue, or becomes due on the day.
    pub due: Vec<Look>,
    /// The last ride's complaint.
    pub complaint: Option<String>,
    /// The one next thing for it.
    pub next: Option<String>,
    pub next_lines: Vec<String>,
    pub undo: Option<String>,
    pub cautions: Vec<String>,
    /// What it was compiled from.
    pub foot: String,
}

/// A chamber or tyre.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Pumped {
    pub setting: Setting,
    pub label: String,
    /// What to set, at the track and on the bench, each with its place.
    pub told: String,
}

/// In the template's form.
#[derive(Serialize)]
pub struct Laid<'a> {
    title: &'a str,
    date: &'a str,
    riders: Vec<LaidToday<'a>>,
    others: Option<&'a str>,
}

#[derive(Serialize)]
struct LaidToday<'a> {
    #[serde(flatten)]
    today: &'a Today,
    /// The words above and before the rider's lines.
    heads: BTreeMap<&'static str, String>,
}

impl Tonight {
    pub fn laid(&self) -> Laid<'_> {
        let riders = self.riders.iter().map(|today| LaidToday { today, heads: today.heads() }).collect();
        Laid { title: &self.title, date: &self.date, riders, others: self.others.as_deref() }
    }
}

impl Today {
    fn heads(&self) -> BTreeMap<&'static str, String> {
        let told = |text: &Option<String>| text.clone().unwrap_or_default();
        let heads = [
            ("no_rider", say!("Rider: ____________")),
            ("no_machine", say!("Machine: ____________")),
            ("track", say!("track")),
            ("to_set", say!("To set")),
            ("from", say!("from how it was left:")),
            ("stands_so", say!("nothing: already set so")),
            ("to_pump", say!("To pump, cold")),
            ("nothing", say!("nothing")),
            ("due", say!("Due")),
            ("nothing_due", say!("nothing is due")),
            ("next", say!("One next change")),
            ("last_ride", say!("The last ride: {complaint}", complaint = told(&self.complaint))),
            ("undo", say!("to undo: {undo}", undo = told(&self.undo))),
            ("no_complaint", say!("no complaint from the last ride")),
        ];
        heads.into_iter().map(|(name, head)| (name, self.tongue.say(&head))).collect()
    }
}

/// The page of all of them.
pub fn tonight(units: &Units, date: Date, riders: Vec<Today>, others: &[String]) -> Tonight {
    Tonight {
        schema: SCHEMA,
        tongue: units.tongue().clone(),
        title: units.say(&say!("Tonight, {date}", date)),
        date: date.to_string(),
        others: (!others.is_empty())
            .then(|| units.say(&say!("not shown: {names} (`--rider NAME`)", names = others.join(", ")))),
        riders,
    }
}

/// The page of a day, by its place in the book; `is_supposed` for one that is in no notebook. `None` where there is no
/// such day.
pub fn today(
    book: &Book,
    season: &Season,
    advice: &Advice,
    index: usize,
    on: Date,
    is_supposed: bool,
) -> Option<Today> {
    let day = book.days.get(index)?;
    let sheet = sheet::sheet(book, season, advice, index, Options { on: Some(on), ..Options::default() })?;
    let changeover = Changeover::of(book, season, index);
    let was_ridden = day.notebook.all::<Stint>().next().is_some();
    let units = book.units_for(day.rider.as_deref());
    let date = dates::whole(day.date);
    let about = units.say(&match (is_supposed, was_ridden) {
        (true, _) => say!("for {date}; no notebook yet, as it is now", date),
        (false, true) => say!("as left at the end of {date}", date),
        (false, false) => say!("for {date}", date),
    });
    let mut today = Today {
        tongue: units.tongue().clone(),
        rider: sheet.head.rider,
        machine: sheet.head.machine,
        track: sheet.head.track,
        about,
        stop: sheet.stop.map(|stop| format!("{} {}", stop.say, stop.why)),
        stands: None,
        is_changeover: false,
        to_set: Vec::new(),
        to_pump: Vec::new(),
        jet: None,
        due: Vec::new(),
        complaint: None,
        next: None,
        next_lines: Vec::new(),
        undo: None,
        cautions: Vec::new(),
        foot: match is_supposed {
            true => units.say(&say!("no notebook yet · {date}", date = day.date)),
            false => sheet.foot.line,
        },
    };
    if today.stop.is_some() {
        return Some(today);
    }
    // What was ridden is already set.
    if let Some(changeover) = changeover.filter(|_| !was_ridden) {
        today.stands = Some(changeover.told());
        today.is_changeover = changeover.is_of_another();
        today.to_set = changeover.changes();
    }
    let pumped = |line: PressureLine| {
        let label = units.say(&line.setting.label());
        // What somebody has to mend first is not left out.
        let told = line.by_hand.or(line.aim.wanted).or(line.aim.instead)?;
        Some(Pumped { told, setting: line.setting, label })
    };
    today.to_pump = sheet.pressures.into_iter().filter_map(pumped).collect();
    today.jet = prepare::jet(book, season, index).as_ref().and_then(jet_told).map(|told| units.say(&told));
    today.due = sheet.due;
    if let Some(next) = sheet.next {
        today.complaint = Some(next.complaint);
        today.next = Some(next.what);
        today.next_lines = next.lines;
        today.undo = next.undo;
    }
    today.cautions = sheet.cautions;
    Some(today)
}
