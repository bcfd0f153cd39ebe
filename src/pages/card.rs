//! A paper card to take readings on: empty boxes in the order of the notebook's blocks and with their names, so that
//! typing it in is copying.

use serde::Serialize;

use crate::book::{Book, Notebook};
use crate::quantity::{Kind, Units};
use crate::speech::say;
use crate::vocabulary::blocks::Adjusters;
use crate::vocabulary::{End, names, settings};

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
    pub clickers: Vec<String>,
    /// What else is set by hand on every machine.
    pub settings: Vec<&'static str>,
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
        settings: vec![settings::FORK_HEIGHT, settings::SHOCK_PRELOAD],
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
    let mut chambers: Vec<String> = set.map(|(name, _)| names::fill(settings::CHAMBER, name)).collect();
    chambers.sort_by_key(|setting| machine.and_then(|machine| machine.chamber_order(setting)));
    // In `pressures` a chamber has just its own name.
    let chambers =
        chambers.iter().filter_map(|setting| names::opened(settings::CHAMBER, setting).map(str::to_owned));
    let tyres = End::BOTH.into_iter().map(|end| names::fill(settings::TYRE, end.word()));
    tyres.chain(chambers).collect()
}

fn clickers(machine: Option<&Notebook>) -> Vec<String> {
    let listed = machine.into_iter().flat_map(|machine| machine.all::<Adjusters>());
    let mut listed: Vec<String> =
        listed.flat_map(|block| &block.others.adjusters).map(|adjuster| adjuster.name.to_string()).collect();
    if listed.is_empty() {
        listed = settings::SETTINGS
            .iter()
            .filter(|row| crate::vocabulary::Damper::of_clicker(row.pattern).is_some())
            .map(|row| row.pattern.to_owned())
            .collect();
    }
    listed.sort_by_key(|name| settings::order(name));
    listed
}
