//! What a unit does: it is found by its spelling, and turns numbers into SI and back.

use std::borrow::Cow;
use std::collections::BTreeMap;
use std::sync::LazyLock;

use super::kind::Kind;
use super::table::Unit;

/// Every spelling, and its unit.
struct Spellings {
    /// Short ones, as one number each and sorted: every value that is read asks for one.
    short: Vec<(u64, Unit)>,
    long: BTreeMap<Cow<'static, str>, Unit>,
}

static SPELLINGS: LazyLock<Spellings> = LazyLock::new(|| {
    let all = Unit::ALL.iter().flat_map(|&unit| unit.spellings().map(move |spelling| (spelling, unit)));
    let (mut short, mut long) = (Vec::new(), BTreeMap::new());
    // Lap times and plain numbers have no spelling.
    for (spelling, unit) in all.filter(|(spelling, _)| !spelling.is_empty()) {
        match short_key(&spelling) {
            Some(key) => short.push((key, unit)),
            None => drop(long.insert(spelling, unit)),
        }
    }
    short.sort_unstable();
    short.dedup();
    Spellings { short, long }
});

/// The bytes of a short text as one number, behind a one that keeps texts of other lengths apart; `None` for a long text.
fn short_key(text: &str) -> Option<u64> {
    let is_short = text.len() < size_of::<u64>();
    is_short.then(|| text.bytes().fold(1, |key, byte| key << 8 | u64::from(byte)))
}

impl Unit {
    /// The unit with this spelling, whatever signs of multiplication or raised digits it has.
    ///
    /// Case counts: `Mm` is no millimetre and `nm` no newton metre.
    pub fn from_text(text: &str) -> Option<Self> {
        let found = Self::spelt(text);
        if found.is_some() || is_plain(text) { found } else { Self::spelt(&plain(text)) }
    }

    /// The unit with exactly this spelling, raised digits lowered.
    fn spelt(text: &str) -> Option<Self> {
        match short_key(text) {
            Some(key) => {
                let short = &SPELLINGS.short;
                let at = short.binary_search_by_key(&key, |(key, _)| *key).ok()?;
                short.get(at).map(|(_, unit)| *unit)
            }
            None => SPELLINGS.long.get(text).copied(),
        }
    }

    /// Its spellings, with raised digits lowered.
    fn spellings(self) -> impl Iterator<Item = Cow<'static, str>> {
        let row = self.row();
        [row.symbol, row.one].into_iter().chain(row.aliases.iter().copied()).map(plain)
    }

    /// What it measures; the first one where nothing else is known.
    pub fn kinds(self) -> &'static [Kind] {
        self.row().kinds
    }

    pub fn measures(self, kind: Kind) -> bool {
        self.kinds().contains(&kind)
    }

    /// As it stands behind a number that is not 1; empty for lap times and plain numbers.
    pub fn symbol(self) -> &'static str {
        self.row().symbol
    }

    /// As it stands behind 1.
    pub fn symbol_for_one(self) -> &'static str {
        self.row().one
    }

    /// Where its size comes from.
    pub fn source(self) -> &'static str {
        self.row().source
    }

    /// The decimals to show where no uncertainty decides.
    pub(super) fn decimals(self, kind: Kind, number: f64) -> i32 {
        // A track's length and a sag have the same unit and other decimals.
        let is_far = matches!(self, Self::Metre | Self::Foot) && number.abs() >= 10.0;
        if is_far || kind == Kind::Count { 0 } else { self.row().decimals }
    }

    /// Other spellings, as in the table.
    pub(super) fn aliases(self) -> &'static [&'static str] {
        self.row().aliases
    }

    /// Whether it counts days on the calendar, not hours ridden.
    pub fn counts_days(self) -> bool {
        matches!(self, Self::Day | Self::Week)
    }

    /// Units of weather reports: a pressure in them is the air's own, and absolute without saying so.
    pub(super) fn is_of_the_weather(self) -> bool {
        matches!(self, Self::Hectopascal | Self::Millibar | Self::InchOfMercury | Self::MillimetreOfMercury)
    }

    /// A number of this unit in the SI base unit of the kind.
    ///
    /// **Source** factors: see [`Unit::source`].
    pub fn to_si(self, kind: Kind, number: f64) -> f64 {
        let row = self.row();
        (number + self.zero(kind)) * row.times / row.over
    }

    /// A value in the SI base unit of the kind as a number of this unit.
    pub fn from_si(self, kind: Kind, value: f64) -> f64 {
        let row = self.row();
        value * row.over / row.times - self.zero(kind)
    }

    /// A width or difference in this unit, in the SI base unit: the unit's zero plays no part.
    pub fn width_to_si(self, width: f64) -> f64 {
        let row = self.row();
        width * row.times / row.over
    }

    /// A width or difference in the SI base unit, as a number of this unit.
    pub fn width_from_si(self, width: f64) -> f64 {
        let row = self.row();
        width * row.over / row.times
    }

    fn zero(self, kind: Kind) -> f64 {
        if kind == Kind::TemperatureDifference { 0.0 } else { self.row().zero }
    }
}

