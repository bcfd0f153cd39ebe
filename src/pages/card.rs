//! A paper card to take readings on: empty boxes in the order of the notebook's blocks and with their names, so that
//! typing it in is copying.

use serde::Serialize;

use crate::book::{Book, Notebook};
use crate::quantity::{Kind, Units};
use crate::speech::say;
use crate::vocabulary::blocks::Adjusters;
use crate::vocabulary::name::{Name, Open, Row as _};
use crate::vocabulary::settings::SettingId;
use crate::vocabulary::{End, Setting};

use super::sheet::looks_of;

/// The boxes of a card.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Card {
    /// For bookmarks and windows.
    pub title: String,
    /// The machine's name; `None` for a card that fits any.
    pub machine: Option<String>,
    /// `front` and `rear`.
    pub ends: Vec<&'static str>,
    /// Names of chambers and tyres, as in `pressures`; those that push before those that pull.
    pub pressures: Vec<String>,
    /// Names of clickers, as in `settings`.
    pub clickers: Vec<Setting>,
    /// What else is set by hand on every machine.
    pub settings: Vec<Setting>,
    /// The units to write where none is given.
    pub length: String,
    pub pressure: String,
    pub mass: String,
    pub temperature: String,
    pub looks: Vec<&'static str>,
}

/// The card of a machine; without one, of a machine with tyres and the usual clickers.
pub fn card(book: &Book, machine: Option<&Notebook>) -> Card {
    let units = book.units_for(None);
    let title = machine.map(|machine| machine.title.clone());
    Card {
        title: match title.as_deref() {
            Some(title) => book.about.units.say(&say!("Card · {title}", title)),
            None => book.about.units.say(&say!("Card")),
        },
        machine: title,
        ends: End::BOTH.into_iter().map(|end| end.word()).collect(),
        pressures: pressures(machine),
        clickers: clickers(machine),
        settings: vec![Setting::FORK_HEIGHT, Setting::SHOCK_PRELOAD],
        length: symbol(&units, Kind::Length),
        pressure: symbol(&units, Kind::GaugePressure),
        mass: symbol(&units, Kind::Mass),
        temperature: symbol(&units, Kind::Temperature),
        looks: looks_of(machine).map(|look| look.word).collect(),
    }
}

fn symbol(units: &Units, kind: Kind) -> String {
    units.chosen(kind).unwrap_or(kind.usual_unit()).symbol().to_owned()
}

fn pressures(machine: Option<&Notebook>) -> Vec<String> {
    let set = machine.into_iter().flat_map(|machine| machine.chambers());
    let set = set.filter(|(_, chamber)| chamber.charged_from.is_none());
    let mut chambers: Vec<&str> = set.map(|(name, _)| name).collect();
    chambers
        .sort_by_key(|name| machine.and_then(|machine| machine.chamber_order(Setting::CHAMBER.named(name))));
    // In `pressures` a chamber has just its own name.
    let tyres = End::BOTH.into_iter().map(|end| Setting::TYRE.of(end).as_str());
    tyres.chain(chambers).map(str::to_owned).collect()
}

fn clickers(machine: Option<&Notebook>) -> Vec<Setting> {
    let listed = machine.into_iter().flat_map(|machine| machine.all::<Adjusters>());
    let mut listed: Vec<Setting> =
        listed.flat_map(|block| &block.others.adjusters).map(|adjuster| adjuster.name).collect();
    if listed.is_empty() {
        let usual = SettingId::ALL.iter().filter(|row| row.info().damper.is_some());
        listed = usual.map(|row| Name { row: *row, open: Open::Nothing }).collect();
    }
    listed.sort();
    listed
}
