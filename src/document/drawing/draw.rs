//! The shapes of a drawing: one scale for all, words on clear ground.

use super::{Angle, Dimension, Drawing, LabelSide, LineInk, Place};
use crate::document::chart::Measure;
use crate::document::picture::{Anchor, Ink, Picture, Shape, Weight};

/// Words of drawings, in points.
const SMALL: f64 = 7.5;
/// From one line of words to the next.
const LINE: f64 = 9.0;
/// Points in a millimetre of paper.
const POINTS: f64 = 72.0 / 25.4;
/// Of an arrow's head, in points: its length, and half its width.
const HEAD: (f64, f64) = (4.0, 1.2);
/// Circles and arcs have a corner every this many degrees: no printer shows it.
const CORNER: f64 = 3.0;
/// The white border around what is drawn to scale.
const AROUND: f64 = 3.0;

/// Where places are on the paper.
#[derive(Debug, Clone, Copy)]
struct Frame {
    /// Points for a unit of the drawing.
    scale: f64,
    /// Where the drawing's zero is.
    zero: (f64, f64),
}

impl Frame {
    fn place(&self, (x, y): Place) -> (f64, f64) {
        (self.zero.0 + x * self.scale, self.zero.1 - y * self.scale)
    }
}

impl Drawing {
    /// Draws it as large as `width` points and its height allow; the picture is as high as its contents.
    pub fn draw(&self, width: f64, measure: &Measure<'_>) -> Picture {
        let most = self.height.unwrap_or(100.0) * POINTS;
        let top = if self.title.is_empty() { AROUND } else { 9.0 + LINE };
        // Dimensions are beside what they measure: mostly below it.
        let below = self.dimensions.iter().map(|it| it.off.abs() * POINTS).fold(0.0, f64::max) + LINE;
        let (low, high) = self.ends();
        let (across, up) = ((high.0 - low.0).max(1e-9), (high.1 - low.1).max(1e-9));
        let room = (width - 2.0 * AROUND, (most - top - below - AROUND).max(20.0));
        let scale = (room.0 / across).min(room.1 / up);
        let left = (width - across * scale) / 2.0;
        let frame = Frame { scale, zero: (left - low.0 * scale, top + AROUND + high.1 * scale) };
        let height = top + 2.0 * AROUND + up * scale + below;
        let mut picture = Picture { width, height, shapes: Vec::new() };
        picture.text((0.0, 9.0), &self.title, 9.0, Anchor::Start, Weight::Bold, Ink::Black);
        self.draw_lines(&mut picture, &frame);
        for dot in &self.dots {
            let (radius, ink) = if dot.ink == LineInk::Grey { (1.6, Ink::Light) } else { (2.0, Ink::Black) };
            picture.disc(frame.place(dot.at), radius, ink);
        }
        for angle in &self.angles {
            draw_angle(&mut picture, angle, &frame, measure);
        }
        for dimension in &self.dimensions {
            draw_dimension(&mut picture, dimension, &frame, measure);
        }
        for label in &self.labels {
            let (x, y) = frame.place(label.at);
            let (at, anchor) = match label.side {
                LabelSide::Left => ((x - 5.0, y + 2.6), Anchor::End),
                LabelSide::Right => ((x + 5.0, y + 2.6), Anchor::Start),
                LabelSide::Above => ((x, y - 5.0), Anchor::Middle),
                LabelSide::Below => ((x, y + 11.0), Anchor::Middle),
            };
            words(&mut picture, at, anchor, &label.text, measure);
        }
        picture
    }

    /// First the machine it is compared with, so that it is underneath.
    fn draw_lines(&self, picture: &mut Picture, frame: &Frame) {
        for is_beneath in [true, false] {
            let is_now = |ink: LineInk| (ink == LineInk::Grey) == is_beneath;
            for circle in self.circles.iter().filter(|circle| is_now(circle.ink)) {
                let points = arc(circle.at, circle.radius, 0.0, 360.0);
                stroke(picture, points, circle.ink, frame);
            }
            for line in self.lines.iter().filter(|line| is_now(line.ink)) {
                stroke(picture, line.points.clone(), line.ink, frame);
            }
        }
    }