/// Whether a unit's text has no variants of spelling.
fn is_plain(text: &str) -> bool {
    text.bytes().all(|byte| byte.is_ascii_alphanumeric() || matches!(byte, b'/' | b'%'))
}

/// A unit's text without variants of spelling.
fn plain(text: &str) -> Cow<'_, str> {
    if is_plain(text) {
        return Cow::Borrowed(text);
    }
    let mut plain = String::with_capacity(text.len());
    let mut gap = false;
    for letter in text.trim().chars() {
        match letter {
            '·' | '⋅' | '∙' | '*' | '×' | '-' => gap = true,
            '^' => {}
            letter if letter.is_whitespace() => gap = true,
            letter => {
                // `N / mm` is `N/mm`, and `° C` is `°C`.
                let binds = letter == '/' || plain.is_empty() || plain.ends_with(['/', '°']);
                if gap && !binds {
                    plain.push('·');
                }
                gap = false;
                plain.push(match letter {
                    '²' => '2',
                    '³' => '3',
                    'º' | '˚' => '°',
                    letter => letter,
                });
            }
        }
    }
    Cow::Owned(plain)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn no_two_units_are_written_alike() {
        let mut seen = std::collections::BTreeMap::new();
        for &unit in Unit::ALL {
            let mut spellings: Vec<_> = unit.spellings().filter(|text| !text.is_empty()).collect();
            spellings.sort();
            spellings.dedup();
            for spelling in spellings {
                let other = seen.insert(spelling.clone(), unit);
                assert_eq!(other, None, "{spelling} is {unit:?} too");
            }
            assert!(!unit.source().is_empty());
        }
    }

    #[test]
    fn a_unit_is_known_however_it_is_written() {
        for text in ["N·m", "N m", "Nm", "N*m", "N-m"] {
            assert_eq!(Unit::from_text(text), Some(Unit::NewtonMetre), "{text}");
        }
        for text in ["kg/m3", "kg/m³", "kg/m^3", "kg / m3"] {
            assert_eq!(Unit::from_text(text), Some(Unit::KilogramPerCubicMetre), "{text}");
        }
        assert_eq!(Unit::from_text("lbf ft"), Some(Unit::PoundForceFoot));
        assert_eq!(Unit::from_text("º"), Some(Unit::Degree));
        assert_eq!(Unit::from_text(""), None);
        assert_eq!(Unit::from_text("Mm"), None);
    }

    #[test]
    fn a_difference_of_temperatures_has_no_zero() {
        assert_eq!(Unit::Celsius.to_si(Kind::Temperature, 9.0), 282.15);
        assert_eq!(Unit::Celsius.to_si(Kind::TemperatureDifference, 9.0), 9.0);
        assert_eq!(Unit::Fahrenheit.from_si(Kind::TemperatureDifference, 5.0), 9.0);
    }

    #[test]
    fn every_kind_has_its_usual_unit() {
        for kind in Kind::ALL {
            assert!(kind.usual_unit().measures(kind), "{kind:?}");
        }
    }
}
