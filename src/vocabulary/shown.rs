//! Numbers and names as findings show them: in the units that the rider used.

use super::values::{Bounds, Readings};
use crate::quantity::{
    Interval, Kind, Quantity, Unit, Units, interval_said, show, show_value, show_with_uncertainty,
    shown_alike,
};
use crate::speech::{Message, Part};

/// A quantity as it was written.
pub(crate) fn written(quantity: &Quantity) -> Message {
    show(quantity, &Units::default()).part()
}

/// A computed value, with its expanded uncertainty where it is known, in a unit.
pub(crate) fn computed(kind: Kind, value: f64, expanded: Option<f64>, unit: Option<Unit>) -> Message {
    let units = units_with(kind, unit);
    let shown = match expanded {
        Some(expanded) => show_with_uncertainty(kind, value, expanded, &units),
        None => show_value(kind, value, &units),
    };
    shown.part()
}

/// The expanded uncertainties between which a computed value is shown the same.
pub(crate) fn computed_alike(kind: Kind, value: f64, expanded: f64, unit: Option<Unit>) -> (f64, f64) {
    shown_alike(kind, value, expanded, &units_with(kind, unit))
}

fn units_with(kind: Kind, unit: Option<Unit>) -> Units {
    let mut units = Units::default();
    if let Some(unit) = unit {
        units.set(kind, unit);
    }
    units
}

/// A computed value in the unit of something written, with about as many digits.
pub(crate) fn like(pattern: &Quantity, value: f64) -> Message {
    written(&Quantity { value, plus_minus: None, ..*pattern })
}

/// A range.
pub(crate) fn range(bounds: &Bounds) -> Message {
    interval_said(&Interval { low: bounds.low, high: bounds.high }, &Units::default())
}

/// The end of a range that a value is past.
pub(crate) fn end_past(bounds: &Bounds, value: f64) -> Message {
    bounds.end_past(value).map(|end| written(&end)).unwrap_or_default()
}

/// One reading, or the mean of several, in their unit.
pub(crate) fn mean(readings: &Readings) -> Message {
    match readings.values.as_slice() {
        [one] => written(&one.quantity),
        [first, ..] => {
            // A mean has one digit more than the readings.
            let finer = Quantity { last_digit: first.quantity.last_digit / 10.0, ..first.quantity };
            like(&finer, readings.mean().unwrap_or(first.value()))
        }
        [] => Message::default(),
    }
}

/// The expanded uncertainty (k = 2) of a written value when it is compared with another: its `±`, or half of
/// its last digit.
///
/// **Source** JCGM 100:2008, 4.3.7: a rectangle of half-width a has `u = a/√3`.
pub(crate) fn doubt(quantity: &Quantity) -> f64 {
    quantity.plus_minus.unwrap_or(quantity.last_digit / 3.0_f64.sqrt())
}
