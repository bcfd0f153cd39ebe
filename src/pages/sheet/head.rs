//! Whose sheet it is, for when and where, and in which conditions.

use serde::Serialize;

use crate::checks::{self, Due};
use crate::quantity::{Units, show};
use crate::speech::{Message, say};
use crate::vocabulary::blocks::{Conditions, HIGH, LOW, MEDIUM, Stint};
use crate::vocabulary::values::{Given, Written};

use super::super::dates;
use super::Desk;

/// Seconds in an hour.
const HOUR: f64 = 3600.0;

/// The head of a sheet.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Head {
    pub rider: Option<String>,
    pub machine: Option<String>,
    pub track: Option<String>,
    /// Which moment of the date the sheet is for: a day to come, or as the day was left.
    pub moment: Option<String>,
    /// As shown: `Saturday 11 April 2026`.
    pub date: Option<String>,
    /// `2026-04-11`, for lists and file names.
    pub date_iso: Option<String>,
    /// About rider and machine: mass in gear, race number, hours, the next service.
    pub about: Vec<Named>,
    /// Expected conditions, as written.
    pub conditions: Vec<Named>,
}

impl Head {
    /// Rider, machine and date, those that are known.
    pub(super) fn title(&self) -> String {
        let parts = [&self.rider, &self.machine, &self.date_iso].into_iter().flatten();
        parts.map(String::as_str).collect::<Vec<_>>().join(" · ")
    }
}

/// A name, and what goes with it.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Named {
    pub label: String,
    pub value: String,
}

pub(super) fn head(desk: &Desk<'_>) -> Head {
    let day = desk.day;
    let was_ridden = day.notebook.all::<Stint>().any(|stint| !stint.is_blank());
    Head {
        rider: desk.book.rider(day).map(|rider| rider.title.clone()),
        machine: desk.machine.map(|machine| machine.title.clone()),
        track: desk.book.track(day).map(|track| match elevation(desk) {
            Some(height) => desk.say.text(&say!("{track}, {height} up", track = track.title, height)),
            None => track.title.clone(),
        }),
        moment: day.is_dated.then(|| {
            desk.say.text(&if was_ridden { say!("as left at the end of") } else { say!("for" in "date") })
        }),
        date: day.is_dated.then(|| desk.say.text(&dates::whole(day.date))),
        date_iso: day.is_dated.then(|| day.date.to_string()),
        about: about(desk),
        conditions: conditions(desk),
    }
}

/// Race number and mass in gear, hours on the machine and the next service. Nobody's mass is on a page that others
/// see.
fn about(desk: &Desk<'_>) -> Vec<Named> {
    let rider = desk.state().rider();
    let number = rider.and_then(|rider| rider.number.as_ref()).map(|number| number.text.clone());
    let mass = rider.filter(|_| !desk.options.is_shared).and_then(|rider| rider.mass.as_ref());
    let mass = mass.map(|mass| desk.say.quantity(&mass.quantity).to_string());
    let hours = desk.state().hours();
    let meter = hours.map(|hours| desk.say.text(&Message::number(format!("{} h", tenths(hours.ridden)))));
    let is_by_meter = hours.is_some_and(|hours| hours.by_meter);
    let label = if is_by_meter { say!("hour meter") } else { say!("hours on file") };
    let all = [
        (say!("number" in "race"), number),
        (say!("in gear"), mass),
        (label, meter),
        (say!("next service"), next_service(desk)),
    ];
    let all = all.into_iter().filter_map(|(label, value)| Some((label, value?)));
    all.map(|(label, value)| Named { label: desk.say.text(&label), value }).collect()
}

