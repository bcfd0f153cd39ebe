//! Settings that stay as they are, at text size: below what to set.

use crate::document::Ink;
use crate::document::tree::{Inline, Setting, Settings};

use super::super::decimal::Decimal;
use super::flow::{Slice, balance};
use super::layout::{Frame, WIDE, small, with_note};
use super::piece::{Piece, Rectangle};
use super::settings::{COLUMNS_GAP, NAME, UNIT};
use super::text;

/// The width of a box at text size, and where there are three columns.
const BOX: f64 = 32.0;
const TIGHT_BOX: f64 = 24.0;
/// The widest text behind a number for it to be set as one; and the box of an unknown number.
const REST: f64 = 34.0;
const UNKNOWN: f64 = 26.0;
/// The height of a row at text size.
const ROW: f64 = 11.5;

/// Unchanged settings at text size, in this many columns side by side in this room; returns the width of each
/// column.
fn entries<'r>(rows: &[&'r Setting], room: f64, abreast: usize) -> (Vec<Piece>, f64) {
    let width = (room - COLUMNS_GAP * (abreast as f64 - 1.0)) / abreast as f64;
    let behind = rows.iter().map(|row| behind_mark(row)).fold(0.0, f64::max).min(width * 0.3);
    // Three columns have no room for one line of marks: each number ends before its box.
    let grid = |row: &Setting| match abreast {
        3 => tight_grid(row, width),
        _ => Grid { mark: width - BOX - 8.0 - behind, width, write: BOX },
    };
    let mut group: Option<&str> = None;
    let entry = |row: &&'r Setting| {
        let begins_group = row.group.as_deref() != group;
        group = row.group.as_deref();
        let set = set(row, &grid(row));
        let Some(group) = group.filter(|_| begins_group) else { return set };
        // With its first row, so that no group's name is alone at the foot of a column.
        let mut piece = Piece::default();
        piece.place(text::plain(group, width, small()), 0.0, 1.5);
        let y = piece.height;
        piece.place(set, 0.0, y);
        piece
    };
    (rows.iter().map(entry).collect(), width)
}

/// Unchanged settings in columns: down the first, then down the next.
pub(super) fn rows(settings: &Settings, rows: &[&Setting], frame: Frame<'_>) -> Vec<Slice> {
    let is_wide = frame.width >= WIDE;
    let set = |abreast: usize| {
        let (entries, width) = entries(rows, frame.width, abreast);
        let entries = entries.into_iter().map(|entry| Slice::new(entry, 0.0)).collect();
        (balance(entries, abreast), width)
    };
    let height = |columns: &[Piece]| columns.iter().map(|column| column.height).fold(0.0, f64::max);
    let (mut columns, mut width) = set(if is_wide { 2 } else { 1 });
    if is_wide && settings.is_tight {
        // Three columns are lower only where names fit on one line.
        let (three, narrow) = set(3);
        let has_room = rows.iter().all(|row| tight_grid(row, narrow).holds_words(row));
        if has_room && height(&three) < height(&columns) {
            (columns, width) = (three, narrow);
        }
    }
    let left = |column: usize| (width + COLUMNS_GAP) * column as f64;
    let [_, _, _, ridden] = &settings.headings;
    let mut label = text::plain(&settings.unchanged_words, frame.width, small());
    for column in 0..columns.len() {
        label.write_to(left(column) + width, small().baseline(), ridden, small());
    }
    label.rule(0.0, frame.width, label.height + 1.0, 0.35, Ink::Dark);
    label.height += 2.0;
    let mut slices = vec![Slice::new(label, 8.0).glued()];
    let mut piece = Piece::default();
    if height(&columns) <= frame.height * 0.8 {
        for (at, column) in columns.into_iter().enumerate() {
            piece.place(column, left(at), 0.0);
        }
        slices.push(Slice::new(piece, 0.0));
    } else {
        // So many that a page ends among them go below each other.
        let (entries, _) = entries(rows, frame.width, 1);
        slices.extend(entries.into_iter().map(|entry| Slice::new(entry, 0.0)));
    }
    slices
}

