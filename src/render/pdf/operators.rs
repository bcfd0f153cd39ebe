//! One page's shapes into operators.

use std::collections::BTreeMap;

use printpdf::{
    Actions, BorderArray, Color, CurTransMat, Greyscale, Line, LineDashPattern, LinePoint, LinkAnnotation,
    Op, PaintMode, PdfFontHandle, Point, Polygon, PolygonRing, Pt, Rect, TextItem, WindingOrder, XObjectId,
    XObjectTransform,
};

use crate::document::{Anchor, Ink, Shape, Weight};

use super::super::fonts;
use super::Leaf;
use super::file::Face;
use super::photo::Stored;

/// How dark each ink is on white paper: 0 is black.
fn grey(ink: Ink) -> Color {
    let percent = match ink {
        Ink::Black => 0.0,
        Ink::Dark => 0.32,
        Ink::Light => 0.6,
        Ink::Tint => 0.88,
        Ink::Paper => 1.0,
    };
    Color::Greyscale(Greyscale { percent, icc_profile: None })
}

/// Turns one page's shapes into operators.
pub(super) struct Drawing<'d> {
    height: f64,
    faces: &'d BTreeMap<Weight, Face>,
    photos: &'d BTreeMap<String, (XObjectId, Stored)>,
    ops: Vec<Op>,
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
        Self { height, faces, photos, ops: Vec::new(), pen: Pen::default() }
    }

    fn fill(&mut self, ink: Ink) {
        if is_new(&mut self.pen.fill, ink) {
            self.ops.push(Op::SetFillColor { col: grey(ink) });
        }
    }

    pub fn leaf(mut self, leaf: &Leaf) -> Vec<Op> {
        for photo in &leaf.piece.photos {
            if let Some((id, stored)) = self.photos.get(&photo.target) {
                let bottom = self.height - photo.at.y - photo.at.height;
                let matrix = stored.matrix(photo.at.x, bottom, photo.at.width, photo.at.height);
                self.ops.push(Op::SaveGraphicsState);
                let matrix = CurTransMat::Raw(matrix.map(|part| part as f32));
                self.ops.push(Op::SetTransformationMatrix { matrix });
                let transform = XObjectTransform::default();
                self.ops.push(Op::UseXobject { id: id.clone(), transform });
                self.ops.push(Op::RestoreGraphicsState);
            }
        }
        // First grounds, then lines, then text, each in the order of the layout.
        for shape in &leaf.piece.shapes {
            self.shape(shape);
        }
        for (at, target) in &leaf.piece.links {
            let rect = Rect {
                x: points(at.x),
                y: points(self.height - at.y - at.height),
                width: points(at.width),
                height: points(at.height),
                mode: None,
                winding_order: None,
            };
            let border = Some(BorderArray::Solid([0.0, 0.0, 0.0]));
            let link = LinkAnnotation::new(rect, Actions::Uri(target.clone()), border, None, None);
            self.ops.push(Op::LinkAnnotation { link });
        }
        self.ops
    }

    fn shape(&mut self, shape: &Shape) {
        match shape {
            Shape::Fill { points, ink } => {
                self.fill(*ink);
                let polygon = Polygon {
                    rings: vec![PolygonRing { points: self.line(points) }],
                    mode: PaintMode::Fill,
                    winding_order: WindingOrder::NonZero,
                };
                self.ops.push(Op::DrawPolygon { polygon });
            }
            Shape::Stroke { points: line, width, dash, ink } => {
                if is_new(&mut self.pen.stroke, *ink) {
                    self.ops.push(Op::SetOutlineColor { col: grey(*ink) });
                }
                if is_new(&mut self.pen.width, *width) {
                    self.ops.push(Op::SetOutlineThickness { pt: points(*width) });
                }
                if is_new(&mut self.pen.dash, dash.clone()) {
                    let pattern: Vec<f32> = dash.iter().map(|part| *part as f32).collect();
                    self.ops.push(Op::SetLineDashPattern { dash: LineDashPattern::new(0.0, &pattern) });
                }
                let line = Line { points: self.line(line), is_closed: false };
                self.ops.push(Op::DrawLine { line });
            }
            Shape::Text { x, y, text, size, anchor, weight, ink } => {
                let Some(face) = self.faces.get(weight) else { return };
                let width = || fonts::width(text, *size, *weight);
                let x = match anchor {
                    Anchor::Start => *x,
                    Anchor::Middle => x - width() / 2.0,
                    Anchor::End => x - width(),
                };
                let text: String = text.chars().filter_map(|letter| face.letters.get(&letter)).collect();
                let id = face.id.clone();
                self.fill(*ink);
                self.ops.push(Op::StartTextSection);
                if is_new(&mut self.pen.font, (*weight, *size)) {
                    self.ops.push(Op::SetFont { font: PdfFontHandle::External(id), size: points(*size) });
                }
                self.ops.extend([
                    Op::SetTextCursor { pos: Point { x: points(x), y: points(self.height - y) } },
                    Op::ShowText { items: vec![TextItem::Text(text)] },
                    Op::EndTextSection,
                ]);
            }
        }
    }

    fn line(&self, line: &[(f64, f64)]) -> Vec<LinePoint> {
        line.iter()
            .map(|(x, y)| LinePoint { p: Point { x: points(*x), y: points(self.height - y) }, bezier: false })
            .collect()
    }
}

/// To a hundredth of a point: no printer shows less, and the file stays short.
fn points(length: f64) -> Pt {
    Pt(((length * 100.0).round() / 100.0) as f32)
}
