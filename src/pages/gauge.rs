//! A pressure to set: as its gauge can show it, and never past a limit.

use crate::book::{Book, Notebook};
use crate::figures::{Absent, Figure};
use crate::quantity::{self, Kind, Quantity, Shown, UnitDefaults};
use crate::season::{Held, HeldValue, State};
use crate::speech::{Message, say};
use crate::vocabulary::Setting;
use crate::vocabulary::figures::FigureId;
use crate::vocabulary::settings::SettingId;

use super::say::{Said, Say, wanted};

/// The finest division of any gauge, in its own unit.
const FINEST: f64 = 1e-4;
/// Pa. Two numbers on a gauge that differ by less are the same.
const SAME: f64 = 1.0;

/// What is said of pressures to pump, at one place of a book.
#[derive(Clone, Copy)]
pub(super) struct Pump<'a> {
    pub say: Say<'a>,
    pub book: &'a Book,
    pub machine: Option<&'a Notebook>,
    pub state: &'a State,
}

/// For a chamber with another rider's air in it.
fn no_aim() -> Message {
    say!("no pressure of this rider's on file, and another's air is in it: set it by the manual first")
}

/// What to set: a number, or what to do instead.
pub(super) type ToPump = Result<OnGauge, String>;

/// A number that a gauge should show.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct OnGauge {
    pub shown: Shown,
    /// The same in Pa, as a reader would set it.
    value: f64,
}

impl OnGauge {
    /// Whether a hand would set the same: a division is thousands of times larger.
    pub fn is_as(&self, other: &Self) -> bool {
        (self.value - other.value).abs() < SAME
    }
}

impl Pump<'_> {
    /// The aim: what the gauge should show at the track, cold; `None` where nobody has one and nobody is known to have
    /// left air in it. Another rider's air in a chamber is always mentioned: somebody would ride on it.
    pub fn at_track(self, setting: Setting) -> Option<ToPump> {
        let known = self.state.pressure(setting);
        let Some(Held { value, .. }) = known.aim else {
            let is_chamber = setting.row == SettingId::CHAMBER;
            return (is_chamber && known.charge.is_some()).then(|| Err(self.say.text(&no_aim())));
        };
        let aim = *value.quantity()?;
        Some(match self.machine.and_then(|machine| machine.pressure_past(setting, aim.value)) {
            None => Ok(self.to_set(setting, &aim)),
            Some(bounds) => {
                let limit = self.say.end_past(&bounds, aim.value);
                Err(self.say.text(&say!("the aim is past the limit of {limit}: set it inside first", limit)))
            }
        })
    }

    /// A figure for the bench, to the nearest division of the gauge for that chamber or tyre; `None` where it lacks
    /// something.
    pub fn on_bench(self, setting: Setting, figure: &Figure) -> Option<ToPump> {
        match (figure.value(), figure.absent()) {
            (Some(value), _) => Some(Ok(self.on_gauge(setting, value))),
            (None, Some(instead @ Absent::Instead(_))) => Some(Err(self.say.text(&wanted(instead)))),
            _ => None,
        }
    }

    /// A pressure (Pa, gauge) to the nearest division of its gauge; where none is known, with the usual digits.
    fn on_gauge(self, setting: Setting, value: f64) -> OnGauge {
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
        // Half a psi is shown as 11.5, not as a fraction.
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

    /// A figure for the bench with its uncertainty, as shown: in digits that are inside the limits too.
    pub fn told(self, figure: &Figure, told: String) -> String {
        let setting = match figure.id.row {
            FigureId::BENCH_CHAMBER => figure.id.word().map(|chamber| Setting::CHAMBER.of(chamber)),
            FigureId::BENCH_TYRE => figure.id.end().map(|end| Setting::TYRE.of(end)),
            _ => None,
        };
        let plain = self.say.units().plain();
        let read = Say::new(&plain).told(figure).and_then(|told| read(&told));
        match (setting, read) {
            (Some(setting), Some(read)) if self.is_past(setting, read.value) => {
                self.inside(setting, &read).to_string()
            }
            _ => told,
        }
    }

    /// A setting as shown; a pressure inside its limits is shown in digits that are inside too.
    pub fn setting(self, name: Setting, value: &HeldValue) -> Said {
        match value.quantity() {
            Some(pressure) if name.is_pressure() && !self.is_past(name, pressure.value) => {
                self.inside(name, pressure).into()
            }
            _ => self.say.setting(name.info(), value),
        }
    }

    pub fn is_past(self, setting: Setting, pressure: f64) -> bool {
        self.machine.is_some_and(|machine| machine.pressure_past(setting, pressure).is_some())
    }

    /// A pressure inside its limits, in digits that are inside too.
    pub fn inside(self, setting: Setting, pressure: &Quantity) -> Shown {
        self.to_set(setting, pressure).shown
    }

    fn to_set(self, setting: Setting, pressure: &Quantity) -> OnGauge {
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

/// The pressure that a reader would set from a text.
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
        // It says itself where to set it.
        (Some(Err(instead)), _) => format!("{aim}, {instead}"),
        (None, _) => say.text(&say!("{aim} at the track", aim)),
    })
}

/// The same in short: `152 psi; bench 149 psi`. A number alone is for the track and for the bench.
pub(super) fn in_short(say: Say<'_>, at_track: Option<&ToPump>, on_bench: Option<&ToPump>) -> Option<String> {
    match (at_track?, on_bench) {
        (Ok(aim), Some(Ok(bench))) if bench.is_as(aim) => Some(aim.shown.to_string()),
        (Ok(aim), Some(Ok(bench))) => {
            let (aim, shown) = (aim.shown.to_string(), bench.shown.to_string());
            Some(say.text(&say!("{aim}; bench {shown}", aim, shown)))
        }
        _ => by_hand(say, at_track, on_bench, None),
    }
}
