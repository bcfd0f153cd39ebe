//! Quantities as people read them: the one way out for numbers.
//!
//! Every function takes SI, and gives text in the reader's units with the decimal sign of the reader's language. What a
//! program reads, or what goes into a notebook, is shown in [`Units::plain`].

use std::fmt;

use crate::speech::{Message, Part, Tongue, say};

use super::choice::Units;
use super::kind::Kind;
use super::numeral::ten_to;
use super::rounding::{
    MOST_DECIMALS, decimals_of_digit, decimals_of_uncertainty, decimals_that_reach, digits, rounded,
    told_alike,
};
use super::table::Unit;
use super::{Interval, Quantity, Way};

/// Shown in place of a number that does not exist.
const NO_NUMBER: &str = "—";

/// A quantity in pieces, so that a table can align its numbers and print the unit lighter.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Shown {
    /// With the typographic minus sign (U+2212).
    pub number: String,
    pub plus_minus: Option<String>,
    /// Empty where there is none.
    pub unit: String,
}

/// A change in pieces.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Change {
    /// Without a sign.
    pub size: Shown,
    /// Which way; `None` where what is shown is not a change.
    pub way: Option<Way>,
    /// Whether it is smaller than its own uncertainty, and so no measurable change.
    pub is_within_measurement: bool,
    /// The reader's language.
    tongue: Tongue,
}

/// Shows a quantity as it was written. In another unit that the reader chose for its kind, with about as many
/// digits.
pub fn show(quantity: &Quantity, units: &Units) -> Shown {
    as_written(quantity, units).told(units)
}

fn as_written(quantity: &Quantity, units: &Units) -> Shown {
    let chosen = units.chosen(quantity.kind).filter(|_| !is_own_form(quantity.unit));
    match chosen {
        None => in_unit(quantity, quantity.unit, Digits::Written),
        Some(unit) if unit == quantity.unit => in_unit(quantity, unit, Digits::Written),
        Some(_) => in_unit(quantity, units.unit_for(quantity.kind, quantity.value), Digits::Reaching),
    }
}

/// Shows a computed value (SI base unit of its kind) without a known uncertainty.
pub fn show_value(kind: Kind, value: f64, units: &Units) -> Shown {
    usual(kind, value, units).told(units)
}

fn usual(kind: Kind, value: f64, units: &Units) -> Shown {
    let unit = units.unit_for(kind, value);
    let number = unit.from_si(kind, value);
    let decimals = unit.decimals(kind, number);
    Shown::new(kind, unit, number, decimals, None)
}

/// A computed value (SI base unit of its kind) as a number in this unit, with the digits worth showing.
pub fn show_in(kind: Kind, value: f64, unit: Unit) -> String {
    let number = unit.from_si(kind, value);
    Shown::new(kind, unit, number, unit.decimals(kind, number), None).number
}

/// Shows a value (SI base unit of its kind) picked from a list and not computed: a spring, a jet.
pub fn show_picked(kind: Kind, value: f64, units: &Units) -> Shown {
    let mut shown = usual(kind, value, units);
    shown.leave_zeros_out();
    shown.told(units)
}

/// Shows a computed value and its expanded uncertainty, both in the SI base unit. The uncertainty has one
/// significant digit where that is 3 or more, else two; the value is rounded to the same place.
///
/// Where the uncertainty is zero, or not a number, shows the value alone.
///
/// **Source** JCGM 100:2008, 7.2.6.
pub fn show_with_uncertainty(kind: Kind, value: f64, expanded: f64, units: &Units) -> Shown {
    with_uncertainty(kind, value, expanded, units).told(units)
}

fn with_uncertainty(kind: Kind, value: f64, expanded: f64, units: &Units) -> Shown {
    let unit = units.unit_for(kind, value);
    let spread = unit.width_from_si(expanded).abs();
    let number = unit.from_si(kind, value);
    // No reader looks at a finer place, so an uncertainty below it counts as none.
    let finest = unit.decimals(kind, number);
    match decimals_of_uncertainty(spread).map(|decimals| decimals.min(finest)) {
        Some(decimals) if rounded(spread, decimals) > 0.0 => {
            Shown::new(kind, unit, number, decimals, Some(spread))
        }
        _ => usual(kind, value, units),
    }
}

