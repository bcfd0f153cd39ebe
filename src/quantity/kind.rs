//! Kinds of quantity: what a number is a number of.
//!
//! A kind is more than a dimension. Gauge and absolute pressure share a dimension, and so do a temperature and
//! a difference of temperatures; yet they are not the same.

use crate::speech::{Message, Part};

use super::table::Unit;

/// What a number is a number of.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Kind {
    Length,
    Mass,
    Force,
    Torque,
    /// Above the surrounding air; notebooks are written in gauge pressure.
    GaugePressure,
    AbsolutePressure,
    Temperature,
    TemperatureDifference,
    Angle,
    /// Force per length: springs, wheels.
    Rate,
    Volume,
    Area,
    Time,
    /// A percentage or a fraction, held as a fraction.
    Share,
    /// A whole number of things.
    Count,
    Clicks,
    Turns,
    Teeth,
    Links,
    /// Revolutions per minute, held in 1/s.
    EngineSpeed,
    Speed,
    Density,
    Frequency,
    Energy,
    /// A number without a unit.
    Number,
}

/// The words and units of one kind.
struct Words {
    /// With its article.
    name: &'static str,
    plural: &'static str,
    /// As `[units]` names it.
    word: &'static str,
    /// The name of the SI unit in machine-readable output.
    si_unit: &'static str,
    /// The unit to show it in where nobody chose another.
    usual: Unit,
    /// An example of one.
    example: &'static str,
}

impl Kind {
    /// Every kind.
    pub const ALL: [Self; 25] = [
        Self::Length,
        Self::Mass,
        Self::Force,
        Self::Torque,
        Self::GaugePressure,
        Self::AbsolutePressure,
        Self::Temperature,
        Self::TemperatureDifference,
        Self::Angle,
        Self::Rate,
        Self::Volume,
        Self::Area,
        Self::Time,
        Self::Share,
        Self::Count,
        Self::Clicks,
        Self::Turns,
        Self::Teeth,
        Self::Links,
        Self::EngineSpeed,
        Self::Speed,
        Self::Density,
        Self::Frequency,
        Self::Energy,
        Self::Number,
    ];

    #[rustfmt::skip]
    fn words(self) -> Words {
        let (name, plural, word, si_unit, usual, example) = match self {
            Self::Length => ("a length", "lengths", "length", "m", Unit::Millimetre, "105 mm"),
            Self::Mass => ("a mass", "masses", "mass", "kg", Unit::Kilogram, "78 kg"),
            Self::Force => ("a force", "forces", "force", "N", Unit::Newton, "40 N"),
            Self::Torque => ("a torque", "torques", "torque", "N·m", Unit::NewtonMetre, "22 N·m"),
            Self::GaugePressure => ("a gauge pressure", "gauge pressures", "pressure", "Pa", Unit::Psi, "152 psi"),
            Self::AbsolutePressure =>
                ("an absolute pressure", "absolute pressures", "air_pressure", "Pa", Unit::Hectopascal, "1013 hPa"),
            Self::Temperature => ("a temperature", "temperatures", "temperature", "K", Unit::Celsius, "9 °C"),
            Self::TemperatureDifference => (
                "a difference of temperatures", "differences of temperatures", "temperature_difference", "K",
                Unit::Celsius, "9 °C",
            ),
            Self::Angle => ("an angle", "angles", "angle", "rad", Unit::Degree, "26.9°"),
            Self::Rate => ("a rate", "rates", "rate", "N/m", Unit::NewtonPerMillimetre, "5.2 N/mm"),
            Self::Volume => ("a volume", "volumes", "volume", "m³", Unit::CubicCentimetre, "350 ml"),
            Self::Area => ("an area", "areas", "area", "m²", Unit::SquareMillimetre, "8.5 cm²"),
            Self::Time => ("a time", "times", "time", "s", Unit::Second, "30 h"),
            Self::Share => ("a share", "shares", "share", "1", Unit::Percent, "48 %"),
            Self::Count => ("a count", "counts", "count", "1", Unit::One, "2"),
            Self::Clicks => ("a number of clicks", "clicks", "clicks", "click", Unit::Click, "12 clicks"),
            Self::Turns => ("a number of turns", "turns", "turns", "turn", Unit::Turn, "1.5 turns"),
            Self::Teeth => ("a number of teeth", "teeth", "teeth", "tooth", Unit::Tooth, "50"),
            Self::Links => ("a number of links", "links", "links", "link", Unit::Link, "116"),
            Self::EngineSpeed =>
                ("an engine speed", "engine speeds", "engine_speed", "1/s", Unit::RevolutionPerMinute, "11500 rpm"),
            Self::Speed => ("a speed", "speeds", "speed", "m/s", Unit::KilometrePerHour, "62 km/h"),
            Self::Density => ("a density", "densities", "density", "kg/m³", Unit::KilogramPerCubicMetre, "1.2 kg/m³"),
            Self::Frequency => ("a frequency", "frequencies", "frequency", "Hz", Unit::Hertz, "1.6 Hz"),
            Self::Energy => ("an energy", "energies", "energy", "J", Unit::Joule, "450 J"),
            Self::Number => ("a plain number", "plain numbers", "number", "1", Unit::One, "2.6"),
        };
        Words { name, plural, word, si_unit, usual, example }
    }

