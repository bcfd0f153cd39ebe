//! Settings in force: their value, how they came to hold, and what came before.

use std::sync::Arc;

use jiff::civil::Date;
use serde::{Serialize, Serializer};

use crate::finding::Rejected;
use crate::quantity::{Quantity, Way};
use crate::source::Span;
use crate::speech::Message;
use crate::vocabulary::{Damper, Setting};

use super::map::Map;
use super::state::Place;

/// Settings by name: the value in force, or the error in what was written last.
pub(super) type HeldMap = Map<Setting, Arc<Entry>>;

/// A setting in force, or the error that makes it unknown.
pub(super) type Entry = Result<Held, Rejected>;

/// The setting with a name, where it holds.
pub(super) fn held(map: &HeldMap, name: Setting) -> Option<&Held> {
    (**map.get(&name)?).as_ref().ok()
}

/// The standard setting of a machine, as far as it is known.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Standard(HeldMap);

impl Standard {
    pub(super) fn of(entries: &HeldMap) -> Self {
        Self(entries.clone())
    }

    pub fn get(&self, name: Setting) -> Option<&Held> {
        held(&self.0, name)
    }

    /// In the order of the sheet.
    pub fn iter(&self) -> impl Iterator<Item = (Setting, &Held)> {
        self.0.iter().filter_map(|(name, entry)| Some((*name, (**entry).as_ref().ok()?)))
    }

    /// With the errors in it.
    pub(super) fn entries(&self) -> HeldMap {
        self.0.clone()
    }
}

/// What changes are about: a setting, or a damper rebuilt as a whole.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Changed {
    Setting(Setting),
    Valving(Damper),
}

impl Changed {
    pub fn setting(self) -> Option<Setting> {
        match self {
            Self::Setting(name) => Some(name),
            Self::Valving(_) => None,
        }
    }

    /// The damper that was rebuilt.
    pub fn valving(self) -> Option<Damper> {
        match self {
            Self::Valving(damper) => Some(damper),
            Self::Setting(_) => None,
        }
    }

    /// Its label on a page.
    pub fn label(self) -> Message {
        match self {
            Self::Setting(name) => name.label(),
            Self::Valving(damper) => Message::word(damper.label()),
        }
    }

    /// Its name in lists of changes.
    pub fn as_str(self) -> &'static str {
        match self {
            Self::Setting(name) => name.as_str(),
            Self::Valving(damper) => damper.valving(),
        }
    }
}

/// Its name in lists of changes.
impl Serialize for Changed {
    fn serialize<S: Serializer>(&self, to: S) -> Result<S::Ok, S::Error> {
        to.serialize_str(self.as_str())
    }
}

/// What a setting is, and since when.
#[derive(Debug, Clone, PartialEq)]
pub struct Held {
    pub value: HeldValue,
    pub how: How,
    /// Where it was written; for a relative change, the change's place.
    pub span: Span,
    /// `None` for what held before the first day.
    pub place: Option<Place>,
    pub date: Option<Date>,
}

/// A setting's value.
#[derive(Debug, Clone, PartialEq)]
pub enum HeldValue {
    /// With the unit it was last written in.
    Quantity(Quantity),
    Word(String),
}

/// How a setting came to hold.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum How {
    /// By a block of hardware that also names it.
    Hardware,
    /// By the machine's standard setting.
    Standard,
    /// By the rider's own settings for the machine.
    Rider,
    /// By a day's `settings`: as found, or set without a reason.
    Settings,
    /// By a named plan.
    Plan,
    /// By a `change`.
    Change,
    /// By `back = true`.
    Back,
    /// By a reading: the pressure left by a rider who never wrote an aim.
    Left,
}

/// A setting just before and just after something was done to it. It shares both with the states of these places.
#[derive(Debug, Clone, PartialEq)]
pub struct Stepped {
    pub(super) before: Option<Arc<Entry>>,
    pub(super) after: Option<Arc<Entry>>,
}

impl Stepped {
    /// `None` where it had no value.
    pub fn before(&self) -> Option<&Held> {
        in_force(self.before.as_ref())
    }

    /// `None` where it has no value.
    pub fn after(&self) -> Option<&Held> {
        in_force(self.after.as_ref())
    }
}

/// The setting of an entry, if it holds.
pub(super) fn in_force(entry: Option<&Arc<Entry>>) -> Option<&Held> {
    (**entry?).as_ref().ok()
}

/// One thing that happened to a setting on a day.
#[derive(Debug, Clone, PartialEq)]
pub struct Event {
    pub name: Changed,
    pub step: Stepped,
    /// The block's place in the notebook's `blocks`.
    pub block: usize,
    pub how: How,
    /// Where the setting's value is written; the block's fence for a plan or an undone change.
    pub span: Span,
    /// The step, where one was written.
    pub by: Option<(Quantity, Way)>,
}

impl HeldValue {
    /// In the SI base unit; `None` for words.
    pub fn number(&self) -> Option<f64> {
        match self {
            Self::Quantity(quantity) => Some(quantity.value),
            Self::Word(_) => None,
        }
    }

    pub fn quantity(&self) -> Option<&Quantity> {
        match self {
            Self::Quantity(quantity) => Some(quantity),
            Self::Word(_) => None,
        }
    }

    pub fn word(&self) -> Option<&str> {
        match self {
            Self::Word(word) => Some(word),
            Self::Quantity(_) => None,
        }
    }

    /// Whether two values are the same setting: numbers as far as their last digits show.
    pub fn same_as(&self, other: &Self) -> bool {
        match (self, other) {
            (Self::Quantity(a), Self::Quantity(b)) => {
                // In one unit every digit counts; across units half the coarser last digit is allowed, so that
                // 1 in and 25.4 mm are the same setting.
                let slack = if a.unit == b.unit {
                    1e-9 * a.value.abs().max(b.value.abs())
                } else {
                    0.5 * a.last_digit.max(b.last_digit)
                };
                a.kind == b.kind && (a.value - b.value).abs() <= slack
            }
            (Self::Word(a), Self::Word(b)) => a == b,
            _ => false,
        }
    }
}
