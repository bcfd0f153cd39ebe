//! Slices down a column, onto pages.

use std::rc::Rc;

use super::piece::Piece;

/// A piece that is never broken, and what it requires of the page.
#[derive(Debug, Clone)]
pub(super) struct Slice {
    pub piece: Piece,
    /// Room above, which is left out at the top of a page.
    pub gap: f64,
    /// On the same page as the slice behind it.
    pub is_glued: bool,
    /// What is repeated above it where it begins a page.
    pub head: Option<Rc<Piece>>,
    pub place: Place,
    /// A heading's level and text, for the bookmarks.
    pub bookmark: Option<(u8, String)>,
}

/// Where a slice goes.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Place {
    /// Below the one before.
    Next,
    /// At the top of a new page.
    NewPage,
    /// The first of a new part: on a page of its own, unless more than half of this one is left.
    NewPart,
    /// At the foot of the last page before the next page break.
    Foot,
}

impl Slice {
    pub fn new(piece: Piece, gap: f64) -> Self {
        Self { piece, gap, is_glued: false, head: None, place: Place::Next, bookmark: None }
    }

    pub fn glued(mut self) -> Self {
        self.is_glued = true;
        self
    }
}

/// No part of what belongs together is alone on a page: at least two slices are, on either side of a page's end.
pub(super) fn keep_pairs(slices: &mut [Slice]) {
    let last_but_one = slices.len().saturating_sub(2);
    for at in [0, last_but_one] {
        if let Some(slice) = slices.get_mut(at).filter(|_| at <= last_but_one) {
            slice.is_glued = true;
        }
    }
}

/// All of it is on one page.
pub(super) fn keep_whole(slices: &mut [Slice]) {
    if let Some((_, before)) = slices.split_last_mut() {
        before.iter_mut().for_each(|slice| slice.is_glued = true);
    }
}

/// A page's contents, and where its bookmarks lead.
#[derive(Debug, Default)]
pub(super) struct Page {
    pub piece: Piece,
    pub bookmarks: Vec<(u8, String, f64)>,
}

impl Page {
    /// Everything on it, larger.
    pub fn scaled(self, by: f64) -> Self {
        if by == 1.0 {
            return self;
        }
        let bookmarks = self.bookmarks.into_iter().map(|(level, text, y)| (level, text, y * by)).collect();
        Self { piece: self.piece.scaled(by), bookmarks }
    }
}

/// Lays slices on pages of this height.
pub(super) fn paginate(slices: Vec<Slice>, height: f64) -> Vec<Page> {
    let mut pages = Vec::new();
    let mut part: Vec<Slice> = Vec::new();
    for slice in slices {
        if slice.place == Place::NewPage && !part.is_empty() {
            pages.extend(part_pages(std::mem::take(&mut part), height));
        }
        part.push(slice);
    }
    if !part.is_empty() {
        pages.extend(part_pages(part, height));
    }
    if pages.is_empty() { vec![Page::default()] } else { pages }
}

/// A last page filled less than this takes more from the page before, up to this part.
const FEW: f64 = 0.3;

/// The part of a page up to which a new part goes on below what is there, and the room between the two in points.
const LOOSE: f64 = 0.5;
const BETWEEN: f64 = 30.0;

/// The pages between two page breaks; none of them has only a few lines, except the first.
fn part_pages(slices: Vec<Slice>, height: f64) -> Vec<Page> {
    let (feet, flowing): (Vec<Slice>, Vec<Slice>) =
        slices.into_iter().partition(|slice| slice.place == Place::Foot);
    let mut spots = spots(&flowing, |_| height);
    let last = spots.last().map_or(0, |spot| spot.page);
    let low = spots.last().map_or(0.0, |spot| spot.low);
    let short = FEW * height - low;
    // Slices at a foot fill their page from below.
    if last > 0 && short > 0.0 && feet.is_empty() {
        let evened = self::spots(&flowing, |page| if page + 1 == last { height - short } else { height });
        if evened.last().is_some_and(|spot| spot.page == last) {
            spots = evened;
        }
    }

    let mut pages: Vec<Page> = Vec::new();
    pages.resize_with(last + 1, Page::default);
    for (slice, spot) in flowing.into_iter().zip(spots) {
        let Some(page) = pages.get_mut(spot.page) else { continue };
        if let Some(head) = slice.head.filter(|_| spot.is_under_head) {
            page.piece.place((*head).clone(), 0.0, 0.0);
        }
        if let Some((level, text)) = slice.bookmark {
            page.bookmarks.push((level, text, spot.y));
        }
        page.piece.place(slice.piece, 0.0, spot.y);
    }
    let foot_height: f64 = feet.iter().map(|slice| slice.piece.height + slice.gap).sum();
    if !feet.is_empty() {
        if low + foot_height > height + 0.01 && low > 0.0 {
            pages.push(Page::default());
        }
        let mut y = (height - foot_height).max(0.0);
        for slice in feet {
            y += slice.gap;
            let low = y + slice.piece.height;
            if let Some(page) = pages.last_mut() {
                page.piece.place(slice.piece, 0.0, y);
            }
            y = low;
        }
    }
    pages
}