    /// With its article: `a length`.
    pub fn name(self) -> &'static str {
        self.words().name
    }

    /// `lengths`.
    pub fn plural(self) -> &'static str {
        self.words().plural
    }

    /// As `[units]` names it: `length`, `pressure` (gauge), `air_pressure` (absolute).
    pub fn word(self) -> &'static str {
        self.words().word
    }

    /// The kind that `[units]` calls by this word, where its unit can be chosen.
    pub fn from_word(word: &str) -> Option<Self> {
        // A difference of temperatures is shown in the unit of temperatures.
        let kinds = Self::ALL.into_iter().filter(|&kind| kind != Self::TemperatureDifference);
        kinds.filter(|kind| kind.word() == word).find(|kind| kind.units().count() > 1)
    }

    /// The SI base unit that values of it are held in, as machine-readable output names it.
    pub fn si_unit(self) -> &'static str {
        self.words().si_unit
    }

    /// The unit to show it in where nobody chose another.
    pub fn usual_unit(self) -> Unit {
        self.words().usual
    }

    /// An example of one: `105 mm`.
    pub fn example(self) -> &'static str {
        self.words().example
    }

    /// The units that it may be written in, in the order of the table. This includes lap times and plain
    /// numbers, which have no symbol.
    pub fn units(self) -> impl Iterator<Item = Unit> {
        Unit::ALL.iter().copied().filter(move |unit| unit.measures(self))
    }

    /// The unit of a bare number in every book: counts have none, and a share may be a fraction.
    pub(super) fn bare_unit(self) -> Option<Unit> {
        match self {
            Self::Count | Self::Number | Self::Share => Some(Unit::One),
            Self::Teeth => Some(Unit::Tooth),
            Self::Links => Some(Unit::Link),
            _ => None,
        }
    }

    /// Whether only whole numbers make sense.
    pub fn is_whole(self) -> bool {
        matches!(self, Self::Count | Self::Clicks | Self::Teeth | Self::Links)
    }

    /// Whether a width of this kind, such as an instrument's division, can be a width of the other kind: gauge and
    /// absolute pressures have the same widths.
    pub fn is_width_of(self, other: Self) -> bool {
        let is_pressure = |kind| matches!(kind, Self::GaugePressure | Self::AbsolutePressure);
        self.difference() == other.difference() || (is_pressure(self) && is_pressure(other))
    }

    /// The kind of the difference of two.
    pub fn difference(self) -> Self {
        if self == Self::Temperature { Self::TemperatureDifference } else { self }
    }
}

/// With its article.
impl Part for Kind {
    fn part(&self) -> Message {
        Message::word(self.name())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn each_kind_has_its_own_words_and_an_example_that_is_one() {
        let defaults = crate::quantity::UnitDefaults::default();
        for (place, kind) in Kind::ALL.into_iter().enumerate() {
            let twin = Kind::ALL.into_iter().skip(place + 1).find(|other| other.word() == kind.word());
            assert_eq!(twin, None, "{}", kind.word());
            let example = crate::quantity::quantity(kind.example(), &[kind], &defaults);
            assert_eq!(example.map(|example| example.kind), Ok(kind));
        }
    }

    #[test]
    fn units_can_be_chosen_where_there_is_a_choice() {
        assert_eq!(Kind::from_word("length"), Some(Kind::Length));
        assert_eq!(Kind::from_word("pressure"), Some(Kind::GaugePressure));
        assert_eq!(Kind::from_word("clicks"), None);
        assert_eq!(Kind::from_word("lengths"), None);
    }
}
