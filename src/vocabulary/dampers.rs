//! The dampers: each is rebuilt as a whole, and its clickers count anew after that.

use super::blocks::{FORK_DAMPER, SHOCK_DAMPER};

/// A damper that is rebuilt as a whole.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Damper {
    Fork,
    Shock,
}

impl Damper {
    pub const BOTH: [Self; 2] = [Self::Fork, Self::Shock];

    /// The damper for the word behind `valving`.
    pub fn from_word(word: &str) -> Option<Self> {
        match word {
            FORK_DAMPER => Some(Self::Fork),
            SHOCK_DAMPER => Some(Self::Shock),
            _ => None,
        }
    }

    /// The name of its valving among changes.
    pub fn valving(self) -> &'static str {
        match self {
            Self::Fork => "valving.fork",
            Self::Shock => "valving.shock",
        }
    }

    /// Its label on a page.
    pub fn label(self) -> &'static str {
        match self {
            Self::Fork => "fork valving",
            Self::Shock => "shock valving",
        }
    }
}
