//! One page's shapes into operators: ISO 32000-1, 8.4 to 8.8 and 9.4.
//!
//! They are written as the file has them. The PDF crate would make an object of each number and each letter first, which took
//! an eighth of a sheet.

use std::collections::BTreeMap;
use std::io::Write;

use printpdf::XObjectId;

use crate::document::{Anchor, Ink, Shape, Weight};

use super::super::fonts;
use super::Leaf;
use super::file::Face;
use super::photo::Stored;

/// How dark each ink is on white paper: 0 is black.
fn grey(ink: Ink) -> f64 {
    match ink {
        Ink::Black => 0.0,
        Ink::Dark => 0.32,
        Ink::Light => 0.6,
        Ink::Tint => 0.88,
        Ink::Paper => 1.0,
    }
}

/// Turns one page's shapes into operators.
pub(super) struct Drawing<'d> {
    height: f64,
    faces: &'d BTreeMap<Weight, Face>,
    photos: &'d BTreeMap<String, (XObjectId, Stored)>,
    operators: Vec<u8>,
    pen: Pen,
}

/// The graphics state of the page: nothing is set twice.
#[derive(Default)]
struct Pen {
    fill: Option<Ink>,
    stroke: Option<Ink>,
    width: Option<f64>,
    dash: Option<Vec<f64>>,
    font: Option<(Weight, f64)>,
}

/// Whether something has changed; notes the new value.
fn is_new<T: PartialEq>(place: &mut Option<T>, now: T) -> bool {
    place.as_ref() != Some(&now) && {
        *place = Some(now);
        true
    }
}

impl<'d> Drawing<'d> {
    pub fn new(
        height: f64,
        faces: &'d BTreeMap<Weight, Face>,
        photos: &'d BTreeMap<String, (XObjectId, Stored)>,
    ) -> Self {
        Self { height, faces, photos, operators: Vec::new(), pen: Pen::default() }
    }

    pub fn leaf(mut self, leaf: &Leaf) -> Vec<u8> {
        for photo in &leaf.piece.photos {
            if let Some((id, stored)) = self.photos.get(&photo.target) {
                let bottom = self.height - photo.at.y - photo.at.height;
                let matrix = stored.matrix(photo.at.x, bottom, photo.at.width, photo.at.height);
                self.operator("q", &[]);
                self.operator("cm", &matrix);
                self.named(&id.0);
                self.operator("Do", &[]);
                self.operator("Q", &[]);
            }
        }
        // First grounds, then lines, then text, each in the order of the layout.
        for shape in &leaf.piece.shapes {
            self.shape(shape);
        }
        self.operators
    }

    fn fill(&mut self, ink: Ink) {
        if is_new(&mut self.pen.fill, ink) {
            self.operator("g", &[grey(ink)]);
        }
    }

    fn shape(&mut self, shape: &Shape) {
        match shape {
            Shape::Fill { points, ink } => {
                self.fill(*ink);
                self.line(points);
                self.operator("h", &[]);
                self.operator("f", &[]);
            }
            Shape::Stroke { points: line, width, dash, ink } => {
                if is_new(&mut self.pen.stroke, *ink) {
                    self.operator("G", &[grey(*ink)]);
                }
                if is_new(&mut self.pen.width, *width) {
                    self.operator("w", &[*width]);
                }
                if is_new(&mut self.pen.dash, dash.clone()) {
                    self.operators.push(b'[');
                    dash.iter().for_each(|part| self.number(*part));
                    self.operators.extend(b"] 0 d\n");
                }
                self.line(line);
                self.operator("S", &[]);
            }
            Shape::Text { x, y, text, size, anchor, weight, ink } => {
                let Some(face) = self.faces.get(weight) else { return };
                let width = || fonts::width(text, *size, *weight);
                let x = match anchor {
                    Anchor::Start => *x,
                    Anchor::Middle => x - width() / 2.0,
                    Anchor::End => x - width(),
                };
                self.fill(*ink);
                self.operator("BT", &[]);
                if is_new(&mut self.pen.font, (*weight, *size)) {
                    self.named(&face.id.0);
                    self.operator("Tf", &[*size]);
                }
                self.operator("Td", &[x, self.height - y]);
                self.operators.push(b'<');
                for glyph in text.chars().filter_map(|letter| face.glyphs.get(&letter)) {
                    self.operators.extend(glyph.to_be_bytes().into_iter().flat_map(hexadecimal));
                }
                self.operators.extend(b"> Tj\n");
                self.operator("ET", &[]);
            }
        }
    }

    /// A path, from its first point to its last.
    fn line(&mut self, points: &[(f64, f64)]) {
        for (nth, (x, y)) in points.iter().enumerate() {
            self.operator(if nth == 0 { "m" } else { "l" }, &[*x, self.height - y]);
        }
    }

    fn operator(&mut self, operator: &str, numbers: &[f64]) {
        numbers.iter().for_each(|number| self.number(*number));
        self.operators.extend(operator.as_bytes());
        self.operators.push(b'\n');
    }

    /// What a page calls a font or a photo: plain letters.
    fn named(&mut self, name: &str) {
        self.operators.push(b'/');
        self.operators.extend(name.as_bytes());
        self.operators.push(b' ');
    }

    /// To a hundredth of a point: no printer shows less, and the file stays short.
    fn number(&mut self, number: f64) {
        let hundredths = (number * 100.0).round() as i64;
        let (whole, rest) = (hundredths.unsigned_abs() / 100, hundredths.unsigned_abs() % 100);
        let sign = if hundredths < 0 { "-" } else { "" };
        // Nothing fails that is written into memory.
        let _ = match (rest, rest % 10) {
            (0, _) => write!(self.operators, "{sign}{whole} "),
            (_, 0) => write!(self.operators, "{sign}{whole}.{} ", rest / 10),
            _ => write!(self.operators, "{sign}{whole}.{rest:02} "),
        };
    }
}

fn hexadecimal(byte: u8) -> [u8; 2] {
    [byte >> 4, byte & 15].map(|digit| if digit < 10 { b'0' + digit } else { b'A' + digit - 10 })
}