/// The service whose hours run out first, and in how many: `engine oil in 3.9 h`.
fn next_service(desk: &Desk<'_>) -> Option<String> {
    let machine = desk.machine?;
    let schedule = checks::schedule(machine, desk.state(), desk.day.date);
    let ridden = desk.state().hours()?.ridden;
    let left = |due: &Due| due.until_ridden.map(|until| until - ridden);
    let counted = schedule.into_iter().filter(|due| due.is_service() && left(due).is_some());
    let next = counted.min_by(|a, b| left(a).unwrap_or(0.0).total_cmp(&left(b).unwrap_or(0.0)))?;
    let label = next.label();
    Some(desk.say.text(&match left(&next)? {
        left if left < 0.0 => {
            say!("{label} {hours} h overdue", label, hours = Message::number(tenths(-left)))
        }
        left => say!("{label} in {hours} h", label, hours = Message::number(tenths(left))),
    }))
}

/// Seconds as hours, to a tenth.
fn tenths(seconds: f64) -> String {
    let tenths = (seconds / HOUR * 10.0).round() / 10.0;
    format!("{tenths}")
}

/// The height of the day's ground, as it was written: a book that measures sag in millimetres does not mean hills.
fn elevation(desk: &Desk<'_>) -> Option<String> {
    let track = desk.book.track(desk.day).and_then(|track| track.track_block());
    let today = desk.state().conditions().and_then(|conditions| conditions.elevation.as_ref());
    let given = today.or_else(|| track.and_then(|track| track.elevation.as_ref()))?;
    Some(show(&given.quantity, &Units::default()).to_string())
}

fn conditions(desk: &Desk<'_>) -> Vec<Named> {
    let today = desk.state().conditions();
    let track = desk.book.track(desk.day).and_then(|track| track.track_block());
    let quantity = |given: Option<&Given>| Some(desk.say.quantity(&given?.quantity).to_string());
    let words = |written: Option<&Written>| Some(written?.text.clone());
    let of = |get: fn(&Conditions) -> Option<&Given>| today.and_then(get);
    let said = |get: fn(&Conditions) -> Option<&Written>| today.and_then(get);
    let soil = said(|it| it.soil.as_ref()).or_else(|| track.and_then(|track| track.soil.as_ref()));
    let air = [
        quantity(of(|it| it.air.as_ref())),
        quantity(of(|it| it.pressure.as_ref())),
        quantity(of(|it| it.sea_level_pressure.as_ref()))
            .map(|shown| desk.say.text(&say!("{shown} at sea level", shown))),
        quantity(of(|it| it.humidity.as_ref())).map(|shown| desk.say.text(&say!("{shown} humid", shown))),
    ];
    let traction =
        words(said(|it| it.traction.as_ref())).map(|traction| desk.say.text(&traction_told(&traction)));
    let surface = words(said(|it| it.surface.as_ref()));
    // Many riders write the soil again together with its state today.
    let soil =
        words(soil).filter(|soil| !surface.as_ref().is_some_and(|surface| surface.contains(soil.as_str())));
    let weather = [words(said(|it| it.wind.as_ref())), words(said(|it| it.rain.as_ref()))];
    let label = if weather.iter().any(Option::is_some) { say!("ground and weather") } else { say!("ground") };
    let ground = [soil, surface, traction].into_iter().chain(weather);
    let fuel = [words(said(|it| it.fuel.as_ref())), words(said(|it| it.premix.as_ref()))];
    let joined = |parts: Vec<String>, between: &str| (!parts.is_empty()).then(|| parts.join(between));
    let all = [
        (say!("air"), joined(air.into_iter().flatten().collect(), ", ")),
        (label, joined(ground.flatten().collect(), "; ")),
        (say!("fuel"), joined(fuel.into_iter().flatten().collect(), ", ")),
    ];
    let all = all.into_iter().filter_map(|(label, value)| Some((label, value?)));
    all.map(|(label, value)| Named { label: desk.say.text(&label), value }).collect()
}

/// The traction, in the word of the notebook.
fn traction_told(traction: &str) -> Message {
    match traction {
        LOW => say!("traction low"),
        MEDIUM => say!("traction medium"),
        HIGH => say!("traction high"),
        other => Message::text(other),
    }
}
