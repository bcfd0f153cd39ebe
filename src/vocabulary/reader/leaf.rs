//! Keys of a block's table, each with what it means there.

use std::borrow::Cow;

use crate::notebook::{Node, Table, Value};
use crate::quantity::Kind;
use crate::source::Span;

use super::super::blocks::{self, Typed};
use super::super::names::{End, is_name};
use super::super::settings::Setting;
use super::super::spec::{BlockSpec, KeySpec, Open};
use super::super::{Named, lookup};

pub(super) const AIM: &str = "aim";
pub(super) const WITHIN: &str = "within";
pub(super) const WANT: &str = "want";
pub(super) const RECHECK: &str = "recheck";
pub(super) const EVERY: &str = "every";
pub(super) const LAST: &str = "last";
const VOID: &str = "void";
const FOUND: &str = "found";
const AFTER_RIDE: &str = "after_ride";
/// The section that chooses units.
pub const UNITS: &str = "units";
const INSTRUMENT: &str = "instrument";

/// Room for the letters of most dotted keys.
const USUAL_LETTERS: usize = 32;

/// A key of a block and the node that its value is read from.
#[derive(Debug, Clone)]
pub(super) struct Leaf<'n> {
    /// The dotted key.
    pub name: Cow<'n, str>,
    pub name_span: Span,
    /// What the key is to the block, where the block takes it.
    pub role: Option<Role>,
    pub node: &'n Node<'n>,
}

/// What a key is to a block that takes it.
#[derive(Debug, Clone, Copy)]
pub(super) enum Role {
    /// It has a row of its own.
    Listed(&'static KeySpec),
    Open(Meaning),
}

/// What a key means that its block takes without listing it.
#[derive(Debug, Clone, Copy)]
pub(super) enum Meaning {
    /// Why the block does not count.
    Void,
    Setting(Setting),
    Adjuster(Setting),
    Limit(Named),
    Band(Named),
    Pressure(Setting, Occasion),
    Unit(Kind),
    Instrument,
    Service,
    Fastener,
}

/// When a pressure was read.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Occasion {
    Left,
    Found,
    AfterRide,
}

impl Occasion {
    /// Its word in front of a chamber or tyre.
    pub fn from_word(word: &str) -> Option<Self> {
        match word {
            FOUND => Some(Self::Found),
            AFTER_RIDE => Some(Self::AfterRide),
            _ => None,
        }
    }
}

impl Leaf<'_> {
    /// The key's own row, where the block lists it.
    pub fn listed(&self) -> Option<&'static KeySpec> {
        match self.role {
            Some(Role::Listed(row)) => Some(row),
            _ => None,
        }
    }

    /// What it means, where the block takes it without listing it.
    pub fn meaning(&self) -> Option<Meaning> {
        match self.role {
            Some(Role::Open(meaning)) => Some(meaning),
            _ => None,
        }
    }
}

/// Lays a table's entries out under dotted names. A table stays whole where its name is known, or where it is
/// an entry itself.
/// With the rows that it has, a bit each.
pub(super) fn leaves<'n>(spec: &'static BlockSpec, table: &'n Table<'n>) -> (Vec<Leaf<'n>>, u64) {
    let mut all = Leaves { spec, leaves: Vec::with_capacity(table.entries.len()), next: 0, rows: 0 };
    all.flatten(table, &mut String::new());
    (all.leaves, all.rows)
}

struct Leaves<'n> {
    spec: &'static BlockSpec,
    leaves: Vec<Leaf<'n>>,
    /// The row behind the last that was found: most keys are written in the order of their rows.
    next: usize,
    rows: u64,
}

impl<'n> Leaves<'n> {
    fn role(&mut self, name: &str) -> Option<Role> {
        let rows = self.spec.keys;
        let mut order = (self.next..rows.len()).chain(0..self.next);
        let Some((at, row)) = order.find_map(|at| Some((at, rows.get(at).filter(|row| row.name == name)?)))
        else {
            return meaning(self.spec.open, name).map(Role::Open);
        };
        self.next = at + 1;
        self.rows |= bit(at);
        Some(Role::Listed(row))
    }

