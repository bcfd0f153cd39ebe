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
//! curve = [{ name = "now", points = [[0, 80], [300, 1900]] },
//!          { name = "last", style = "dashed", points = [] }]  # solid, dashed, dotted, points
//! mark = [{ x = 120, name = "springs" }, { x = 40, y = 300, name = "here" }]
//! ```

use serde::Deserialize;

use super::picture::{Anchor, Ink, Picture, Weight};

/// Labels of charts, in points.
const SMALL: f64 = 7.5;
/// From one line of labels to the next, in points.
const LINE: f64 = 9.0;
/// How many ticks an axis aims at, as one for this many points.
const TICK_EVERY: f64 = 42.0;

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
    #[serde(default, rename = "curve")]
    pub curves: Vec<Curve>,
    #[serde(default, rename = "mark")]
    pub marks: Vec<Mark>,
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

/// One curve; its name stands at its end.
#[derive(Debug, Clone, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Curve {
    pub name: String,
    #[serde(default)]
    pub style: Style,
    pub points: Vec<(f64, f64)>,
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

/// A band that one reading should lie in.
#[derive(Debug, Clone, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Band {
    pub low: f64,
    pub high: f64,
    /// Where the scale begins and ends; found from the band and the readings unless given.
    pub from: Option<f64>,
    pub to: Option<f64>,
    pub value: Option<f64>,
    /// The reading before.
    pub last: Option<f64>,
    pub unit: Option<String>,
}

impl Chart {
    /// What keeps the chart from being drawn, if anything.
    pub(super) fn check(&self) -> Result<(), String> {
        let numbers = self
            .curves
            .iter()
            .flat_map(|curve| curve.points.iter().flat_map(|(x, y)| [*x, *y]))
            .chain(self.marks.iter().flat_map(|mark| [Some(mark.x), mark.y]).flatten())
            .chain(self.bands.iter().flat_map(|band| [band.low, band.high]))
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
        format!("{}: {} over {}. {}", self.title, self.y.name, self.x.name, names.join(", "))
    }

