//! Kinds of quantity: what a number is a number of.
//!
//! A kind sits above the dimension: gauge and absolute pressure, a temperature and a difference of
//! temperatures share a dimension and are still not the same thing.

/// What a number is a number of.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Kind {
    Length,
    Mass,
    Force,
    Torque,
    /// Over the surrounding air; notebooks speak gauge.
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
