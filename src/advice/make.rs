//! What a step does, and its form in the advice file.

use crate::notebook::Node;
use crate::quantity::{Kind, Quantity, Way};
use crate::speech::say;
use crate::vocabulary::{End, Setting};

use super::table::{By, Field, File, Keys, Noun, Takes, words};
use Takes::{Itself, Name, Text};

/// What a step does.
#[derive(Debug, Clone, PartialEq)]
pub enum Make {
    /// Moves a setting; with one size for each unit of its kind.
    Move {
        setting: Setting,
        by: Vec<By>,
        start: Option<Quantity>,
    },
    /// Gives a setting a word; `doing` says what to do.
    Word {
        setting: Setting,
        to: String,
        doing: String,
    },
    Chamber {
        which: ChamberRole,
        by: By,
    },
    /// Moves the negative chamber towards equal force at the top, by at most this.
    Balance {
        most: Quantity,
    },
    Sag {
        end: End,
        to: SagTo,
    },
    Spring {
        end: End,
        is_stiffer: bool,
    },
    Fuelling {
        is_richer: bool,
    },
    Jet,
}

/// Where a rider sag should go.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum SagTo {
    /// To the aim of its band.
    Aim,
    More(Quantity),
    Less(Quantity),
}

/// A chamber by what it does.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum ChamberRole {
    /// The positive one that carries most of the fork.
    Main,
    Negative,
    /// Every positive one, each as a step of its own.
    Every,
}

/// How easily a step is undone; the easier goes first.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, serde::Serialize)]
#[serde(rename_all = "lowercase")]
pub enum Ease {
    /// On the spot.
    Spot,
    /// In the workshop: parts must come off.
    Shop,
    /// Parts may have to be bought.
    Parts,
    /// Not at all: something is cut or drilled.
    Never,
}

/// Which fork a step is for.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum ForkKind {
    Air,
    Coil,
}

/// What the front travel ring must show.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum RingWord {
    Little,
    Deep,
}

words! {
    Ease: "spot" = Self::Spot, "shop" = Self::Shop, "parts" = Self::Parts, "never" = Self::Never;
    ForkKind: "air" = Self::Air, "coil" = Self::Coil;
    RingWord: "little" = Self::Little, "deep" = Self::Deep;
    ChamberRole: "main" = Self::Main, "negative" = Self::Negative, "every" = Self::Every;
}

const LENGTH: Takes = Takes::Quantity(&[Kind::Length]);
/// A pressure, or a share of the one inside.
const AIR: Takes = Takes::Quantity(&[Kind::GaugePressure, Kind::Share]);

impl Field for Make {
    /// By the key of its value.
    fn field(keys: &mut Keys<'_, '_>, _: &'static str, _: Takes) -> Option<Self> {
        let make = Self::read(keys);
        if make.is_none() {
            // What it changes has a finding already: nothing shows which of these keys belong to it.
            for key in ["by", "to", "do", "start"] {
                let _ = keys.node(key);
            }
        }
        make
    }
}

impl Make {
    fn read(keys: &mut Keys<'_, '_>) -> Option<Self> {
        let mut has = |key| keys.node(key).is_some();
        if has("setting") {
            return Self::of_setting(keys);
        }
        if has("chamber") {
            let which = keys.field("chamber", Itself)?;
            return match keys.word("to", &[("balance", ())]) {
                None => Some(Self::Chamber { which, by: keys.field("by", AIR)? }),
                Some(word) => word.and_then(|()| Some(Self::Balance { most: keys.field("by", AIR)? })),
            };
        }
        if has("sag") {
            let end = keys.field("sag", Itself)?;
            let to = match keys.word("to", &[("aim", SagTo::Aim)]) {
                Some(word) => word?,
                None => match keys.field("by", LENGTH)? {
                    By { size, way: Way::Minus } => SagTo::Less(size),
                    By { size, .. } => SagTo::More(size),
                },
            };
            return Some(Self::Sag { end, to });
        }
        if has("spring") {
            let end = keys.field("spring", Itself)?;
            let is_stiffer = keys.word("to", &[("stiffer", true), ("softer", false)])??;
            return Some(Self::Spring { end, is_stiffer });
        }
        if has("fuelling") {
            let is_richer = keys.word("fuelling", &[("richer", true), ("leaner", false)])??;
            return Some(Self::Fuelling { is_richer });
        }
        if has("jet") {
            return keys.word("jet", &[("for-air", ())])?.map(|()| Self::Jet);
        }
        keys.lacks("setting");
        None
    }

    fn of_setting(keys: &mut Keys<'_, '_>) -> Option<Self> {
        let setting: Setting = keys.field("setting", Name(Noun::Setting))?;
        if let Some(to) = keys.field::<Option<String>>("to", Text)? {
            return Some(Self::Word { setting, to, doing: keys.field("do", Text)? });
        }
        let row = setting.info();
        let sizes = Takes::Quantity(row.kinds());
        let by: Vec<By> = keys.field("by", sizes)?;
        if keys.node("by").is_none() {
            keys.lacks("by");
        }
        if by.iter().any(|by| row.direction(by.way).is_none()) {
            let place = keys.place_of("by");
            let headline = say!("`{setting}` does not go that way", setting);
            keys.file.bad(place, headline, say!("write it as in a `change` of that setting"));
        }
        Some(Self::Move { setting, by, start: keys.field("start", sizes)? })
    }
}
