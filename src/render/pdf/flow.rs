//! Slices down a column, onto pages.

use std::rc::Rc;

use super::piece::Piece;

/// A piece that is never broken, with what it asks of the page.
#[derive(Debug, Clone)]
pub(super) struct Slice {
    pub piece: Piece,
    /// Room above, which is left out at the top of a page.
    pub gap: f64,
    /// Stands on the same page as the slice behind it.
    pub is_glued: bool,
    /// What is repeated above it when it begins a page.
    pub head: Option<Rc<Piece>>,
    pub place: Place,
    /// A heading's level and text, for the bookmarks.
    pub bookmark: Option<(u8, String)>,
}

/// Where on its page a slice stands.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Place {
    /// Below the one before.
    Next,
    /// The first of a new page.
    NewPage,
    /// At the foot of the last page before a new one is asked for.
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

/// A page's content and where its bookmarks lead.
#[derive(Debug, Default)]
pub(super) struct Page {
    pub piece: Piece,
    pub bookmarks: Vec<(u8, String, f64)>,
}

impl Page {
    /// Everything on it larger.
    pub fn scaled(self, by: f64) -> Self {
        if by == 1.0 {
            return self;
        }
        let bookmarks = self.bookmarks.into_iter().map(|(level, text, y)| (level, text, y * by)).collect();
        Self { piece: self.piece.scaled(by), bookmarks }
    }
}

/// Puts slices onto pages that have this much height.
pub(super) fn paginate(slices: &[Slice], height: f64) -> Vec<Page> {
    let mut pages = Vec::new();
    let mut rest = slices;
    while !rest.is_empty() {
        let next = rest.iter().skip(1).position(|slice| slice.place == Place::NewPage);
        let (part, behind) = rest.split_at(next.map_or(rest.len(), |next| next + 1));
        pages.extend(part_pages(part, height));
        rest = behind;
    }
    if pages.is_empty() { vec![Page::default()] } else { pages }
}

/// A last page that holds less than this part of its height takes more from the one before it, up to that part.
const FEW: f64 = 0.3;

/// The pages of what stands between two page breaks; none that follows another holds a few lines alone.
fn part_pages(slices: &[Slice], height: f64) -> Vec<Page> {
    let pages = filled_pages(slices, |_| height);
    let last = pages.len().saturating_sub(1);
    let short = pages.last().map_or(0.0, |page| FEW * height - page.piece.height);
    // What stands at a foot fills its page from below.
    if last == 0 || short <= 0.0 || slices.iter().any(|slice| slice.place == Place::Foot) {
        return pages;
    }
    let evened = filled_pages(slices, |page| if page + 1 == last { height - short } else { height });
    if evened.len() == pages.len() { evened } else { pages }
}

/// Pages filled one after the other; `height` says what each of them has, counted from 0.
fn filled_pages(slices: &[Slice], height: impl Fn(usize) -> f64) -> Vec<Page> {
    let mut pages: Vec<Page> = Vec::new();
    let mut page = Page::default();
    let mut y = 0.0;
    let mut at = 0;
    let flowing: Vec<&Slice> = slices.iter().filter(|slice| slice.place != Place::Foot).collect();
    while at < flowing.len() {
        let limit = height(pages.len());
        let run = run_length(&flowing, at);
        let group = flowing.get(at..at + run).unwrap_or_default();
        at += run;
        let total: f64 = group
            .iter()
            .enumerate()
            .map(|(at, slice)| slice.piece.height + if at == 0 && y == 0.0 { 0.0 } else { slice.gap })
            .sum();
        if y + total > limit + 0.01 && y > 0.0 {
            pages.push(std::mem::take(&mut page));
            y = 0.0;
        }
        for slice in group {
            if y + slice.piece.height > height(pages.len()) + 0.01 && y > 0.0 {
                // The group alone is higher than a page.
                pages.push(std::mem::take(&mut page));
                y = 0.0;
            }
            if y == 0.0 {
                if let Some(head) = slice.head.as_ref().filter(|_| !pages.is_empty()) {
                    page.piece.place(head, 0.0, 0.0);
                    y = head.height;
                }
            } else {
                y += slice.gap;
            }
            if let Some((level, text)) = &slice.bookmark {
                page.bookmarks.push((*level, text.clone(), y));
            }
            page.piece.place(&slice.piece, 0.0, y);
            y += slice.piece.height;
        }
    }
    let feet: Vec<&Slice> = slices.iter().filter(|slice| slice.place == Place::Foot).collect();
    let foot_height: f64 = feet.iter().map(|slice| slice.piece.height + slice.gap).sum();
    if !feet.is_empty() {
        let height = height(pages.len());
        if y + foot_height > height + 0.01 && y > 0.0 {
            pages.push(std::mem::take(&mut page));
        }
        let mut y = (height - foot_height).max(0.0);
        for slice in feet {
            y += slice.gap;
            page.piece.place(&slice.piece, 0.0, y);
            y += slice.piece.height;
        }
    }
    pages.push(page);
    pages
}

/// How many slices from `at` on belong together.
fn run_length(slices: &[&Slice], at: usize) -> usize {
    let glued = slices.get(at..).unwrap_or_default().iter().take_while(|slice| slice.is_glued).count();
    (glued + 1).min(slices.len() - at)
}

/// Slices in columns of one height, as low as they can be; none is broken.
pub(super) fn balance(slices: &[Slice], columns: usize) -> Vec<Piece> {
    let all = stack(slices).height;
    let (mut low, mut high) = (all / columns.max(1) as f64, all);
    for _ in 0..24 {
        let middle = (low + high) / 2.0;
        if in_columns(slices, middle).len() <= columns { high = middle } else { low = middle }
    }
    in_columns(slices, high).iter().map(|column| stack(column)).collect()
}

/// Slices in columns of this height, as many as they take.
fn in_columns(slices: &[Slice], height: f64) -> Vec<Vec<Slice>> {
    let mut columns: Vec<Vec<Slice>> = vec![Vec::new()];
    let all: Vec<&Slice> = slices.iter().collect();
    let mut at = 0;
    while at < slices.len() {
        let run = run_length(&all, at);
        let group = slices.get(at..at + run).unwrap_or_default();
        at += run;
        let Some(column) = columns.last_mut() else { break };
        let longer: Vec<Slice> = column.iter().chain(group).cloned().collect();
        if column.is_empty() || stack(&longer).height <= height + 0.01 {
            *column = longer;
        } else {
            columns.push(group.to_vec());
        }
    }
    columns
}

/// One piece out of slices, for a column that is not broken.
pub(super) fn stack(slices: &[Slice]) -> Piece {
    let mut piece = Piece::default();
    let mut y = 0.0;
    for (at, slice) in slices.iter().enumerate() {
        if at > 0 {
            y += slice.gap;
        }
        piece.place(&slice.piece, 0.0, y);
        y += slice.piece.height;
    }
    piece.height = y;
    piece
}