    /// Draws the chart.
    ///
    /// `width` and `height` are in points; whatever is drawn stays within them as far as names are not longer
    /// than the chart is wide.
    pub fn draw(&self, width: f64, height: f64, measure: &Measure<'_>) -> Picture {
        let mut picture = Picture { width, height, shapes: Vec::new() };
        let flags = self.flags(width, measure);
        let flag_rows = flags.iter().map(|flag| flag.row + 1).max().unwrap_or(0);
        let top = self.draw_title(&mut picture, measure) + LINE * f64::from(flag_rows);
        let bottom = height - 13.0;
        let y_scale = Scale::new(&self.y, self.heights(), bottom, top, 20.0);
        let edges = self.edges(&y_scale);
        let room = |texts: &mut dyn Iterator<Item = &str>| {
            texts.map(|text| measure(text, SMALL, Weight::Bold)).fold(0.0, f64::max)
        };
        let tick_room = room(&mut y_scale.ticks.iter().map(|tick| tick.text.as_str()));
        let edge_room = room(&mut edges.iter().map(|(_, _, text)| text.as_str()));
        let left = tick_room.max(edge_room) + 5.0;
        // Curves that end at the right have their names beside the chart; the axis has its own there too.
        let names = room(&mut self.curves.iter().filter(|c| !c.points.is_empty()).map(|c| c.name.as_str()));
        let named = named(&self.x);
        let last_tick = |scale: &Scale| {
            scale.ticks.last().map_or(0.0, |tick| measure(&tick.text, SMALL, Weight::Regular) / 2.0)
        };
        let guess = Scale::new(&self.x, self.widths(), left, width * 0.8, TICK_EVERY);
        let axis_room = measure(&named, SMALL, Weight::Regular) + last_tick(&guess) + 5.0;
        let right = width - (names + 5.0).max(axis_room).clamp(8.0, width * 0.4);
        let x_scale = Scale::new(&self.x, self.widths(), left, right, TICK_EVERY);

        for band in &self.bands {
            let (high, low) = (y_scale.place(band.high), y_scale.place(band.low));
            picture.rectangle((left, high), (right, low), Ink::Tint);
        }
        for tick in &y_scale.ticks {
            let y = y_scale.place(tick.at);
            picture.line((left, y), (right, y), 0.25, Ink::Light);
            // An edge of the band matters more than a round number beside it.
            if edges.iter().all(|(_, at, _)| (at - y).abs() >= LINE - 1.5) {
                let at = (left - 4.0, y + 2.6);
                picture.text(at, &tick.text, SMALL, Anchor::End, Weight::Regular, Ink::Dark);
            }
        }
        for (edge, at, text) in &edges {
            picture.line((left, *edge), (right, *edge), 0.4, Ink::Dark);
            picture.text((left - 4.0, at + 2.6), text, SMALL, Anchor::End, Weight::Bold, Ink::Black);
        }
        for band in &self.bands {
            let name = band.name.as_deref().unwrap_or_default();
            let at = (right - 3.0, y_scale.place(band.high) + 8.0);
            picture.text(at, name, SMALL, Anchor::End, Weight::Regular, Ink::Dark);
        }
        let mut free_from = f64::NEG_INFINITY;
        for tick in &x_scale.ticks {
            let x = x_scale.place(tick.at);
            picture.line((x, bottom), (x, bottom + 2.5), 0.5, Ink::Black);
            let half = measure(&tick.text, SMALL, Weight::Regular) / 2.0;
            let middle = x.clamp(half, (width - half).max(half));
            // A date that would run into its neighbour keeps its tick and loses its words.
            if middle - half >= free_from {
                let at = (middle, bottom + 10.0);
                picture.text(at, &tick.text, SMALL, Anchor::Middle, Weight::Regular, Ink::Dark);
                free_from = middle + half + 4.0;
            }
        }
        let at = (width.min(right.max(free_from) + measure(&named, SMALL, Weight::Regular)), bottom + 10.0);
        picture.text(at, &named, SMALL, Anchor::End, Weight::Regular, Ink::Dark);
        picture.line((left, bottom), (right, bottom), 0.5, Ink::Black);

        for flag in &flags {
            let x = x_scale.place(flag.x);
            let y = top - 3.0 - LINE * f64::from(flag.row);
            picture.shapes.push(super::picture::Shape::Stroke {
                points: vec![(x, y + 1.5), (x, bottom)],
                width: 0.4,
                dash: vec![1.0, 1.5],
                ink: Ink::Dark,
            });
            let end = x + 2.0 + measure(&flag.name, SMALL, Weight::Regular);
            let (anchor, at) = if end > width { (Anchor::End, x - 2.0) } else { (Anchor::Start, x + 2.0) };
            picture.text((at, y), &flag.name, SMALL, anchor, Weight::Regular, Ink::Black);
        }
        for curve in &self.curves {
            draw_curve(&mut picture, curve, &x_scale, &y_scale);
        }
        for (mark, y) in self.marks.iter().filter_map(|mark| Some((mark, mark.y?))) {
            let centre = (x_scale.place(mark.x), y_scale.place(y));
            picture.disc(centre, 3.0, Ink::Black);
            picture.disc(centre, 2.0, Ink::Paper);
            let wide = measure(&mark.name, SMALL, Weight::Regular);
            let is_left = centre.0 + 6.0 + wide > right;
            let (anchor, x) =
                if is_left { (Anchor::End, centre.0 - 5.0) } else { (Anchor::Start, centre.0 + 5.0) };
            // Below to the right or above to the left, where a rising curve is not; above if there is no
            // room below.
            let is_low = centre.1 + 11.0 > bottom;
            let y = if is_left { centre.1 - 4.0 } else { centre.1 + if is_low { -12.0 } else { 9.0 } };
            picture.text((x, y), &mark.name, SMALL, anchor, Weight::Regular, Ink::Black);
        }
        self.draw_names(&mut picture, &x_scale, &y_scale, (top, bottom), measure);
        picture
    }

    fn widths(&self) -> impl Iterator<Item = f64> {
        let points = self.curves.iter().flat_map(|curve| curve.points.iter().map(|point| point.0));
        points.chain(self.marks.iter().map(|mark| mark.x))
    }

    fn heights(&self) -> impl Iterator<Item = f64> {
        let points = self.curves.iter().flat_map(|curve| curve.points.iter().map(|point| point.1));
        let bands = self.bands.iter().flat_map(|band| [band.low, band.high]);
        points.chain(bands).chain(self.marks.iter().filter_map(|mark| mark.y))
    }

