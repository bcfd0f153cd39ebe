//! Drawings to scale, in a unit of the reader's: from their data to shapes in points.
//!
//! A drawing's TOML, with every key that it knows; `x` is ahead, `y` up, all in one unit:
//!
//! ```toml
//! title = "Side view"
//! description = "…"                 # for those who cannot see it; the title unless given
//! height = 100                      # millimetres at most, from 20 to 160
//! line = [{ points = [[0, 0], [588, 60]], ink = "black" }]   # black, grey, thin, dashed, ground
//! circle = [{ at = [0, 330], radius = 330, ink = "black" }]
//! dot = [{ at = [0, 330] }]
//! angle = [{ at = [0, 900], from = -90, to = -63, radius = 200, text = "rake 27°" }]   # degrees from straight ahead
//! dimension = [{ from = [0, 0], to = [1476, 0], off = -8, text = "wheelbase" }]
//! # `off` is how far beside its line the dimension stands, in millimetres of paper, to the left of its way positive
//! label = [{ at = [0, 330], side = "left", text = "sag" }]   # left, right, above, below
//! ```

use serde::{Deserialize, Serialize};

mod draw;

/// A drawing to scale.
#[derive(Debug, Clone, PartialEq, Default, Deserialize, Serialize)]
#[serde(deny_unknown_fields)]
pub struct Drawing {
    pub title: String,
    pub description: Option<String>,
    /// The greatest height, in millimetres.
    pub height: Option<f64>,
    #[serde(default, rename = "line")]
    pub lines: Vec<Line>,
    #[serde(default, rename = "circle")]
    pub circles: Vec<Circle>,
    #[serde(default, rename = "dot")]
    pub dots: Vec<Dot>,
    #[serde(default, rename = "angle")]
    pub angles: Vec<Angle>,
    #[serde(default, rename = "dimension")]
    pub dimensions: Vec<Dimension>,
    #[serde(default, rename = "label")]
    pub labels: Vec<Label>,
}

/// A place of a drawing: ahead, and up.
pub type Place = (f64, f64);

/// How a line is drawn. The inks differ without colour.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Deserialize, Serialize)]
#[serde(rename_all = "lowercase")]
pub enum LineInk {
    #[default]
    Black,
    /// What it is compared with.
    Grey,
    /// Less important.
    Thin,
    /// An axis, which is no part.
    Dashed,
    /// What everything stands on.
    Ground,
}

#[derive(Debug, Clone, PartialEq, Deserialize, Serialize)]
#[serde(deny_unknown_fields)]
pub struct Line {
    pub points: Vec<Place>,
    #[serde(default)]
    pub ink: LineInk,
}

#[derive(Debug, Clone, PartialEq, Deserialize, Serialize)]
#[serde(deny_unknown_fields)]
pub struct Circle {
    pub at: Place,
    pub radius: f64,
    #[serde(default)]
    pub ink: LineInk,
}

#[derive(Debug, Clone, PartialEq, Deserialize, Serialize)]
#[serde(deny_unknown_fields)]
pub struct Dot {
    pub at: Place,
    #[serde(default)]
    pub ink: LineInk,
}

/// An angle between two directions, as an arc about a place.
#[derive(Debug, Clone, PartialEq, Deserialize, Serialize)]
#[serde(deny_unknown_fields)]
pub struct Angle {
    pub at: Place,
    /// Degrees from straight ahead, upwards positive.
    pub from: f64,
    pub to: f64,
    pub radius: f64,
    pub text: String,
}

/// A distance with its ends and its words.
#[derive(Debug, Clone, PartialEq, Deserialize, Serialize)]
#[serde(deny_unknown_fields)]
pub struct Dimension {
    pub from: Place,
    pub to: Place,
    /// In millimetres of paper, to the left when going from one to the other.
    pub off: f64,
    pub text: String,
}

/// Words beside a place.
#[derive(Debug, Clone, PartialEq, Deserialize, Serialize)]
#[serde(deny_unknown_fields)]
pub struct Label {
    pub at: Place,
    pub side: LabelSide,
    pub text: String,
}

/// On which side of their place words are.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Deserialize, Serialize)]
#[serde(rename_all = "lowercase")]
pub enum LabelSide {
    Left,
    Right,
    Above,
    Below,
}

impl Drawing {
    /// Why it cannot be drawn, if it cannot.
    pub(super) fn check(&self) -> Result<(), String> {
        let places = self
            .lines
            .iter()
            .flat_map(|line| line.points.iter().copied())
            .chain(self.circles.iter().flat_map(|circle| [circle.at, (circle.radius, 0.0)]))
            .chain(self.dots.iter().map(|dot| dot.at))
            .chain(
                self.angles.iter().flat_map(|angle| [angle.at, (angle.from, angle.to), (angle.radius, 0.0)]),
            )
            .chain(self.dimensions.iter().flat_map(|it| [it.from, it.to, (it.off, 0.0)]))
            .chain(self.labels.iter().map(|label| label.at));
        if places.flat_map(|(x, y)| [x, y]).any(|number| !number.is_finite() || number.abs() > 1e9) {
            return Err("a drawing's numbers must be finite".to_owned());
        }
        if self.circles.iter().any(|circle| circle.radius <= 0.0) {
            return Err("a circle has a radius above zero".to_owned());
        }
        if self.height.is_some_and(|height| !(20.0..=160.0).contains(&height)) {
            return Err("a drawing is from 20 to 160 millimetres high".to_owned());
        }
        Ok(())
    }

    /// What it shows, in words.
    pub fn words(&self) -> String {
        self.description.clone().unwrap_or_else(|| self.title.clone())
    }
}
