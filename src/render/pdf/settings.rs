//! What to set: the largest thing on a sheet.

use std::rc::Rc;

use crate::document::tree::{Inline, Setting, Settings};
use crate::document::{Ink, Weight};

use super::super::decimal::Decimal;
use super::flow::{Slice, stack};
use super::layout::{Frame, LARGE, TEXT, WIDE, small};
use super::piece::{Piece, Rectangle, Style};
use super::{table, text, unchanged};

pub(super) const VALUE: Style = Style::new(LARGE, Weight::Bold);
pub(super) const UNIT: Style = Style::new(TEXT, Weight::Light);
pub(super) const NAME: Style = Style::new(TEXT, Weight::Regular);
pub(super) const STRONG: Style = Style::new(TEXT, Weight::Bold);
/// The height of a large row, in points: room to write by hand beside it.
pub(super) const ROW: f64 = 18.0;
/// The part of a wide page for names.
pub(super) const NAMES: f64 = 0.3;
/// From a large row's top to its baseline.
pub(super) const BASELINE: f64 = 13.9;
/// From a large row's top to that of its text, so that both have one baseline.
pub(super) const TEXT_TOP: f64 = 6.0;
/// Room between two columns of settings.
pub(super) const COLUMNS_GAP: f64 = 18.0;
/// The width of a box in a narrow column.
const NARROW_BOX: f64 = 38.0;
pub(super) fn slices(settings: &Settings, frame: Frame<'_>) -> Vec<Slice> {
    let (shown, counted) = settings.shown();
    let (large, rest): (Vec<&Setting>, Vec<&Setting>) = shown.into_iter().partition(|row| row.is_changed());
    let mut slices = Vec::new();
    // Too many for a page go below each other, where they can be broken.
    let mut flowing = None;
    if settings.is_flowing && frame.width >= WIDE && !large.is_empty() {
        let width = (frame.width - COLUMNS_GAP) / 2.0;
        let mut piece = Piece::default();
        for (at, half) in large.chunks(large.len().div_ceil(2)).enumerate() {
            let rows = Grid::new(settings, half, width).rows(settings, half);
            piece.place(stack(rows), (width + COLUMNS_GAP) * at as f64, 0.0);
        }
        flowing = Some(piece).filter(|piece| piece.height <= frame.height / 2.0);
    }
    if let Some(piece) = flowing {
        slices.push(Slice::new(piece, 8.0));
    } else if !large.is_empty() {
        let grid = Grid::new(settings, &large, frame.width);
        slices.extend(grid.rows(settings, &large));
    }
    if !rest.is_empty() {
        slices.extend(unchanged::rows(settings, &rest, frame));
    }
    if counted > 0 {
        let words = format!("+{counted} {}", settings.unchanged_words);
        slices.push(Slice::new(text::plain(&words, frame.width, NAME), 4.0));
    }
    slices
}

/// The head of a missing column.
const NOTHING: &str = "";

/// Where the columns are, in points.
struct Grid {
    width: f64,
    /// Where names begin; groups come before, if there is room.
    name: f64,
    value: f64,
    /// Where the decimal marks are.
    mark: f64,
    change: f64,
    box_at: f64,
}