    /// The lower left and the upper right corner of everything drawn to scale.
    fn ends(&self) -> (Place, Place) {
        let lines = self.lines.iter().flat_map(|line| line.points.iter().copied());
        let circles = self.circles.iter().flat_map(|circle| {
            let ((x, y), radius) = (circle.at, circle.radius);
            [(x - radius, y - radius), (x + radius, y + radius)]
        });
        let dimensions = self.dimensions.iter().flat_map(|it| [it.from, it.to]);
        let all = lines.chain(circles).chain(dimensions).chain(self.dots.iter().map(|dot| dot.at));
        let ends = all.fold(None, |ends: Option<(Place, Place)>, (x, y)| match ends {
            Some((low, high)) => Some(((low.0.min(x), low.1.min(y)), (high.0.max(x), high.1.max(y)))),
            None => Some(((x, y), (x, y))),
        });
        ends.unwrap_or(((0.0, 0.0), (1.0, 1.0)))
    }
}

/// Corners of an arc, in degrees from straight ahead.
fn arc((x, y): Place, radius: f64, from: f64, to: f64) -> Vec<Place> {
    let steps = ((to - from).abs() / CORNER).ceil().clamp(2.0, 360.0);
    let corner = |step: u32| {
        let (sine, cosine) = libm::sincos((from + (to - from) * f64::from(step) / steps).to_radians());
        (x + radius * cosine, y + radius * sine)
    };
    // Clamped to its range above, so nothing is cut off.
    (0..=steps as u32).map(corner).collect()
}

fn stroke(picture: &mut Picture, points: Vec<Place>, ink: LineInk, frame: &Frame) {
    let (width, dash, ink) = match ink {
        LineInk::Black => (0.9, Vec::new(), Ink::Black),
        // Wider, so that it shows beside what covers it.
        LineInk::Grey => (2.8, Vec::new(), Ink::Light),
        LineInk::Thin => (0.5, Vec::new(), Ink::Black),
        LineInk::Dashed => (0.7, vec![7.0, 2.0, 1.5, 2.0], Ink::Black),
        LineInk::Ground => (0.6, Vec::new(), Ink::Dark),
    };
    let points = points.into_iter().map(|place| frame.place(place)).collect();
    picture.shapes.push(Shape::Stroke { points, width, dash, ink });
}

fn draw_angle(picture: &mut Picture, angle: &Angle, frame: &Frame, measure: &Measure<'_>) {
    let points = arc(angle.at, angle.radius, angle.from, angle.to);
    for end in [points.first(), points.last()].into_iter().flatten() {
        stroke(picture, vec![angle.at, *end], LineInk::Thin, frame);
    }
    if let Some((x, y)) = points.get(points.len() / 2).map(|place| frame.place(*place)) {
        // Outside the opening, on the side where it opens.
        let is_down = angle.from + angle.to < 0.0;
        words(picture, (x, y + if is_down { 10.0 } else { -4.0 }), Anchor::Middle, &angle.text, measure);
    }
    stroke(picture, points, LineInk::Thin, frame);
}

fn draw_dimension(picture: &mut Picture, it: &Dimension, frame: &Frame, measure: &Measure<'_>) {
    let (from, to) = (frame.place(it.from), frame.place(it.to));
    let length = libm::hypot(to.0 - from.0, to.1 - from.1);
    if length <= 0.0 {
        return;
    }
    let way = ((to.0 - from.0) / length, (to.1 - from.1) / length);
    // To the left of the direction, on paper, whose y points down.
    let beside = (way.1, -way.0);
    let off = it.off * POINTS;
    let moved = |(x, y): (f64, f64), by: f64| (x + beside.0 * by, y + beside.1 * by);
    let past = off + 2.0 * off.signum();
    let (start, end) = (moved(from, off), moved(to, off));
    for place in [from, to] {
        picture.line(moved(place, 1.5 * off.signum()), moved(place, past), 0.3, Ink::Dark);
    }
    picture.line(start, end, 0.5, Ink::Black);
    // A short one has its arrow heads outside.
    let inwards = if length > 4.0 * HEAD.0 { 1.0 } else { -1.0 };
    for (tip, towards) in [(start, inwards), (end, -inwards)] {
        let base = (tip.0 + way.0 * HEAD.0 * towards, tip.1 + way.1 * HEAD.0 * towards);
        let points = vec![tip, moved(base, HEAD.1), moved(base, -HEAD.1)];
        picture.shapes.push(Shape::Fill { points, ink: Ink::Black });
    }
    let wide = measure(&it.text, SMALL, Weight::Regular);
    let middle = ((start.0 + end.0) / 2.0, (start.1 + end.1) / 2.0);
    let is_level = way.0.abs() > 0.7;
    if is_level && wide + 4.0 * HEAD.0 <= length {
        words(picture, (middle.0, middle.1 + 2.6), Anchor::Middle, &it.text, measure);
    } else if is_level {
        // Behind its end, or before its beginning where the paper ends.
        let (first, last) = if start.0 < end.0 { (start, end) } else { (end, start) };
        let is_room = last.0 + 7.0 + wide <= picture.width;
        let (x, anchor) = if is_room { (last.0 + 7.0, Anchor::Start) } else { (first.0 - 7.0, Anchor::End) };
        words(picture, (x, middle.1 + 2.6), anchor, &it.text, measure);
    } else {
        words(picture, (middle.0 + 4.0, middle.1 + 2.6), Anchor::Start, &it.text, measure);
    }
}

