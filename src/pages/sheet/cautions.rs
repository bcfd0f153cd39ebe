//! Cautions that belong to what a sheet asks for, in plain words.
//!
//! Common practice, no source. They never replace the machine's manual, and say so.

use std::collections::BTreeSet;

use crate::vocabulary::blocks::{self, LOOK_CHAIN};
use crate::vocabulary::{Care, Named, lookup};

use super::Desk;
use super::looks::Look;
use super::settings::ToSet;

pub(in crate::pages) const AIR: &str = "High-pressure air: hand pump, front wheel off the ground, fork fully out, within the limit marked \
    on the leg or in the manual, face clear of the valve. Where the manual gives no order, fill positive before \
    negative and release negative before positive. Release all pressure before taking anything apart.";
const NITROGEN: &str = "Nitrogen is never opened or filled without training.";
pub(in crate::pages) const STAND: &str = "On the stand: a rated stand, and a second person for sag.";
pub(in crate::pages) const PRELOAD: &str = "Preload: clean threads, lock ring tight after.";
const FORK_HEIGHT: &str = "Fork height: both tubes equal, within their marks, clamps to the manual's torque; tyre, \
    guard and hoses clear at full travel.";
const STEERING: &str =
    "Steering: never past the manual's torque or pull; no notch, no play, free from lock to lock.";
const CHAIN: &str = "Chain: engine off, fingers clear; free play from the manual, checked where countershaft, pivot \
    and axle are in line.";
const FUELLING: &str =
    "Fuelling and jets: running lean can seize or burn an engine. Work on a cold engine, in fresh air.";
pub(in crate::pages) const AFTER_A_CHANGE: &str =
    "After any change: bolts, brakes pumped, steering from lock to lock, one slow lap, then speed.";
pub(in crate::pages) const ALWAYS: &str = "Young riders: an adult and a qualified mechanic. These figures do not replace the machine's \
    manual, the event's rules or a doctor's advice.";

/// What is asked to be done, as far as it can hurt.
struct Asked {
    /// What hands take care of that change the settings which are not as they were.
    changed: BTreeSet<Care>,
    /// Whether anything is not as it was.
    is_changed: bool,
    /// The same of what is to be read.
    due: BTreeSet<Care>,
    /// Whether a chamber is to be pumped, changed or not.
    has_chambers: bool,
    /// Whether the shock has gas in it.
    is_charged: bool,
}

pub(super) fn cautions(desk: &Desk<'_>, to_set: &ToSet, due: &[Look]) -> Vec<&'static str> {
    let care = |name: &str| lookup(name).and_then(Named::care);
    let of_look = |look: &Look| if look.name == LOOK_CHAIN { Some(Care::Chain) } else { care(&look.name) };
    let is_charged = desk.machine.and_then(|machine| machine.shock()).is_some_and(is_charged);
    Asked {
        changed: to_set.changed().filter_map(|line| care(&line.id)).collect(),
        is_changed: to_set.changed().next().is_some(),
        due: due.iter().filter_map(of_look).collect(),
        has_chambers: to_set.lines.iter().any(|line| care(&line.id) == Some(Care::Air)),
        is_charged,
    }
    .cautions()
}

/// Cautions that belong to changes of settings, by their names.
pub(in crate::pages) fn cautions_of_changes(changed: &[&str]) -> Vec<&'static str> {
    let care: BTreeSet<Care> = changed.iter().filter_map(|name| lookup(name).and_then(Named::care)).collect();
    Asked {
        has_chambers: care.contains(&Care::Air),
        changed: care,
        is_changed: !changed.is_empty(),
        due: BTreeSet::new(),
        is_charged: true,
    }
    .cautions()
}

impl Asked {
    fn cautions(&self) -> Vec<&'static str> {
        let changes = |care| self.changed.contains(&care);
        let has = |care| changes(care) || self.due.contains(&care);
        let springs = changes(Care::Spring);
        let preload = springs || changes(Care::Preload);
        let all = [
            (self.has_chambers, AIR),
            // A spring or a damper taken out brings the gas with it.
            (springs && self.is_charged, NITROGEN),
            (preload || has(Care::Stand), STAND),
            (preload, PRELOAD),
            (changes(Care::ForkHeight), FORK_HEIGHT),
            (has(Care::Steering), STEERING),
            (has(Care::Chain), CHAIN),
            (changes(Care::Fuelling), FUELLING),
            (self.is_changed, AFTER_A_CHANGE),
            (true, ALWAYS),
        ];
        all.into_iter().filter(|(belongs, _)| *belongs).map(|(_, text)| text).collect()
    }
}

fn is_charged(shock: &blocks::Shock) -> bool {
    shock.gas.is_some() || shock.gas_force.is_some()
}
