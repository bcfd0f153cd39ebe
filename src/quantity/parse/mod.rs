//! Written text into quantities.
//!
//! Each function takes the text of one value, the kinds wanted there, and the units of bare numbers. The first
//! kind that the written unit measures is meant; of pressures gauge, unless `abs` follows. A fault refuses the
//! whole value, and gives the range of the part that is wrong.

mod parser;
mod spoken;

use std::ops::Range;

use crate::finding::closest;

use super::choice::UnitDefaults;
use super::kind::Kind;
use super::numeral::Numeral;
use super::problem::{Fault, Problem};
use super::suffix::Suffix;
use super::table::Unit;
use super::{Amount, Interval, Quantity, Repeats};

use parser::{Item, Parser};

/// Pa. Below any possible vacuum: no barometer at the ground has ever read this much. From memory: the records
/// are near 1085 hPa.
const DEEPEST_VACUUM: f64 = -110_000.0;

/// Reads one value: `105 mm`, `4 1/8 in`, `2:04.1`, `105 ± 1 mm`.
///
/// # Errors
/// Any [`Fault`] but those of ranges; several values are [`Fault::Several`].
pub fn quantity(text: &str, kinds: &[Kind], defaults: &UnitDefaults) -> Result<Quantity, Problem> {
    let mut parser = Parser::new(text, kinds, defaults);
    if let Some(item) = parser.only_item()? {
        return parser.resolve(&item, None, kinds);
    }
    let items = parser.items()?;
    match items.as_slice() {
        [item] => parser.resolve(item, None, kinds),
        [_, .., last] => {
            let start = items.get(1).map_or(0, |second| second.range.start);
            Err(Problem { fault: Fault::Several { count: items.len() }, range: start..last.range.end })
        }
        [] => Err(parser.empty()),
    }
}

/// Reads one value or several of the same kind: `506 508 507 mm`, `2:04.1 2:02.8`, `506 mm, 508 mm`.
///
/// A value without a unit takes that of the next value with one, else that of the last before it. Beside lap
/// times a plain number is seconds.
///
/// # Errors
/// As [`quantity`], of the first value that is wrong.
pub fn repeats(text: &str, kinds: &[Kind], defaults: &UnitDefaults) -> Result<Repeats, Problem> {
    let mut parser = Parser::new(text, kinds, defaults);
    let items = parser.items()?;
    let mut values: Vec<(Quantity, Range<usize>)> = Vec::with_capacity(items.len());
    // From the right, so that each value finds the unit behind it. The first that is found also serves the
    // values behind the last unit.
    let mut neighbour = items.iter().rev().find(|item| item.gives_unit());
    for item in items.iter().rev() {
        if item.gives_unit() {
            neighbour = Some(item);
        }
        let first = values.first().map(|(quantity, _)| [quantity.kind]);
        let kinds = first.as_ref().map_or(kinds, |first| first.as_slice());
        values.push((parser.resolve(item, neighbour, kinds)?, item.range.clone()));
    }
    values.reverse();
    if values.is_empty() { Err(parser.empty()) } else { Ok(Repeats { values }) }
}

/// Reads `x..y`, `..y` or `x..`, one unit for both ends.
///
/// # Errors
/// As [`quantity`], and the faults of ranges.
pub fn interval(text: &str, kinds: &[Kind], defaults: &UnitDefaults) -> Result<Interval, Problem> {
    two_dots(text, kinds, defaults).map_err(|problem| {
        let written = spoken::as_written(text).filter(|written| two_dots(written, kinds, defaults).is_ok());
        written.map_or(problem, |written| Problem { fault: Fault::Spoken { written }, range: 0..text.len() })
    })
}

fn two_dots(text: &str, kinds: &[Kind], defaults: &UnitDefaults) -> Result<Interval, Problem> {
    let mut parser = Parser::new(text, kinds, defaults);
    parser.cursor.skip_space();
    let mut low = if parser.is_at_dots() { None } else { parser.item()? };
    parser.cursor.skip_space();
    if !parser.take_dots() {
        return Err(match (low, parser.cursor.is_at_end()) {
            (None, true) => parser.empty(),
            (None, false) => parser.stray(false),
            (Some(low), is_at_end) => {
                // A faulty value is reported as such, not as a missing range.
                parser.resolve(&low, None, kinds)?;
                if !is_at_end {
                    return Err(parser.stray(true));
                }
                let value = parser.cursor.slice(low.range.clone()).to_owned();
                Problem { fault: Fault::OneWhereRange { value }, range: low.range }
            }
        });
    }
    parser.cursor.skip_space();
    let high = if parser.cursor.is_at_end() { None } else { parser.item()? };
    if let (Some(low), None) = (&mut low, &high)
        && low.suffix.is_empty()
    {
        // `30.. mm`
        low.suffix = parser.cursor.suffix();
    }
    parser.cursor.skip_space();
    if !parser.cursor.is_at_end() {
        return Err(parser.stray(high.is_some()));
    }
    let ends = [&low, &high];
    let neighbour = ends.into_iter().rev().flatten().find(|item| item.gives_unit());
    for end in ends.into_iter().flatten() {
        if let Some(written) = &end.plus_minus {
            let (numeral, _) = &**written;
            let found = parser.cursor.slice(numeral.range.clone()).to_owned();
            return Err(Problem { fault: Fault::PlusMinus { found }, range: numeral.range.clone() });
        }
    }
    let low_value = low.as_ref().map(|item| parser.resolve(item, neighbour, kinds)).transpose()?;
    let first = low_value.map(|low| [low.kind]);
    let kinds = first.as_ref().map_or(kinds, |first| first.as_slice());
    let high_value = high.as_ref().map(|item| parser.resolve(item, neighbour, kinds)).transpose()?;
    match (low_value, high_value, &low, &high) {
        (Some(from), Some(to), Some(low), Some(high)) if from.value > to.value => {
            let written = |item: &Item| parser.cursor.slice(item.range.clone()).to_owned();
            let fault = Fault::UpsideDown { low: written(low), high: written(high) };
            Err(Problem { fault, range: low.range.start..high.range.end })
        }
        (None, None, ..) => Err(Problem { fault: Fault::NoEnds, range: 0..text.len() }),
        (low, high, ..) => Ok(Interval { low, high }),
    }
}

