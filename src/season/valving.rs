//! Rebuilt dampers: which rebuild is in force where.
//!
//! A rebuild with a date holds from that morning, wherever it is written. One without holds from its place in a
//! day, or from the beginning in the notebook of a machine or rider.

use std::collections::BTreeMap;

use jiff::civil::Date;

use crate::book::{Book, Notebook};
use crate::vocabulary::Damper;
use crate::vocabulary::blocks::{AnyBlock, Valving};

use super::settings::{Held, HeldValue, How};
use super::state::{Place, Valved};

/// The words for a rebuild that nobody described.
const REBUILT: &str = "rebuilt";

/// Every rebuild of a book by whose damper it was, in their order; those without a date first.
#[derive(Debug, Default)]
pub(super) struct Rebuilds {
    of_machines: BTreeMap<(String, Damper), Vec<Held>>,
    of_riders: BTreeMap<(String, Damper), Vec<Held>>,
}

impl Rebuilds {
    pub fn of(book: &Book) -> Self {
        let mut all = Self::default();
        for (name, machine) in &book.machines {
            add(&mut all.of_machines, name, standing(machine));
        }
        for (name, rider) in &book.riders {
            add(&mut all.of_riders, name, standing(rider));
        }
        for (index, day) in book.days.iter().enumerate() {
            let Some(machine) = &day.machine else { continue };
            let blocks = day.notebook.blocks.iter().enumerate();
            let rebuilds = blocks.filter_map(|(block, any)| match any {
                AnyBlock::Valving(valving) => rebuilt(valving, Some((day.date, Place { day: index, block }))),
                _ => None,
            });
            add(&mut all.of_machines, machine, rebuilds);
        }
        for rebuilds in all.of_machines.values_mut().chain(all.of_riders.values_mut()) {
            rebuilds.sort_by_key(|held| (held.date, held.place));
        }
        all
    }

    /// The rebuilds in force where a day begins.
    pub fn in_force(&self, machine: &str, rider: Option<&str>, date: Date, day: usize) -> Valved {
        let start = (Some(date), Some(Place { day, block: 0 }));
        let latest = |of: &BTreeMap<(String, Damper), Vec<Held>>, name: &str, damper: Damper| {
            let rebuilds = of.get(&(name.to_owned(), damper))?;
            let before = rebuilds.partition_point(|held| (held.date, held.place) < start);
            rebuilds.get(before.checked_sub(1)?).cloned()
        };
        let of_damper = |damper: Damper| {
            let of_machine = latest(&self.of_machines, machine, damper);
            let of_rider = rider.and_then(|rider| latest(&self.of_riders, rider, damper));
            let last = of_machine.into_iter().chain(of_rider).max_by_key(|held| (held.date, held.place))?;
            Some((damper, last))
        };
        Damper::BOTH.into_iter().filter_map(of_damper).collect()
    }
}

fn add(
    to: &mut BTreeMap<(String, Damper), Vec<Held>>,
    name: &str,
    rebuilds: impl Iterator<Item = (Damper, Held)>,
) {
    for (damper, held) in rebuilds {
        to.entry((name.to_owned(), damper)).or_default().push(held);
    }
}

fn standing(notebook: &Notebook) -> impl Iterator<Item = (Damper, Held)> {
    notebook.all::<Valving>().filter_map(|block| rebuilt(block, None))
}

/// A rebuild, named by its note. In a day's notebook, a date other than the day's own means the morning of that
/// date.
pub(super) fn rebuilt(block: &Valving, at: Option<(Date, Place)>) -> Option<(Damper, Held)> {
    let damper = Damper::from_word(block.header.argument())?;
    let written = block.date.map(|dated| dated.date);
    let (date, place) = match at {
        Some((day, place)) if written.is_none_or(|date| date == day) => (Some(day), Some(place)),
        _ => (written, None),
    };
    let words = block.note.as_ref().map_or(REBUILT, |note| note.text.as_str());
    let value = HeldValue::Word(words.to_owned());
    Some((damper, Held { value, how: How::Change, span: block.header.fence, place, date }))
}
