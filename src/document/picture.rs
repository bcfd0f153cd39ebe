//! A drawing as a list of vector shapes in points, for every back end.

/// A drawing; the origin is its top left corner, and y grows downwards.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Picture {
    /// In points.
    pub width: f64,
    /// In points.
    pub height: f64,
    pub shapes: Vec<Shape>,
}

/// One thing to draw; all lengths in points.
#[derive(Debug, Clone, PartialEq)]
pub enum Shape {
    Stroke {
        points: Vec<(f64, f64)>,
        width: f64,
        dash: Vec<f64>,
        ink: Ink,
    },
    Fill {
        points: Vec<(f64, f64)>,
        ink: Ink,
    },
    /// Text on its baseline.
    Text {
        x: f64,
        y: f64,
        text: String,
        size: f64,
        anchor: Anchor,
        weight: Weight,
        ink: Ink,
    },
}

/// Shades that a cheap laser printer can distinguish.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Ink {
    Black,
    /// Labels and axes.
    Dark,
    /// Thin rules.
    Light,
    /// The ground of a band.
    Tint,
    /// Covers what is underneath.
    Paper,
}

/// Which part of a text is at its place.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Anchor {
    Start,
    Middle,
    End,
}

/// The weights of the type family.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Weight {
    Light,
    Regular,
    Bold,
    Italic,
}

impl Picture {
    pub(super) fn line(&mut self, from: (f64, f64), to: (f64, f64), width: f64, ink: Ink) {
        self.shapes.push(Shape::Stroke { points: vec![from, to], width, dash: Vec::new(), ink });
    }

    pub(super) fn rectangle(&mut self, from: (f64, f64), to: (f64, f64), ink: Ink) {
        let points = vec![from, (to.0, from.1), to, (from.0, to.1)];
        self.shapes.push(Shape::Fill { points, ink });
    }

    pub(super) fn text(
        &mut self,
        at: (f64, f64),
        text: &str,
        size: f64,
        anchor: Anchor,
        weight: Weight,
        ink: Ink,
    ) {
        if !text.is_empty() {
            let text = text.to_owned();
            self.shapes.push(Shape::Text { x: at.0, y: at.1, text, size, anchor, weight, ink });
        }
    }

    /// A disc, as a polygon that looks round on paper.
    pub(super) fn disc(&mut self, centre: (f64, f64), radius: f64, ink: Ink) {
        let points = (0..16)
            .map(|step| {
                let (sin, cos) = libm::sincos(f64::from(step) * std::f64::consts::PI / 8.0);
                (centre.0 + radius * cos, centre.1 + radius * sin)
            })
            .collect();
        self.shapes.push(Shape::Fill { points, ink });
    }
}