/// Where a slice is.
struct Spot {
    /// Counted from 0, in its part.
    page: usize,
    y: f64,
    /// How far down it reaches.
    low: f64,
    is_under_head: bool,
}

/// Fills pages one after the other; `height` gives each page's.
fn spots(slices: &[Slice], height: impl Fn(usize) -> f64) -> Vec<Spot> {
    let mut spots = Vec::new();
    let (mut page, mut y) = (0, 0.0);
    for group in slices.chunk_by(|slice, _| slice.is_glued) {
        let above = if y == 0.0 { group.first().map_or(0.0, |first| first.gap) } else { 0.0 };
        let total: f64 = group.iter().map(|slice| slice.piece.height + slice.gap).sum::<f64>() - above;
        let overflows = |y: f64, more: f64, page: usize| y + more > height(page) + 0.01 && y > 0.0;
        let is_new = group.first().is_some_and(|first| first.place == Place::NewPart);
        if overflows(y, total, page) || is_new && y > LOOSE * height(page) {
            (page, y) = (page + 1, 0.0);
        } else if is_new && y > 0.0 {
            y += BETWEEN;
        }
        for slice in group {
            if overflows(y, slice.piece.height, page) {
                // The group alone is higher than a page.
                (page, y) = (page + 1, 0.0);
            }
            let head = slice.head.as_ref().filter(|_| y == 0.0 && page > 0);
            y = match head {
                Some(head) => head.height,
                None if y == 0.0 => 0.0,
                None => y + slice.gap,
            };
            let low = y + slice.piece.height;
            spots.push(Spot { page, y, low, is_under_head: head.is_some() });
            y = low;
        }
    }
    spots
}

/// Slices in columns of equal height, as low as possible; none is broken.
pub(super) fn balance(slices: Vec<Slice>, columns: usize) -> Vec<Piece> {
    let all = height_of(&slices);
    let (mut low, mut high) = (all / columns.max(1) as f64, all);
    for _ in 0..24 {
        let middle = (low + high) / 2.0;
        if in_columns(&slices, middle).len() <= columns { high = middle } else { low = middle }
    }
    let lengths = in_columns(&slices, high);
    let mut rest = slices.into_iter();
    lengths.into_iter().map(|length| stack(rest.by_ref().take(length).collect())).collect()
}

/// How many slices are in each column of this height, with as many columns as that takes.
fn in_columns(slices: &[Slice], height: f64) -> Vec<usize> {
    let mut columns = vec![0];
    let (mut at, mut first) = (0, 0);
    while at < slices.len() {
        let rest = slices.get(at..).unwrap_or_default();
        let run = (rest.iter().take_while(|slice| slice.is_glued).count() + 1).min(rest.len());
        let so_far = height_of(slices.get(first..at + run).unwrap_or_default());
        match columns.last_mut() {
            Some(column) if *column == 0 || so_far <= height + 0.01 => *column += run,
            _ => {
                first = at;
                columns.push(run);
            }
        }
        at += run;
    }
    columns
}

/// The height of slices in a column that is not broken.
fn height_of(slices: &[Slice]) -> f64 {
    let above = slices.first().map_or(0.0, |first| first.gap);
    slices.iter().map(|slice| slice.piece.height + slice.gap).sum::<f64>() - above
}

/// One piece out of slices, for a column that is not broken.
pub(super) fn stack(slices: Vec<Slice>) -> Piece {
    let mut piece = Piece::default();
    let mut y = 0.0;
    for (at, slice) in slices.into_iter().enumerate() {
        if at > 0 {
            y += slice.gap;
        }
        let low = y + slice.piece.height;
        piece.place(slice.piece, 0.0, y);
        y = low;
    }
    piece.height = y;
    piece
}