/// The value of a row at text size as a number, unless more words follow than a unit has.
fn number(row: &Setting) -> Option<Decimal> {
    let number = Decimal::with(row.value.as_deref()?, row.expanded.as_deref())?;
    Some(number).filter(|number| UNIT.width(&number.rest) <= REST)
}

/// The width behind the decimal mark at text size.
fn behind_mark(row: &Setting) -> f64 {
    let unit = row.unit.as_deref().map_or(0.0, |unit| UNIT.width(unit) + 2.5);
    number(row).map_or(0.0, |number| unit + NAME.width(&number.fraction) + UNIT.width(&number.rest))
}

/// The same for one row by itself, also for words with a unit.
fn tight_behind(row: &Setting) -> f64 {
    let unit = row.unit.as_deref().map_or(0.0, |unit| UNIT.width(unit) + 2.5);
    if number(row).is_some() { behind_mark(row) } else { unit }
}

/// Where a row at text size has its decimal mark and its end, and the width of its box.
struct Grid {
    mark: f64,
    width: f64,
    write: f64,
}

fn tight_grid(row: &Setting, width: f64) -> Grid {
    Grid { mark: width - TIGHT_BOX - 5.0 - tight_behind(row), width, write: TIGHT_BOX }
}

impl Grid {
    /// The width of a row's name, and whether its value is in words that wrap.
    fn name(&self, row: &Setting) -> (f64, bool) {
        let number = number(row);
        let before = match (&number, row.value.as_deref()) {
            (Some(number), _) => NAME.width(&number.before),
            (None, Some(words)) => NAME.width(words),
            (None, None) => UNKNOWN,
        };
        let room = self.mark - before - 4.0;
        let is_wide = number.is_none() && row.value.is_some() && room < NAME.width(&with_note(row));
        if is_wide {
            // Short words leave more room for the name.
            let left = self.box_at() - before - 14.0;
            return (left.clamp(self.box_at() * 0.45, self.box_at() * 0.65), true);
        }
        (room.max(self.width * 0.3), false)
    }

    /// Whether no word of a row's name is broken.
    fn holds_words(&self, row: &Setting) -> bool {
        let (room, _) = self.name(row);
        text::widths(&[Inline::plain(with_note(row).as_str())], NAME).1 <= room
    }

    fn box_at(&self) -> f64 {
        self.width - self.write
    }
}

fn set(row: &Setting, grid: &Grid) -> Piece {
    let &Grid { mark, write, .. } = grid;
    let mut piece = Piece::empty(ROW);
    let box_at = grid.box_at();
    let unit = row.unit.as_deref().unwrap_or_default();
    let words = row.value.as_deref().unwrap_or_default();
    let baseline = 0.4 + NAME.baseline();
    let (room, is_wide) = grid.name(row);
    let set = text::plain(&with_note(row), room, NAME);
    let low = piece.place(set, 0.0, 0.4);
    match number(row) {
        Some(number) => {
            piece.write_to(mark, baseline, &number.before, NAME);
            piece.write(mark, baseline, &number.fraction, NAME);
            let x = mark + NAME.width(&number.fraction);
            piece.write(x, baseline, &number.rest, UNIT);
            piece.write(x + UNIT.width(&number.rest) + 2.5, baseline, unit, UNIT);
        }
        None if is_wide => {
            // Words that do not fit before the mark run up to the box, in lines.
            let x = room + 6.0;
            piece.place(text::plain(words, box_at - 6.0 - x, NAME), x, 0.4);
        }
        None => {
            piece.write_to(mark, baseline, words, NAME);
            piece.write(mark + 2.5, baseline, unit, UNIT);
        }
    }
    piece.write_box(Rectangle { x: box_at, y: 1.2, width: write - 0.4, height: ROW - 2.4 });
    if row.value.is_none() {
        // An unknown value is never shown as a number.
        let at = Rectangle { x: mark - UNKNOWN, y: 1.2, width: UNKNOWN, height: ROW - 2.4 };
        piece.write_box(at);
    }
    piece.height = piece.height.max(low + 0.4);
    if let Some(wanted) = row.wanted.as_deref().filter(|_| row.value.is_none()) {
        let y = piece.height - 1.0;
        piece.place(text::plain(wanted, box_at - 6.0, small()), 0.0, y);
    }
    piece
}
