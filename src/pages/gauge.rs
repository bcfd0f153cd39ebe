//! A pressure as its gauge can show it: what is set by hand needs no finer digits.

use crate::book::Book;
use crate::quantity::{Kind, Quantity, Shown};
use crate::season::State;

use super::say::Say;

/// No gauge tells finer than this, in its own unit.
const FINEST: f64 = 1e-4;

/// A pressure (Pa, gauge) to the nearest division of the gauge that the chamber or tyre is read with; where no division
/// is known, with the digits that are usual.
pub(super) fn on_gauge(say: Say<'_>, book: &Book, state: &State, setting: &str, value: f64) -> Shown {
    let own = state.pressure_left(setting).and_then(|mark| mark.gauge.as_ref());
    let gauge = own.or(book.about.gauge.as_ref()).and_then(|gauge| book.instrument(&gauge.text));
    let division = gauge.and_then(|gauge| gauge.resolution).filter(|division| division.value() > 0.0);
    let Some(division) = division else { return say.value(Kind::GaugePressure, value) };
    let unit = division.quantity.unit;
    // Half a psi is told as 11.5, not as a fraction.
    let mut digit = 1.0;
    while digit > unit.width_from_si(division.value()) * (1.0 + 1e-9) && digit > FINEST {
        digit /= 10.0;
    }
    say.quantity(&Quantity {
        kind: Kind::GaugePressure,
        value: (value / division.value()).round() * division.value(),
        unit,
        plus_minus: None,
        last_digit: unit.width_to_si(digit),
    })
}
