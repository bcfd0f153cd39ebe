//! A reading on its band: the small chart of a tile.

use serde::Deserialize;

use super::scale::{decimals_of, shown};
use super::{Measure, SMALL};
use crate::document::picture::{Anchor, Ink, Picture, Shape, Weight};
use crate::speech::Tongue;

/// A band that one reading should lie in.
#[derive(Debug, Clone, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Band {
    pub low: f64,
    pub high: f64,
    /// The ends of the scale; found from the band and the readings where they are not given.
    pub from: Option<f64>,
    pub to: Option<f64>,
    pub value: Option<f64>,
    /// How far the true value may be from this one, either way.
    pub error: Option<f64>,
    /// The reading before this one.
    pub last: Option<f64>,
    pub unit: Option<String>,
    /// The reader's language, for the numbers.
    #[serde(skip)]
    pub tongue: Tongue,
}

impl Band {
    pub(in crate::document) fn is_drawable(&self) -> bool {
        let rest = [self.from, self.to, self.value, self.error, self.last];
        let is_finite =
            rest.into_iter().flatten().chain([self.low, self.high]).all(|n| n.is_finite() && n.abs() <= 1e12);
        is_finite && self.low < self.high
    }

    fn shown(&self, number: f64, decimals: usize) -> String {
        self.tongue.number(&shown(number, decimals))
    }

    /// What the small chart shows, in words.
    pub fn words(&self) -> String {
        let decimals = decimals_of(&[self.low, self.high]);
        let unit = self.unit.as_deref().unwrap_or("");
        let range = format!("{}–{} {unit}", self.shown(self.low, decimals), self.shown(self.high, decimals));
        range.trim_end().to_owned()
    }

    /// Where a value is on the scale, from 0 at its beginning to 1 at its end.
    pub fn place(&self, value: f64) -> f64 {
        let (from, to) = self.range();
        (value - from) / (to - from)
    }

    /// Draws the reading as a mark on its band; 25 points high.
    pub fn draw(&self, width: f64, measure: &Measure<'_>) -> Picture {
        let mut picture = Picture { width, height: 25.0, shapes: Vec::new() };
        let (from, to) = self.range();
        let place = |value: f64| 3.0 + (value - from) / (to - from) * (width - 6.0);
        let (top, bottom) = (7.0, 14.0);
        picture.rectangle((place(self.low), top), (place(self.high), bottom), Ink::Tint);
        picture.line((3.0, bottom), (width - 3.0, bottom), 0.4, Ink::Dark);
        for edge in [self.low, self.high] {
            picture.line((place(edge), top), (place(edge), bottom), 0.5, Ink::Dark);
        }
        let decimals = decimals_of(&[self.low, self.high]);
        let low = self.shown(self.low, decimals);
        let mut high = self.shown(self.high, decimals);
        if let Some(unit) = self.unit.as_deref().filter(|unit| !unit.is_empty()) {
            high = format!("{high} {unit}");
        }
        let half = |text: &str| measure(text, SMALL, Weight::Regular) / 2.0;
        let low_half = half(&low);
        let low_x = place(self.low).max(low_half);
        // Edges that are close keep a gap between their numbers.
        let high_half = half(&self.shown(self.high, decimals));
        let high_x = (place(self.high) - high_half).max(low_x + low_half + 5.0);
        let high_x = high_x.min(width - 2.0 * half(&high)).max(0.0);
        let baseline = bottom + 9.0;
        if low_x + low_half + 2.0 <= high_x {
            picture.text((low_x, baseline), &low, SMALL, Anchor::Middle, Weight::Regular, Ink::Dark);
            picture.text((high_x, baseline), &high, SMALL, Anchor::Start, Weight::Regular, Ink::Dark);
        } else {
            // On a narrow strip both make one text.
            picture.text((width, baseline), &self.words(), SMALL, Anchor::End, Weight::Regular, Ink::Dark);
        }
        if let Some(last) = self.last {
            let x = place(last);
            picture.shapes.push(Shape::Stroke {
                points: vec![(x, 2.0), (x, bottom)],
                width: 0.9,
                dash: vec![1.5, 1.2],
                ink: Ink::Black,
            });
        }
        if let Some(value) = self.value {
            let x = place(value);
            let points = vec![(x - 3.2, 1.0), (x + 3.2, 1.0), (x, 7.0)];
            picture.shapes.push(Shape::Fill { points, ink: Ink::Black });
            picture.line((x, 6.0), (x, bottom), 1.3, Ink::Black);
            if let Some(error) = self.error.filter(|error| *error > 0.0) {
                // The bar of the reading's uncertainty, across the middle of the strip.
                let middle = (top + bottom) / 2.0;
                let (left, right) = (place(value - error).max(0.5), place(value + error).min(width - 0.5));
                picture.line((left, middle), (right, middle), 0.9, Ink::Black);
                for end in [left, right] {
                    picture.line((end, middle - 1.8), (end, middle + 1.8), 0.9, Ink::Black);
                }
            }
        }
        picture
    }

    /// The scale: as given, or the band with half its width on each side; the readings are always on it.
    fn range(&self) -> (f64, f64) {
        let margin = (self.high - self.low) / 2.0;
        let from = self.from.unwrap_or(self.low - margin).min(self.low);
        let to = self.to.unwrap_or(self.high + margin).max(self.high);
        let error = self.error.unwrap_or(0.0).abs();
        let reading = self.value.map(|value| [value - error, value + error]);
        let readings = || reading.into_iter().flatten().chain(self.last);
        (readings().fold(from, f64::min), readings().fold(to, f64::max))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_reading_beyond_its_band_is_still_on_the_scale() {
        let band = Band {
            low: 30.0,
            high: 35.0,
            from: None,
            to: None,
            value: Some(90.0),
            error: None,
            last: None,
            unit: None,
            tongue: Tongue::ENGLISH,
        };
        let picture = band.draw(100.0, &|text, size, _| size * 0.5 * text.len() as f64);
        for shape in &picture.shapes {
            if let Shape::Stroke { points, .. } | Shape::Fill { points, .. } = shape {
                assert!(points.iter().all(|(x, _)| (-0.5..=100.5).contains(x)), "{points:?}");
            }
        }
    }
}
