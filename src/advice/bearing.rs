//! Which settings can bear on a complaint: those of its steps, and those that move a sag that settles it.

use crate::vocabulary::names::opened;
use crate::vocabulary::settings::{self, Together};
use crate::vocabulary::{Damper, End, figures};

use super::data::{Advice, Make};

impl Advice {
    /// Whether a change of a setting, or of a damper's valving, can bear on a complaint; `None` where the file does not
    /// know the complaint, so that nobody can say.
    pub fn bears_on(&self, word: &str, setting: &str) -> Option<bool> {
        let mut entries = self.complaints.iter().filter(|complaint| complaint.is_called(word)).peekable();
        entries.peek()?;
        Some(entries.any(|entry| {
            let settles = entry.rests_on.iter().any(|reading| is_sag_moved(reading, setting));
            settles || self.steps(entry).iter().any(|step| step.make.touches(setting))
        }))
    }

    /// Whether a change that was made by itself for the stint right behind a complaint can be held against it, whether a
    /// step names it or not: a rider tries what the file does not have. What is of the engine alone cannot, where the
    /// engine has no part in the complaint.
    pub fn may_bear_on(&self, word: &str, setting: &str) -> Option<bool> {
        let bears = self.bears_on(word, setting)?;
        Some(bears || settings::row(setting).is_some_and(|row| !row.is_of_engine()))
    }
}

impl Make {
    /// Whether it moves a setting, or one that counts as one change with it.
    fn touches(&self, name: &str) -> bool {
        match self {
            Self::Move { setting, .. } | Self::Word { setting, .. } => is_same_change(setting, name),
            Self::Chamber { .. } | Self::Balance { .. } => opened(settings::CHAMBER, name).is_some(),
            Self::Sag { end, .. } | Self::Spring { end, .. } => holds_up(*end, name),
            Self::Fuelling { .. } | Self::Jet => {
                name == settings::FUELLING || together(name) == Some(Together::Jetting)
            }
        }
    }
}

/// Whether two settings are the same, belong together, or are a clicker and the valving behind it.
fn is_same_change(of_step: &str, name: &str) -> bool {
    let is_one_group = together(of_step).is_some_and(|group| together(name) == Some(group));
    let damper = Damper::of_valving(name);
    of_step == name
        || opened(of_step, name).is_some()
        || is_one_group
        || damper.is_some_and(|damper| Damper::of_clicker(of_step) == Some(damper))
}

/// Whether a setting holds an end up.
fn holds_up(end: End, name: &str) -> bool {
    let group = together(name);
    match end {
        End::Front => group == Some(Together::FrontSpring) || opened(settings::CHAMBER, name).is_some(),
        End::Rear => group == Some(Together::RearSpring),
    }
}

fn is_sag_moved(reading: &str, name: &str) -> bool {
    let patterns = [figures::SAG_RIDER, figures::SAG_STATIC];
    let end = patterns.into_iter().find_map(|pattern| opened(pattern, reading)).and_then(End::from_word);
    end.is_some_and(|end| holds_up(end, name))
}

fn together(name: &str) -> Option<Together> {
    settings::row(name)?.together
}
