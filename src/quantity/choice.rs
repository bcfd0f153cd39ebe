//! The units that a book or a rider chose, to show values in and for bare numbers; and the language that goes
//! with them.

use std::collections::BTreeMap;

use crate::speech::{Part, Tongue};

use super::kind::Kind;
use super::table::Unit;

/// How values are shown to a reader: in the units that a book or a rider chose, else the usual ones, and in the
/// reader's language.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Units {
    chosen: BTreeMap<Kind, Unit>,
    /// `None` where nobody chose a language.
    tongue: Option<Tongue>,
}

static ENGLISH: Tongue = Tongue::ENGLISH;

/// The units of bare numbers: those that the book chose, and no others.
///
/// Kept apart from [`Units`]: a rider's own units are for showing, and never change what a number in a notebook
/// means.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct UnitDefaults {
    chosen: BTreeMap<Kind, Unit>,
}

impl Units {
    /// Chooses a unit for a kind; does nothing where the unit does not measure it.
    pub fn set(&mut self, kind: Kind, unit: Unit) {
        if unit.measures(kind) {
            self.chosen.insert(kind, unit);
        }
    }

    /// The unit that somebody chose for a kind.
    pub fn chosen(&self, kind: Kind) -> Option<Unit> {
        let kind = if kind == Kind::TemperatureDifference { Kind::Temperature } else { kind };
        self.chosen.get(&kind).copied()
    }

    /// These units, replaced where the other ones choose.
    #[must_use]
    pub fn overlaid(&self, over: &Self) -> Self {
        let mut chosen = self.chosen.clone();
        chosen.extend(&over.chosen);
        Self { chosen, tongue: over.tongue.as_ref().or(self.tongue.as_ref()).cloned() }
    }

    /// Chooses a language.
    pub fn speak(&mut self, tongue: Tongue) {
        self.tongue = Some(tongue);
    }

    /// The reader's language.
    pub fn tongue(&self) -> &Tongue {
        self.tongue.as_ref().unwrap_or(&ENGLISH)
    }

    /// The same units with the words and decimal points of notebooks, which programs read as well.
    #[must_use]
    pub fn plain(&self) -> Self {
        Self { chosen: self.chosen.clone(), tongue: None }
    }

    /// A message, or anything that can stand in one, in the reader's language.
    pub fn say(&self, said: &(impl Part + ?Sized)) -> String {
        self.tongue().say(&said.part())
    }

    /// Words of a table or a file, where the reader's language has them.
    pub fn word(&self, word: &str) -> String {
        self.tongue().word(word)
    }

    /// The unit for a value in the SI base unit: the chosen or usual one, or the next larger where nobody would
    /// use the small one.
    pub(super) fn unit_for(&self, kind: Kind, value: f64) -> Unit {
        let is_far = value.abs() >= 10.0;
        match (kind, self.chosen(kind)) {
            (Kind::Length, Some(Unit::Inch)) if is_far => Unit::Foot,
            (Kind::Length, None | Some(Unit::Millimetre | Unit::Centimetre)) if is_far => Unit::Metre,
            // Laps, hours ridden and days each have a unit of their own, whatever bare numbers mean.
            (Kind::Time, _) => match value.abs() {
                seconds if seconds < 60.0 => Unit::Second,
                seconds if seconds < 3600.0 => Unit::LapTime,
                _ => Unit::Hour,
            },
            (_, Some(unit)) => unit,
            (_, None) => kind.usual_unit(),
        }
    }
}

impl UnitDefaults {
    /// Bare numbers are seconds, as in lap files.
    pub fn seconds() -> Self {
        Self { chosen: BTreeMap::from([(Kind::Time, Unit::Second)]) }
    }

    /// The unit of a bare number of a kind, if it has one.
    pub fn unit(&self, kind: Kind) -> Option<Unit> {
        self.chosen.get(&kind).copied().or(kind.bare_unit())
    }
}

impl From<&Units> for UnitDefaults {
    fn from(units: &Units) -> Self {
        Self { chosen: units.chosen.clone() }
    }
}