/// Reads a setting: its value (`12 clicks`) or how far it moved (`2 clicks in`, `2 mm down`, `+3 psi`).
///
/// A sign always means a change; `2 in` is inches. A change of temperature is a difference.
///
/// # Errors
/// As [`quantity`], and [`Fault::TwoDirections`].
pub fn amount(text: &str, kinds: &[Kind], defaults: &UnitDefaults) -> Result<Amount, Problem> {
    let mut parser = Parser::new(text, kinds, defaults);
    let Some(item) = parser.only_item()? else {
        return quantity(text, kinds, defaults).map(Amount::At);
    };
    let way = match (item.numeral.sign, &item.suffix.way) {
        (None, None) => return parser.resolve(&item, None, kinds).map(Amount::At),
        (Some(sign), Some((way, range))) => {
            return Err(Problem { fault: Fault::TwoDirections { sign, way: *way }, range: range.clone() });
        }
        (Some(sign), None) => sign,
        (None, Some((way, _))) => *way,
    };
    let mut size = item;
    size.numeral.sign = None;
    size.suffix.way = None;
    let differences: Vec<Kind> = kinds.iter().map(|kind| kind.difference()).collect();
    parser.resolve(&size, None, &differences).map(|size| Amount::By(size, way))
}

/// Takes a number written without quotes, as TOML has them: its unit is that of bare numbers.
///
/// # Errors
/// As [`quantity`]; the range is empty, since there is no text.
pub fn number(number: f64, kinds: &[Kind], defaults: &UnitDefaults) -> Result<Quantity, Problem> {
    if let Some(numeral) = Numeral::whole(number) {
        let item = Item { numeral, plus_minus: None, suffix: Suffix::default(), range: 0..0 };
        // What is wrong is said from a text.
        if let Ok(quantity) = Parser::new("", kinds, defaults).resolve(&item, None, kinds) {
            return Ok(quantity);
        }
    }
    quantity(&number.to_string(), kinds, defaults).map_err(|problem| Problem { range: 0..0, ..problem })
}

/// Reads the name of a unit for a kind of quantity, as in `[units]`.
///
/// # Errors
/// [`Fault::Empty`], [`Fault::UnknownUnit`], [`Fault::WrongKind`].
pub fn unit(text: &str, kind: Kind) -> Result<Unit, Problem> {
    let name = text.trim();
    let start = text.len() - text.trim_start().len();
    let range = start..start + name.len();
    let fault = match Unit::from_text(name) {
        Some(unit) if unit.measures(kind) => return Ok(unit),
        Some(unit) => {
            let found = unit.kinds().first().copied().unwrap_or(Kind::Number);
            Fault::WrongKind { number: String::new(), unit, found, wanted: vec![kind] }
        }
        None if name.is_empty() => Fault::Empty { wanted: vec![kind] },
        None => unknown_unit(name, &[kind]),
    };
    Err(Problem { fault, range })
}

fn unknown_unit(found: &str, wanted: &[Kind]) -> Fault {
    let measures = |unit: &Unit| wanted.iter().any(|&kind| unit.measures(kind));
    let candidates = || Unit::ALL.iter().copied().filter(measures);
    // One letter is a slip for every other letter, so only its case can be wrong.
    let is_letter = found.chars().count() < 2;
    let can_be_meant =
        |spelling: &&str| !spelling.is_empty() && (!is_letter || spelling.eq_ignore_ascii_case(found));
    let spellings = candidates()
        .flat_map(|unit| unit.aliases().iter().copied().chain([unit.symbol()]))
        .filter(can_be_meant);
    let mut closest = closest(found, spellings);
    if closest.iter().any(|spelling| spelling.eq_ignore_ascii_case(found)) {
        closest.retain(|spelling| spelling.eq_ignore_ascii_case(found));
    }
    let mut near: Vec<&'static str> = Vec::new();
    for spelling in closest {
        let unit = candidates().find(|unit| unit.symbol() == spelling || unit.aliases().contains(&spelling));
        let symbol = unit.map_or(spelling, Unit::symbol);
        if !near.contains(&symbol) {
            near.push(symbol);
        }
    }
    Fault::UnknownUnit { found: found.to_owned(), near, wanted: wanted.to_vec() }
}
