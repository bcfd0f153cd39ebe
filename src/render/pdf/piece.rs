//! Laid out, with no page yet: shapes, photos and links in a box of their own.

use crate::document::{Anchor, Ink, Picture, Shape, Weight};

use super::super::fonts;

/// A piece of known height; its origin is its top left corner, and y grows downwards. Lengths in points.
#[derive(Debug, Clone, Default)]
pub(super) struct Piece {
    pub height: f64,
    pub shapes: Vec<Shape>,
    pub photos: Vec<Photo>,
    pub links: Vec<(Rectangle, String)>,
    /// Boxes to write in.
    pub boxes: Vec<Rectangle>,
    /// How many words are broken, since a line has no room for them.
    pub broken: usize,
}

/// A rectangle in points, from its top left corner.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Rectangle {
    pub x: f64,
    pub y: f64,
    pub width: f64,
    pub height: f64,
}

/// A photo in its place, by its name.
#[derive(Debug, Clone)]
pub(super) struct Photo {
    pub at: Rectangle,
    pub target: String,
}

/// The size and weight of a text.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Style {
    pub size: f64,
    pub weight: Weight,
    pub ink: Ink,
}

impl Style {
    pub const fn new(size: f64, weight: Weight) -> Self {
        Self { size, weight, ink: Ink::Black }
    }

    pub const fn dark(self) -> Self {
        Self { ink: Ink::Dark, ..self }
    }

    pub fn width(self, text: &str) -> f64 {
        fonts::width(text, self.size, self.weight)
    }

    /// From one line to the next.
    pub fn line(self) -> f64 {
        (self.size * 1.25).round()
    }

    /// From a line's top to its baseline.
    pub fn baseline(self) -> f64 {
        self.line() - self.size * 0.34
    }
}

impl Rectangle {
    pub fn moved(self, x: f64, y: f64) -> Self {
        Self { x: self.x + x, y: self.y + y, ..self }
    }
}

impl Piece {
    pub fn empty(height: f64) -> Self {
        Self { height, ..Self::default() }
    }

    /// Puts another piece into this one; returns how far down it reaches.
    pub fn place(&mut self, mut other: Piece, x: f64, y: f64) -> f64 {
        let low = y + other.height;
        self.height = self.height.max(low);
        other.shapes.iter_mut().for_each(|shape| shift(shape, x, y));
        other.photos.iter_mut().for_each(|photo| photo.at = photo.at.moved(x, y));
        other.links.iter_mut().for_each(|(at, _)| *at = at.moved(x, y));
        other.boxes.iter_mut().for_each(|at| *at = at.moved(x, y));
        // Most pieces go into an empty one.
        append(&mut self.shapes, other.shapes);
        append(&mut self.photos, other.photos);
        append(&mut self.links, other.links);
        append(&mut self.boxes, other.boxes);
        self.broken += other.broken;
        low
    }

    /// Everything in it larger, distances too.
    pub fn scaled(mut self, by: f64) -> Self {
        self.height *= by;
        for shape in &mut self.shapes {
            match shape {
                Shape::Stroke { points, width, dash, .. } => {
                    points.iter_mut().for_each(|(x, y)| (*x, *y) = (*x * by, *y * by));
                    *width *= by;
                    dash.iter_mut().for_each(|length| *length *= by);
                }
                Shape::Fill { points, .. } => {
                    points.iter_mut().for_each(|(x, y)| (*x, *y) = (*x * by, *y * by));
                }
                Shape::Text { x, y, size, .. } => (*x, *y, *size) = (*x * by, *y * by, *size * by),
            }
        }
        let larger = |at: &mut Rectangle| {
            *at = Rectangle { x: at.x * by, y: at.y * by, width: at.width * by, height: at.height * by };
        };
        self.boxes.iter_mut().for_each(larger);
        self.photos.iter_mut().for_each(|photo| larger(&mut photo.at));
        self.links.iter_mut().for_each(|(at, _)| larger(at));
        self
    }

    /// Puts a drawing into this piece.
    pub fn draw(&mut self, mut picture: Picture, x: f64, y: f64) {
        picture.shapes.iter_mut().for_each(|shape| shift(shape, x, y));
        append(&mut self.shapes, picture.shapes);
        self.height = self.height.max(y + picture.height);
    }

    /// Writes on a baseline, beginning at x.
    pub fn write(&mut self, x: f64, y: f64, text: &str, style: Style) {
        if !text.is_empty() {
            self.shapes.push(Shape::Text {
                x,
                y,
                text: text.to_owned(),
                size: style.size,
                anchor: Anchor::Start,
                weight: style.weight,
                ink: style.ink,
            });
        }
    }

    /// Writes on a baseline, ending at `right`.
    pub fn write_to(&mut self, right: f64, y: f64, text: &str, style: Style) {
        self.write(right - style.width(text), y, text, style);
    }

    pub fn rule(&mut self, from: f64, to: f64, y: f64, width: f64, ink: Ink) {
        self.shapes.push(Shape::Stroke { points: vec![(from, y), (to, y)], width, dash: Vec::new(), ink });
    }

    pub fn bar(&mut self, at: Rectangle, ink: Ink) {
        self.shapes.push(Shape::Fill { points: corners(at), ink });
    }

    /// An empty box to write in.
    pub fn write_box(&mut self, at: Rectangle) {
        let mut points = corners(at);
        points.push((at.x, at.y));
        self.shapes.push(Shape::Stroke { points, width: 0.7, dash: Vec::new(), ink: Ink::Black });
        self.boxes.push(at);
    }
}

fn corners(at: Rectangle) -> Vec<(f64, f64)> {
    let (right, bottom) = (at.x + at.width, at.y + at.height);
    vec![(at.x, at.y), (right, at.y), (right, bottom), (at.x, bottom)]
}

fn append<T>(all: &mut Vec<T>, more: Vec<T>) {
    if all.is_empty() {
        *all = more;
    } else {
        all.extend(more);
    }
}

fn shift(shape: &mut Shape, by_x: f64, by_y: f64) {
    match shape {
        Shape::Stroke { points, .. } | Shape::Fill { points, .. } => {
            for (x, y) in points {
                *x += by_x;
                *y += by_y;
            }
        }
        Shape::Text { x, y, .. } => {
            *x += by_x;
            *y += by_y;
        }
    }
}
