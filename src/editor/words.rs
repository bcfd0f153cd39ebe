//! What the vocabulary says of a word, as an editor shows it.

use std::fmt::Write;

use crate::notebook::{Block, Extent};
use crate::pages::words;
use crate::quantity::{Kind, Units, show_value};
use crate::source::BOOK_FILE;
use crate::vocabulary::blocks::{BookHead, Head, spec};
use crate::vocabulary::settings::{SettingRow, SettingValue};
use crate::vocabulary::spec::{BlockSpec, KeySpec, Open, Possible, Shape, ValueSpec};
use crate::vocabulary::{Named, Typed, lookup, pressure_setting};

/// What kind of key a block has.
#[derive(Debug, Clone)]
pub(super) enum KeyOf {
    /// It has its own row.
    Listed(&'static KeySpec),
    /// It names a setting, a figure or a reading; with that name, and what follows it: `within`.
    Named { name: Named, part: Option<String> },
    /// One of those that the block also takes, and what they are.
    Other(&'static str, &'static str),
}

/// The vocabulary's table for a block, or for the place outside all blocks.
pub(super) fn table(block: Option<&Block<Extent>>, path: &str) -> Option<&'static BlockSpec> {
    match block {
        Some(block) => spec(&block.word),
        None if path == BOOK_FILE => Some(BookHead::SPEC),
        None => Some(Head::SPEC),
    }
}

/// The kind of a table's key; `None` where the table does not take it.
pub(super) fn key_of(spec: &'static BlockSpec, key: &str) -> Option<KeyOf> {
    if let Some(listed) = spec.key(key) {
        return Some(KeyOf::Listed(listed));
    }
    let named = |name: &str, part: Option<&str>| {
        Some(KeyOf::Named { name: lookup(name)?, part: part.map(str::to_owned) })
    };
    let other = || words::open_keys(spec.open).map(|(_, takes, help)| KeyOf::Other(takes, help));
    match spec.open {
        Open::No => None,
        Open::Settings | Open::Adjusters | Open::Limits => named(key, None),
        Open::Bands => named(key, None).or_else(|| {
            let (name, part) = key.rsplit_once('.')?;
            named(name, Some(part))
        }),
        Open::Pressures => Some(KeyOf::Named { name: pressure_setting(key)?.into(), part: None }),
        Open::Services | Open::Torques | Open::Units | Open::Book => other(),
    }
}

/// A block's word for people.
pub(super) fn of_block(spec: &BlockSpec) -> String {
    let mut text = format!("**`{}{}`**\n\n{}\n", spec.word, words::argument(spec.argument), spec.help);
    let needed: Vec<String> =
        spec.keys.iter().filter_map(|key| Some(format!("`{}`, for {}", key.name, key.needed_for?))).collect();
    if !needed.is_empty() {
        let _ = write!(text, "\nNeeded: {}\n", needed.join("; "));
    }
    text
}

/// A key for people: what it is, its unit, its range, an example.
pub(super) fn of_key(key: &str, of: &KeyOf, units: &Units) -> String {
    match of {
        KeyOf::Listed(spec) => {
            let mut text = format!("**`{}`**  {}\n\n{}\n", spec.name, words::taken(&spec.value), spec.help);
            if let Some(needed) = spec.needed_for {
                let _ = write!(text, "\nNeeded for {needed}.\n");
            }
            text.push_str(&kinds(spec.value.kinds, spec.value.possible, units));
            if let Some(example) = example(&spec.value) {
                let _ = write!(text, "\nExample: `{key} = {example}`\n");
            }
            text
        }
        KeyOf::Named { name, part } => {
            let mut text = of_name(*name, units);
            if let (None, Named::Setting(name)) = (part, name)
                && let Some(example) = setting_example(name.info())
            {
                let _ = write!(text, "\nExample: `{key} = {example}`\n");
            }
            text
        }
        KeyOf::Other(takes, help) => format!("**`{key}`**  {takes}\n\n{help}\n"),
    }
}

/// A setting, figure or reading for people.
pub(super) fn of_name(name: Named, units: &Units) -> String {
    let (takes, help) = match name {
        Named::Setting(row) => (words::setting_value(row.info()), row.info().help),
        Named::Figure(row) => (words::figure_value(row.info()).to_owned(), row.info().help),
        Named::Reading(row) => (words::figure_value(row.info()).to_owned(), row.info().help),
    };
    let mut text = format!("**{}**  `{name}`  {takes}\n", name.label());
    if !help.is_empty() {
        let _ = write!(text, "\n{help}\n");
    }
    if let Named::Setting(row) = name
        && let SettingValue::Quantity(taken) = row.info().value
    {
        text.push_str(&kinds(taken, row.info().possible, units));
    }
    text
}

/// The units of kinds of quantity, and the possible range.
fn kinds(kinds: &[Kind], possible: Possible, units: &Units) -> String {
    let mut text = String::new();
    let mut symbols: Vec<&str> =
        kinds.iter().flat_map(|kind| kind.units()).map(|unit| unit.symbol()).collect();
    symbols.retain(|symbol| !symbol.is_empty());
    if !symbols.is_empty() {
        let _ = write!(text, "\nUnits: {}", symbols.join(", "));
        let own = kinds.first().and_then(|kind| units.chosen(*kind));
        if let Some(own) = own {
            let _ = write!(text, "; a bare number is in {}", own.symbol());
        }
        text.push('\n');
    }
    let range = match (possible, kinds.first()) {
        (Possible::Any, _) | (_, None) => return text,
        (Possible::Usually(low, _), _) if low <= 0.0 => "not negative".to_owned(),
        (Possible::NotNegative, _) => "not negative".to_owned(),
        (Possible::Positive | Possible::Usually(..), _) => "above zero".to_owned(),
        (Possible::Between(low, high), Some(kind)) => {
            format!("{} to {}", show_value(*kind, low, units), show_value(*kind, high, units))
        }
    };
    let _ = write!(text, "\nRange: {range}\n");
    text
}

/// An example of a value, as TOML; `None` where there is no general one.
pub(super) fn example(value: &ValueSpec) -> Option<String> {
    let quoted = |text: &str| format!("\"{text}\"");
    if let Some(word) = value.words.first() {
        return Some(quoted(word));
    }
    let one = value.kinds.first().map(|kind| kind.example());
    match value.shape {
        Shape::One | Shape::Repeats | Shape::List => one.map(quoted),
        Shape::WithUnit => Some(quoted("420 m")),
        Shape::Hours => Some(quoted("21.5 h")),
        Shape::Truth => Some("true".to_owned()),
        Shape::Date => Some("2026-04-11".to_owned()),
        Shape::TimeOfDay => Some(quoted("10:30")),
        Shape::Laps => Some(quoted("2:04.1 2:02.8 2:03.3")),
        Shape::Leverage => Some("2.9".to_owned()),
        Shape::Counts => Some("[1, 2]".to_owned()),
        Shape::Range | Shape::Text | Shape::Texts | Shape::DateOrHours => None,
    }
}

fn setting_example(row: &SettingRow) -> Option<String> {
    match row.value {
        SettingValue::Quantity(kinds) => kinds.first().map(|kind| format!("\"{}\"", kind.example())),
        SettingValue::Word(words) => words.first().map(|word| format!("\"{word}\"")),
        SettingValue::Text => None,
    }
}
