//! The reference of the notebook language, from the table that the reader itself uses.

use std::fmt::Write;

use crate::advice::{Advice, Said, said_elsewhere};
use crate::figures::{ASSUMPTIONS, ORDINARY};
use crate::quantity::Kind;
use crate::speech::{Message, Tongue};
use crate::vocabulary::blocks::{BLOCKS, HEADS};
use crate::vocabulary::figures::{FIGURES, FigureRow, FigureValue, READINGS};
use crate::vocabulary::settings::{SETTINGS, SettingRow, SettingValue, Turning};
use crate::vocabulary::spec::{Argument, BlockSpec, KeySpec, Open, Shape, ValueSpec};
use crate::vocabulary::{self, Named};

use super::columns::wrapped;

const FIGURES_TOPIC: &str = "figures";
const ASSUMPTIONS_TOPIC: &str = "assumptions";
const FEEL_TOPIC: &str = "feel";

/// The width that help is wrapped to, in characters.
const WIDTH: usize = 100;
/// The column where help begins, behind a name and what it takes.
const HELP_COLUMN: usize = 46;

/// All topics of [`about`].
pub fn topics() -> impl Iterator<Item = &'static str> + Clone {
    let tables = HEADS.iter().chain(BLOCKS).map(|spec| spec.word);
    tables.chain([FIGURES_TOPIC, ASSUMPTIONS_TOPIC, FEEL_TOPIC])
}

/// The whole reference.
pub fn everything() -> String {
    let mut parts = vec![conventions()];
    parts.extend(HEADS.iter().chain(BLOCKS).map(|spec| block(spec)));
    parts.push(settings());
    parts.push(figures());
    parts.push(assumptions());
    parts.push(feel());
    parts.join("\n")
}

/// The reference of one block, or of the settings, the figures, the assumptions; `None` for an unknown topic.
pub fn about(topic: &str) -> Option<String> {
    match topic {
        FIGURES_TOPIC => Some(figures()),
        ASSUMPTIONS_TOPIC => Some(assumptions()),
        FEEL_TOPIC => Some(feel()),
        name if vocabulary::lookup(name).is_some() => named(name),
        word => {
            let spec = HEADS.iter().chain(BLOCKS).find(|spec| spec.word == word)?;
            let mut text = block(spec);
            if matches!(spec.open, Open::Settings | Open::Adjusters) {
                text.push('\n');
                text.push_str(&settings());
            }
            Some(text)
        }
    }
}

/// The rows of all settings, figures and readings whose names begin like this: `sag.rear`.
pub fn group(beginning: &str) -> Option<String> {
    let patterns = SETTINGS.iter().map(|row| row.pattern.to_owned());
    let mut names: Vec<String> = vocabulary::every_name().iter().cloned().chain(patterns).collect();
    names.retain(|name| name.strip_prefix(beginning).is_some_and(|rest| rest.starts_with('.')));
    names.sort();
    names.dedup();
    let rows: Vec<String> = names.iter().filter_map(|name| named(name)).collect();
    (!rows.is_empty()).then(|| rows.concat())
}

fn figure(text: &mut String, name: &str, row: &FigureRow, label: &Message) {
    let help = if row.help.is_empty() { label.in_english() } else { row.help.to_owned() };
    line(text, name, figure_value(row), &help);
}

/// The row of one name.
fn named(name: &str) -> Option<String> {
    let mut text = String::new();
    match vocabulary::lookup(name)? {
        Named::Setting(it) => line(&mut text, name, &setting_value(it.info()), it.info().help),
        named @ Named::Figure(it) => figure(&mut text, name, it.info(), &named.label()),
        named @ Named::Reading(it) => figure(&mut text, name, it.info(), &named.label()),
    }
    Some(text)
}

/// What `feel` takes, by the data that ships.
fn feel() -> String {
    let advice = Advice::shipped();
    let mut text =
        String::from("What a ride felt like: `feel = \"headshake straight 3 - only with a full tank\"`\n\n");
    line(&mut text, "a complaint", "", &advice.words().join(", "));
    line(&mut text, "where, if it is known", "", &advice.sayings().places.join(", "));
    line(&mut text, "how much, 1 to 5", "", "1 is just felt, 5 is not to be ridden");
    text.push('\n');
    paragraph(
        &mut text,
        "In any words, in any order; a track's `sections` are places as well. Said for these, among others:",
    );
    text.push('\n');
    said(&mut text, &advice.sayings().said);
    for (tag, own) in said_elsewhere() {
        let name = Tongue::shipped(tag).and_then(|tongue| Some(tongue.catalogue()?.name.clone()));
        let name = name.unwrap_or_else(|| tag.to_owned());
        let who = format!("A rider whose `language`, or whose book's, is `{tag}` ({name}) may say as well:");
        paragraph(&mut text, &who);
        text.push('\n');
        said(&mut text, own);
    }
    line(&mut text, " - and words of your own", "", "kept as they are");
    text
}