/// The expanded uncertainties between which [`show_with_uncertainty`] shows the same as with this one; both ends
/// excluded.
pub fn shown_alike(kind: Kind, value: f64, expanded: f64, units: &Units) -> (f64, f64) {
    let unit = units.unit_for(kind, value);
    let one = unit.width_from_si(1.0).abs();
    let spread = expanded.abs() * one;
    let finest = unit.decimals(kind, unit.from_si(kind, value));
    let decimals = decimals_of_uncertainty(spread).map_or(finest, |decimals| decimals.min(finest));
    let (low, high) = told_alike(spread, decimals);
    (low / one, high / one)
}

/// Shows a width: an uncertainty by itself, or one component's part of it.
pub fn show_width(kind: Kind, width: f64, units: &Units) -> Shown {
    let kind = kind.difference();
    let unit = units.unit_for(kind, width);
    let number = unit.width_from_si(width).abs();
    Shown::new(kind, unit, number, decimals_of_uncertainty(number).unwrap_or(0), None).told(units)
}

/// Shows a change of a setting in the trade's words. `more` is the word for a positive change: [`Way::Out`] for
/// clickers, [`Way::In`] for collars, [`Way::Up`] for heights, else [`Way::Plus`].
///
/// Settings change by round numbers, so zeros at the end are dropped.
pub fn show_change(kind: Kind, change: f64, units: &Units, more: Way) -> Change {
    let mut change = directed(kind, change, None, units, more);
    change.size.leave_zeros_out();
    change.size.match_number(kind, units);
    change.told(units)
}

/// Shows a change of a computed or measured value, with the expanded uncertainty of that change where it is
/// known. A smaller change is not measurable.
pub fn show_measured_change(
    kind: Kind,
    change: f64,
    expanded: Option<f64>,
    units: &Units,
    more: Way,
) -> Change {
    let mut shown = directed(kind, change, expanded, units, more);
    shown.is_within_measurement = expanded.is_some_and(|expanded| change.abs() < expanded);
    shown.told(units)
}

/// Shows a range to people: `150–154 psi`, `240 psi or less`. A notebook has it as `150..154 psi`.
pub fn show_interval(interval: &Interval, units: &Units) -> String {
    units.say(&interval_said(interval, units))
}

/// The same as a message.
pub fn interval_said(interval: &Interval, units: &Units) -> Message {
    let shown = |end: &Quantity| as_written(end, units);
    match (interval.low.as_ref().map(shown), interval.high.as_ref().map(shown)) {
        (Some(low), Some(high)) => from_to(&low, &high),
        (Some(low), None) => say!("{low} or more", low),
        (None, Some(high)) => say!("{high} or less", high),
        (None, None) => Message::default(),
    }
}

/// From one to another, with the unit once where it is the same.
pub fn from_to(low: &Shown, high: &Shown) -> Message {
    // Beside a minus sign a dash would be another.
    let is_signed = [low, high].iter().any(|end| end.number.starts_with('\u{2212}'));
    match low.unit == high.unit || low.number == "1" {
        true if is_signed => say!("{low} to {high}", low = Message::number(low.number.as_str()), high),
        true => high.with_unit(format!("{}–{}", low.number, high.with_spread())),
        false => say!("{low} to {high}", low, high),
    }
}

fn directed(kind: Kind, change: f64, expanded: Option<f64>, units: &Units, more: Way) -> Change {
    let kind = kind.difference();
    let size = match expanded {
        Some(expanded) => with_uncertainty(kind, change.abs(), expanded, units),
        None => usual(kind, change.abs(), units),
    };
    let is_nothing = !size.number.contains(|letter: char| ('1'..='9').contains(&letter));
    let way = if change < 0.0 { more.opposite() } else { more };
    Change {
        size,
        way: (!is_nothing).then_some(way),
        is_within_measurement: false,
        tongue: Tongue::default(),
    }
}

/// How many digits a quantity is shown with.
enum Digits {
    /// Those it was written with.
    Written,
    /// Those that say about as much in another unit.
    Reaching,
}

/// How large the last digit in another unit may be, in last digits as written. Rounding to it then moves the
/// value by at most a third of a written digit: 0.8 bar is 11.6 psi, not 12.
const KEPT: f64 = 2.0 / 3.0;

fn in_unit(quantity: &Quantity, unit: Unit, shown: Digits) -> Shown {
    let kind = quantity.kind;
    let number = unit.from_si(kind, quantity.value);
    let digit = unit.width_from_si(quantity.last_digit);
    let spread = quantity.plus_minus.map(|spread| unit.width_from_si(spread));
    let decimals = match shown {
        Digits::Written => decimals_of_digit(digit),
        Digits::Reaching => {
            let spread = spread.and_then(decimals_of_uncertainty).unwrap_or(0);
            // Never finer than anybody looks, in the other unit.
            decimals_that_reach(digit * KEPT).max(spread).min(unit.decimals(kind, number))
        }
    };
    let mut text = Shown::new(kind, unit, number, decimals, None);
    if let (Digits::Written, Some(fraction)) = (&shown, fraction(number, digit)) {
        text.unit = unit_text(kind, unit, &fraction);
        text.number = fraction;
    }
    text.plus_minus = spread.map(|spread| match shown {
        Digits::Written => shortest(spread),
        Digits::Reaching => digits(spread, decimals),
    });
    text
}

