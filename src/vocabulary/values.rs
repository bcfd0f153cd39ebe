//! Values of a notebook: what they mean, and the place where they were written.

use std::sync::Arc;

use jiff::civil::{Date, Time};

use std::ops::Deref;

use crate::quantity::{Amount, Kind, Quantity, Unit, Way};
use crate::source::Span;

use super::{Named, Setting};

/// A quantity and its place.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Given {
    pub quantity: Quantity,
    pub span: Span,
}

impl Given {
    /// In the SI base unit of its kind.
    pub fn value(&self) -> f64 {
        self.quantity.value
    }
}

/// One quantity or several: repeats of a reading, or a list of rates, jets, teeth, laps.
#[derive(Debug, Clone, PartialEq)]
pub struct Readings {
    pub values: Vec<Given>,
    /// The text as written. It identifies the reading, whose place changes when prose is added.
    pub written: String,
    pub span: Span,
}

impl Readings {
    /// The mean, in the SI base unit; `None` where no value could be read.
    pub fn mean(&self) -> Option<f64> {
        let sum: f64 = self.values.iter().map(Given::value).sum();
        (!self.values.is_empty()).then(|| sum / self.values.len() as f64)
    }
}

/// Text and its place.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Written {
    pub text: String,
    pub span: Span,
}

/// Several texts; a single one counts as a list of one.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Texts {
    pub values: Vec<Written>,
    pub span: Span,
}

/// A range, either end open.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Bounds {
    pub low: Option<Quantity>,
    pub high: Option<Quantity>,
    pub span: Span,
}

impl Bounds {
    /// Whether a value in SI base units is inside, ends included. Half a thousandth of an end's last digit is
    /// allowed, so that 106.0 mm written in inches is still 106 mm.
    pub fn contain(&self, value: f64) -> bool {
        let [low, high] = self.edges();
        low.is_none_or(|low| value >= low) && high.is_none_or(|high| value <= high)
    }

    /// The smallest and the largest value that count as inside.
    pub fn edges(&self) -> [Option<f64>; 2] {
        let slack = |end: Quantity| end.last_digit * 5e-4;
        [self.low.map(|low| low.value - slack(low)), self.high.map(|high| high.value + slack(high))]
    }

    /// The end that a value is past, as written; `None` where it is inside.
    pub fn end_past(&self, value: f64) -> Option<Quantity> {
        let is_below = self.low.is_some_and(|low| value < low.value);
        (if is_below { self.low } else { self.high }).filter(|_| !self.contain(value))
    }

    /// How far a value is outside; `None` where it is inside.
    pub fn past(&self, value: f64) -> Option<f64> {
        if self.contain(value) {
            return None;
        }
        let below = self.low.map(|low| low.value - value).filter(|off| *off > 0.0);
        below.or(self.high.map(|high| value - high.value))
    }
}

/// A truth value and its place.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Truth {
    pub value: bool,
    pub span: Span,
}

/// A date and its place.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Dated {
    pub date: Date,
    pub span: Span,
}

/// A time of day and its place.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct TimeOfDay {
    pub time: Time,
    pub span: Span,
}

/// A leverage (wheel travel over shock stroke) as written.
#[derive(Debug, Clone, PartialEq)]
pub struct Leverage {
    pub form: LeverageForm,
    pub span: Span,
}

/// The form that a leverage is written in.
#[derive(Debug, Clone, PartialEq)]
pub enum LeverageForm {
    Constant(f64),
    /// At full extension and at full travel.
    Linear(f64, f64),
    /// Wheel travel and shock stroke in m, in the order of the rows, by rising travel.
    Table(Vec<(f64, f64)>),
}

/// Lap times, or their file.
#[derive(Debug, Clone, PartialEq)]
pub enum Laps {
    Times(Readings),
    File(Written),
}

impl Laps {
    pub fn span(&self) -> Span {
        match self {
            Self::Times(times) => times.span,
            Self::File(path) => path.span,
        }
    }
}

/// Days or hours ridden from one to the next, or every ride.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Interval {
    pub length: IntervalLength,
    pub span: Span,
}

/// What an interval counts.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum IntervalLength {
    Days(f64),
    /// In s.
    Ridden(f64),
    /// Before every ride.
    EachRide,
}

/// When something was last done.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum LastDone {
    On(Dated),
    /// In s on the meter.
    At(Given),
}

/// What a band wants of a figure, reading or setting.
#[derive(Debug, Clone, PartialEq)]
pub struct Band {
    pub name: Named,
    pub name_span: Span,
    pub aim: Option<Given>,
    pub within: Option<Bounds>,
    /// For readings that are words.
    pub want: Option<Written>,
    pub recheck: Option<Interval>,
    /// Why a value outside it is not reported.
    pub accepted: Option<Written>,
    pub span: Span,
}

