//! A pressure as somebody is told to set it: as its gauge can show it, and never past a limit.

use crate::book::{Book, Notebook};
use crate::figures::{Absent, Figure};
use crate::quantity::{self, Kind, Quantity, Shown, UnitDefaults};
use crate::season::{Held, HeldValue, State, is_pressure};
use crate::speech::{Message, say};
use crate::vocabulary::names::{fill, opened};
use crate::vocabulary::{figures, settings};

use super::say::{Said, Say, wanted};

/// No gauge tells finer than this, in its own unit.
const FINEST: f64 = 1e-4;
/// Below this, in Pa, two numbers on a gauge are one.
const SAME: f64 = 1.0;

/// What is told of pressures to pump, at one place of a book.
#[derive(Clone, Copy)]
pub(super) struct Pump<'a> {
    pub say: Say<'a>,
    pub book: &'a Book,
    pub machine: Option<&'a Notebook>,
    pub state: &'a State,
}

/// Said of a chamber with another rider's air in it.
fn no_aim() -> Message {
    say!("no pressure of this rider's on file, and another's air is in it: set it by the manual first")
}

/// What to set: a number, or what to do instead.
pub(super) type ToPump = Result<OnGauge, String>;

/// A number that a gauge is to show.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct OnGauge {
    pub shown: Shown,
    /// The same in Pa, as whoever reads it would set it.
    value: f64,
}

impl OnGauge {
    /// Whether a hand would set the same: a division is thousands of times as much.
    pub fn is_as(&self, other: &Self) -> bool {
        (self.value - other.value).abs() < SAME
    }
}

