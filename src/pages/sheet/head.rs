//! Whose sheet it is, for when and where, and in which conditions.

use serde::Serialize;

use crate::quantity::{Units, show};
use crate::vocabulary::blocks::{Conditions, Stint};
use crate::vocabulary::values::{Given, Written};

use super::Desk;

const TO_COME: &str = "for";
const AS_LEFT: &str = "as left at the end of";

/// The head of a sheet.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Head {
    pub rider: Option<String>,
    pub machine: Option<String>,
    pub track: Option<String>,
    /// Which moment of the date the sheet is for: a day to come, or one as it was left.
    pub moment: Option<&'static str>,
    /// As it is told: `Saturday 11 April 2026`.
    pub date: Option<String>,
    /// `2026-04-11`, for lists and file names.
    pub date_iso: Option<String>,
    /// Expected conditions, those that were written.
    pub conditions: Vec<Named>,
}

impl Head {
    /// Rider, machine and date, those that are known.
    pub(super) fn title(&self) -> String {
        let parts = [&self.rider, &self.machine, &self.date_iso].into_iter().flatten();
        parts.map(String::as_str).collect::<Vec<_>>().join(" · ")
    }
}

/// A name and what goes with it.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Named {
    pub label: String,
    pub value: String,
}

pub(super) fn head(desk: &Desk<'_>) -> Head {
    let day = desk.day;
    let was_ridden = day.notebook.all::<Stint>().next().is_some();
    Head {
        rider: desk.book.rider(day).map(|rider| rider.title.clone()),
        machine: desk.machine.map(|machine| machine.title.clone()),
        track: desk.book.track(day).map(|track| track.title.clone()),
        moment: day.is_dated.then_some(if was_ridden { AS_LEFT } else { TO_COME }),
        date: day.is_dated.then(|| day.date.strftime("%A %-d %B %Y").to_string()),
        date_iso: day.is_dated.then(|| day.date.to_string()),
        conditions: conditions(desk),
    }
}

fn conditions(desk: &Desk<'_>) -> Vec<Named> {
    let today = desk.state().conditions();
    let track = desk.book.track(desk.day).and_then(|track| track.track_block());
    let quantity = |label: &str, given: Option<&Given>| {
        Some(Named { label: label.to_owned(), value: desk.say.quantity(&given?.quantity).to_string() })
    };
    let words = |label: &str, written: Option<&Written>| {
        Some(Named { label: label.to_owned(), value: written?.text.clone() })
    };
    let of = |get: fn(&Conditions) -> Option<&Given>| today.and_then(get);
    let said = |get: fn(&Conditions) -> Option<&Written>| today.and_then(get);
    let elevation =
        of(|it| it.elevation.as_ref()).or_else(|| track.and_then(|track| track.elevation.as_ref()));
    let soil = said(|it| it.soil.as_ref()).or_else(|| track.and_then(|track| track.soil.as_ref()));
    let all = [
        quantity("air", of(|it| it.air.as_ref())),
        quantity("pressure here", of(|it| it.pressure.as_ref())),
        quantity("pressure at sea level", of(|it| it.sea_level_pressure.as_ref())),
        quantity("humidity", of(|it| it.humidity.as_ref())),
        // As it was written: a book that measures sag in millimetres does not mean hills.
        elevation.map(|given| Named {
            label: "elevation".to_owned(),
            value: show(&given.quantity, &Units::default()).to_string(),
        }),
        words("soil", soil),
        words("surface", said(|it| it.surface.as_ref())),
        words("traction", said(|it| it.traction.as_ref())),
        words("wind", said(|it| it.wind.as_ref())),
        words("rain", said(|it| it.rain.as_ref())),
    ];
    all.into_iter().flatten().collect()
}