/// The maker's limit on a figure, reading or setting.
#[derive(Debug, Clone, PartialEq)]
pub struct Limit {
    pub name: Named,
    pub name_span: Span,
    pub bounds: LimitBounds,
    pub span: Span,
}

/// What a limit allows.
#[derive(Debug, Clone, PartialEq)]
pub enum LimitBounds {
    Range(Bounds),
    /// Exactly one value.
    Exactly(Given),
    Word(Written),
}

/// A setting and the value written for it.
#[derive(Debug, Clone, PartialEq)]
pub struct Assignment {
    pub name: Setting,
    pub name_span: Span,
    pub value: Assigned,
    pub span: Span,
}

/// What a setting is set to.
#[derive(Debug, Clone, PartialEq)]
pub enum Assigned {
    Amount(Amount),
    Word(String),
}

impl Assignment {
    /// The step, where one is written.
    pub fn by(&self) -> Option<(Quantity, Way)> {
        match self.value {
            Assigned::Amount(Amount::By(size, way)) => Some((size, way)),
            _ => None,
        }
    }
}

/// A pressure reading of a chamber or tyre, under the setting's name.
#[derive(Debug, Clone, PartialEq)]
pub struct PressureReading {
    pub name: Setting,
    pub name_span: Span,
    pub readings: Arc<Readings>,
}

/// How many clicks or turns an adjuster has.
#[derive(Debug, Clone, PartialEq)]
pub struct AdjusterRange {
    pub name: Setting,
    pub name_span: Span,
    pub range: Given,
}

/// Something that is serviced.
#[derive(Debug, Clone, PartialEq)]
pub struct Service {
    pub name: String,
    pub name_span: Span,
    pub every: Option<Interval>,
    pub last: Option<LastDone>,
    pub span: Span,
}

/// A fastener and its torque.
#[derive(Debug, Clone, PartialEq)]
pub struct Fastener {
    pub name: String,
    pub name_span: Span,
    pub torque: Given,
}

/// The unit that a book or a rider wants for a kind of quantity.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct UnitChoice {
    pub kind: Kind,
    pub unit: Unit,
    pub span: Span,
}

/// A tape, a gauge, a scale, a thermometer: how well it reads.
#[derive(Debug, Clone, PartialEq)]
pub struct Instrument {
    pub name: String,
    pub name_span: Span,
    /// Its smallest division.
    pub resolution: Option<Given>,
    /// The error common to all its readings is at most this, either way.
    pub bias: Option<Given>,
    /// The standard deviation of one reading, known from long use.
    pub repeatability: Option<Given>,
    pub calibrated: Option<Dated>,
    /// The volume of a gauge's hose.
    pub hose: Option<Given>,
}

/// The entries of a block that takes keys beyond those it lists. Most blocks have none, and a book keeps thousands.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Others(Option<Box<Entries>>);

impl Others {
    pub fn of(entries: Entries) -> Self {
        Self((entries != Entries::default()).then(|| Box::new(entries.shrunk())))
    }
}

impl Deref for Others {
    type Target = Entries;

    fn deref(&self) -> &Entries {
        static NONE: Entries = Entries::NONE;
        self.0.as_deref().unwrap_or(&NONE)
    }
}

/// Entries, by kind.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Entries {
    pub settings: Vec<Assignment>,
    pub adjusters: Vec<AdjusterRange>,
    pub limits: Vec<Limit>,
    pub bands: Vec<Band>,
    pub pressures: Vec<PressureReading>,
    pub found: Vec<PressureReading>,
    /// Hot, straight off the track.
    pub after_ride: Vec<PressureReading>,
    pub services: Vec<Service>,
    pub torques: Vec<Fastener>,
    pub instruments: Vec<Instrument>,
    pub units: Vec<UnitChoice>,
}

impl Entries {
    const NONE: Self = Self {
        settings: Vec::new(),
        adjusters: Vec::new(),
        limits: Vec::new(),
        bands: Vec::new(),
        pressures: Vec::new(),
        found: Vec::new(),
        after_ride: Vec::new(),
        services: Vec::new(),
        torques: Vec::new(),
        instruments: Vec::new(),
        units: Vec::new(),
    };

    /// Without spare room: days are kept by the thousand.
    fn shrunk(mut self) -> Self {
        self.settings.shrink_to_fit();
        for pressures in [&mut self.pressures, &mut self.found, &mut self.after_ride] {
            pressures.shrink_to_fit();
        }
        self.bands.shrink_to_fit();
        self
    }
}
