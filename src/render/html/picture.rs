//! Photos and drawings, inside the page.

use base64::engine::{Engine, general_purpose::STANDARD};

use crate::document::tree::Image;
use crate::document::{Anchor, Ink, Picture, Shape, Weight};

use super::Page;

impl Page<'_> {
    pub(super) fn image(&mut self, image: &Image) {
        let bytes = self.images.get(&image.target);
        let kind = bytes.and_then(|bytes| media_type(bytes));
        if let (Some(bytes), Some(kind)) = (bytes, kind) {
            self.raw(&format!("<figure><img src=\"data:{kind};base64,"));
            STANDARD.encode_string(bytes, &mut self.out);
            self.raw("\" alt=\"");
            self.text(&image.description);
            self.raw("\">");
            if !image.description.is_empty() {
                self.element("figcaption", "label", &image.description);
            }
            self.raw("</figure>");
        } else {
            let words = if image.description.is_empty() { &image.target } else { &image.description };
            self.element("p", "label", &format!("[{words}]"));
        }
    }

    pub(super) fn picture(&mut self, picture: &Picture, words: &str) {
        let (width, height) = (length(picture.width), length(picture.height));
        self.raw(&format!(
            "<svg viewBox=\"0 0 {width} {height}\" style=\"max-width: {width}pt\" role=\"img\" aria-label=\""
        ));
        self.text(words);
        self.raw("\">");
        for shape in &picture.shapes {
            self.shape(shape);
        }
        self.raw("</svg>");
    }

    fn shape(&mut self, shape: &Shape) {
        let list = |points: &[(f64, f64)]| {
            let pairs: Vec<String> =
                points.iter().map(|(x, y)| format!("{},{}", length(*x), length(*y))).collect();
            pairs.join(" ")
        };
        match shape {
            Shape::Stroke { points, width, dash, ink } => {
                let dash: Vec<String> = dash.iter().map(|part| length(*part)).collect();
                let dash = match dash.is_empty() {
                    true => String::new(),
                    false => format!(" stroke-dasharray=\"{}\"", dash.join(" ")),
                };
                let (points, width) = (list(points), length(*width));
                let class = ink_class(*ink);
                self.raw(&format!(
                    "<polyline class=\"s-{class}\" points=\"{points}\" stroke-width=\"{width}\"{dash}/>"
                ));
            }
            Shape::Fill { points, ink } => {
                let points = list(points);
                self.raw(&format!("<polygon class=\"f-{}\" points=\"{points}\"/>", ink_class(*ink)));
            }
            Shape::Text { x, y, text, size, anchor, weight, ink } => {
                let anchor = match anchor {
                    Anchor::Start => "start",
                    Anchor::Middle => "middle",
                    Anchor::End => "end",
                };
                let weight = match weight {
                    Weight::Light => 300,
                    Weight::Regular | Weight::Italic => 400,
                    Weight::Bold => 600,
                };
                let (x, y, size, class) = (length(*x), length(*y), length(*size), ink_class(*ink));
                self.raw(&format!(
                    "<text class=\"f-{class}\" x=\"{x}\" y=\"{y}\" font-size=\"{size}\" \
                     font-weight=\"{weight}\" text-anchor=\"{anchor}\">"
                ));
                self.text(text);
                self.raw("</text>");
            }
        }
    }
}

fn ink_class(ink: Ink) -> &'static str {
    match ink {
        Ink::Black => "black",
        Ink::Dark => "dark",
        Ink::Light => "light",
        Ink::Tint => "tint",
        Ink::Paper => "paper",
    }
}

/// A length to a hundredth, without zeros at its end.
fn length(value: f64) -> String {
    let text = format!("{value:.2}");
    let text = text.trim_end_matches('0').trim_end_matches('.');
    if text == "-0" { "0".to_owned() } else { text.to_owned() }
}

/// The media type that a photo's first bytes show; only those that a page can hold.
fn media_type(bytes: &[u8]) -> Option<&'static str> {
    if bytes.starts_with(b"\x89PNG\r\n\x1a\n") {
        Some("image/png")
    } else if bytes.starts_with(&[0xFF, 0xD8, 0xFF]) {
        Some("image/jpeg")
    } else {
        None
    }
}