/// Words on clear ground, within the picture.
fn words(picture: &mut Picture, at: (f64, f64), anchor: Anchor, text: &str, measure: &Measure<'_>) {
    let wide = measure(text, SMALL, Weight::Regular);
    let left = match anchor {
        Anchor::Start => at.0,
        Anchor::Middle => at.0 - wide / 2.0,
        Anchor::End => at.0 - wide,
    };
    let left = left.min(picture.width - wide).max(0.0);
    picture.rectangle((left - 1.5, at.1 - 6.8), (left + wide + 1.5, at.1 + 2.2), Ink::Paper);
    picture.text((left, at.1), text, SMALL, Anchor::Start, Weight::Regular, Ink::Black);
}

#[cfg(test)]
mod tests {
    use super::super::{Circle, Line};
    use super::*;

    fn measure(text: &str, size: f64, _: Weight) -> f64 {
        size * 0.5 * text.chars().count() as f64
    }

    fn drawing() -> Drawing {
        Drawing {
            circles: vec![Circle { at: (0.0, 300.0), radius: 300.0, ink: LineInk::Black }],
            lines: vec![Line { points: vec![(0.0, 0.0), (900.0, 400.0)], ink: LineInk::Thin }],
            dimensions: vec![Dimension {
                from: (0.0, 0.0),
                to: (900.0, 0.0),
                off: -8.0,
                text: "base".to_owned(),
            }],
            ..Drawing::default()
        }
    }

    /// Both ends of the first stroke of a width.
    fn line(picture: &Picture, wide: f64) -> [(f64, f64); 2] {
        let found = picture.shapes.iter().find_map(|shape| match shape {
            Shape::Stroke { points, width, .. } if *width == wide => {
                Some([points[0], points[points.len() - 1]])
            }
            _ => None,
        });
        found.unwrap()
    }

    #[test]
    fn one_scale_holds_across_and_up_and_a_dimension_is_as_long_as_what_it_measures() {
        for width in [200.0, 300.0, 527.0] {
            let picture = drawing().draw(width, &measure);
            let [from, to] = line(&picture, 0.5);
            let slope = (from.1 - to.1) / (to.0 - from.0);
            assert!((slope - 400.0 / 900.0).abs() < 1e-9, "{slope}");
            let across = picture.shapes.iter().filter_map(|shape| match shape {
                Shape::Stroke { points, width, .. } if *width == 0.5 => Some(points),
                _ => None,
            });
            let lengths: Vec<f64> = across.map(|points| points[points.len() - 1].0 - points[0].0).collect();
            assert!(lengths.len() == 2 && (lengths[0] - lengths[1]).abs() < 1e-9, "{lengths:?}");
        }
    }

    #[test]
    fn everything_stays_within_the_picture() {
        let picture = drawing().draw(300.0, &measure);
        for shape in &picture.shapes {
            let (Shape::Stroke { points, .. } | Shape::Fill { points, .. }) = shape else { continue };
            for (x, y) in points {
                assert!((-0.1..=picture.width + 0.1).contains(x), "{x}");
                assert!((-0.1..=picture.height + 0.1).contains(y), "{y} of {}", picture.height);
            }
        }
    }

    #[test]
    fn what_cannot_be_drawn_is_refused() {
        let endless = Drawing {
            lines: vec![Line { points: vec![(0.0, f64::NAN)], ink: LineInk::Thin }],
            ..Drawing::default()
        };
        assert!(endless.check().is_err());
        assert!(Drawing { height: Some(500.0), ..Drawing::default() }.check().is_err());
        assert!(drawing().check().is_ok());
    }
}