impl Pump<'_> {
    /// The aim: what the gauge is to show at the track, cold; `None` where nobody has one and nobody is known to have left
    /// air in it. What another rider left in a chamber is never passed over: it would be ridden on.
    pub fn at_track(self, setting: &str) -> Option<ToPump> {
        let known = self.state.pressure(setting);
        let Some(Held { value, .. }) = known.aim else {
            let is_chamber = opened(settings::CHAMBER, setting).is_some();
            return (is_chamber && known.charge.is_some()).then(|| Err(self.say.text(&no_aim())));
        };
        let aim = *value.quantity()?;
        Some(match self.machine.and_then(|machine| machine.pressure_past(setting, aim.value)) {
            None => Ok(self.to_set(setting, &aim)),
            Some(bounds) => {
                let limit = self.say.range(bounds.low, bounds.high);
                Err(self.say.text(&say!("the aim is past the limit of {limit}: set it inside first", limit)))
            }
        })
    }

    /// A figure of the bench, to the nearest division of the gauge that the chamber or tyre is read with; `None` where
    /// something is missing for it.
    pub fn on_bench(self, setting: &str, figure: &Figure) -> Option<ToPump> {
        match (figure.value(), figure.absent()) {
            (Some(value), _) => Some(Ok(self.on_gauge(setting, value))),
            (None, Some(instead @ Absent::Instead(_))) => Some(Err(self.say.text(&wanted(instead)))),
            _ => None,
        }
    }

    /// A pressure (Pa, gauge) to the nearest division of its gauge; where no division is known, with the digits that are
    /// usual.
    fn on_gauge(self, setting: &str, value: f64) -> OnGauge {
        let own = self.state.last_read(setting).and_then(|mark| mark.block.gauge.as_ref());
        let gauge = own.or(self.book.about.gauge.as_ref());
        let gauge = gauge.and_then(|gauge| self.book.instrument(&gauge.text));
        let division = gauge.and_then(|gauge| gauge.resolution).filter(|division| division.value() > 0.0);
        let Some(division) = division else {
            let plain = self.say.units().plain();
            let shown = Say::new(&plain).value(Kind::GaugePressure, value);
            let Some(digits) = read(&shown.to_string()) else {
                return OnGauge { shown: self.say.value(Kind::GaugePressure, value), value };
            };
            return self.to_set(setting, &Quantity { value, ..digits });
        };
        let unit = division.quantity.unit;
        // Half a psi is told as 11.5, not as a fraction.
        let mut digit = 1.0;
        while digit > unit.width_from_si(division.value()) * (1.0 + 1e-9) && digit > FINEST {
            digit /= 10.0;
        }
        let whole = |count: f64| Quantity {
            kind: Kind::GaugePressure,
            value: count * division.value(),
            unit,
            plus_minus: None,
            last_digit: unit.width_to_si(digit),
        };
        let count = (value / division.value()).round();
        let nearest = whole(count);
        let past = self.machine.and_then(|machine| machine.pressure_past(setting, nearest.value));
        let told = match past {
            // Downwards, where the nearest division would be past the limit.
            Some(bounds) if bounds.high.is_some_and(|high| nearest.value > high.value) => whole(count - 1.0),
            Some(_) => whole(count + 1.0),
            None => nearest,
        };
        self.to_set(setting, &told)
    }

    /// A figure of the bench with its uncertainty, as it is told: in digits that are inside the limits as well.
    pub fn told(self, figure: &Figure, told: String) -> String {
        let bench = |of: &str, setting: &str| opened(of, &figure.id).map(|open| fill(setting, open));
        let setting = bench(figures::BENCH_CHAMBER, settings::CHAMBER)
            .or_else(|| bench(figures::BENCH_TYRE, settings::TYRE));
        let plain = self.say.units().plain();
        let read = Say::new(&plain).told(figure).and_then(|told| read(&told));
        match (setting, read) {
            (Some(setting), Some(read)) if self.is_past(&setting, read.value) => {
                self.inside(&setting, &read).to_string()
            }
            _ => told,
        }
    }

    /// A setting as it is told; a pressure that is inside its limits in digits that are inside as well.
    pub fn setting(self, name: &str, value: &HeldValue) -> Said {
        match value.quantity() {
            Some(pressure) if is_pressure(name) && !self.is_past(name, pressure.value) => {
                self.inside(name, pressure).into()
            }
            _ => self.say.setting(value),
        }
    }

    pub fn is_past(self, setting: &str, pressure: f64) -> bool {
        self.machine.is_some_and(|machine| machine.pressure_past(setting, pressure).is_some())
    }

    /// A pressure that is inside its limits, in digits that are inside as well.
    pub fn inside(self, setting: &str, pressure: &Quantity) -> Shown {
        self.to_set(setting, pressure).shown
    }

    fn to_set(self, setting: &str, pressure: &Quantity) -> OnGauge {
        let shown = self.say.quantity(pressure);
        let plain = self.say.units().plain();
        let Some(read) = read(&Say::new(&plain).quantity(pressure).to_string()) else {
            return OnGauge { shown, value: pressure.value };
        };
        match self.machine.and_then(|machine| machine.pressure_past(setting, read.value)) {
            None => OnGauge { shown, value: read.value },
            Some(bounds) => {
                let is_high = bounds.high.is_some_and(|high| read.value > high.value);
                let nudge = if is_high { -read.last_digit } else { read.last_digit };
                let value = read.value + nudge;
                OnGauge { shown: self.say.quantity(&Quantity { value, ..read }), value }
            }
        }
    }
}

/// A pressure as it is told, as the number that whoever reads it would set.
fn read(told: &str) -> Option<Quantity> {
    quantity::quantity(told, &[Kind::GaugePressure], &UnitDefaults::default()).ok()
}

/// What a hand sets: `152 psi at the track, 149 psi on the bench at 9 °C`.
pub(super) fn by_hand(
    say: Say<'_>,
    at_track: Option<&ToPump>,
    on_bench: Option<&ToPump>,
    bench_at: Option<String>,
) -> Option<String> {
    let at_track = match at_track? {
        Ok(aim) => aim,
        Err(instead) => return Some(instead.clone()),
    };
    let aim = at_track.shown.to_string();
    Some(match (on_bench, bench_at) {
        (Some(Ok(bench)), _) if bench.is_as(at_track) => {
            say.text(&say!("{aim} at the track and on the bench", aim))
        }
        (Some(Ok(bench)), Some(at)) => {
            let shown = bench.shown.to_string();
            say.text(&say!("{aim} at the track, {shown} on the bench at {at}", aim, shown, at))
        }
        (Some(Ok(bench)), None) => {
            let shown = bench.shown.to_string();
            say.text(&say!("{aim} at the track, {shown} on the bench", aim, shown))
        }
        // It says itself where it is to be set.
        (Some(Err(instead)), _) => format!("{aim}, {instead}"),
        (None, _) => say.text(&say!("{aim} at the track", aim)),
    })
}