    /// Changes that are marked by a line, in rows so that no name runs into another.
    fn flags(&self, width: f64, measure: &Measure<'_>) -> Vec<Flag> {
        let mut marks: Vec<&Mark> = self.marks.iter().filter(|mark| mark.y.is_none()).collect();
        marks.sort_by(|a, b| a.x.total_cmp(&b.x));
        // Where the names will stand is known before the scale is: the axis takes about this much.
        let guess = Scale::new(&self.x, self.widths(), width * 0.06, width * 0.9, TICK_EVERY);
        let mut ends: Vec<f64> = Vec::new();
        let mut flags = Vec::new();
        for mark in marks {
            let at = guess.place(mark.x);
            let end = at + measure(&mark.name, SMALL, Weight::Regular) + 6.0;
            let row = ends.iter().position(|taken| *taken <= at).unwrap_or(ends.len());
            match ends.get_mut(row) {
                Some(taken) => *taken = end,
                None => ends.push(end),
            }
            flags.push(Flag { x: mark.x, name: mark.name.clone(), row: u32::try_from(row).unwrap_or(0) });
        }
        flags
    }

    /// Writes what the chart is and what its upright axis shows; says where the room below begins.
    fn draw_title(&self, picture: &mut Picture, measure: &Measure<'_>) -> f64 {
        picture.text((0.0, 9.0), &self.title, 9.0, Anchor::Start, Weight::Bold, Ink::Black);
        let named = named(&self.y);
        let beside = measure(&self.title, 9.0, Weight::Bold) + 8.0;
        let is_beside = beside + measure(&named, SMALL, Weight::Regular) <= picture.width;
        let at = if is_beside { (beside, 9.0) } else { (0.0, 9.0 + LINE) };
        picture.text(at, &named, SMALL, Anchor::Start, Weight::Regular, Ink::Dark);
        at.1 + 7.0
    }

    /// The edges of the bands: where each is, where its number stands, and the number.
    fn edges(&self, scale: &Scale) -> Vec<(f64, f64, String)> {
        let mut edges = Vec::new();
        for band in &self.bands {
            let decimals = decimals_of(&[band.low, band.high]);
            let (high, low) = (scale.place(band.high), scale.place(band.low));
            // A narrow band's numbers keep off each other.
            let apart = ((LINE - 1.0 - (low - high)) / 2.0).max(0.0);
            edges.push((high, high - apart, shown(band.high, decimals)));
            edges.push((low, low + apart, shown(band.low, decimals)));
        }
        edges
    }

    /// Writes each curve's name at its end, pushed apart where two curves end together.
    fn draw_names(
        &self,
        picture: &mut Picture,
        x_scale: &Scale,
        y_scale: &Scale,
        room: (f64, f64),
        measure: &Measure<'_>,
    ) {
        let mut names: Vec<(f64, f64, &Curve)> = self
            .curves
            .iter()
            .filter_map(|curve| {
                let (x, y) = curve.points.last()?;
                Some((x_scale.place(*x) + 4.0, y_scale.place(*y) + 2.6, curve))
            })
            .collect();
        names.sort_by(|a, b| a.1.total_cmp(&b.1).then(a.0.total_cmp(&b.0)));
        for at in 1..names.len() {
            let above = names.get(at - 1).map_or(0.0, |name| name.1);
            if let Some(name) = names.get_mut(at) {
                name.1 = name.1.max(above + LINE);
            }
        }
        // And back up, if the last was pushed out below.
        let mut limit = room.1 + 2.6;
        for name in names.iter_mut().rev() {
            name.1 = name.1.min(limit).max(room.0);
            limit = name.1 - LINE;
        }
        for (x, y, curve) in names {
            let weight = if curve.style == Style::Solid { Weight::Bold } else { Weight::Regular };
            // A curve that ends within the chart has its name on clear ground, not on a rule.
            if x + 1.0 < x_scale.end {
                let end = x + measure(&curve.name, SMALL, weight);
                picture.rectangle((x - 1.0, y - 6.5), (end + 1.0, y + 2.0), Ink::Paper);
            }
            picture.text((x, y), &curve.name, SMALL, Anchor::Start, weight, Ink::Black);
        }
    }
}

struct Flag {
    x: f64,
    name: String,
    row: u32,
}

fn named(axis: &Axis) -> String {
    match axis.unit.as_deref().filter(|unit| !unit.is_empty()) {
        Some(unit) => format!("{}, {unit}", axis.name),
        None => axis.name.clone(),
    }
}

fn draw_curve(picture: &mut Picture, curve: &Curve, x_scale: &Scale, y_scale: &Scale) {
    let points: Vec<(f64, f64)> =
        curve.points.iter().map(|(x, y)| (x_scale.place(*x), y_scale.place(*y))).collect();
    let (width, dash) = match curve.style {
        Style::Solid => (1.3, Vec::new()),
        Style::Dashed => (0.9, vec![4.0, 2.5]),
        Style::Dotted => (0.9, vec![1.0, 2.0]),
        Style::Points => (0.5, Vec::new()),
    };
    let is_dotted = curve.style == Style::Points || points.len() == 1;
    let dots = if is_dotted { points.clone() } else { Vec::new() };
    if points.len() > 1 {
        picture.shapes.push(super::picture::Shape::Stroke { points, width, dash, ink: Ink::Black });
    }
    for dot in dots {
        picture.disc(dot, 1.8, Ink::Black);
    }
}