/// The fewest digits that give a number back.
fn shortest(number: f64) -> String {
    let same = |decimals: &i32| (rounded(number, *decimals) - number).abs() <= 1e-12 * number.abs();
    digits(number, (0..=MOST_DECIMALS).find(same).unwrap_or(MOST_DECIMALS))
}

/// Units that a chosen one does not replace: laps, hours ridden and days each have their own.
fn is_own_form(unit: Unit) -> bool {
    unit.measures(Kind::Time)
}

/// A number that was written as a fraction, shown as one: `4 1/8`.
fn fraction(number: f64, digit: f64) -> Option<String> {
    let below = (1.0 / digit).round();
    let is_fraction = (2.0..=64.0).contains(&below) && below != 10.0 && (below * digit - 1.0).abs() < 1e-9;
    let above = (number.abs() * below).round();
    if !is_fraction || (number.abs() * below - above).abs() > 1e-6 {
        return None;
    }
    let sign = if number < 0.0 { "\u{2212}" } else { "" };
    let whole = (above / below).floor();
    let (rest, below) = in_lowest_terms(above - whole * below, below);
    Some(match (whole, rest) {
        (whole, 0.0) => format!("{sign}{whole}"),
        (0.0, rest) => format!("{sign}{rest}/{below}"),
        (whole, rest) => format!("{sign}{whole} {rest}/{below}"),
    })
}

/// A fraction below one as it is said: `1/2`, not `2/4`.
fn in_lowest_terms(above: f64, below: f64) -> (f64, f64) {
    let (mut a, mut b) = (above, below);
    while b > 0.5 {
        (a, b) = (b, a % b);
    }
    if a > 0.5 { ((above / a).round(), (below / a).round()) } else { (above, below) }
}

/// `2:04.1` or, from an hour, `1:02:04.1`.
fn lap_time(seconds: f64, decimals: i32) -> String {
    let decimals = decimals.clamp(0, 6);
    let scale = ten_to(decimals.unsigned_abs() as usize);
    // In units of the last digit, so that 59.96 s rounds up into the minute.
    let ticks = (rounded(seconds.abs(), decimals) * scale).round();
    let per_minute = 60.0 * scale;
    let minutes = (ticks / per_minute).floor();
    let rest = (ticks - minutes * per_minute) / scale;
    let places = decimals.unsigned_abs() as usize;
    let width = if places == 0 { 2 } else { places + 3 };
    let sign = if seconds < 0.0 && ticks > 0.0 { "\u{2212}" } else { "" };
    if minutes >= 60.0 {
        let hours = (minutes / 60.0).floor();
        format!("{sign}{hours}:{:02}:{rest:0width$.places$}", minutes - hours * 60.0)
    } else {
        format!("{sign}{minutes}:{rest:0width$.places$}")
    }
}

impl Shown {
    fn new(kind: Kind, unit: Unit, number: f64, decimals: i32, spread: Option<f64>) -> Self {
        let decimals = decimals.min(MOST_DECIMALS);
        let text = match unit {
            _ if !number.is_finite() => NO_NUMBER.to_owned(),
            Unit::LapTime => lap_time(number, decimals),
            _ => digits(number, decimals),
        };
        let unit = unit_text(kind, unit, &text);
        Self { number: text, plus_minus: spread.map(|spread| digits(spread, decimals)), unit }
    }

    /// The number without zeros at its end.
    fn leave_zeros_out(&mut self) {
        if self.number.contains('.') {
            self.number.truncate(self.number.trim_end_matches('0').trim_end_matches('.').len());
        }
    }

    /// The unit again, after the number was shortened: `1 click`, `2 clicks`.
    fn match_number(&mut self, kind: Kind, units: &Units) {
        let unit = units.chosen(kind).unwrap_or(kind.usual_unit());
        if self.unit == unit.symbol() || self.unit == unit.symbol_for_one() {
            self.unit = unit_text(kind, unit, &self.number);
        }
    }

