//! Dotted names with an open part: `sag.END.rider`, `chamber.NAME`.

use std::fmt;

use crate::speech::{Message, OPEN, Part, say};

use super::name;

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

/// Whether a word fits an open part.
fn fits(part: &str, word: &str) -> bool {
    match part {
        "END" => End::from_word(word).is_some(),
        "P" => PERCENTS.iter().any(|percent| percent.to_string() == word),
        "GEAR" => name::Part::Gear.read(word).is_some(),
        "NAME" | "ANYTHING" => is_name(word),
        _ => part == word,
    }
}

fn is_open_part(part: &str) -> bool {
    OPEN.contains(&part)
}

/// Whether a word can be a name that a rider chose: letters, digits, `-` and `_`.
pub fn is_name(word: &str) -> bool {
    !word.is_empty() && word.chars().all(|c| c.is_alphanumeric() || c == '-' || c == '_')
}

/// Whether a pattern has an open part.
pub fn is_open(pattern: &str) -> bool {
    pattern.split('.').any(is_open_part)
}

/// What fills the open part in a name, for rooms that still hold names as text. `None` where the name does not fit; an empty text
/// where it fits a pattern without an open part.
pub fn opened<'n>(pattern: &str, name: &'n str) -> Option<&'n str> {
    let mut open = "";
    let mut words = name.split('.');
    for part in pattern.split('.') {
        let word = words.next()?;
        if !fits(part, word) {
            return None;
        }
        if is_open_part(part) {
            open = word;
        }
    }
    words.next().is_none().then_some(open)
}

/// What fills an open part, in words.
pub fn said(open: &str) -> Message {
    End::from_word(open).map_or_else(|| Message::text(open), End::said)
}

/// The name that a pattern gives with a word for its open part.
pub fn fill(pattern: &str, word: &str) -> String {
    let parts: Vec<&str> =
        pattern.split('.').map(|part| if is_open_part(part) { word } else { part }).collect();
    parts.join(".")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn an_open_part_is_filled_and_found_again() {
        assert_eq!(fill("sag.END.rider", "rear"), "sag.rear.rider");
        assert_eq!(opened("sag.END.rider", "sag.rear.rider"), Some("rear"));
        assert_eq!(opened("sag.END.rider", "sag.middle.rider"), None);
        assert_eq!(opened("drive.ratio", "drive.ratio"), Some(""));
        assert_eq!(opened("drive.ratio", "drive.ratio.x"), None);
        assert_eq!(opened("drive.speed.GEAR", "drive.speed.5"), Some("5"));
        assert_eq!(opened("drive.speed.GEAR", "drive.speed.05"), None);
    }
}
