//! The unit table: every unit that a notebook may use, as data.
//!
//! One row a unit: what it measures, how it is shown, how else it may be written, its size, and the source. A
//! new unit needs only a row.
//!
//! Sources: *SI* is the SI Brochure (BIPM, 9th edition, 2019). *SP 811* is NIST Special Publication 811 (2008),
//! appendix B.8, whose factors in bold type are exact by definition. A unit that counts things has no source
//! but its meaning.

use super::kind::Kind::{self, *};

/// One row of the table. A number of the unit is `(number + zero) · times / over` in the SI base unit.
///
/// Two numbers instead of one factor: dividing by 1000 rounds once, multiplying by 0.001 twice.
#[derive(Debug)]
pub(super) struct Row {
    /// What it measures; the first one where nothing else is known.
    pub kinds: &'static [Kind],
    /// As it is shown behind a number.
    pub symbol: &'static str,
    /// As it is shown behind 1.
    pub one: &'static str,
    /// Other spellings, with `·` for any sign of multiplication or space within.
    pub aliases: &'static [&'static str],
    /// The distance from the unit's zero to the zero of the SI unit, in the unit itself.
    pub zero: f64,
    pub times: f64,
    pub over: f64,
    /// The decimals to show where no uncertainty decides.
    pub decimals: i32,
    /// Where the size comes from.
    pub source: &'static str,
}

/// N: the avoirdupois pound (0.453 592 37 kg) times standard gravity (9.806 65 m/s²). SP 811.
const POUND_FORCE: f64 = 4.448_221_615_260_5;
/// m. SP 811.
const INCH: f64 = 0.0254;
/// m. SP 811.
const FOOT: f64 = 0.3048;
/// kg. SP 811.
const POUND: f64 = 0.453_592_37;
/// m/s², standard, exact. SP 811.
const GRAVITY: f64 = 9.806_65;