impl Band {
    pub(super) fn is_drawable(&self) -> bool {
        let rest = [self.from, self.to, self.value, self.last];
        let is_finite =
            rest.into_iter().flatten().chain([self.low, self.high]).all(|n| n.is_finite() && n.abs() <= 1e12);
        is_finite && self.low < self.high
    }

    /// What the small chart shows, in words.
    pub fn words(&self) -> String {
        let decimals = decimals_of(&[self.low, self.high]);
        let unit = self.unit.as_deref().unwrap_or("");
        let range = format!("{}–{} {unit}", shown(self.low, decimals), shown(self.high, decimals));
        range.trim_end().to_owned()
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
        let low = shown(self.low, decimals);
        let mut high = shown(self.high, decimals);
        if let Some(unit) = self.unit.as_deref().filter(|unit| !unit.is_empty()) {
            high = format!("{high} {unit}");
        }
        let half = |text: &str| measure(text, SMALL, Weight::Regular) / 2.0;
        let low_half = half(&low);
        let low_x = place(self.low).max(low_half);
        // Edges that lie close keep a gap between their numbers.
        let high_half = half(&shown(self.high, decimals));
        let high_x = (place(self.high) - high_half).max(low_x + low_half + 5.0);
        let high_x = high_x.min(width - 2.0 * half(&high)).max(0.0);
        let baseline = bottom + 9.0;
        picture.text((low_x, baseline), &low, SMALL, Anchor::Middle, Weight::Regular, Ink::Dark);
        picture.text((high_x, baseline), &high, SMALL, Anchor::Start, Weight::Regular, Ink::Dark);
        if let Some(last) = self.last {
            let x = place(last);
            picture.shapes.push(super::picture::Shape::Stroke {
                points: vec![(x, 2.0), (x, bottom)],
                width: 0.9,
                dash: vec![1.5, 1.2],
                ink: Ink::Black,
            });
        }
        if let Some(value) = self.value {
            let x = place(value);
            let points = vec![(x - 3.2, 1.0), (x + 3.2, 1.0), (x, 7.0)];
            picture.shapes.push(super::picture::Shape::Fill { points, ink: Ink::Black });
            picture.line((x, 6.0), (x, bottom), 1.3, Ink::Black);
        }
        picture
    }

    /// The scale: as given, or the band with half its width on each side; always with the readings on it.
    fn range(&self) -> (f64, f64) {
        let margin = (self.high - self.low) / 2.0;
        let from = self.from.unwrap_or(self.low - margin).min(self.low);
        let to = self.to.unwrap_or(self.high + margin).max(self.high);
        let readings = || [self.value, self.last].into_iter().flatten();
        (readings().fold(from, f64::min), readings().fold(to, f64::max))
    }
}

/// A range of values on a length of paper, ending on round numbers.
struct Scale {
    from: f64,
    to: f64,
    start: f64,
    end: f64,
    ticks: Vec<Tick>,
}

impl Scale {
    /// `start` and `end` are where the range begins and ends on the paper; about one tick `every` points.
    fn new(axis: &Axis, values: impl Iterator<Item = f64>, start: f64, end: f64, every: f64) -> Self {
        let (mut low, mut high) = values
            .fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), value| (low.min(value), high.max(value)));
        if low > high {
            (low, high) = (0.0, 1.0);
        }
        low = axis.from.unwrap_or(low);
        high = axis.to.unwrap_or(high);
        if high - low <= low.abs().max(high.abs()) * 1e-9 {
            let margin = if low == 0.0 { 1.0 } else { low.abs() * 0.1 };
            (low, high) = (low - margin, low + margin);
        }
        if !axis.ticks.is_empty() {
            return Self { from: low, to: high, start, end, ticks: axis.ticks.clone() };
        }
        let wanted = ((end - start).abs() / every).floor().clamp(3.0, 10.0);
        let mut step = round_step((high - low) / wanted);
        let overshoot = |step: f64| (high / step - 1e-9).ceil() * step - high;
        if overshoot(step) > (high - low) * 0.2 {
            // Rather more ticks than an axis that runs on far beyond the last reading.
            step = round_step(step * 0.4);
        }
        // A hair of slack, so that 0.3 / 0.1 counts as the three steps it is.
        let first = (low / step + 1e-9).floor();
        let last = (high / step - 1e-9).ceil();
        let decimals = step_decimals(step);
        let count = (last - first).clamp(0.0, 40.0) as u32;
        let ticks = (0..=count)
            .map(|at| {
                let at = (first + f64::from(at)) * step;
                Tick { at, text: shown(at, decimals) }
            })
            .collect();
        Self { from: first * step, to: last * step, start, end, ticks }
    }

    /// Where a value stands on the paper; beyond an end, at that end.
    fn place(&self, value: f64) -> f64 {
        let part = ((value - self.from) / (self.to - self.from)).clamp(0.0, 1.0);
        self.start + part * (self.end - self.start)
    }
}

