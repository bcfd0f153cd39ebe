//! Columns beside each other. Rows of one kind stand under each other, however full each of them is.

use std::collections::BTreeMap;

use crate::document::tree::{Block, Column};

use super::flow::{Slice, stack};
use super::layout::{CHECK, Frame, QUOTE, apart, blocks, heading_style, list_indent};
use super::piece::Piece;
use super::text;

/// Room between two columns, in points.
pub(super) const GUTTER: f64 = 18.0;
/// The same where rows of columns fill a page.
const NARROW_GUTTER: f64 = 10.0;

/// How much of the room one column of a full page may give to another at a time, as a share.
const GIVEN: f64 = 0.025;

/// How many steps one column may give to another at once, since a single one may help nobody.
const AT_ONCE: [i32; 3] = [1, 2, 4];

/// Rows that are not lower by this are as high, in points.
const LOWER: f64 = 1e-3;

/// How much the height of a column counts that is not the highest of its row.
const BESIDE: f64 = 1e-3;

/// Columns of one kind: as many, with the same weights.
struct Kind {
    weights: Vec<f64>,
    widths: Vec<f64>,
    gutter: f64,
}

/// The kinds of columns among some blocks.
pub(super) struct Kinds(Vec<Kind>);

impl Kinds {
    pub fn of(blocks: &[&Block], frame: Frame<'_>) -> Self {
        let mut kinds: Vec<(Vec<f64>, Vec<&[Column]>)> = Vec::new();
        for block in blocks {
            let Block::Columns(columns) = block else { continue };
            let weights = weights(columns);
            match kinds.iter_mut().find(|(known, _)| *known == weights) {
                Some((_, rows)) => rows.push(columns),
                None => kinds.push((weights, vec![columns])),
            }
        }
        let kind = |(weights, rows): (Vec<f64>, Vec<&[Column]>)| {
            let gutter = if frame.is_close && rows.len() > 1 { NARROW_GUTTER } else { GUTTER };
            Kind { widths: widths(&weights, &rows, gutter, frame), weights, gutter }
        };
        Self(kinds.into_iter().map(kind).collect())
    }

    pub fn slices(&self, columns: &[Column], frame: Frame<'_>) -> Vec<Slice> {
        let weights = weights(columns);
        let Some(kind) = self.0.iter().find(|kind| kind.weights == weights) else { return Vec::new() };
        let mut piece = Piece::default();
        let mut x = 0.0;
        for (column, width) in columns.iter().zip(&kind.widths) {
            piece.place(laid(column, *width, frame), x, 0.0);
            x += width + kind.gutter;
        }
        if piece.height <= frame.height {
            return vec![Slice::new(piece, 10.0)];
        }
        // Columns higher than a page go below each other, where they can be broken.
        let shown = columns.iter().flat_map(|column| &column.blocks).filter(|block| !block.is_hidden(false));
        apart(shown, frame)
    }
}

fn weights(columns: &[Column]) -> Vec<f64> {
    columns.iter().map(|column| column.weight).collect()
}

fn laid(column: &Column, width: f64, frame: Frame<'_>) -> Piece {
    let shown = column.blocks.iter().filter(|block| !block.is_hidden(true));
    stack(blocks(shown, Frame { width, ..frame }))
}

/// The widths of all columns of one kind: by their weights, and on a full page by what they hold; none is narrower than its
/// longest word while there is room for that.
fn widths(weights: &[f64], rows: &[&[Column]], gutter: f64, frame: Frame<'_>) -> Vec<f64> {
    let room = (frame.width - gutter * weights.len().saturating_sub(1) as f64).max(1.0);
    let total: f64 = weights.iter().sum();
    let columns = || (0..weights.len()).map(|at| rows.iter().filter_map(move |row| row.get(at)));
    let least: Vec<f64> = columns()
        .map(|cells| cells.map(|column| longest(&column.blocks, frame)).fold(0.0, f64::max))
        .collect();
    let shared: Vec<f64> = weights.iter().map(|weight| room * weight / total).collect();
    let widths = text::at_least(shared, &least, room);
    if !frame.is_close {
        return widths;
    }
    let may_give: Vec<bool> =
        columns().map(|mut cells| !cells.any(|column| column.blocks.iter().any(is_drawn))).collect();
    Search { rows, widths, least, may_give, by: room * GIVEN, frame, known: BTreeMap::new() }.lowest()
}

