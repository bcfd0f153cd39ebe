//! Cautions for what a sheet asks for, in plain words.
//!
//! Common practice, no source. They never replace the machine's manual, and say so.

use std::collections::BTreeSet;

use crate::speech::{Message, say};
use crate::vocabulary::blocks::{self, LOOK_CHAIN};
use crate::vocabulary::{Care, Named, Setting, lookup};

use super::super::say::Say;
use super::Desk;
use super::looks::Look;
use super::settings::ToSet;

/// What can hurt somebody.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(in crate::pages) enum Caution {
    Air,
    Nitrogen,
    Stand,
    Preload,
    ForkHeight,
    Steering,
    Chain,
    Fuelling,
    AfterAChange,
    Always,
}

impl Caution {
    /// In plain words.
    pub fn told(self) -> Message {
        match self {
            Self::Air => say!(
                "High-pressure air: hand pump, front wheel off the ground, fork fully out, within the limit marked on the leg or in the manual, face clear of the valve. Where the manual gives no order, fill positive before negative and release negative before positive. Release all pressure before taking anything apart."
            ),
            Self::Nitrogen => say!("Nitrogen is never opened or filled without training."),
            Self::Stand => say!("On the stand: a rated stand, and a second person for sag."),
            Self::Preload => say!("Preload: clean threads, lock ring tight after."),
            Self::ForkHeight => say!(
                "Fork height: both tubes equal, within their marks, clamps to the manual's torque; tyre, guard and hoses clear at full travel."
            ),
            Self::Steering => say!(
                "Steering: never past the manual's torque or pull; no notch, no play, free from lock to lock."
            ),
            Self::Chain => say!(
                "Chain: engine off, fingers clear; free play from the manual, checked where countershaft, pivot and axle are in line."
            ),
            Self::Fuelling => say!(
                "Fuelling and jets: running lean can seize or burn an engine. Work on a cold engine, in fresh air."
            ),
            Self::AfterAChange => say!(
                "After any change: bolts, brakes pumped, steering from lock to lock, one slow lap, then speed."
            ),
            Self::Always => say!(
                "Young riders: an adult and a qualified mechanic. These figures do not replace the machine's manual, the event's rules or a doctor's advice."
            ),
        }
    }
}

/// What is asked for, as far as it can hurt somebody.
struct Asked {
    /// The dangers of the settings that change.
    changed: BTreeSet<Care>,
    /// Whether anything changes.
    is_changed: bool,
    /// The dangers of what is to be read.
    due: BTreeSet<Care>,
    /// Whether a chamber must be pumped, changed or not.
    has_chambers: bool,
    /// Whether the shock has gas in it.
    is_charged: bool,
}

/// For what is to be set and tried next, and what is due.
pub(super) fn cautions(desk: &Desk<'_>, to_set: &ToSet, next: &[Setting], due: &[Look]) -> Vec<String> {
    let care = |name: &str| lookup(name).and_then(Named::care);
    let of_look = |look: &Look| if look.name == LOOK_CHAIN { Some(Care::Chain) } else { care(&look.name) };
    let is_charged = desk.machine.and_then(|machine| machine.shock()).is_some_and(is_charged);
    let changed = || to_set.changed().map(|line| line.id).chain(next.iter().copied());
    Asked {
        changed: changed().filter_map(|name| name.info().care).collect(),
        is_changed: changed().next().is_some(),
        due: due.iter().filter_map(of_look).collect(),
        has_chambers: to_set.lines.iter().any(|line| line.id.info().care == Some(Care::Air)),
        is_charged,
    }
    .cautions(desk.say)
}

/// Cautions for changes of settings.
pub(in crate::pages) fn cautions_of_changes(say: Say<'_>, changed: &[Setting]) -> Vec<String> {
    let care: BTreeSet<Care> = changed.iter().filter_map(|name| name.info().care).collect();
    Asked {
        has_chambers: care.contains(&Care::Air),
        changed: care,
        is_changed: !changed.is_empty(),
        due: BTreeSet::new(),
        is_charged: true,
    }
    .cautions(say)
}

impl Asked {
    fn cautions(&self, say: Say<'_>) -> Vec<String> {
        let changes = |care| self.changed.contains(&care);
        let has = |care| changes(care) || self.due.contains(&care);
        let springs = changes(Care::Spring);
        let preload = springs || changes(Care::Preload);
        let all = [
            (self.has_chambers, Caution::Air),
            // A spring or a damper comes out with the damper's gas.
            (springs && self.is_charged, Caution::Nitrogen),
            (preload || has(Care::Stand), Caution::Stand),
            (preload, Caution::Preload),
            (changes(Care::ForkHeight), Caution::ForkHeight),
            (has(Care::Steering), Caution::Steering),
            (has(Care::Chain), Caution::Chain),
            (changes(Care::Fuelling), Caution::Fuelling),
            (self.is_changed, Caution::AfterAChange),
            (true, Caution::Always),
        ];
        all.into_iter()
            .filter(|(belongs, _)| *belongs)
            .map(|(_, caution)| say.text(&caution.told()))
            .collect()
    }
}

fn is_charged(shock: &blocks::Shock) -> bool {
    shock.gas.is_some() || shock.gas_force.is_some()
}