    /// `name` is empty, or the dotted name of the table with a dot behind it.
    fn flatten(&mut self, table: &'n Table<'n>, name: &mut String) {
        let letters = name.len();
        for entry in &table.entries {
            let role = if letters == 0 {
                self.role(&entry.key)
            } else {
                name.push_str(&entry.key);
                self.role(name)
            };
            match &entry.value.value {
                Value::Table(inner)
                    if role.is_none() && !is_entry(self.spec.open, inner) && !inner.entries.is_empty() =>
                {
                    if letters == 0 {
                        name.reserve(USUAL_LETTERS);
                        name.push_str(&entry.key);
                    }
                    name.push('.');
                    self.flatten(inner, name);
                }
                _ => {
                    let name = match role {
                        Some(Role::Listed(row)) => Cow::Borrowed(row.name),
                        Some(Role::Open(Meaning::Setting(setting))) => Cow::Borrowed(setting.as_str()),
                        _ if letters == 0 => Cow::Borrowed(&*entry.key),
                        _ => Cow::Owned(name.clone()),
                    };
                    let (name_span, node) = (entry.key_span, &entry.value);
                    self.leaves.push(Leaf { name, name_span, role, node });
                }
            }
            name.truncate(letters);
        }
    }
}

/// The bit of a row; 0 past the last.
pub(super) fn bit(row: usize) -> u64 {
    u32::try_from(row).ok().and_then(|row| 1_u64.checked_shl(row)).unwrap_or(0)
}

/// What a key means to a block that does not list it.
fn meaning(open: Open, name: &str) -> Option<Meaning> {
    if name == VOID {
        return Some(Meaning::Void);
    }
    match open {
        Open::No => None,
        Open::Settings => Setting::parse(name).map(Meaning::Setting),
        Open::Adjusters => {
            Setting::parse(name).filter(|setting| setting.info().is_adjuster()).map(Meaning::Adjuster)
        }
        Open::Limits => lookup(name).map(Meaning::Limit),
        Open::Bands => lookup(name).map(Meaning::Band),
        Open::Pressures => {
            pressure_name(name).map(|(setting, occasion)| Meaning::Pressure(setting, occasion))
        }
        Open::Services => Some(Meaning::Service),
        Open::Torques => Some(Meaning::Fastener),
        Open::Units => unit_kind(name).map(Meaning::Unit),
        Open::Book => {
            unit_kind(name).map(Meaning::Unit).or_else(|| instrument_name(name).map(|_| Meaning::Instrument))
        }
    }
}

/// Whether a table is an entry itself, and not part of a dotted key.
fn is_entry(open: Open, table: &Table) -> bool {
    let words: &[&str] = match open {
        Open::Bands => &[AIM, WITHIN, WANT, RECHECK],
        Open::Services => &[EVERY, LAST],
        _ => return false,
    };
    table.entries.iter().any(|entry| words.contains(&&*entry.key))
}

/// The kind whose unit `units.TYPE` chooses.
fn unit_kind(key: &str) -> Option<Kind> {
    Kind::from_word(key.strip_prefix(UNITS)?.strip_prefix('.')?)
}

/// The NAME of `instrument.NAME`.
pub(super) fn instrument_name(key: &str) -> Option<&str> {
    key.strip_prefix(INSTRUMENT)?.strip_prefix('.').filter(|name| is_name(name))
}

/// The setting that a key of `pressures` reads, and when. A chamber has its own name or the setting's.
fn pressure_name(key: &str) -> Option<(Setting, Occasion)> {
    let behind = |word: &str| key.strip_prefix(word).and_then(|rest| rest.strip_prefix('.'));
    let (rest, occasion) = match (behind(FOUND), behind(AFTER_RIDE)) {
        (Some(rest), _) => (rest, Occasion::Found),
        (None, Some(rest)) => (rest, Occasion::AfterRide),
        (None, None) => (key, Occasion::Left),
    };
    let is_reserved = |setting| Setting::CHAMBER.word_of(setting).is_some_and(is_reserved_chamber);
    let setting = match Setting::parse(rest).filter(|setting| setting.is_pressure()) {
        Some(in_full) if is_reserved(in_full) => return None,
        Some(in_full) => in_full,
        None if !is_name(rest) || is_reserved_chamber(rest) => return None,
        None => Setting::CHAMBER.named(rest),
    };
    Some((setting, occasion))
}

/// The setting that a key of `pressures` reads: `tyre.front` of `found.tyre.front`.
pub fn pressure_setting(key: &str) -> Option<Setting> {
    pressure_name(key).map(|(setting, _)| setting)
}

/// Whether a chamber may not have this name, because it means something else in `pressures`.
pub fn is_reserved_chamber(chamber: &str) -> bool {
    let own = blocks::Pressures::SPEC.key(chamber).is_some();
    let words = [FOUND, AFTER_RIDE, "chamber", VOID, "tyre"];
    own || words.contains(&chamber) || End::from_word(chamber).is_some()
}