impl Grid {
    fn new(settings: &Settings, rows: &[&Setting], width: f64) -> Self {
        let is_wide = width >= WIDE;
        let [_, value_head, change_head, _] = &settings.headings;
        let groups = rows.iter().filter_map(|row| row.group.as_deref());
        let widest_group = groups.map(|group| STRONG.width(group) + 20.0).reduce(f64::max);
        let name = widest_group.filter(|_| is_wide).map_or(8.0_f64, |widest| widest.clamp(40.0, 80.0));
        let box_at = width - if is_wide { 76.0 } else { NARROW_BOX };
        let gap = if is_wide { 14.0 } else { 9.0 };
        let (mut before, mut behind) = (0.0_f64, 0.0_f64);
        let mut words = 0.0_f64;
        for row in rows {
            match number(row) {
                Some(number) => {
                    before = before.max(VALUE.width(&number.before));
                    behind = behind.max(tail(row, &number));
                }
                // Words may be broken into lines, so they ask for at most one and a half numbers' room.
                None => words = words.max(words_width(row)),
            }
        }
        let values = (before + behind)
            .max(words.min(if is_wide { 96.0 } else { 62.0 }))
            .max(small().width(value_head))
            .max(56.0);
        let changes = rows
            .iter()
            .filter_map(|row| row.change.as_deref())
            .map(|change| STRONG.width(change))
            .fold(small().width(change_head).min(96.0), f64::max)
            .min(width * 0.22)
            .max(if is_wide { 60.0 } else { 48.0 });
        // In a narrow column the change is behind the name, or below it.
        let mut change = if is_wide { box_at - changes - gap } else { box_at };
        let mut value = change - values - gap;
        if is_wide && name + NAMES * width + values + changes + 28.0 <= box_at {
            // On the lines of the page's grid, like the pressures below.
            value = NAMES * width;
            change = (value + values + 14.0).max(2.0 * NAMES * width).min(change);
        }
        Self { width, name, value, mark: value + before.min(values), change, box_at }
    }

    fn rows(&self, settings: &Settings, rows: &[&Setting]) -> Vec<Slice> {
        let head = Rc::new(self.head(settings));
        let mut slices = vec![Slice::new((*head).clone(), 8.0).glued()];
        let mut group: Option<&str> = None;
        for (at, row) in rows.iter().enumerate() {
            let is_first = at == 0 || row.group.as_deref() != group;
            group = row.group.as_deref();
            let mut slice = Slice::new(self.row(row, is_first, at == 0), 0.0);
            slice.head = Some(Rc::clone(&head));
            slices.push(slice);
        }
        slices
    }

    fn head(&self, settings: &Settings) -> Piece {
        let [what, value, change, ridden] = &settings.headings;
        // Above the number, which ends at the decimal mark.
        let end = self.mark.max(self.value + small().width(value));
        let columns = [
            (0.0, what.as_str(), self.value - 8.0),
            (end - small().width(value), value.as_str(), self.change - self.value),
            (
                self.change,
                if self.change < self.box_at { change.as_str() } else { NOTHING },
                self.box_at - self.change - 8.0,
            ),
            (self.box_at, ridden.as_str(), self.width - self.box_at),
        ];
        let set = columns.map(|(x, words, width)| (x, text::plain(words, width, small())));
        table::heads(set.into(), self.width)
    }

    fn row(&self, row: &Setting, begins_group: bool, is_first: bool) -> Piece {
        let mut piece = Piece::empty(ROW);
        let has_group_column = self.name > 20.0;
        let mut top = 0.0;
        if begins_group && !is_first {
            piece.rule(0.0, self.width, 0.0, 0.35, Ink::Dark);
        }
        if let Some(group) = row.group.as_deref().filter(|_| begins_group) {
            if has_group_column {
                piece.place(text::plain(group, self.name - 16.0, STRONG), 0.0, TEXT_TOP);
            } else {
                piece.place(text::plain(group, self.width, small()), 0.0, 2.0);
                top = small().line();
            }
        }
        let room = self.value - self.name - 8.0;
        let mut low = top + TEXT_TOP;
        let mut end = 0.0;
        for (line, width) in text::split_with_widths(&[Inline::plain(row.name.as_str())], room, STRONG) {
            low = piece.place(line, self.name, low);
            end = width;
        }
        if let Some(note) = &row.note {
            let note = text::plain(note, self.value - self.name - 10.0, small());
            low = piece.place(note, self.name, low - 1.0);
        }
        let mut under = low;
        low = low.max(top + self.value(&mut piece, row, top));
        let mut beside = top + TEXT_TOP;
        let wanted = row.wanted.as_deref().filter(|_| row.value.is_none());
        let is_beside = self.change < self.box_at;
        // Behind the name, where both fit on its last line.
        let behind = row
            .change
            .as_deref()
            .filter(|change| !is_beside && row.note.is_none() && end + 5.0 + small().width(change) <= room);
        if let Some(change) = behind {
            let baseline = low - STRONG.line() + STRONG.baseline();
            piece.write(self.name + end + 5.0, baseline, change, small());
        }
        for (words, style) in
            [(row.change.as_deref().filter(|_| behind.is_none()), STRONG), (wanted, small())]
        {
            let Some(words) = words else { continue };
            if is_beside {
                let set = text::plain(words, self.box_at - self.change - 10.0, style);
                beside = piece.place(set, self.change, beside);
                low = low.max(beside);
            } else {
                let set = text::plain(words, self.value - self.name - 10.0, small());
                under = piece.place(set, self.name, under - 1.0);
                low = low.max(under);
            }
        }
        let width = self.width - self.box_at;
        piece.write_box(Rectangle { x: self.box_at, y: top + 2.3, width: width - 0.4, height: ROW - 4.6 });
        piece.height = (top + ROW).max(low + 2.0);
        // A change shows without reading, and without colour.
        let height = piece.height - top - 6.0;
        piece.bar(Rectangle { x: self.name - 7.0, y: top + 3.0, width: 2.4, height }, Ink::Black);
        piece
    }