/// The width of the longest word in some blocks; tables and pictures make do with what they get.
fn longest(blocks: &[Block], frame: Frame<'_>) -> f64 {
    let of = |block: &Block| match block {
        Block::Paragraph(text) => text::longest_word(text, frame.style()),
        Block::Heading { level, text } if !block.is_hidden(true) => {
            text::longest_word(text, heading_style(*level))
        }
        Block::Checklist(items) => {
            let items = items.iter().map(|item| text::longest_word(item, frame.style()));
            CHECK + items.fold(0.0, f64::max)
        }
        Block::List { start, items } => {
            let items = items.iter().map(|item| longest(item, frame));
            list_indent(*start, items.len(), frame) + items.fold(0.0, f64::max)
        }
        Block::Quote(inner) => QUOTE + longest(inner, frame),
        _ => 0.0,
    };
    blocks.iter().map(of).fold(0.0, f64::max)
}

/// Whether something in a block is drawn to scale, so that it can use any width.
fn is_drawn(block: &Block) -> bool {
    match block {
        Block::Chart { .. } | Block::Drawing(_) | Block::Image(_) => true,
        Block::Marks(tiles) | Block::Tiles(tiles) => tiles.iter().any(|tile| tile.band.is_some()),
        _ => false,
    }
}

/// The widths with which rows are lowest together, step by step.
struct Search<'r, 'f> {
    rows: &'r [&'r [Column]],
    widths: Vec<f64>,
    least: Vec<f64>,
    may_give: Vec<bool>,
    by: f64,
    frame: Frame<'f>,
    /// The height of a row's column with so many steps more than at first.
    known: BTreeMap<(usize, usize, i32), f64>,
}

impl Search<'_, '_> {
    fn lowest(mut self) -> Vec<f64> {
        let mut steps = vec![0; self.widths.len()];
        let mut height = self.height(&steps);
        loop {
            let mut best = None;
            for (from, to, count) in self.moves(&steps) {
                let mut moved = steps.clone();
                for (at, by) in [(from, -count), (to, count)] {
                    if let Some(step) = moved.get_mut(at) {
                        *step += by;
                    }
                }
                let lower = self.height(&moved);
                if lower < height - LOWER {
                    height = lower;
                    best = Some(moved);
                }
            }
            match best {
                Some(moved) => steps = moved,
                None => return (0..steps.len()).map(|at| self.width(at, &steps)).collect(),
            }
        }
    }

    /// Which column may give how many steps to which.
    fn moves(&self, steps: &[i32]) -> Vec<(usize, usize, i32)> {
        let all = 0..steps.len();
        let may_give = |from: usize, count: i32| {
            let least = self.least.get(from).copied().unwrap_or_default().max(self.by);
            let left = self.width(from, steps) - self.by * f64::from(count);
            self.may_give.get(from) == Some(&true) && left >= least
        };
        let pairs = all.clone().flat_map(|from| all.clone().map(move |to| (from, to)));
        let moves = pairs.filter(|(from, to)| from != to);
        let moves = moves.flat_map(|(from, to)| AT_ONCE.map(|count| (from, to, count)));
        moves.filter(|(from, _, count)| may_give(*from, *count)).collect()
    }

    fn width(&self, at: usize, steps: &[i32]) -> f64 {
        let steps = steps.get(at).copied().unwrap_or_default();
        self.widths.get(at).copied().unwrap_or_default() + self.by * f64::from(steps)
    }

    /// How high all rows are together; of equal ones, that with shorter columns beside the highest is lower.
    fn height(&mut self, steps: &[i32]) -> f64 {
        let mut all = 0.0;
        for (number, row) in self.rows.iter().enumerate() {
            let (mut high, mut beside) = (0.0_f64, 0.0);
            for (at, column) in row.iter().enumerate() {
                let width = self.width(at, steps);
                let key = (number, at, steps.get(at).copied().unwrap_or_default());
                let frame = self.frame;
                let height = self.known.entry(key).or_insert_with(|| laid(column, width, frame).height);
                high = high.max(*height);
                beside += *height;
            }
            all += high + BESIDE * beside;
        }
        all
    }
}
