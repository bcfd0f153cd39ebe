//! The drawing of a chart: its frame, then its contents.

use super::scale::{Scale, decimals_of, shown};
use super::{Axis, Chart, Curve, Measure, SMALL, Style};
use crate::document::picture::{Anchor, Ink, Picture, Shape, Weight};

/// From one line of labels to the next, in points.
const LINE: f64 = 9.0;
/// How many points an axis aims at between two ticks.
const TICK_EVERY: f64 = 42.0;

/// The room for the curves, and the two axes.
struct Frame {
    left: f64,
    right: f64,
    top: f64,
    bottom: f64,
    x: Scale,
    y: Scale,
}

impl Chart {
    /// Draws the chart.
    ///
    /// `width` and `height` are in points. Everything stays within them, as long as no name is longer than the
    /// chart is wide.
    pub fn draw(&self, width: f64, height: f64, measure: &Measure<'_>) -> Picture {
        let mut picture = Picture { width, height, shapes: Vec::new() };
        let flags = self.flags(width, measure);
        let flag_rows = flags.iter().map(|flag| flag.row + 1).max().unwrap_or(0);
        let top = self.draw_title(&mut picture, measure) + LINE * f64::from(flag_rows);
        let frame = self.frame(width, top, height - 13.0, measure);
        for zone in &self.zones {
            let (from, to) = (frame.x.place(zone.from), frame.x.place(zone.to));
            picture.rectangle((from, frame.top), (to, frame.bottom), Ink::Tint);
            for edge in [from, to] {
                picture.line((edge, frame.top), (edge, frame.bottom), 0.4, Ink::Dark);
            }
        }
        self.draw_heights(&mut picture, &frame);
        self.draw_widths(&mut picture, &frame, measure);
        draw_flags(&mut picture, &frame, &flags, measure);
        for curve in &self.curves {
            draw_curve(&mut picture, curve, &frame);
        }
        self.draw_places(&mut picture, &frame, measure);
        self.draw_names(&mut picture, &frame, measure);
        self.draw_names_inside(&mut picture, &frame, measure);
        picture
    }

    /// The room for the curves, between the numbers at the left and the names at the right.
    fn frame(&self, width: f64, top: f64, bottom: f64, measure: &Measure<'_>) -> Frame {
        let y = Scale::new(&self.y, self.heights(), bottom, top, 20.0);
        let edges = self.edges(&y);
        let room = |texts: &mut dyn Iterator<Item = &str>| {
            texts.map(|text| measure(text, SMALL, Weight::Bold)).fold(0.0, f64::max)
        };
        let tick_room = room(&mut y.ticks.iter().map(|tick| tick.text.as_str()));
        let edge_room = room(&mut edges.iter().map(|(_, _, text)| text.as_str()));
        let left = tick_room.max(edge_room) + 5.0;
        // Curves that end at the right have their names beside the chart; so does the axis.
        let at_end = |curve: &&Curve| !curve.points.is_empty() && !curve.inside;
        let names = room(&mut self.curves.iter().filter(at_end).map(|curve| curve.name.as_str()));
        let last_tick = |scale: &Scale| {
            scale
                .ticks
                .last()
                .map_or(0.0, |tick| measure(&self.tongue.number(&tick.text), SMALL, Weight::Regular) / 2.0)
        };
        let guess = Scale::new(&self.x, self.widths(), left, width * 0.8, TICK_EVERY);
        let axis_room = measure(&named(&self.x), SMALL, Weight::Regular) + last_tick(&guess) + 5.0;
        let right = width - (names + 5.0).max(axis_room).clamp(8.0, width * 0.4);
        let x = Scale::new(&self.x, self.widths(), left, right, TICK_EVERY);
        Frame { left, right, top, bottom, x, y }
    }

    /// The bands and the vertical axis.
    fn draw_heights(&self, picture: &mut Picture, frame: &Frame) {
        let Frame { left, right, .. } = *frame;
        let edges = self.edges(&frame.y);
        for band in &self.bands {
            let (high, low) = (frame.y.place(band.high), frame.y.place(band.low));
            picture.rectangle((left, high), (right, low), Ink::Tint);
        }
        for tick in &frame.y.ticks {
            let y = frame.y.place(tick.at);
            picture.line((left, y), (right, y), 0.25, Ink::Light);
            // An edge of the band matters more than a round number beside it.
            if edges.iter().all(|(_, at, _)| (at - y).abs() >= LINE - 1.5) {
                let at = (left - 4.0, y + 2.6);
                picture.text(
                    at,
                    &self.tongue.number(&tick.text),
                    SMALL,
                    Anchor::End,
                    Weight::Regular,
                    Ink::Dark,
                );
            }
        }
        for (edge, at, text) in &edges {
            picture.line((left, *edge), (right, *edge), 0.4, Ink::Dark);
            picture.text((left - 4.0, at + 2.6), text, SMALL, Anchor::End, Weight::Bold, Ink::Black);
        }
        for band in &self.bands {
            let name = band.name.as_deref().unwrap_or_default();
            let at = (right - 3.0, frame.y.place(band.high) + 8.0);
            picture.text(at, name, SMALL, Anchor::End, Weight::Regular, Ink::Dark);
        }
    }

