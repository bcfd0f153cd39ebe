//! A figure on a page: for people, and in SI units for programs.

use serde::Serialize;

use crate::figures::{Absent, Figure, Number, Standing, standing};
use crate::quantity::{Way, show_measured_change};
use crate::speech::{Message, say};
use crate::vocabulary::values::{Band, Bounds};

use super::say::{Say, wanted};

/// A figure with its uncertainty, or what it needs.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Told {
    /// With its uncertainty and unit.
    pub shown: Option<String>,
    /// In `unit`, an SI base unit.
    pub value: Option<f64>,
    /// Expanded uncertainty (k = 2) in `unit`; `None` where none is known.
    pub expanded: Option<f64>,
    pub unit: Option<&'static str>,
    /// What to measure or write, where there is no value; or why there is none.
    pub wanted: Option<String>,
    /// Whether that only needs to be measured or written.
    #[serde(skip_serializing_if = "std::ops::Not::not")]
    pub is_wanted: bool,
}

/// Where a value is on a band, and whether that is certain; in JSON by its English words.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
pub enum Verdict {
    #[serde(rename = "in band")]
    Inside,
    /// By less than the reading's uncertainty.
    #[serde(rename = "in band, within reading error")]
    InsideUnclear,
    #[serde(rename = "below band")]
    Below,
    #[serde(rename = "below band, within reading error")]
    BelowUnclear,
    #[serde(rename = "above band")]
    Above,
    #[serde(rename = "above band, within reading error")]
    AboveUnclear,
}

impl Verdict {
    fn of(value: f64, expanded: Option<f64>, within: &Bounds) -> Self {
        let is_below = within.low.is_some_and(|low| value < low.value);
        match (standing(within, value, expanded), is_below) {
            (Standing::Inside, _) => Self::Inside,
            (Standing::InsideUnclear, _) => Self::InsideUnclear,
            (Standing::Outside, true) => Self::Below,
            (Standing::OutsideUnclear, true) => Self::BelowUnclear,
            (Standing::Outside, false) => Self::Above,
            (Standing::OutsideUnclear, false) => Self::AboveUnclear,
        }
    }

    /// In words, which say so where the uncertainty reaches across an edge.
    pub fn told(self) -> Message {
        match self {
            Self::Inside => say!("in band"),
            Self::InsideUnclear => say!("in band, within reading error"),
            Self::Below => say!("below band"),
            Self::BelowUnclear => say!("below band, within reading error"),
            Self::Above => say!("above band"),
            Self::AboveUnclear => say!("above band, within reading error"),
        }
    }
}

impl Told {
    pub(super) fn of(say: Say<'_>, figure: &Figure) -> Self {
        Self {
            shown: say.told(figure),
            value: figure.value(),
            expanded: figure.expanded(),
            unit: figure.number().map(|number| number.kind.si_unit()),
            wanted: figure.absent().map(|absent| say.text(&wanted(absent))),
            is_wanted: matches!(figure.absent(), Some(Absent::Missing(_))),
        }
    }

    /// How a number differs from another, without errors that both share.
    pub(super) fn change(say: Say<'_>, from: Option<&Number>, to: Option<&Number>) -> Option<Self> {
        let change = to?.minus(from?);
        // A change that is certain is shown alone; its uncertainty would be digits that nobody can use.
        let spread = if change.is_beyond_measurement() { None } else { change.expanded() };
        let shown = show_measured_change(change.kind, change.value, spread, say.units(), Way::Plus);
        Some(Self {
            shown: Some(shown.to_string()),
            value: Some(change.value),
            expanded: change.expanded(),
            unit: Some(change.kind.si_unit()),
            wanted: None,
            is_wanted: false,
        })
    }

    /// In a line of text.
    pub(super) fn told(&self) -> Message {
        match (&self.shown, &self.wanted) {
            (Some(shown), _) => Message::text(shown.as_str()),
            (None, Some(wanted)) if self.is_wanted => say!("needs {wanted}", wanted),
            (None, wanted) => Message::text(wanted.clone().unwrap_or_default()),
        }
    }
}

/// A figure's verdict on a band, where both exist.
pub(super) fn verdict_on(figure: &Figure, band: Option<&Band>) -> Option<Verdict> {
    let within = band?.within?;
    Some(Verdict::of(figure.value()?, figure.expanded(), &within))
}

/// The range of a band, as written: `104..106 mm`.
pub(super) fn band_text(say: Say<'_>, band: Option<&Band>) -> Option<String> {
    let within = band?.within?;
    Some(say.range(within.low, within.high))
}
