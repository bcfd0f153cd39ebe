//! Written text into quantities.
//!
//! Each function takes the text of one value, the kinds wanted there, and the units of bare numbers. The first
//! kind that the written unit measures is meant; of pressures gauge, unless `abs` follows. A fault refuses the
//! whole value, and gives the range of the part that is wrong.

use std::ops::Range;

use crate::finding::closest;

use super::choice::UnitDefaults;
use super::kind::Kind;
use super::numeral::{Cursor, Numeral, is_dash, starts_with_digit};
use super::problem::{Fault, Impossible, Problem};
use super::suffix::Suffix;
use super::table::Unit;
use super::{Amount, Interval, Quantity, Repeats};

/// Pa. Below any possible vacuum: no barometer at the ground has ever read this much. From memory: the records
/// are near 1085 hPa.
const DEEPEST_VACUUM: f64 = -110_000.0;

/// Reads one value: `105 mm`, `4 1/8 in`, `2:04.1`, `105 ± 1 mm`.
///
/// # Errors
/// Any [`Fault`] but those of ranges; several values are [`Fault::Several`].
pub fn quantity(text: &str, kinds: &[Kind], defaults: &UnitDefaults) -> Result<Quantity, Problem> {
    let mut parser = Parser::new(text, kinds, defaults);
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
        if let Some((numeral, _)) = &end.plus_minus {
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
    let items = parser.items()?;
    let [item] = items.as_slice() else {
        return quantity(text, kinds, defaults).map(Amount::At);
    };
    let way = match (item.numeral.sign, &item.suffix.way) {
        (None, None) => return parser.resolve(item, None, kinds).map(Amount::At),
        (Some(sign), Some((way, range))) => {
            return Err(Problem { fault: Fault::TwoDirections { sign, way: *way }, range: range.clone() });
        }
        (Some(sign), None) => sign,
        (None, Some((way, _))) => *way,
    };
    let mut size = item.clone();
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

/// A number and what stands behind it.
#[derive(Debug, Clone)]
struct Item {
    numeral: Numeral,
    plus_minus: Option<(Numeral, Suffix)>,
    suffix: Suffix,
    range: Range<usize>,
}

impl Item {
    /// Whether its neighbours may take their unit from it.
    fn gives_unit(&self) -> bool {
        self.suffix.unit.is_some() || self.numeral.is_clock
    }
}

struct Parser<'a> {
    cursor: Cursor<'a>,
    kinds: &'a [Kind],
    defaults: &'a UnitDefaults,
}

impl<'a> Parser<'a> {
    fn new(text: &'a str, kinds: &'a [Kind], defaults: &'a UnitDefaults) -> Self {
        Self { cursor: Cursor::new(text), kinds, defaults }
    }

    fn empty(&self) -> Problem {
        Problem { fault: Fault::Empty { wanted: self.kinds.to_vec() }, range: 0..self.cursor.text.len() }
    }

    /// What is at the cursor and should not be.
    fn stray(&self, is_behind_a_value: bool) -> Problem {
        let mut ahead = self.cursor.clone();
        ahead.skip_space();
        let range = ahead.word();
        let found = self.cursor.slice(range.clone()).to_owned();
        let fault = if is_behind_a_value {
            Fault::LeftOver { found }
        } else {
            Fault::NotANumber { found, wanted: self.kinds.to_vec() }
        };
        Problem { fault, range }
    }

    fn is_at_dots(&self) -> bool {
        self.cursor.rest().starts_with("..") || self.cursor.rest().starts_with('…')
    }

    fn take_dots(&mut self) -> bool {
        self.cursor.take("...") || self.cursor.take("..") || self.cursor.take("…")
    }

    /// All values up to the end of the text.
    fn items(&mut self) -> Result<Vec<Item>, Problem> {
        let mut items = Vec::new();
        loop {
            self.cursor.skip_space();
            if self.cursor.is_at_end() {
                return Ok(items);
            }
            if self.is_at_dots() {
                return Err(Problem { fault: Fault::RangeWhereOne, range: 0..self.cursor.text.len() });
            }
            match self.item()? {
                Some(item) => items.push(item),
                None => return Err(self.stray(!items.is_empty())),
            }
            self.cursor.skip_space();
            if !self.cursor.take(",") {
                self.cursor.take(";");
            }
        }
    }

    /// The next value, if there is one.
    fn item(&mut self) -> Result<Option<Item>, Problem> {
        let wanted = |mut problem: Problem| {
            if let Fault::NotANumber { wanted, .. } = &mut problem.fault {
                *wanted = self.kinds.to_vec();
            }
            problem
        };
        let Some(numeral) = self.cursor.numeral().map_err(wanted)? else { return Ok(None) };
        self.refuse_dash(&numeral)?;
        let mut suffix = self.cursor.suffix();
        let mut end = self.cursor.at;
        let mut ahead = self.cursor.clone();
        ahead.skip_space();
        let mut plus_minus = None;
        if ahead.take("±") || ahead.take("+/-") {
            ahead.skip_space();
            let Some(spread) = ahead.numeral()?.filter(|spread| spread.sign.is_none() && !spread.is_clock)
            else {
                let range = ahead.word();
                let found = self.cursor.slice(range.clone()).to_owned();
                return Err(Problem { fault: Fault::PlusMinus { found }, range });
            };
            let mut behind = ahead.suffix();
            if suffix.is_empty() && !numeral.is_clock {
                suffix = std::mem::take(&mut behind);
            }
            end = ahead.at;
            plus_minus = Some((spread, behind));
            self.cursor = ahead;
        }
        self.refuse_dash(&numeral)?;
        let range = numeral.range.start..end;
        Ok(Some(Item { numeral, plus_minus, suffix, range }))
    }

    /// `150-154` may be a range, a difference or a slip: this asks rather than guesses.
    fn refuse_dash(&self, numeral: &Numeral) -> Result<(), Problem> {
        let mut ahead = self.cursor.clone();
        let is_tight = ahead.peek().is_some_and(is_dash);
        ahead.skip_space();
        if ahead.take_if(is_dash).is_none() {
            return Ok(());
        }
        let is_loose = ahead.peek().is_some_and(char::is_whitespace);
        ahead.skip_space();
        let start = ahead.at;
        if !(is_tight || is_loose) || !starts_with_digit(ahead.rest()) {
            return Ok(());
        }
        ahead.take_while(|letter| letter.is_ascii_digit() || matches!(letter, '.' | ':' | '/'));
        let fault = Fault::Dash {
            low: self.cursor.slice(numeral.range.clone()).to_owned(),
            high: self.cursor.slice(start..ahead.at).to_owned(),
        };
        Err(Problem { fault, range: numeral.range.start..ahead.at })
    }

    /// A number and its unit as a quantity of one of the kinds.
    fn resolve(&self, item: &Item, neighbour: Option<&Item>, kinds: &[Kind]) -> Result<Quantity, Problem> {
        let Item { numeral, suffix, .. } = item;
        self.refuse_words(suffix)?;
        if let Some((way, range)) = &suffix.way {
            return Err(Problem { fault: Fault::Direction { way: *way }, range: range.clone() });
        }
        let (unit, kind) = self.unit_and_kind(item, neighbour, kinds)?;
        if kind.is_whole() && numeral.size.fract() != 0.0 {
            return Err(Problem { fault: Fault::NotWhole { kind }, range: numeral.range.clone() });
        }
        let plus_minus = match &item.plus_minus {
            None => None,
            Some((spread, behind)) => Some(self.spread(spread, behind, unit, kind)?),
        };
        let quantity = Quantity {
            kind,
            value: unit.to_si(kind, numeral.value()),
            unit,
            plus_minus,
            last_digit: unit.width_to_si(numeral.digit),
        };
        match impossible(&quantity) {
            Some(reason) => {
                Err(Problem { fault: Fault::Impossible { quantity, reason }, range: item.range.clone() })
            }
            None => Ok(quantity),
        }
    }

    fn refuse_words(&self, suffix: &Suffix) -> Result<(), Problem> {
        let Some(range) = suffix.unknown.clone() else { return Ok(()) };
        let found = self.cursor.slice(range.clone());
        let fault = if suffix.unit.is_none() {
            unknown_unit(found, self.kinds)
        } else {
            Fault::LeftOver { found: found.to_owned() }
        };
        Err(Problem { fault, range })
    }

    /// The width behind `±`, in the SI base unit.
    fn spread(&self, spread: &Numeral, behind: &Suffix, unit: Unit, kind: Kind) -> Result<f64, Problem> {
        self.refuse_words(behind)?;
        match &behind.unit {
            None => Ok(unit.width_to_si(spread.size)),
            Some((own, _)) if own.measures(kind) => Ok(own.width_to_si(spread.size)),
            Some((own, range)) => Err(self.wrong_kind(spread, *own, range.clone(), &[kind])),
        }
    }

    fn unit_and_kind(
        &self,
        item: &Item,
        neighbour: Option<&Item>,
        kinds: &[Kind],
    ) -> Result<(Unit, Kind), Problem> {
        let numeral = &item.numeral;
        if numeral.is_clock {
            if let Some((_, range)) = &item.suffix.unit {
                let found = self.cursor.slice(range.clone()).to_owned();
                return Err(Problem { fault: Fault::LeftOver { found }, range: range.clone() });
            }
            return match kinds.contains(&Kind::Time) {
                true => Ok((Unit::LapTime, Kind::Time)),
                false => Err(self.wrong_kind(numeral, Unit::LapTime, numeral.range.clone(), kinds)),
            };
        }
        let written = if item.suffix.unit.is_some() { Some(item) } else { neighbour };
        let from_neighbour = written.and_then(|item| match &item.suffix.unit {
            Some((unit, range)) => Some((*unit, range.clone())),
            None if item.numeral.is_clock => Some((Unit::Second, numeral.range.clone())),
            None => None,
        });
        let absolute =
            item.suffix.is_absolute.clone().or(written.and_then(|item| item.suffix.is_absolute.clone()));
        let is_absolute = absolute.as_ref().map(|(is_absolute, _)| *is_absolute);
        let Some((unit, range)) = from_neighbour else {
            let suits =
                |kind: Kind| is_absolute.is_none_or(|wanted| wanted == (kind == Kind::AbsolutePressure));
            let bare = kinds
                .iter()
                .filter(|kind| suits(**kind))
                .find_map(|&kind| Some((self.defaults.unit(kind)?, kind)));
            let number = self.cursor.slice(numeral.range.clone()).to_owned();
            let fault = Fault::MissingUnit { number, wanted: kinds.to_vec() };
            return bare.ok_or(Problem { fault, range: numeral.range.clone() });
        };
        let is_pressure = unit.measures(Kind::GaugePressure);
        if let Some((_, word)) = absolute.clone().filter(|_| !is_pressure) {
            let found = self.cursor.slice(word.clone()).to_owned();
            return Err(Problem { fault: Fault::LeftOver { found }, range: word });
        }
        let gauge_first = [Kind::GaugePressure, Kind::AbsolutePressure];
        let taken = if is_pressure {
            // Gauge is the rule in notebooks; a kind that is absolute by nature needs no word for it.
            gauge_first.into_iter().find(|kind| {
                kinds.contains(kind) && (is_absolute != Some(true) || *kind == Kind::AbsolutePressure)
            })
        } else {
            kinds.iter().copied().find(|&kind| unit.measures(kind))
        };
        match (taken, absolute) {
            (Some(Kind::AbsolutePressure), Some((false, word))) => {
                Err(Problem { fault: Fault::GaugeWhereAbsolute, range: word })
            }
            (Some(kind), _) => Ok((unit, kind)),
            (None, Some((true, word))) if kinds.contains(&Kind::GaugePressure) => {
                Err(Problem { fault: Fault::AbsoluteWhereGauge, range: word })
            }
            (None, _) => Err(self.wrong_kind(numeral, unit, range, kinds)),
        }
    }

    fn wrong_kind(&self, numeral: &Numeral, unit: Unit, range: Range<usize>, wanted: &[Kind]) -> Problem {
        let found = unit.kinds().first().copied().unwrap_or(Kind::Number);
        let number = self.cursor.slice(numeral.range.clone()).to_owned();
        Problem { fault: Fault::WrongKind { number, unit, found, wanted: wanted.to_vec() }, range }
    }
}

/// Why no quantity of this kind can have this value, whatever it belongs to.
fn impossible(quantity: &Quantity) -> Option<Impossible> {
    let below = |least: f64, reason| (quantity.value < least).then_some(reason);
    match quantity.kind {
        Kind::Temperature => (quantity.value <= 0.0).then_some(Impossible::AbsoluteZero),
        Kind::AbsolutePressure => below(0.0, Impossible::BelowVacuum),
        Kind::GaugePressure => below(DEEPEST_VACUUM, Impossible::BelowVacuum),
        Kind::Mass | Kind::Volume | Kind::Area | Kind::Density | Kind::Count | Kind::Teeth | Kind::Links => {
            below(0.0, Impossible::Negative)
        }
        _ => None,
    }
}