    /// The axis along the bottom.
    fn draw_widths(&self, picture: &mut Picture, frame: &Frame, measure: &Measure<'_>) {
        let Frame { left, right, bottom, .. } = *frame;
        let width = picture.width;
        let named = named(&self.x);
        // Where the axis has less room for its name than it wanted, a number is left out for it.
        let name_from = width - measure(&named, SMALL, Weight::Regular) - 3.0;
        let mut free_from = f64::NEG_INFINITY;
        for tick in &frame.x.ticks {
            let x = frame.x.place(tick.at);
            picture.line((x, bottom), (x, bottom + 2.5), 0.5, Ink::Black);
            let half = measure(&self.tongue.number(&tick.text), SMALL, Weight::Regular) / 2.0;
            let middle = x.clamp(half, (width - half).max(half));
            // A date that would overlap its neighbour keeps its tick and loses its words.
            if middle - half >= free_from && (named.is_empty() || middle + half <= name_from) {
                let at = (middle, bottom + 10.0);
                picture.text(
                    at,
                    &self.tongue.number(&tick.text),
                    SMALL,
                    Anchor::Middle,
                    Weight::Regular,
                    Ink::Dark,
                );
                free_from = middle + half + 6.0;
            }
        }
        let at = (width.min(right.max(free_from) + measure(&named, SMALL, Weight::Regular)), bottom + 10.0);
        picture.text(at, &named, SMALL, Anchor::End, Weight::Regular, Ink::Dark);
        picture.line((left, bottom), (right, bottom), 0.5, Ink::Black);
    }

    /// Marks that also have a height: a ring and its name.
    fn draw_places(&self, picture: &mut Picture, frame: &Frame, measure: &Measure<'_>) {
        for (mark, y) in self.marks.iter().filter_map(|mark| Some((mark, mark.y?))) {
            let centre = (frame.x.place(mark.x), frame.y.place(y));
            picture.disc(centre, 3.0, Ink::Black);
            picture.disc(centre, 2.0, Ink::Paper);
            let wide = measure(&mark.name, SMALL, Weight::Regular);
            let is_left = centre.0 + 6.0 + wide > frame.right;
            let (anchor, x) =
                if is_left { (Anchor::End, centre.0 - 5.0) } else { (Anchor::Start, centre.0 + 5.0) };
            // Below on the right or above on the left, where a rising curve is not; above where there is no
            // room below.
            let is_low = centre.1 + 11.0 > frame.bottom;
            let y = if is_left { centre.1 - 4.0 } else { centre.1 + if is_low { -12.0 } else { 9.0 } };
            picture.text((x, y), &mark.name, SMALL, anchor, Weight::Regular, Ink::Black);
        }
    }

    fn widths(&self) -> impl Iterator<Item = f64> {
        let points = self.curves.iter().flat_map(|curve| curve.points.iter().map(|point| point.0));
        points.chain(self.marks.iter().map(|mark| mark.x))
    }

    fn heights(&self) -> impl Iterator<Item = f64> {
        let points = self.curves.iter().flat_map(|curve| {
            let errors = curve.errors.iter().copied().chain(std::iter::repeat(0.0));
            curve.points.iter().zip(errors).flat_map(|(point, error)| [point.1 - error, point.1 + error])
        });
        let bands = self.bands.iter().flat_map(|band| [band.low, band.high]);
        points.chain(bands).chain(self.marks.iter().filter_map(|mark| mark.y))
    }

    /// Changes marked by a line, in rows so that no names overlap.
    fn flags(&self, width: f64, measure: &Measure<'_>) -> Vec<Flag> {
        let marks = self.marks.iter().filter(|mark| mark.y.is_none());
        let mut marks: Vec<(f64, &str, bool)> =
            marks.map(|mark| (mark.x, mark.name.as_str(), true)).collect();
        // A zone's name begins at its edge.
        marks.extend(self.zones.iter().map(|zone| (zone.from, zone.name.as_str(), false)));
        marks.sort_by(|a, b| a.0.total_cmp(&b.0));
        // The names are placed before the scale is known: the axis takes about this much.
        let guess = Scale::new(&self.x, self.widths(), width * 0.06, width * 0.9, TICK_EVERY);
        let mut ends: Vec<f64> = Vec::new();
        let mut flags = Vec::new();
        for (x, name, has_line) in marks {
            let at = guess.place(x);
            let end = at + measure(name, SMALL, Weight::Regular) + 6.0;
            let row = ends.iter().position(|taken| *taken <= at).unwrap_or(ends.len());
            match ends.get_mut(row) {
                Some(taken) => *taken = end,
                None => ends.push(end),
            }
            let row = u32::try_from(row).unwrap_or(0);
            flags.push(Flag { x, name: name.to_owned(), row, has_line });
        }
        flags
    }

