//! The contents of a chart: curves, bands and marks over two axes, in the reader's units.
//!
//! A template passes one on as it is, or writes its own; how it is drawn is not known here.

use serde::{Deserialize, Serialize};

use crate::speech::Tongue;

/// The contents of a chart.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
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
    #[serde(default, rename = "zone", skip_serializing_if = "Vec::is_empty")]
    pub zones: Vec<Zone>,
    #[serde(default, rename = "curve")]
    pub curves: Vec<Curve>,
    #[serde(default, rename = "mark")]
    pub marks: Vec<Mark>,
    /// The reader's language, for its numbers.
    #[serde(skip)]
    pub tongue: Tongue,
}

/// An axis, and its name.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Axis {
    pub name: String,
    pub unit: Option<String>,
    pub from: Option<f64>,
    pub to: Option<f64>,
    #[serde(default)]
    pub ticks: Vec<Tick>,
}

/// A place on an axis, and the words for it.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Tick {
    pub at: f64,
    pub text: String,
}

/// A band across the chart, in the unit of its vertical axis.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Tint {
    pub low: f64,
    pub high: f64,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub name: Option<String>,
}

/// A band along the chart, in the unit of its horizontal axis.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Zone {
    pub from: f64,
    pub to: f64,
    pub name: String,
}

/// One curve, with its name at its end.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Curve {
    pub name: String,
    #[serde(default)]
    pub style: Style,
    pub points: Vec<(f64, f64)>,
    /// How far off each point may be, either way; as many as points, or none.
    #[serde(default)]
    pub errors: Vec<f64>,
    /// Whether its name is on the curve rather than at its end.
    #[serde(default)]
    pub inside: bool,
}

/// How a curve is drawn. The styles differ without colour.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize)]
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
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Mark {
    pub x: f64,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub y: Option<f64>,
    pub name: String,
}
