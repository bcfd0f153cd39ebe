//! A figure on a page: as people read it, and in SI for machines.

use serde::Serialize;

use crate::figures::{Absent, Figure, Number, Standing, standing};
use crate::quantity::{Kind, Way, show_measured_change};
use crate::vocabulary::values::{Band, Bounds};

use super::say::{Say, wanted};

/// A figure with its uncertainty, or the name of what is wanted for it.
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
    /// Whether that is only to be measured or written.
    #[serde(skip_serializing_if = "std::ops::Not::not")]
    pub is_wanted: bool,
}

impl Told {
    pub(super) fn of(say: Say<'_>, figure: &Figure) -> Self {
        Self {
            shown: say.told(figure),
            value: figure.value(),
            expanded: figure.expanded(),
            unit: figure.number().map(|number| number.kind.si_unit()),
            wanted: figure.absent().map(wanted),
            is_wanted: matches!(figure.absent(), Some(Absent::Missing(_))),
        }
    }

    /// How a number differs from another, errors that both share left out.
    pub(super) fn change(say: Say<'_>, from: Option<&Number>, to: Option<&Number>) -> Option<Self> {
        let change = to?.minus(from?);
        // A change that is sure is told plainly; its uncertainty would be digits that nobody can use.
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
    pub fn text(&self) -> String {
        let lead = if self.is_wanted { "needs " } else { "" };
        let lacking = || self.wanted.as_ref().map(|wanted| format!("{lead}{wanted}"));
        self.shown.clone().or_else(lacking).unwrap_or_default()
    }
}

/// Where a value lies on a band, in words; they say so where its uncertainty reaches across an edge.
pub(super) fn verdict(value: f64, expanded: Option<f64>, within: &Bounds) -> &'static str {
    let is_below = within.low.is_some_and(|low| value < low.value);
    match (standing(within, value, expanded), is_below) {
        (Standing::Inside, _) => "in band",
        (Standing::InsideUnclear, _) => "in band, within reading error",
        (Standing::Outside, true) => "below band",
        (Standing::OutsideUnclear, true) => "below band, within reading error",
        (Standing::Outside, false) => "above band",
        (Standing::OutsideUnclear, false) => "above band, within reading error",
    }
}

/// A figure's verdict on a band, where both are there.
pub(super) fn verdict_on(figure: &Figure, band: Option<&Band>) -> Option<&'static str> {
    let within = band?.within?;
    Some(verdict(figure.value()?, figure.expanded(), &within))
}

/// What a band is within, as written: `104..106 mm`.
pub(super) fn band_text(say: Say<'_>, band: Option<&Band>) -> Option<String> {
    let within = band?.within?;
    Some(say.range(within.low, within.high))
}

/// A plain number of a kind that no uncertainty is told of.
pub(super) fn plain(say: Say<'_>, kind: Kind, value: f64) -> String {
    say.value(kind, value).to_string()
}