    /// Writes the value on its decimal mark; returns its height.
    fn value(&self, piece: &mut Piece, row: &Setting, top: f64) -> f64 {
        let baseline = top + BASELINE;
        let Some(value) = &row.value else {
            let width = (self.change - 14.0 - self.value).min(64.0);
            piece.write_box(Rectangle { x: self.value, y: top + 2.3, width, height: ROW - 4.6 });
            if let Some(unit) = &row.unit {
                piece.write(self.value + width + 3.0, baseline, unit, UNIT);
            }
            return ROW;
        };
        let room = self.change - 8.0 - self.value;
        let unit = row.unit.as_deref().unwrap_or_default();
        if let Some(number) = number(row) {
            piece.write_to(self.mark, baseline, &number.before, VALUE);
            piece.write(self.mark, baseline, &number.fraction, VALUE);
            let x = self.mark + VALUE.width(&number.fraction);
            piece.write(x, baseline, &number.rest, UNIT);
            piece.write(x + UNIT.width(&number.rest) + 3.0, baseline, unit, UNIT);
            return ROW;
        }
        let width = words_width(row);
        if width <= room {
            // Up to the decimal mark, if they fit before it.
            let x = (self.mark - VALUE.width(value)).max(self.value);
            piece.write(x, baseline, value, VALUE);
            piece.write(x + VALUE.width(value) + 3.0, baseline, unit, UNIT);
            return ROW;
        }
        let style = if VALUE.width(value) <= room * 2.0 { VALUE } else { STRONG };
        let words = text::plain(value, room, style);
        let height = words.height;
        piece.place(words, self.value, top + if style == VALUE { 0.0 } else { TEXT_TOP });
        let under = text::plain(unit, room, UNIT);
        piece.place(under, self.value, top + height) - top + 6.0
    }
}

/// The value as a number, if it is one with a unit short enough to go behind it.
fn number(row: &Setting) -> Option<Decimal> {
    let number = Decimal::with(row.value.as_deref()?, row.expanded.as_deref())?;
    (tail(row, &number) <= 96.0 && VALUE.width(&number.before) <= 80.0).then_some(number)
}

/// The width behind the decimal mark.
fn tail(row: &Setting, number: &Decimal) -> f64 {
    let unit = row.unit.as_deref().map_or(0.0, |unit| UNIT.width(unit) + 3.0);
    VALUE.width(&number.fraction) + UNIT.width(&number.rest) + unit
}

/// The width of a value in words, with its unit.
fn words_width(row: &Setting) -> f64 {
    let unit = row.unit.as_deref().map_or(0.0, |unit| UNIT.width(unit) + 3.0);
    row.value.as_deref().map_or(0.0, |value| VALUE.width(value)) + unit
}
