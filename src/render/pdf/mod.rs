//! Documents into one PDF.
//!
//! Real text in embedded fonts, reduced to what is used; vector charts; bookmarks. The same documents give the
//! same bytes: ids and dates come from what is printed, never from a clock or a counter.

mod columns;
mod file;
mod flow;
mod layout;
mod operators;
mod photo;
mod piece;
mod pressures;
mod settings;
mod table;
mod text;
mod tiles;
mod unchanged;

use std::collections::BTreeSet;
use std::fmt;

use crate::document::tree::{Block, Document};
use crate::document::{Ink, fit};
use crate::speech::{Message, say};

use super::{Images, POINTS, Paper, fonts};
use flow::Page;
use layout::{Frame, SMALL, TEXT};
use photo::Photos;
use piece::{Piece, Style};

pub use piece::Rectangle;

/// The white border of a page, in millimetres.
const MARGIN: f64 = 12.0;

/// How documents are printed.
#[derive(Debug, Clone, Default)]
pub struct PdfOptions {
    pub paper: Paper,
    pub images: Images,
    /// The title of the whole; the first document's when not given.
    pub title: Option<String>,
}

/// A printed file, and what it lacks.
#[derive(Debug, Clone, PartialEq)]
pub struct Printed {
    pub bytes: Vec<u8>,
    /// Characters that the type family lacks, in order of their first page; another one is printed instead.
    pub missing_glyphs: Vec<MissingGlyph>,
    /// Photos that a document has and that could not be printed, by name.
    pub missing_images: Vec<MissingImage>,
    pub pages: usize,
    /// How many words are broken, since a line has no room for them.
    pub broken: usize,
    /// Where everything is, for tests and previews.
    pub boxes: Vec<Placed>,
}

/// A character that could not be printed.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub struct MissingGlyph {
    /// Counted from 1.
    pub page: usize,
    pub character: char,
    /// The text it stands in.
    pub text: String,
}

/// A photo that could not be printed.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct MissingImage {
    pub target: String,
    /// In words that follow a colon.
    pub why: String,
}

/// Something in its place; lengths in points, from the page's top left corner.
#[derive(Debug, Clone, PartialEq)]
pub struct Placed {
    /// Counted from 1.
    pub page: usize,
    pub at: Rectangle,
    pub what: What,
}

/// What is in a place.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum What {
    Text(String),
    /// A box to write in.
    WriteBox,
    Drawing,
    Photo,
}

/// Why there is no file.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum PdfError {
    /// There is no document.
    Nothing,
    /// A font of the program could not be reduced or read.
    Font(String),
    /// The file could not be assembled.
    File(String),
}

impl fmt::Display for PdfError {
    fn fmt(&self, formatter: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Nothing => formatter.write_str("there is nothing to print"),
            Self::Font(why) => write!(formatter, "a font cannot be embedded: {why}"),
            Self::File(why) => write!(formatter, "the PDF cannot be written: {why}"),
        }
    }
}

impl std::error::Error for PdfError {}

/// A page with everything in place; the origin is the paper's top left corner.
struct Leaf {
    piece: Piece,
    /// Level, text and height, as a reader's outline shows them.
    bookmarks: Vec<(u8, String, f64)>,
}

/// Prints documents, one behind the other, into one file.
///
/// Each begins on a page of its own, gives way by itself if it asks for a number of pages, and counts its own
/// pages at their feet.
///
/// # Errors
///
/// Where there are no documents, or the embedded fonts or the writer have a fault, which is this program's.
pub fn write(documents: &[Document], options: &PdfOptions) -> Result<Printed, PdfError> {
    let Some(first) = documents.first() else { return Err(PdfError::Nothing) };
    let photos = Photos::new(&options.images);
    let leaves: Vec<Leaf> = documents
        .iter()
        .flat_map(|document| {
            let is_alone = documents.len() == 1;
            leaves(document, options.paper, &photos, is_alone)
        })
        .collect();
    let targets: BTreeSet<String> = documents.iter().flat_map(|document| targets(&document.blocks)).collect();
    let title = options.title.as_deref().unwrap_or(&first.title);
    let (bytes, broken) = file::write(&leaves, &photos, first, title, options.paper)?;
    let fault = |name: &String| {
        photos.fault(name).or_else(|| broken.contains(name).then(|| "its pixels cannot be read".to_owned()))
    };
    let missing_images = targets
        .into_iter()
        .filter_map(|target| fault(&target).map(|why| MissingImage { target, why }))
        .collect();
    Ok(Printed {
        bytes,
        missing_glyphs: missing_glyphs(&leaves),
        missing_images,
        pages: leaves.len(),
        broken: leaves.iter().map(|leaf| leaf.piece.broken).sum(),
        boxes: boxes(&leaves),
    })
}

/// A count of pages at its widest.
const WIDEST: usize = 888;

fn page_told(number: usize, count: usize) -> Message {
    say!("page {number} of {count}", number, count)
}