    /// In a reader's language.
    fn told(self, units: &Units) -> Self {
        let tongue = units.tongue();
        if tongue.is_english() {
            return self;
        }
        let number = tongue.number(&self.number);
        let plus_minus = self.plus_minus.map(|spread| tongue.number(&spread));
        Self { number, plus_minus, unit: tongue.say(&unit_word(&self.unit)) }
    }

    /// The number before and behind its decimal sign; the sign goes with what is behind it.
    pub fn at_point(&self) -> (&str, &str) {
        let point = self.number.find(['.', ',']).unwrap_or(self.number.len());
        self.number.split_at_checked(point).unwrap_or((&self.number, ""))
    }

    fn with_spread(&self) -> String {
        match &self.plus_minus {
            Some(spread) => format!("{} ± {spread}", self.number),
            None => self.number.clone(),
        }
    }

    /// Numbers with the unit behind them: one text where the unit is a sign, not a word.
    fn with_unit(&self, numbers: String) -> Message {
        match unit_key(&self.unit) {
            Some(key) => Message::joined([Message::number(numbers), Message::word(key)], " "),
            None => Message::number(numbers + &self.unit_behind()),
        }
    }

    /// The unit with the space that it stands behind; an angle's has none.
    fn unit_behind(&self) -> String {
        match self.unit.as_str() {
            "" => String::new(),
            "°" => self.unit.clone(),
            unit => format!(" {unit}"),
        }
    }
}

fn unit_text(kind: Kind, unit: Unit, number: &str) -> String {
    let is_one = number == "1" || number == "\u{2212}1" || (number.contains('/') && !number.contains(' '));
    // Less than one is part of one: `0.75 turn`.
    let is_one = is_one || unit == Unit::Turn && number.trim_start_matches('\u{2212}').starts_with("0.");
    let symbol = if is_one { unit.symbol_for_one() } else { unit.symbol() };
    let needs_word = kind == Kind::AbsolutePressure && !unit.is_of_the_weather();
    if needs_word { format!("{symbol} abs") } else { symbol.to_owned() }
}

/// Units that are words, with their context in a catalogue.
const UNIT_WORDS: [(&str, &str); 12] = [
    ("clicks", "unit|clicks"),
    ("click", "unit|click"),
    ("turns", "unit|turns"),
    ("turn", "unit|turn"),
    ("teeth", "unit|teeth"),
    ("tooth", "unit|tooth"),
    ("links", "unit|links"),
    ("link", "unit|link"),
    ("days", "unit|days"),
    ("day", "unit|day"),
    ("weeks", "unit|weeks"),
    ("week", "unit|week"),
];

/// The unit words that a catalogue may translate.
pub fn unit_words() -> impl Iterator<Item = &'static str> {
    UNIT_WORDS.iter().map(|(_, key)| *key)
}

/// A unit's symbol; a word where things are counted.
pub fn unit_word(symbol: &str) -> Message {
    unit_key(symbol).map_or_else(|| Message::text(symbol), Message::word)
}

fn unit_key(symbol: &str) -> Option<&'static str> {
    UNIT_WORDS.iter().find(|(word, _)| *word == symbol).map(|(_, key)| *key)
}

impl Part for Shown {
    fn part(&self) -> Message {
        self.with_unit(self.with_spread())
    }
}

impl Part for Change {
    fn part(&self) -> Message {
        let size = &self.size;
        match self.way {
            _ if self.is_within_measurement => say!("no measurable change"),
            None => say!("no change"),
            Some(Way::Plus) => Message::joined([Message::text("+"), size.part()], ""),
            Some(Way::Minus) => Message::joined([Message::text("\u{2212}"), size.part()], ""),
            Some(Way::In) => say!("{size} in", size),
            Some(Way::Out) => say!("{size} out", size),
            Some(Way::Up) => say!("{size} up", size),
            Some(Way::Down) => say!("{size} down", size),
        }
    }
}

impl Change {
    fn told(self, units: &Units) -> Self {
        Self { size: self.size.told(units), tongue: units.tongue().clone(), ..self }
    }
}

impl fmt::Display for Shown {
    fn fmt(&self, formatter: &mut fmt::Formatter<'_>) -> fmt::Result {
        formatter.write_str(&self.number)?;
        if let Some(spread) = &self.plus_minus {
            write!(formatter, " ± {spread}")?;
        }
        formatter.write_str(&self.unit_behind())
    }
}

impl fmt::Display for Change {
    fn fmt(&self, formatter: &mut fmt::Formatter<'_>) -> fmt::Result {
        formatter.write_str(&self.tongue.say(&self.part()))
    }
}