fn said(text: &mut String, said: &Said) {
    for said in said.complaints.iter().chain(&said.places) {
        line(text, &said.of, "", &said.ways.join(", "));
    }
    text.push('\n');
}

fn conventions() -> String {
    let mut text = String::from("How values are written\n\n");
    for (form, meaning) in [
        ("\"152 psi\"", "a number with its unit; a bare number takes the book's unit"),
        ("\"105 ± 1 mm\"", "a reading with its expanded uncertainty"),
        ("\"506 508 507 mm\"", "repeats of one reading; a list does as well"),
        ("\"150..154 psi\"", "a range; either end may be left open"),
        ("\"2 clicks in\"", "a change of a clicker; clicks and turns count out from closed"),
        ("\"2 mm down\"", "a change of a height"),
        ("\"+3 psi\"", "a change of anything else"),
        ("†", "needed for the block to be of use"),
    ] {
        line(&mut text, form, "", meaning);
    }
    text
}

fn block(spec: &BlockSpec) -> String {
    let mut text = format!("{}{}\n", spec.word, argument(spec.argument));
    paragraph(&mut text, &format!("{}{}", spec.help, places(spec)));
    if !spec.keys.is_empty() || spec.open != Open::No {
        text.push('\n');
    }
    for key in spec.keys {
        line(&mut text, &key_name(key), &taken(&key.value), key.help);
    }
    if let Some((name, takes, help)) = open_keys(spec.open) {
        line(&mut text, name, takes, help);
    }
    text
}

/// The second word of a block.
pub fn argument(argument: Argument) -> String {
    match argument {
        Argument::None => String::new(),
        Argument::End => " front | rear".to_owned(),
        Argument::Name => " NAME".to_owned(),
        Argument::MaybeName => " [NAME]".to_owned(),
        Argument::OneOf(words) => format!(" {}", words.join(" | ")),
        Argument::MaybeOneOf(words) => format!(" [{}]", words.join(" | ")),
    }
}

pub fn places(spec: &BlockSpec) -> String {
    // The tables without a fence say in their help where they are.
    if HEADS.iter().any(|head| head.word == spec.word) {
        return String::new();
    }
    let places: Vec<String> = spec.places.iter().map(|kind| format!("a {}'s", kind.word())).collect();
    format!(" In {} notebook.", places.join(" or "))
}

pub fn key_name(key: &KeySpec) -> String {
    match key.needed_for {
        Some(_) => format!("{} †", key.name),
        None => key.name.to_owned(),
    }
}

/// What the value of a key may be, in words.
pub fn taken(value: &ValueSpec) -> String {
    if !value.words.is_empty() {
        return value.words.join(" | ");
    }
    let kinds: Vec<&str> = value.kinds.iter().map(|kind| kind.word()).collect();
    let kinds = kinds.join(" or ");
    match value.shape {
        Shape::One | Shape::WithUnit => kinds,
        Shape::Hours => "hours".to_owned(),
        Shape::Repeats => format!("{kinds}, or repeats"),
        Shape::List => format!("list of {kinds}"),
        Shape::Range => format!("range of {kinds}"),
        Shape::Text => "text".to_owned(),
        Shape::Texts => "text, or a list".to_owned(),
        Shape::Truth => "true | false".to_owned(),
        Shape::Date => "date".to_owned(),
        Shape::TimeOfDay => "time of day".to_owned(),
        Shape::Leverage => "leverage".to_owned(),
        Shape::Laps => "times, or a path".to_owned(),
        Shape::Counts => "whole numbers".to_owned(),
        Shape::DateOrHours => "date, or hours".to_owned(),
    }
}

/// The keys that a block takes beyond those it lists: name, value, help.
pub fn open_keys(open: Open) -> Option<(&'static str, &'static str, &'static str)> {
    match open {
        Open::No => None,
        Open::Settings => Some(("any setting", "its value", "absolute; in a `change` also by how much")),
        Open::Adjusters => Some(("any clicker", "clicks or turns", "how many there are from closed to open")),
        Open::Limits => Some(("any name", "range or value", "a figure, a reading or a setting")),
        Open::Bands => Some((
            "any name",
            "{ aim, within, want, recheck, accepted }",
            "a figure, a reading or a setting; what to keep it at",
        )),
        Open::Pressures => Some((
            "a chamber, tyre.END",
            "gauge pressure, or repeats",
            "as left; under `found.` as found, under `after_ride.` hot",
        )),
        Open::Services => {
            Some(("\"what it is\"", "{ every, last }", "a time or days, and the date or hours of the last"))
        }
        Open::Torques => Some(("\"fastener\"", "torque", "by the machine's manual")),
        Open::Units => Some(("units.TYPE", "unit", "the unit of bare numbers and of what is printed")),
        Open::Book => Some((
            "units.TYPE, instrument.NAME",
            "unit; instrument",
            "an instrument is { resolution, bias, repeatability, calibrated, hose }",
        )),
    }
}

