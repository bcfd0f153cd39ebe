//! Numbers with units, ranges and what stands between them, one after the other.

use super::super::Quantity;
use super::super::choice::UnitDefaults;
use super::super::kind::Kind;
use super::super::numeral::{Cursor, Numeral, is_dash, starts_with_digit};
use super::super::problem::{Fault, Impossible, Problem};
use super::super::suffix::Suffix;
use super::super::table::Unit;
use std::ops::Range;

use super::{DEEPEST_VACUUM, unknown_unit};

/// Room for the repeats of a reading and for the laps of most stints.
const USUAL_ITEMS: usize = 6;

/// A number and what stands behind it.
#[derive(Debug, Clone)]
pub(super) struct Item {
    pub numeral: Numeral,
    /// Boxed, since hardly any value has one.
    pub plus_minus: Option<Box<(Numeral, Suffix)>>,
    pub suffix: Suffix,
    pub range: Range<usize>,
}

impl Item {
    /// Whether its neighbours may take their unit from it.
    pub fn gives_unit(&self) -> bool {
        self.suffix.unit.is_some() || self.numeral.is_clock
    }
}

pub(super) struct Parser<'a> {
    pub cursor: Cursor<'a>,
    pub kinds: &'a [Kind],
    pub defaults: &'a UnitDefaults,
}

impl<'a> Parser<'a> {
    pub fn new(text: &'a str, kinds: &'a [Kind], defaults: &'a UnitDefaults) -> Self {
        Self { cursor: Cursor::new(text), kinds, defaults }
    }

    pub fn empty(&self) -> Problem {
        Problem { fault: Fault::Empty { wanted: self.kinds.to_vec() }, range: 0..self.cursor.text.len() }
    }

    /// What is at the cursor and should not be.
    pub fn stray(&self, is_behind_a_value: bool) -> Problem {
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

    pub fn is_at_dots(&self) -> bool {
        self.cursor.starts_with("..") || self.cursor.starts_with("…")
    }

    pub fn take_dots(&mut self) -> bool {
        self.cursor.take("...") || self.cursor.take("..") || self.cursor.take("…")
    }

    /// The only value of a text; `None`, and nothing taken, where it has another number of them.
    pub fn only_item(&mut self) -> Result<Option<Item>, Problem> {
        let start = self.cursor.clone();
        self.cursor.skip_space();
        let item = if self.is_at_dots() { None } else { self.item()? };
        self.cursor.skip_space();
        if item.is_some() && self.cursor.is_at_end() {
            return Ok(item);
        }
        self.cursor = start;
        Ok(None)
    }

    /// All values up to the end of the text.
    pub fn items(&mut self) -> Result<Vec<Item>, Problem> {
        let mut items = Vec::with_capacity(USUAL_ITEMS);
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
    pub fn item(&mut self) -> Result<Option<Item>, Problem> {
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
            plus_minus = Some(Box::new((spread, behind)));
            self.cursor = ahead;
        }
        if end > numeral.range.end {
            self.refuse_dash(&numeral)?;
        }
        let range = numeral.range.start..end;
        Ok(Some(Item { numeral, plus_minus, suffix, range }))
    }

    /// `150-154` may be a range, a difference or a slip: this asks rather than guesses.
    pub fn refuse_dash(&self, numeral: &Numeral) -> Result<(), Problem> {
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
    pub fn resolve(
        &self,
        item: &Item,
        neighbour: Option<&Item>,
        kinds: &[Kind],
    ) -> Result<Quantity, Problem> {
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
            Some(written) => Some(self.spread(&written.0, &written.1, unit, kind)?),
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

    pub fn refuse_words(&self, suffix: &Suffix) -> Result<(), Problem> {
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
    pub fn spread(&self, spread: &Numeral, behind: &Suffix, unit: Unit, kind: Kind) -> Result<f64, Problem> {
        self.refuse_words(behind)?;
        match &behind.unit {
            None => Ok(unit.width_to_si(spread.size)),
            Some((own, _)) if own.measures(kind) => Ok(own.width_to_si(spread.size)),
            Some((own, range)) => Err(self.wrong_kind(spread, *own, range.clone(), &[kind])),
        }
    }

    pub fn unit_and_kind(
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
            return bare.ok_or_else(|| {
                let number = self.cursor.slice(numeral.range.clone()).to_owned();
                let fault = Fault::MissingUnit { number, wanted: kinds.to_vec() };
                Problem { fault, range: numeral.range.clone() }
            });
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

    pub fn wrong_kind(&self, numeral: &Numeral, unit: Unit, range: Range<usize>, wanted: &[Kind]) -> Problem {
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
