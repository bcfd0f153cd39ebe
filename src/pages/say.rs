//! Finished strings: values in the reader's units, changes in the trade's words.

use serde::Serialize;

use crate::figures::{Absent, Figure, Number};
use crate::quantity::{
    Interval, Kind, Quantity, Shown, Unit, Units, Way, show, show_change, show_interval,
    show_measured_change, show_picked, show_value, show_with_uncertainty,
};
use crate::season::HeldValue;
use crate::speech::{Message, Part, say};
use crate::vocabulary::figures::FigureRow;
use crate::vocabulary::settings::{SettingRow, Turning};
use crate::vocabulary::values::Bounds;

/// Shows values in one reader's units.
#[derive(Clone, Copy)]
pub(super) struct Say<'a> {
    units: &'a Units,
}

/// A value in pieces, so that each can be set in its own weight.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Said {
    /// The number with its uncertainty, or words.
    pub value: String,
    /// The number alone, or words.
    #[serde(skip)]
    pub number: String,
    /// Its uncertainty, in its unit.
    #[serde(skip)]
    pub expanded: Option<String>,
    pub unit: Option<String>,
    /// All in one, as in a line of text.
    pub told: String,
}

impl Said {
    /// Words, which have no unit.
    pub(super) fn words(words: &str) -> Self {
        let words = words.to_owned();
        Self { value: words.clone(), number: words.clone(), expanded: None, unit: None, told: words }
    }
}

impl From<Shown> for Said {
    fn from(shown: Shown) -> Self {
        let told = shown.to_string();
        let Shown { number, plus_minus: expanded, unit } = shown;
        let value = match &expanded {
            Some(expanded) => format!("{number} ± {expanded}"),
            None => number.clone(),
        };
        Self { value, number, expanded, unit: Some(unit).filter(|unit| !unit.is_empty()), told }
    }
}

impl<'a> Say<'a> {
    pub fn new(units: &'a Units) -> Self {
        Self { units }
    }

    /// A message in the reader's language.
    pub fn text(self, said: &(impl Part + ?Sized)) -> String {
        self.units.say(said)
    }