    /// Writes the chart's title and the name of its vertical axis; returns where the room below begins.
    fn draw_title(&self, picture: &mut Picture, measure: &Measure<'_>) -> f64 {
        picture.text((0.0, 9.0), &self.title, 9.0, Anchor::Start, Weight::Bold, Ink::Black);
        let named = named(&self.y);
        let beside = measure(&self.title, 9.0, Weight::Bold) + 8.0;
        let is_beside = beside + measure(&named, SMALL, Weight::Regular) <= picture.width;
        let at = if is_beside { (beside, 9.0) } else { (0.0, 9.0 + LINE) };
        picture.text(at, &named, SMALL, Anchor::Start, Weight::Regular, Ink::Dark);
        at.1 + 7.0
    }

    /// The edges of the bands: each edge's place, its number's place, and the number.
    fn edges(&self, scale: &Scale) -> Vec<(f64, f64, String)> {
        let mut edges = Vec::new();
        for band in &self.bands {
            let decimals = decimals_of(&[band.low, band.high]);
            let (high, low) = (scale.place(band.high), scale.place(band.low));
            // The numbers of a narrow band are kept apart.
            let apart = ((LINE - 1.0 - (low - high)) / 2.0).max(0.0);
            edges.push((high, high - apart, self.tongue.number(&shown(band.high, decimals))));
            edges.push((low, low + apart, self.tongue.number(&shown(band.low, decimals))));
        }
        edges
    }

    /// Writes the names on their curves: over the longest stretch without a reading.
    fn draw_names_inside(&self, picture: &mut Picture, frame: &Frame, measure: &Measure<'_>) {
        let mut taken: Vec<f64> = vec![frame.left, frame.right];
        let readings = self.curves.iter().filter(|curve| curve.style == Style::Points);
        taken.extend(readings.flat_map(|curve| curve.points.iter().map(|(x, _)| frame.x.place(*x))));
        taken.sort_by(f64::total_cmp);
        for curve in self.curves.iter().filter(|curve| curve.inside) {
            let (Some(first), Some(last)) = (curve.points.first(), curve.points.last()) else { continue };
            let (start, end) = (frame.x.place(first.0), frame.x.place(last.0));
            let gaps = taken.windows(2).filter_map(|pair| match pair {
                [a, b] => Some((a.max(start), b.min(end))),
                _ => None,
            });
            let widest = gaps.max_by(|a, b| (a.1 - a.0).total_cmp(&(b.1 - b.0)));
            let Some((from, to)) = widest.filter(|(from, to)| to > from) else { continue };
            let middle = (from + to) / 2.0;
            let height = curve.points.iter().rfind(|(x, _)| frame.x.place(*x) <= middle);
            let y = frame.y.place(height.unwrap_or(first).1) - 3.0;
            let half = measure(&curve.name, SMALL, Weight::Regular) / 2.0;
            picture.rectangle((middle - half - 1.0, y - 6.5), (middle + half + 1.0, y + 1.5), Ink::Paper);
            picture.text((middle, y), &curve.name, SMALL, Anchor::Middle, Weight::Regular, Ink::Black);
        }
    }

    /// Writes each curve's name at its end, pushed apart where two curves end together.
    fn draw_names(&self, picture: &mut Picture, frame: &Frame, measure: &Measure<'_>) {
        let mut names: Vec<(f64, f64, &Curve)> = self
            .curves
            .iter()
            .filter(|curve| !curve.inside)
            .filter_map(|curve| {
                let (x, y) = curve.points.last()?;
                Some((frame.x.place(*x) + 4.0, frame.y.place(*y) + 2.6, curve))
            })
            .collect();
        names.sort_by(|a, b| a.1.total_cmp(&b.1).then(a.0.total_cmp(&b.0)));
        for at in 1..names.len() {
            let above = names.get(at - 1).map_or(0.0, |name| name.1);
            if let Some(name) = names.get_mut(at) {
                name.1 = name.1.max(above + LINE);
            }
        }
        // And back up, if the last one was pushed out below.
        let mut limit = frame.bottom + 2.6;
        for name in names.iter_mut().rev() {
            name.1 = name.1.min(limit).max(frame.top);
            limit = name.1 - LINE;
        }
        for (x, y, curve) in names {
            let weight = if curve.style == Style::Solid { Weight::Bold } else { Weight::Regular };
            // A curve that ends within the chart has its name on a clear ground, not across a rule.
            if x + 1.0 < frame.x.end {
                let end = x + measure(&curve.name, SMALL, weight);
                picture.rectangle((x - 1.0, y - 6.5), (end + 1.0, y + 2.0), Ink::Paper);
            }
            picture.text((x, y), &curve.name, SMALL, Anchor::Start, weight, Ink::Black);
        }
    }
}