fn settings() -> String {
    let mut text = String::from("Settings\n");
    paragraph(
        &mut text,
        "Clicks and turns count out from closed. A setting holds until it is written again.",
    );
    text.push('\n');
    for row in SETTINGS {
        line(&mut text, row.pattern, &setting_value(row), row.help);
    }
    text
}

/// What a setting may be, in words.
pub fn setting_value(row: &SettingRow) -> String {
    let value = match row.value {
        SettingValue::Quantity(kinds) => {
            kinds.iter().map(|kind| kind.word()).collect::<Vec<_>>().join(" or ")
        }
        SettingValue::Text => "text".to_owned(),
        SettingValue::Word(words) => words.join(" | "),
    };
    match row.turning {
        Turning::Plain => value,
        Turning::Adjuster | Turning::Collar => format!("{value}; in, out"),
        Turning::Height => format!("{value}; up, down"),
    }
}

fn figures() -> String {
    let mut text = String::from("Figures and readings\n");
    paragraph(
        &mut text,
        "The same names in prose (`@sag.rear.rider`), bands, limits, sheets and JSON. END is front or rear, P is 0, 25, \
         50, 75 or 100 % of the travel.",
    );
    text.push('\n');
    for row in FIGURES.iter().chain(READINGS) {
        let help = if row.help.is_empty() { row.label } else { row.help };
        line(&mut text, row.pattern, figure_value(row), help);
    }
    text
}

/// What a figure's value is, in a word.
pub fn figure_value(row: &FigureRow) -> &'static str {
    match row.value {
        FigureValue::Quantity(kind) => Kind::word(kind),
        FigureValue::Text => "text",
    }
}

fn assumptions() -> String {
    let mut text = String::from("What is assumed when nobody wrote it\n");
    paragraph(&mut text, "A figure that rests on one of these says so.");
    text.push('\n');
    for assumption in ASSUMPTIONS {
        let _ = writeln!(text, "  {}", assumption.text);
    }
    paragraph(
        &mut text,
        "Of instruments that book.toml does not declare; how readings scatter is told by the book's own repeats as they \
         come in:",
    );
    text.push('\n');
    for ordinary in ORDINARY {
        for line in [ordinary.text, ordinary.scatter_text].into_iter().filter(|line| !line.is_empty()) {
            let _ = writeln!(text, "  {line}");
        }
    }
    text
}

fn paragraph(text: &mut String, words: &str) {
    for line in wrapped(words, WIDTH - 2) {
        let _ = writeln!(text, "  {line}");
    }
}

/// One row: a name, what it takes, and its help, wrapped in its own column.
fn line(text: &mut String, name: &str, takes: &str, help: &str) {
    let mut head = format!("  {name}");
    if !takes.is_empty() {
        let gap = 26_usize.saturating_sub(head.chars().count()).max(2);
        head.push_str(&" ".repeat(gap));
        head.push_str(takes);
    }
    let mut indent = head;
    for part in wrapped(help, WIDTH - HELP_COLUMN) {
        let width = indent.chars().count();
        if width + 2 > HELP_COLUMN && !indent.trim().is_empty() {
            // Too long to have the help beside it.
            let _ = writeln!(text, "{indent}");
            indent = String::new();
        }
        let gap = HELP_COLUMN.saturating_sub(indent.chars().count());
        let _ = writeln!(text, "{indent}{}{part}", " ".repeat(gap));
        indent = String::new();
    }
    if !indent.is_empty() {
        let _ = writeln!(text, "{}", indent.trim_end());
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_topic_has_its_text_and_every_key_its_line() {
        for topic in topics() {
            let text = about(topic).unwrap();
            assert!(text.lines().all(|line| line.chars().count() <= WIDTH + 30), "{topic}: {text}");
        }
        let sag = about("sag").unwrap();
        for key in ["hanging †", "alone", "aboard_after_lift", "posture"] {
            assert!(sag.contains(key), "{key} in {sag}");
        }
        assert_eq!(about("sga"), None);
    }

    #[test]
    fn help_wraps_in_its_own_column() {
        let mut text = String::new();
        line(&mut text, "name", "length", &"word ".repeat(20));
        let lines: Vec<&str> = text.lines().collect();
        assert!(lines.len() > 1);
        assert!(
            lines
                .iter()
                .skip(1)
                .all(|line| line.starts_with(&" ".repeat(HELP_COLUMN)) && line.len() <= WIDTH)
        );
    }
}