    pub fn units(self) -> &'a Units {
        self.units
    }

    /// A range, either end open.
    pub fn range(self, low: Option<Quantity>, high: Option<Quantity>) -> String {
        show_interval(&Interval { low, high }, self.units)
    }

    /// The end of a range that a value is past.
    pub fn end_past(self, bounds: &Bounds, value: f64) -> String {
        bounds.end_past(value).map(|end| self.quantity(&end).to_string()).unwrap_or_default()
    }

    pub fn quantity(self, quantity: &Quantity) -> Shown {
        show(quantity, self.units)
    }

    /// A value in the SI base unit of its kind, without an uncertainty.
    pub fn value(self, kind: Kind, value: f64) -> Shown {
        show_value(kind, value, self.units)
    }

    /// A value picked from a list, as on a label.
    pub fn picked(self, kind: Kind, value: f64) -> Shown {
        show_picked(kind, value, self.units)
    }

    /// A figure with its uncertainty; `None` where it has no value.
    pub fn figure(self, figure: &Figure) -> Option<Shown> {
        figure.number().map(|number| self.of(figure.id.info(), number))
    }

    /// A number of a figure with its uncertainty, where that is known; no finer than the part that it is of.
    pub fn of(self, row: &FigureRow, number: &Number) -> Shown {
        match number.expanded() {
            Some(_) if !row.is_on_hand() => self.number(number),
            _ if row.is_of_part() => show_picked(number.kind, row.as_made(number.value), self.units),
            _ => self.number(number),
        }
    }

    /// A figure in one line: a change with its sign, or as within the measurement where it is smaller than its
    /// uncertainty; `None` where it has no value.
    pub fn told(self, figure: &Figure) -> Option<String> {
        Some(self.told_of(figure.id.info(), figure.number()?, figure.days))
    }

    /// The same of a number of a figure, and of the days that a loss took.
    pub fn told_of(self, row: &FigureRow, number: &Number, days: Option<f64>) -> String {
        match days {
            Some(days) if number.is_beyond_measurement() => self.lost(number, days),
            None if !row.is_change() => self.of(row, number).to_string(),
            _ => self.difference(number),
        }
    }

    /// What was lost or gained, and in how many days: `lost 6.6 psi in 12 days`.
    fn lost(self, number: &Number, days: f64) -> String {
        let size = show_measured_change(number.kind, number.value.abs(), None, self.units, Way::Plus).size;
        let (size, time) = (size.to_string(), in_days(days));
        self.text(&match number.value < 0.0 {
            true => say!("lost {size} {time}", size, time),
            false => say!("gained {size} {time}", size, time),
        })
    }

    /// A number with its uncertainty, where that is known.
    pub fn number(self, number: &Number) -> Shown {
        match number.expanded() {
            Some(expanded) => show_with_uncertainty(number.kind, number.value, expanded, self.units),
            None => show_value(number.kind, number.value, self.units),
        }
    }

    /// The unit for charts and bands of a kind.
    pub fn unit(self, kind: Kind) -> Unit {
        self.units.chosen(kind).unwrap_or(kind.usual_unit())
    }

    /// Turns of a collar, as finely as a hand turns it.
    pub fn turns(self, turns: f64) -> String {
        let unit = Kind::Turns.usual_unit();
        let is_whole = (turns * 10.0).round() % 10.0 == 0.0;
        let last_digit = if is_whole { 1.0 } else { 0.1 };
        let quantity = Quantity { kind: Kind::Turns, value: turns, unit, plus_minus: None, last_digit };
        self.quantity(&quantity).to_string()
    }

    pub fn setting(self, row: &SettingRow, value: &HeldValue) -> Said {
        match value {
            HeldValue::Quantity(quantity) => self.quantity(quantity).into(),
            HeldValue::Word(word) => Said::words(&self.text(&row.say_word(word))),
        }
    }

    /// How a setting differs from before, in the trade's words: `2 clicks in`, `2 mm down`, `+3 psi`; `None`
    /// where it does not.
    pub fn change(self, row: &SettingRow, before: &HeldValue, after: &HeldValue) -> Option<String> {
        if before.same_as(after) {
            return None;
        }
        match (before, after) {
            (HeldValue::Quantity(was), HeldValue::Quantity(is)) if was.kind == is.kind => {
                Some(self.moved(row, is.kind, is.value - was.value))
            }
            (HeldValue::Quantity(was), _) => {
                Some(self.text(&say!("was {value}", value = self.quantity(was).to_string())))
            }
            (HeldValue::Word(was), _) => Some(self.text(&say!("was {value}", value = row.say_word(was)))),
        }
    }

    /// How far a setting moved, from the SI base unit of its kind.
    pub fn moved(self, row: &SettingRow, kind: Kind, change: f64) -> String {
        let shown = show_change(kind, change, self.units, row.way(true));
        // A length of thread is not turned in; it is more or less preload.
        let is_thread = row.turning == Turning::Collar && kind == Kind::Length;
        match shown.way {
            Some(Way::In) if is_thread => self.text(&say!("{size} more", size = shown.size.to_string())),
            Some(Way::Out) if is_thread => self.text(&say!("{size} less", size = shown.size.to_string())),
            _ => shown.to_string(),
        }
    }

    /// A figure that is a difference from the standard setting, as far as a person can see it, marked as one.
    pub fn against_standard(self, figure: &Figure) -> Option<String> {
        let number = figure.number()?;
        let spread = if number.is_beyond_measurement() { None } else { figure.expanded() };
        let change = show_measured_change(number.kind, number.value, spread, self.units, Way::Plus);
        Some(self.text(&say!("{change} against standard", change = change.to_string())))
    }

    /// A change with its sign, in the usual digits of its kind; `None` where nothing of it is left in them.
    pub fn by(self, kind: Kind, change: f64) -> Option<String> {
        let shown = show_measured_change(kind, change, None, self.units, Way::Plus);
        shown.way.is_some().then(|| shown.to_string())
    }

    /// A number that is a difference, with its sign; as none where it is smaller than its uncertainty.
    fn difference(self, number: &Number) -> String {
        show_measured_change(number.kind, number.value, number.expanded(), self.units, Way::Plus).to_string()
    }
}

/// For how long: `in 12 days`.
fn in_days(days: f64) -> Message {
    match days {
        days if days < 1.0 => say!("on one day"),
        days if days < 2.0 => say!("in 1 day"),
        days => say!("in {days} days", days = format!("{days:.0}")),
    }
}

/// What to measure or write to have a figure, short enough for a box on a sheet.
pub(super) fn wanted(absent: &Absent) -> Message {
    match absent {
        Absent::Missing(all) => {
            let mut names: Vec<String> = Vec::new();
            for missing in all {
                let name = [missing.block.as_str(), missing.key.as_str()];
                let name = name.into_iter().filter(|part| !part.is_empty()).collect::<Vec<_>>().join(" ");
                if !names.contains(&name) {
                    names.push(name);
                }
            }
            Message::text(names.join(", "))
        }
        Absent::Rejected(faulty) => faulty.reason().part(),
        Absent::Cannot(reason) | Absent::Instead(reason) => reason.part(),
    }
}

/// The same for a line of text, which says whether it is missing or hidden by an error.
pub(super) fn lacking(absent: &Absent) -> Message {
    let wanted = wanted(absent);
    if matches!(absent, Absent::Missing(_)) { say!("needs {wanted}", wanted) } else { wanted }
}