/// A mark that is a line across the chart.
struct Flag {
    x: f64,
    name: String,
    row: u32,
    has_line: bool,
}

fn named(axis: &Axis) -> String {
    match axis.unit.as_deref().filter(|unit| !unit.is_empty()) {
        Some(unit) => format!("{}, {unit}", axis.name),
        None => axis.name.clone(),
    }
}

/// Marks that are lines across the chart, their names above it.
fn draw_flags(picture: &mut Picture, frame: &Frame, flags: &[Flag], measure: &Measure<'_>) {
    for flag in flags {
        let x = frame.x.place(flag.x);
        let y = frame.top - 3.0 - LINE * f64::from(flag.row);
        if flag.has_line {
            picture.shapes.push(Shape::Stroke {
                points: vec![(x, y + 1.5), (x, frame.bottom)],
                width: 0.4,
                dash: vec![1.0, 1.5],
                ink: Ink::Dark,
            });
        }
        let end = x + 2.0 + measure(&flag.name, SMALL, Weight::Regular);
        let (anchor, at) =
            if end > picture.width { (Anchor::End, x - 2.0) } else { (Anchor::Start, x + 2.0) };
        picture.text((at, y), &flag.name, SMALL, anchor, Weight::Regular, Ink::Black);
    }
}

fn draw_curve(picture: &mut Picture, curve: &Curve, frame: &Frame) {
    let points: Vec<(f64, f64)> =
        curve.points.iter().map(|(x, y)| (frame.x.place(*x), frame.y.place(*y))).collect();
    let (width, dash) = match curve.style {
        Style::Solid => (1.3, Vec::new()),
        Style::Dashed => (0.9, vec![4.0, 2.5]),
        Style::Dotted => (0.9, vec![1.0, 2.0]),
        Style::Points => (0.5, Vec::new()),
    };
    let is_dotted = curve.style == Style::Points || points.len() == 1;
    let dots = if is_dotted { points.clone() } else { Vec::new() };
    if points.len() > 1 {
        picture.shapes.push(Shape::Stroke { points, width, dash, ink: Ink::Black });
    }
    for ((x, y), error) in curve.points.iter().zip(&curve.errors).filter(|(_, error)| **error > 0.0) {
        let x = frame.x.place(*x);
        let (low, high) = (frame.y.place(y - error), frame.y.place(y + error));
        picture.line((x, low), (x, high), 0.6, Ink::Black);
        for end in [low, high] {
            picture.line((x - 1.8, end), (x + 1.8, end), 0.6, Ink::Black);
        }
    }
    for dot in dots {
        picture.disc(dot, 1.8, Ink::Black);
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::speech::Tongue;

    fn axis() -> Axis {
        Axis { name: "a".to_owned(), unit: None, from: None, to: None, ticks: Vec::new() }
    }

    #[test]
    fn names_at_the_ends_of_curves_do_not_touch() {
        let curve = |name: &str, y| Curve {
            name: name.to_owned(),
            style: Style::Solid,
            points: vec![(0.0, 0.0), (10.0, y)],
            errors: Vec::new(),
            inside: false,
        };
        let chart = Chart {
            title: "t".to_owned(),
            description: None,
            height: None,
            x: axis(),
            y: axis(),
            bands: Vec::new(),
            zones: Vec::new(),
            curves: vec![curve("a", 5.0), curve("b", 5.1), curve("c", 4.9)],
            marks: Vec::new(),
            tongue: Tongue::ENGLISH,
        };
        let picture = chart.draw(200.0, 120.0, &|text, size, _| size * 0.5 * text.len() as f64);
        let mut places: Vec<f64> = picture
            .shapes
            .iter()
            .filter_map(|shape| match shape {
                Shape::Text { y, text, .. } if ["a", "b", "c"].contains(&text.as_str()) && text != "a" => {
                    Some(*y)
                }
                _ => None,
            })
            .collect();
        places.sort_by(f64::total_cmp);
        assert!(places.windows(2).all(|pair| pair[1] - pair[0] >= LINE - 1e-9), "{places:?}");
    }
}