/// The next step of 1, 2 or 5 times a power of ten that is no smaller.
fn round_step(raw: f64) -> f64 {
    let power = libm::pow(10.0, libm::floor(libm::log10(raw)));
    let times = [1.0, 2.0, 5.0].into_iter().find(|times| raw <= times * power * (1.0 + 1e-9));
    times.unwrap_or(10.0) * power
}

fn step_decimals(step: f64) -> usize {
    let places = -libm::floor(libm::log10(step) + 1e-9);
    places.clamp(0.0, 9.0) as usize
}

/// The fewest decimals, up to three, that show all of these numbers.
fn decimals_of(numbers: &[f64]) -> usize {
    (0..3)
        .find(|decimals| {
            let scale = [1.0, 10.0, 100.0].get(*decimals).copied().unwrap_or(1.0);
            numbers.iter().all(|number| ((number * scale).round() - number * scale).abs() < 1e-6 * scale)
        })
        .unwrap_or(3)
}

/// A number of a scale, with a real minus and no minus before nothing.
fn shown(number: f64, decimals: usize) -> String {
    let text = format!("{number:.decimals$}");
    match text.strip_prefix('-') {
        Some(digits) if digits.chars().all(|letter| matches!(letter, '0' | '.')) => digits.to_owned(),
        Some(digits) => format!("−{digits}"),
        None => text,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::document::picture::Shape;

    fn axis(from: Option<f64>, to: Option<f64>) -> Axis {
        Axis { name: "a".to_owned(), unit: None, from, to, ticks: Vec::new() }
    }

    #[test]
    fn axes_end_on_round_numbers() {
        let scale = Scale::new(&axis(None, None), [3.2, 287.0].into_iter(), 0.0, 250.0, 42.0);
        let texts: Vec<&str> = scale.ticks.iter().map(|tick| tick.text.as_str()).collect();
        assert_eq!(texts, ["0", "100", "200", "300"]);
        // A step of 100 would run on to 400.
        let scale = Scale::new(&axis(None, None), [0.0, 302.0].into_iter(), 0.0, 180.0, 42.0);
        assert_eq!((scale.from, scale.to), (0.0, 350.0));
        let scale = Scale::new(&axis(None, None), [-0.11, 0.3].into_iter(), 0.0, 250.0, 42.0);
        let texts: Vec<&str> = scale.ticks.iter().map(|tick| tick.text.as_str()).collect();
        assert_eq!(texts, ["−0.2", "−0.1", "0.0", "0.1", "0.2", "0.3"]);
        let scale = Scale::new(&axis(None, None), std::iter::repeat_n(7.0, 3), 0.0, 250.0, 42.0);
        assert!(scale.from < 7.0 && scale.to > 7.0);
    }

    #[test]
    fn a_reading_beyond_its_band_is_still_on_the_scale() {
        let band =
            Band { low: 30.0, high: 35.0, from: None, to: None, value: Some(90.0), last: None, unit: None };
        let picture = band.draw(100.0, &|text, size, _| size * 0.5 * text.len() as f64);
        for shape in &picture.shapes {
            if let Shape::Stroke { points, .. } | Shape::Fill { points, .. } = shape {
                assert!(points.iter().all(|(x, _)| (-0.5..=100.5).contains(x)), "{points:?}");
            }
        }
    }

    #[test]
    fn names_at_the_ends_of_curves_do_not_touch() {
        let curve = |name: &str, y| Curve {
            name: name.to_owned(),
            style: Style::Solid,
            points: vec![(0.0, 0.0), (10.0, y)],
        };
        let chart = Chart {
            title: "t".to_owned(),
            description: None,
            height: None,
            x: axis(None, None),
            y: axis(None, None),
            bands: Vec::new(),
            curves: vec![curve("a", 5.0), curve("b", 5.1), curve("c", 4.9)],
            marks: Vec::new(),
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