macro_rules! units {
    ($($(#[$doc:meta])* $name:ident $kinds:tt, $symbol:literal / $one:literal, $aliases:tt, $zero:expr, $times:expr, $over:expr, $decimals:literal, $source:literal;)*) => {
        /// A unit of the unit table.
        #[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
        pub enum Unit {
            $($(#[$doc])* $name,)*
        }

        impl Unit {
            /// Every unit, in the order of the table.
            pub const ALL: &'static [Unit] = &[$(Unit::$name,)*];

            pub(super) fn row(self) -> &'static Row {
                match self {
                    $(Unit::$name => {
                        static ROW: Row = Row {
                            kinds: &$kinds,
                            symbol: $symbol,
                            one: $one,
                            aliases: &$aliases,
                            zero: $zero,
                            times: $times,
                            over: $over,
                            decimals: $decimals,
                            source: $source,
                        };
                        &ROW
                    })*
                }
            }
        }
    };
}

units! {
    // unit and what it measures, symbol / behind 1, also written,
    //     zero, times, over, decimals, source
    Millimetre [Length], "mm" / "mm", ["millimetre", "millimetres", "millimeter", "millimeters"],
        0.0, 1.0, 1000.0, 1, "SI";
    Centimetre [Length], "cm" / "cm", ["centimetre", "centimetres", "centimeter", "centimeters"],
        0.0, 1.0, 100.0, 2, "SI";
    Metre [Length], "m" / "m", ["metre", "metres", "meter", "meters"],
        0.0, 1.0, 1.0, 3, "SI";
    Kilometre [Length], "km" / "km", ["kilometre", "kilometres", "kilometer", "kilometers"],
        0.0, 1000.0, 1.0, 2, "SI";
    Inch [Length], "in" / "in", ["inch", "inches", "\"", "″"],
        0.0, INCH, 1.0, 2, "SP 811";
    Foot [Length], "ft" / "ft", ["foot", "feet", "'", "′"],
        0.0, FOOT, 1.0, 2, "SP 811";
    Mile [Length], "mi" / "mi", ["mile", "miles"],
        0.0, 1609.344, 1.0, 2, "SP 811";

    Kilogram [Mass], "kg" / "kg", ["kilogram", "kilograms", "kilo", "kilos"],
        0.0, 1.0, 1.0, 1, "SI";
    Gram [Mass], "g" / "g", ["gram", "grams"],
        0.0, 1.0, 1000.0, 0, "SI";
    Pound [Mass], "lb" / "lb", ["lbs", "pound", "pounds"],
        0.0, POUND, 1.0, 1, "SP 811";

    Newton [Force], "N" / "N", ["newton", "newtons"],
        0.0, 1.0, 1.0, 0, "SI";
    KilogramForce [Force], "kgf" / "kgf", ["kp"],
        0.0, GRAVITY, 1.0, 1, "SP 811";
    PoundForce [Force], "lbf" / "lbf", [],
        0.0, POUND_FORCE, 1.0, 1, "SP 811";

    NewtonMetre [Torque], "N·m" / "N·m", ["Nm"],
        0.0, 1.0, 1.0, 1, "SI";
    KilogramForceMetre [Torque], "kgf·m" / "kgf·m", ["kgfm", "kg·m", "kgm", "m·kgf"],
        0.0, GRAVITY, 1.0, 2, "SP 811";
    PoundForceFoot [Torque], "lbf·ft" / "lbf·ft", ["ft·lbf", "lb·ft", "ft·lb", "ft·lbs"],
        0.0, POUND_FORCE * FOOT, 1.0, 1, "SP 811";
    PoundForceInch [Torque], "lbf·in" / "lbf·in", ["in·lbf", "lb·in", "in·lb", "in·lbs"],
        0.0, POUND_FORCE * INCH, 1.0, 0, "SP 811";

    Psi [GaugePressure, AbsolutePressure], "psi" / "psi", ["PSI", "Psi", "lbf/in2", "lb/in2"],
        0.0, POUND_FORCE, INCH * INCH, 1, "SP 811";
    Bar [GaugePressure, AbsolutePressure], "bar" / "bar", ["Bar", "BAR", "bars"],
        0.0, 1e5, 1.0, 2, "SP 811";
    Kilopascal [GaugePressure, AbsolutePressure], "kPa" / "kPa", ["KPa", "kpa"],
        0.0, 1e3, 1.0, 1, "SI";
    Megapascal [GaugePressure, AbsolutePressure], "MPa" / "MPa", ["mpa"],
        0.0, 1e6, 1.0, 3, "SI";
    KilogramForcePerSquareCentimetre [GaugePressure, AbsolutePressure], "kgf/cm²" / "kgf/cm²", ["kg/cm²", "kp/cm²"],
        0.0, GRAVITY * 1e4, 1.0, 2, "SP 811";
    Pascal [GaugePressure, AbsolutePressure], "Pa" / "Pa", ["pascal", "pascals"],
        0.0, 1.0, 1.0, 0, "SI";
    Hectopascal [AbsolutePressure, GaugePressure], "hPa" / "hPa", ["hpa"],
        0.0, 100.0, 1.0, 1, "SI";
    Millibar [AbsolutePressure, GaugePressure], "mbar" / "mbar", ["mb", "millibar", "millibars"],
        0.0, 100.0, 1.0, 1, "SP 811";
    InchOfMercury [AbsolutePressure, GaugePressure], "inHg" / "inHg", ["in·Hg"],
        0.0, 3386.389, 1.0, 2, "SP 811, inch of mercury, conventional";
    MillimetreOfMercury [AbsolutePressure, GaugePressure], "mmHg" / "mmHg", ["mm·Hg"],
        0.0, 133.322_4, 1.0, 1, "SP 811, millimetre of mercury, conventional";

    Celsius [Temperature, TemperatureDifference], "°C" / "°C", ["C", "℃", "degC", "deg·C"],
        273.15, 1.0, 1.0, 1, "SI";
    Fahrenheit [Temperature, TemperatureDifference], "°F" / "°F", ["F", "℉", "degF", "deg·F"],
        459.67, 5.0, 9.0, 1, "SP 811";
    Kelvin [Temperature, TemperatureDifference], "K" / "K", ["kelvin"],
        0.0, 1.0, 1.0, 1, "SI";

    Degree [Angle], "°" / "°", ["deg", "degree", "degrees"],
        0.0, std::f64::consts::PI, 180.0, 2, "SI";
    Radian [Angle], "rad" / "rad", ["radian", "radians"],
        0.0, 1.0, 1.0, 4, "SI";

    NewtonPerMillimetre [Rate], "N/mm" / "N/mm", [],
        0.0, 1000.0, 1.0, 2, "SI";
    NewtonPerMetre [Rate], "N/m" / "N/m", [],
        0.0, 1.0, 1.0, 0, "SI";
    KilogramForcePerMillimetre [Rate], "kgf/mm" / "kgf/mm", ["kg/mm"],
        0.0, GRAVITY * 1000.0, 1.0, 3, "SP 811";
    PoundForcePerInch [Rate], "lbf/in" / "lbf/in", ["lb/in", "lbs/in"],
        0.0, POUND_FORCE, INCH, 1, "SP 811";

    CubicCentimetre [Volume], "cm³" / "cm³", ["cc", "ccm"],
        0.0, 1.0, 1e6, 1, "SI";
    Millilitre [Volume], "ml" / "ml", ["mL", "millilitre", "millilitres", "milliliter", "milliliters"],
        0.0, 1.0, 1e6, 0, "SI";
    Litre [Volume], "l" / "l", ["L", "litre", "litres", "liter", "liters"],
        0.0, 1.0, 1000.0, 2, "SI";
    CubicMetre [Volume], "m³" / "m³", [],
        0.0, 1.0, 1.0, 6, "SI";

    SquareMillimetre [Area], "mm²" / "mm²", [],
        0.0, 1.0, 1e6, 0, "SI";
    SquareCentimetre [Area], "cm²" / "cm²", [],
        0.0, 1.0, 1e4, 2, "SI";
    SquareInch [Area], "in²" / "in²", ["sq·in"],
        0.0, INCH * INCH, 1.0, 3, "SP 811";
    SquareMetre [Area], "m²" / "m²", [],
        0.0, 1.0, 1.0, 6, "SI";

    Second [Time], "s" / "s", ["sec", "secs", "second", "seconds"],
        0.0, 1.0, 1.0, 2, "SI";
    Minute [Time], "min" / "min", ["mins", "minute", "minutes"],
        0.0, 60.0, 1.0, 1, "SI";
    Hour [Time], "h" / "h", ["hr", "hrs", "hour", "hours"],
        0.0, 3600.0, 1.0, 1, "SI";
    Day [Time], "days" / "day", ["d"],
        0.0, 86_400.0, 1.0, 1, "SI";
    Week [Time], "weeks" / "week", [],
        0.0, 604_800.0, 1.0, 1, "seven days";
    /// Minutes and seconds of a lap, `2:04.1`: no symbol, and a form of its own.
    LapTime [Time], "" / "", [],
        0.0, 1.0, 1.0, 1, "SI";

    Percent [Share], "%" / "%", ["percent", "per·cent"],
        0.0, 1.0, 100.0, 1, "a hundredth";
    /// A number without a unit.
    One [Number, Count, Share], "" / "", [],
        0.0, 1.0, 1.0, 3, "no unit";
    Click [Clicks], "clicks" / "click", [],
        0.0, 1.0, 1.0, 0, "one detent of an adjuster";
    Turn [Turns], "turns" / "turn", [],
        0.0, 1.0, 1.0, 2, "once round";
    Tooth [Teeth], "teeth" / "tooth", ["T", "t"],
        0.0, 1.0, 1.0, 0, "one tooth of a sprocket";
    Link [Links], "links" / "link", [],
        0.0, 1.0, 1.0, 1, "one pitch of a chain";

    RevolutionPerMinute [EngineSpeed], "rpm" / "rpm", ["RPM", "1/min", "r/min", "rev/min"],
        0.0, 1.0, 60.0, 0, "SP 811";
    MetrePerSecond [Speed], "m/s" / "m/s", [],
        0.0, 1.0, 1.0, 1, "SI";
    KilometrePerHour [Speed], "km/h" / "km/h", ["kmh", "kph"],
        0.0, 1.0, 3.6, 1, "SP 811";
    MilePerHour [Speed], "mph" / "mph", ["mi/h"],
        0.0, 0.447_04, 1.0, 1, "SP 811";
    KilogramPerCubicMetre [Density], "kg/m³" / "kg/m³", [],
        0.0, 1.0, 1.0, 3, "SI";
    PoundPerCubicFoot [Density], "lb/ft³" / "lb/ft³", [],
        0.0, POUND, FOOT * FOOT * FOOT, 4, "SP 811";
    Hertz [Frequency], "Hz" / "Hz", ["hz", "1/s"],
        0.0, 1.0, 1.0, 2, "SI";
    Joule [Energy], "J" / "J", ["joule", "joules"],
        0.0, 1.0, 1.0, 0, "SI";
}
