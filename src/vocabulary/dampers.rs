//! The dampers: what is rebuilt as a whole, and the clickers whose counts begin anew with that.

use super::blocks::{FORK_DAMPER, SHOCK_DAMPER};

/// A damper that is rebuilt as a whole.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Damper {
    Fork,
    Shock,
}

impl Damper {
    pub const BOTH: [Self; 2] = [Self::Fork, Self::Shock];

    /// By the word behind `valving`.
    pub fn from_word(word: &str) -> Option<Self> {
        match word {
            FORK_DAMPER => Some(Self::Fork),
            SHOCK_DAMPER => Some(Self::Shock),
            _ => None,
        }
    }

    /// The name of its valving where changes are told apart.
    pub fn valving(self) -> &'static str {
        match self {
            Self::Fork => "valving.fork",
            Self::Shock => "valving.shock",
        }
    }

    /// As it stands on a page.
    pub fn label(self) -> &'static str {
        match self {
            Self::Fork => "fork valving",
            Self::Shock => "shock valving",
        }
    }
}
