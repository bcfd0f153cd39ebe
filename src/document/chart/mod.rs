//! Charts: from what they say to shapes in points.
//!
//! A chart's TOML, with every key that it knows:
//!
//! ```toml
//! title = "Fork force"
//! description = "…"                 # for those who cannot see it; the title and curves unless given
//! height = 50                       # millimetres, from 20 to 120
//! x = { name = "travel", unit = "mm", from = 0, to = 300 }    # a range is found if none is given
//! y = { name = "force", unit = "N" }
//! # x may carry its own ticks, for dates: ticks = [{ at = 0, text = "2 May" }]
//! band = [{ low = 95, high = 105, name = "target" }]          # a tint across, edge values written
//! zone = [{ from = 65, to = 75, name = "rider 65 to 75 mm" }]  # a tint from foot to top, its name above
//! curve = [{ name = "now", points = [[0, 80], [300, 1900]] },
//!          { name = "last", style = "dashed", points = [] }]  # solid, dashed, dotted, points
//! # `errors = [2, 2]` beside `points` draws what each may be off by as a bar
//! mark = [{ x = 120, name = "springs" }, { x = 40, y = 300, name = "here" }]
//! ```

use serde::Deserialize;

use crate::speech::{Tongue, say};

use super::picture::Weight;

mod band;
mod draw;
mod scale;

pub use band::Band;

/// Labels of charts, in points.
const SMALL: f64 = 7.5;

/// Measures text: its width in points at a size and weight. Only back ends know fonts.
pub type Measure<'m> = dyn Fn(&str, f64, Weight) -> f64 + 'm;

/// What a chart says.
#[derive(Debug, Clone, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Chart {
    pub title: String,
    pub description: Option<String>,
    /// In millimetres.
    pub height: Option<f64>,
    pub x: Axis,
    pub y: Axis,
    #[serde(default, rename = "band")]
    pub bands: Vec<Tint>,
    #[serde(default, rename = "zone")]
    pub zones: Vec<Zone>,
    #[serde(default, rename = "curve")]
    pub curves: Vec<Curve>,
    #[serde(default, rename = "mark")]
    pub marks: Vec<Mark>,
    /// The reader's, for its numbers.
    #[serde(skip)]
    pub tongue: Tongue,
}

/// An axis and its name.
#[derive(Debug, Clone, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Axis {
    pub name: String,
    pub unit: Option<String>,
    pub from: Option<f64>,
    pub to: Option<f64>,
    #[serde(default)]
    pub ticks: Vec<Tick>,
}

/// A place on an axis with the words for it.
#[derive(Debug, Clone, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Tick {
    pub at: f64,
    pub text: String,
}

/// A band across the chart, in the unit of its vertical axis.
#[derive(Debug, Clone, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Tint {
    pub low: f64,
    pub high: f64,
    pub name: Option<String>,
}

/// A band along the chart, in the unit of its level axis.
#[derive(Debug, Clone, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Zone {
    pub from: f64,
    pub to: f64,
    pub name: String,
}

/// One curve; its name stands at its end.
#[derive(Debug, Clone, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Curve {
    pub name: String,
    #[serde(default)]
    pub style: Style,
    pub points: Vec<(f64, f64)>,
    /// How far off each point may be, either way; as many as points, or none.
    #[serde(default)]
    pub errors: Vec<f64>,
    /// Whether its name stands on it, not at its end.
    #[serde(default)]
    pub inside: bool,
}

/// How a curve is drawn. Each is told from the others without colour.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum Style {
    #[default]
    Solid,
    /// The last setting.
    Dashed,
    Dotted,
    /// Readings, joined by a thin line.
    Points,
}

/// A change marked on a chart: a line across it, or a ring where `y` is given.
#[derive(Debug, Clone, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Mark {
    pub x: f64,
    pub y: Option<f64>,
    pub name: String,
}

impl Chart {
    /// What keeps the chart from being drawn, if anything.
    pub(super) fn check(&self) -> Result<(), String> {
        let numbers = self
            .curves
            .iter()
            .flat_map(|curve| curve.points.iter().flat_map(|(x, y)| [*x, *y]))
            .chain(self.curves.iter().flat_map(|curve| curve.errors.iter().copied()))
            .chain(self.marks.iter().flat_map(|mark| [Some(mark.x), mark.y]).flatten())
            .chain(self.bands.iter().flat_map(|band| [band.low, band.high]))
            .chain(self.zones.iter().flat_map(|zone| [zone.from, zone.to]))
            .chain([self.x.from, self.x.to, self.y.from, self.y.to].into_iter().flatten())
            .chain(self.x.ticks.iter().chain(&self.y.ticks).map(|tick| tick.at));
        // Beyond this the room between two numbers is no longer that of the paper.
        if numbers.into_iter().any(|number| !number.is_finite() || number.abs() > 1e12) {
            return Err("a chart's numbers must be finite".to_owned());
        }
        if self.height.is_some_and(|height| !(20.0..=120.0).contains(&height)) {
            return Err("a chart is from 20 to 120 millimetres high".to_owned());
        }
        for axis in [&self.x, &self.y] {
            if let (Some(from), Some(to)) = (axis.from, axis.to)
                && from >= to
            {
                return Err(format!("the axis `{}` must begin below its end", axis.name));
            }
        }
        Ok(())
    }

    /// What the chart shows, in words.
    pub fn words(&self) -> String {
        if let Some(words) = &self.description {
            return words.clone();
        }
        let names: Vec<&str> = self.curves.iter().map(|curve| curve.name.as_str()).collect();
        self.tongue.say(&say!(
            "{title}: {y} over {x}. {curves}",
            title = self.title,
            y = self.y.name,
            x = self.x.name,
            curves = names.join(", "),
        ))
    }
}