/// Lays a document out with margins and feet, thinned until it fits.
fn leaves(document: &Document, paper: Paper, photos: &Photos<'_>, is_alone: bool) -> Vec<Leaf> {
    let (paper_width, paper_height) = paper.size();
    let margin = MARGIN * POINTS;
    let width = paper_width - 2.0 * margin;
    let foot_style = Style::new(SMALL, crate::document::Weight::Regular).dark();
    // The count of pages at its widest.
    let count_width = foot_style.width(&document.tongue.say(&page_told(WIDEST, WIDEST))) + 12.0;
    let foot =
        text::plain(document.metadata.foot.as_deref().unwrap_or_default(), width - count_width, foot_style);
    let foot_height = foot.height.max(foot_style.line()) + 7.0;
    let height = paper_height - 2.0 * margin - foot_height;
    // What follows a page break has pages of its own, and gives nothing up.
    let front =
        document.blocks.iter().position(|block| matches!(block, Block::PageBreak { is_loose: false }));
    let (front, behind) = document.blocks.split_at(front.unwrap_or(document.blocks.len()));
    let pages_of = |blocks: &[Block], scale: f64, is_close: bool| {
        let frame = Frame { width: width / scale, height: height / scale, size: TEXT, is_close, photos };
        flow::paginate(layout::blocks(blocks, frame), frame.height)
    };
    let metadata = document.metadata.clone();
    let front = Document { blocks: front.to_vec(), metadata, ..Document::default() };
    let lay = |document: &Document, scale: f64| pages_of(&document.blocks, scale, document.is_close);
    let broken = |pages: &Vec<Page>| pages.iter().map(|page| page.piece.broken).sum();
    let blank = |pages: &Vec<Page>, scale: f64| {
        let before_last = pages.iter().rev().skip(1);
        before_last.map(|page| (1.0 - page.piece.height * scale / height).max(0.0)).sum()
    };
    let fitted = fit::fit(&front, lay, Vec::len, broken, blank);
    let mut pages: Vec<Page> = fitted.laid.into_iter().map(|page| page.scaled(fitted.scale)).collect();
    if !behind.is_empty() {
        pages.extend(pages_of(behind, 1.0, false));
    }
    let count = pages.len();
    pages
        .into_iter()
        .enumerate()
        .map(|(at, page)| {
            let mut piece = Piece::empty(paper_height);
            piece.place(page.piece, margin, margin);
            let top = margin + height + 7.0;
            piece.rule(margin, margin + width, top - 3.0, 0.25, Ink::Light);
            piece.place(foot.clone(), margin, top);
            let words = document.tongue.say(&page_told(at + 1, count));
            piece.write_to(margin + width, top + foot_style.baseline(), &words, foot_style);
            // In a joint file each document has one bookmark; alone, its headings have.
            let mut bookmarks: Vec<(u8, String, f64)> = if is_alone {
                page.bookmarks.into_iter().map(|(level, text, y)| (level, text, y + margin)).collect()
            } else if at == 0 {
                vec![(1, document.title.clone(), margin)]
            } else {
                Vec::new()
            };
            bookmarks.retain(|(_, text, _)| !text.trim().is_empty());
            Leaf { piece, bookmarks }
        })
        .collect()
}

/// The names of all photos in some blocks.
fn targets(blocks: &[Block]) -> Vec<String> {
    blocks
        .iter()
        .flat_map(|block| match block {
            Block::Image(image) => vec![image.target.clone()],
            Block::Columns(columns) => columns.iter().flat_map(|column| targets(&column.blocks)).collect(),
            Block::List { items, .. } => items.iter().flat_map(|item| targets(item)).collect(),
            Block::Quote(inner) | Block::Cautions(inner) | Block::Flow { blocks: inner, .. } => {
                targets(inner)
            }
            _ => Vec::new(),
        })
        .collect()
}

fn missing_glyphs(leaves: &[Leaf]) -> Vec<MissingGlyph> {
    let mut seen = BTreeSet::new();
    let mut missing = Vec::new();
    for (at, leaf) in leaves.iter().enumerate() {
        for (text, weight) in text::texts(&leaf.piece) {
            for character in text.chars() {
                if fonts::glyph(weight, character).is_none() && seen.insert(character) {
                    missing.push(MissingGlyph { page: at + 1, character, text: text.to_owned() });
                }
            }
        }
    }
    missing
}

fn boxes(leaves: &[Leaf]) -> Vec<Placed> {
    use crate::document::{Anchor, Shape};
    let mut placed = Vec::new();
    for (at, leaf) in leaves.iter().enumerate() {
        let page = at + 1;
        for shape in &leaf.piece.shapes {
            placed.push(match shape {
                Shape::Text { x, y, text, size, anchor, weight, .. } => {
                    let width = fonts::width(text, *size, *weight);
                    let x = match anchor {
                        Anchor::Start => *x,
                        Anchor::Middle => x - width / 2.0,
                        Anchor::End => x - width,
                    };
                    // From the top of capitals to the foot of a `g`, near enough for any face.
                    let at = Rectangle { x, y: y - size * 0.72, width, height: size * 0.94 };
                    Placed { page, at, what: What::Text(text.clone()) }
                }
                Shape::Stroke { points, .. } | Shape::Fill { points, .. } => {
                    Placed { page, at: around(points), what: What::Drawing }
                }
            });
        }
        let boxes = leaf.piece.boxes.iter().map(|at| Placed { page, at: *at, what: What::WriteBox });
        placed.extend(boxes);
        placed.extend(leaf.piece.photos.iter().map(|photo| Placed { page, at: photo.at, what: What::Photo }));
    }
    placed
}

fn around(points: &[(f64, f64)]) -> Rectangle {
    let (mut left, mut top) = (f64::INFINITY, f64::INFINITY);
    let (mut right, mut bottom) = (f64::NEG_INFINITY, f64::NEG_INFINITY);
    for (x, y) in points {
        (left, right) = (left.min(*x), right.max(*x));
        (top, bottom) = (top.min(*y), bottom.max(*y));
    }
    Rectangle { x: left, y: top, width: right - left, height: bottom - top }
}
