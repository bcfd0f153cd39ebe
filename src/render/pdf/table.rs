//! Tables: columns as wide as their contents, numbers on their decimal mark, heads on every page.

use std::rc::Rc;

use crate::document::tree::{Align, Cell, Table, plain_text};
use crate::document::{Ink, Weight};

use super::super::decimal::Decimal;
use super::flow::{Slice, keep_pairs, keep_whole};
use super::layout::{Frame, SMALL};
use super::piece::{Piece, Style};
use super::text;

const GUTTER: f64 = 12.0;
/// Where columns would otherwise break their words and numbers.
const NARROW_GUTTER: f64 = 5.0;
/// A table that takes no more than this part of a page stays whole.
const WHOLE: f64 = 0.16;

pub(super) fn slices(table: &Table, frame: Frame<'_>) -> Vec<Slice> {
    let size = if table.is_small { SMALL } else { frame.size };
    let style = Style::new(size, Weight::Regular);
    let columns = columns(table, frame.width, style);
    let head = Rc::new(head(table, &columns, frame.width));
    let has_head = table.head.iter().any(|cell| !cell.is_empty());
    let mut slices = Vec::new();
    if has_head {
        slices.push(Slice::new((*head).clone(), 6.0).glued());
    }
    for (at, row) in table.rows.iter().enumerate() {
        let mut piece = Piece::default();
        for (column, cell) in columns.iter().zip(row) {
            piece.place(column.cell(cell, style), column.x, 2.0);
        }
        piece.height = piece.height.max(style.line() + 2.0) + 2.0;
        let bottom = piece.height;
        piece.rule(0.0, frame.width, bottom, 0.25, Ink::Light);
        let mut slice = Slice::new(piece, if at == 0 && !has_head { 6.0 } else { 0.0 });
        if has_head {
            slice.head = Some(Rc::clone(&head));
        }
        slices.push(slice);
    }
    let height: f64 = slices.iter().map(|slice| slice.piece.height).sum();
    let rows = if has_head { slices.get_mut(1..).unwrap_or_default() } else { &mut slices };
    if height <= WHOLE * frame.height {
        keep_whole(rows);
    } else {
        keep_pairs(rows);
    }
    slices
}

struct ColumnBox {
    x: f64,
    width: f64,
    align: Align,
    /// The widest number before and behind its decimal mark.
    before: f64,
    behind: f64,
}

fn columns(table: &Table, room: f64, style: Style) -> Vec<ColumnBox> {
    let count = table.align.len().max(1);
    let head_style = Style { size: SMALL, ..style };
    let mut columns: Vec<ColumnBox> = Vec::new();
    let (mut least, mut heads) = (Vec::new(), Vec::new());
    for at in 0..count {
        let align = table.align.get(at).copied().unwrap_or_default();
        let cells = || table.rows.iter().filter_map(|row| row.get(at));
        let (mut before, mut behind) = (0.0_f64, 0.0_f64);
        let (mut whole, mut word) = table.head.get(at).map_or((0.0, 0.0), |cell| {
            let (whole, word) = text::widths(cell, head_style);
            // A head may be broken into lines, so a narrow column stays narrow; above numbers as narrow as they
            // are.
            heads.push(whole.min(72.0));
            (if align == Align::Right { word } else { whole.min(72.0).max(word) }, word)
        });
        for cell in cells() {
            match Decimal::split(&plain_text(cell)).filter(|_| align == Align::Right) {
                Some(number) => {
                    before = before.max(style.width(&number.before));
                    behind = behind.max(tail_width(&number, style));
                }
                None => {
                    let (cell_whole, cell_word) = text::widths(cell, style);
                    whole = whole.max(cell_whole);
                    word = word.max(cell_word);
                }
            }
        }
        whole = whole.max(before + behind);
        word = word.max(before + behind);
        columns.push(ColumnBox { x: 0.0, width: whole, align, before, behind });
        least.push(word);
    }
    let between = count as f64 - 1.0;
    let is_tight = least.iter().sum::<f64>() + GUTTER * between > room;
    let gutter = if is_tight { NARROW_GUTTER } else { GUTTER };
    let room = (room - gutter * between).max(1.0);
    let wanted: Vec<f64> = columns.iter().map(|column| column.width).collect();
    let shared = text::share(&wanted, &least, room);
    let mut left = room - shared.iter().sum::<f64>();
    for (at, (column, width)) in columns.iter_mut().zip(shared).enumerate() {
        // Spare room keeps heads on fewer lines.
        let more = (heads.get(at).copied().unwrap_or_default() - width).clamp(0.0, left.max(0.0));
        left -= more;
        column.width = width + more;
    }
    let mut x = 0.0;
    for column in &mut columns {
        column.x = x;
        x += column.width + gutter;
    }
    columns
}

fn head(table: &Table, columns: &[ColumnBox], width: f64) -> Piece {
    let style = Style::new(SMALL, Weight::Regular).dark();
    let set: Vec<Piece> =
        columns.iter().zip(&table.head).map(|(column, cell)| column.lines(cell, style)).collect();
    let height = set.iter().map(|piece| piece.height).fold(0.0, f64::max);
    let mut piece = Piece::empty(height + 1.5);
    for (column, cell) in columns.iter().zip(set) {
        let y = height - cell.height;
        piece.place(cell, column.x, y);
    }
    piece.height = height + 1.5;
    piece.rule(0.0, width, height + 1.5, 0.8, Ink::Black);
    piece
}

impl ColumnBox {
    fn cell(&self, cell: &Cell, style: Style) -> Piece {
        let is_plain = cell.iter().all(|inline| inline.link.is_none() && !inline.is_struck);
        let number = Decimal::split(&plain_text(cell)).filter(|_| {
            self.align == Align::Right && is_plain && self.before + self.behind <= self.width + 0.01
        });
        let Some(number) = number else { return self.lines(cell, style) };
        let weight = if cell.iter().any(|inline| inline.is_strong) { Weight::Bold } else { style.weight };
        let figures = Style { weight, ..style };
        let mut piece = Piece::empty(style.line());
        let mark = self.width - self.behind;
        piece.write_to(mark, style.baseline(), &number.before, figures);
        piece.write(mark, style.baseline(), &number.fraction, figures);
        let x = mark + figures.width(&number.fraction);
        piece.write(x, style.baseline(), &number.rest, Style { weight: Weight::Light, ..style });
        piece
    }

    /// Text in lines, each placed by the column's alignment.
    fn lines(&self, cell: &Cell, style: Style) -> Piece {
        let mut piece = Piece::default();
        for (line, width) in text::split_with_widths(cell, self.width, style) {
            let x = match self.align {
                Align::Left => 0.0,
                Align::Centre => (self.width - width) / 2.0,
                Align::Right => self.width - width,
            };
            let y = piece.height;
            piece.place(line, x, y);
        }
        piece
    }
}

fn tail_width(number: &Decimal, style: Style) -> f64 {
    style.width(&number.fraction) + Style { weight: Weight::Light, ..style }.width(&number.rest)
}

/// The heads of columns, each at its distance from the left, on one line above a rule of this width.
pub(super) fn heads(set: Vec<(f64, Piece)>, width: f64) -> Piece {
    let height = set.iter().map(|(_, words)| words.height).fold(0.0, f64::max);
    let mut piece = Piece::default();
    for (x, words) in set {
        let y = height - words.height;
        piece.place(words, x, y);
    }
    piece.height = height + 2.0;
    piece.rule(0.0, width, piece.height, 0.8, Ink::Black);
    piece
}
