//! Dotted names with an open part: `sag.END.rider`, `chamber.NAME`.

use std::fmt;

use crate::speech::{Message, Part, say};

/// One end of the machine.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum End {
    Front,
    Rear,
}

impl End {
    pub const BOTH: [Self; 2] = [Self::Front, Self::Rear];

    pub fn word(self) -> &'static str {
        match self {
            Self::Front => "front",
            Self::Rear => "rear",
        }
    }

    /// The word in labels.
    pub fn said(self) -> Message {
        match self {
            Self::Front => say!("front" in "end"),
            Self::Rear => say!("rear" in "end"),
        }
    }

    pub fn from_word(word: &str) -> Option<Self> {
        Self::BOTH.into_iter().find(|end| end.word() == word)
    }
}

impl Part for End {
    fn part(&self) -> Message {
        self.said()
    }
}

impl fmt::Display for End {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self.word())
    }
}

/// The places in the travel that the fork's curves name, in percent.
pub const PERCENTS: [u8; 5] = [0, 25, 50, 75, 100];

/// Whether a word can be a name that a rider chose: letters, digits, `-` and `_`.
pub fn is_name(word: &str) -> bool {
    !word.is_empty() && word.chars().all(|c| c.is_alphanumeric() || c == '-' || c == '_')
}
