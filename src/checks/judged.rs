//! Values by name, each with its place, as bands, limits and expectations judge them.

use crate::book::readings;
use crate::figures::{Absent, Expanded, Measure, Measured, Missing, Recording, predicted, predicted_unread};
use crate::quantity::{Kind, Quantity, Unit};
use crate::season::{Held, HeldValue, LastWord, PressureMark};
use crate::source::Span;
use crate::speech::{Message, say};
use crate::vocabulary::blocks::Steering;
use crate::vocabulary::values::{Bounds, Readings};
use crate::vocabulary::{Named, ReadingName, Setting};

use super::place::OfDay;
use super::shown;

/// A value, and where it or the last reading behind it was written.
#[derive(Debug, Clone)]
pub(super) struct Judged {
    pub what: What,
    pub span: Span,
    /// Whether it was written or read on the day itself, or rests on something that was.
    pub is_todays: bool,
    /// Whether it comes from a model and not from a reading.
    pub is_predicted: bool,
}

#[derive(Debug, Clone)]
pub(super) enum What {
    Number { kind: Kind, value: f64, expanded: Option<Expanded>, written: Option<Quantity> },
    Word(String),
}

impl Judged {
    /// As it is shown: as written, else in the unit of the range that judges it.
    pub fn shown(&self, unit: Option<Unit>) -> Message {
        match &self.what {
            What::Word(word) => Message::text(format!("`{word}`")),
            What::Number { written: Some(quantity), .. } => shown::written(quantity),
            What::Number { kind, value, expanded, .. } => computed(*kind, *value, expanded.as_ref(), unit),
        }
    }
}

/// A computed value with its uncertainty, in a unit.
pub(super) fn computed(kind: Kind, value: f64, expanded: Option<&Expanded>, unit: Option<Unit>) -> Message {
    let alike = |expanded: f64| shown::computed_alike(kind, value, expanded, unit);
    let expanded = expanded.map(|expanded| expanded.between(alike));
    shown::computed(kind, value, expanded, unit)
}

/// The unit that a range is written in.
pub(super) fn unit_of(bounds: &Bounds) -> Option<Unit> {
    bounds.low.or(bounds.high).map(|end| end.unit)
}

/// Whether a range has this kind of quantity.
pub(super) fn is_of(bounds: &Bounds, kind: Kind) -> bool {
    bounds.low.or(bounds.high).is_some_and(|end| end.kind == kind)
}

/// Whether a value outside a range is below it.
pub(super) fn is_below(bounds: &Bounds, value: f64) -> bool {
    bounds.low.is_some_and(|low| value < low.value)
}

impl What {
    /// A setting in force.
    pub fn of_setting(value: &HeldValue) -> Self {
        match value {
            HeldValue::Word(word) => Self::Word(word.clone()),
            HeldValue::Quantity(quantity) => Self::Number {
                kind: quantity.kind,
                value: quantity.value,
                expanded: quantity.plus_minus.map(Expanded::fixed),
                written: Some(*quantity),
            },
        }
    }
}

fn of_held(held: &Held, day: usize) -> Judged {
    let what = What::of_setting(&held.value);
    let is_todays = held.place.is_some_and(|place| place.day == day);
    Judged { what, span: held.span, is_todays, is_predicted: false }
}

/// A reading, or the mean of its repeats.
fn of_readings(readings: &Readings, expanded: Option<Expanded>, is_todays: bool) -> Option<Judged> {
    let first = readings.values.first()?;
    let written = (readings.values.len() == 1).then_some(first.quantity);
    let what = What::Number { kind: first.quantity.kind, value: readings.mean()?, expanded, written };
    Some(Judged { what, span: readings.span, is_todays, is_predicted: false })
}

/// A pressure is judged as written; the gauge's error is for the figures.
fn of_mark(place: &OfDay<'_, '_, impl Recording>, mark: &PressureMark) -> Option<Judged> {
    let written = mark.readings.values.iter().filter_map(|given| given.quantity.plus_minus).reduce(f64::max);
    of_readings(&mark.readings, written.map(Expanded::fixed), mark.place.day == place.index)
}

/// A setting as the day leaves it; for a pressure the aim or the reading, whichever was written later.
fn of_setting(place: &OfDay<'_, '_, impl Recording>, name: Setting) -> Option<Judged> {
    let state = place.replay.end();
    match state.last_word(name)? {
        LastWord::Aim(held) => Some(of_held(held, place.index)),
        LastWord::Reading(mark) => of_mark(place, mark),
    }
}

/// A reading of the steering: the last one so far.
fn of_steering(place: &OfDay<'_, '_, impl Recording>, name: ReadingName) -> Option<Judged> {
    let steering = place.replay.end().steering()?;
    match name {
        ReadingName::SteeringDrop => {
            let drop = steering.drop.as_ref()?;
            let (what, span) = (What::Word(drop.text.clone()), drop.span);
            Some(Judged { what, span, is_todays: place.is_here(span), is_predicted: false })
        }
        ReadingName::SteeringPull => pull(place, steering),
    }
}

pub(super) fn pull(place: &OfDay<'_, '_, impl Recording>, steering: &Steering) -> Option<Judged> {
    let reading = readings::pull(steering)?;
    let is_todays = place.is_here(reading.readings.span);
    of_readings(reading.readings, place.bench.expanded_of(&reading), is_todays)
}

/// A figure at the end of the day, placed at the last thing of the day that it rests on.
pub(super) fn of_figure(
    place: &OfDay<'_, '_, impl Recording>,
    figure: &Measured,
    number: &Measure,
) -> Option<Judged> {
    let here = figure.from.iter().filter(|span| place.is_here(**span)).max_by_key(|span| span.start);
    let span = here.or(figure.from.last()).copied()?;
    let is_predicted = figure.assumed.iter().any(|text| *text == predicted() || *text == predicted_unread());
    let Measure { kind, value, expanded } = number.clone();
    let what = What::Number { kind, value, expanded, written: None };
    Some(Judged { what, span, is_todays: here.is_some(), is_predicted })
}

/// Why a figure has no value: one line for each thing to do.
pub(super) fn reasons(absent: &Absent) -> Vec<Message> {
    match absent {
        Absent::Missing(missing) => missing.iter().map(Missing::help).collect(),
        Absent::Rejected(faulty) => vec![faulty.reason()],
        Absent::Cannot(reason) | Absent::Instead(reason) => vec![reason.clone()],
    }
}

/// The value of a name as the day leaves it, or why there is none. The reasons are empty where an error hides
/// it, which is reported at its place.
pub(super) fn at_end(place: &OfDay<'_, '_, impl Recording>, name: Named) -> Result<Judged, Vec<Message>> {
    let nobody = || vec![say!("nobody wrote `{name}` yet", name)];
    match name {
        Named::Figure(name) => {
            let figure = place.bench.measure(name);
            match &figure.outcome {
                Err(Absent::Rejected(_)) => Err(Vec::new()),
                Err(absent) => Err(reasons(absent)),
                Ok(number) => of_figure(place, &figure, number).ok_or_else(nobody),
            }
        }
        Named::Reading(name) => of_steering(place, name).ok_or_else(nobody),
        Named::Setting(name) => of_setting(place, name).ok_or_else(nobody),
    }
}
