//! What to set: the largest thing on a sheet.

use std::rc::Rc;

use crate::document::tree::{Setting, Settings, Unchanged};
use crate::document::{Ink, Weight};

use super::super::decimal::Decimal;
use super::flow::Slice;
use super::layout::{Frame, LARGE, TEXT, WIDE, small, with_note};
use super::piece::{Piece, Rectangle, Style};
use super::text;

const VALUE: Style = Style::new(LARGE, Weight::Bold);
const UNIT: Style = Style::new(TEXT, Weight::Light);
const NAME: Style = Style::new(TEXT, Weight::Regular);
const STRONG: Style = Style::new(TEXT, Weight::Bold);
/// The height of a large row, in points: room to write by hand beside it.
const ROW: f64 = 20.0;
/// The width of a box at text size.
const LOW_BOX: f64 = 32.0;
/// The height of a row at text size.
const LOW_ROW: f64 = 12.2;

pub(super) fn slices(settings: &Settings, frame: Frame<'_>) -> Vec<Slice> {
    let is_large = |row: &&Setting| row.is_changed || settings.unchanged == Unchanged::Full;
    let large: Vec<&Setting> = settings.rows.iter().filter(is_large).collect();
    let rest: Vec<&Setting> = settings.rows.iter().filter(|row| !is_large(row)).collect();
    let mut slices = Vec::new();
    if !large.is_empty() {
        let grid = Grid::new(settings, &large, frame.width);
        slices.extend(grid.rows(settings, &large));
    }
    let most = match settings.unchanged {
        Unchanged::Columns(most) => most.min(rest.len()),
        Unchanged::Full => rest.len(),
    };
    let (shown, counted) = rest.split_at(most);
    if !shown.is_empty() {
        slices.extend(low_rows(settings, shown, frame));
    }
    if !counted.is_empty() {
        let words = format!("+{} {}", counted.len(), settings.unchanged_words);
        slices.push(Slice::new(text::plain(&words, frame.width, NAME), 4.0));
    }
    slices
}

/// Where the columns stand, in points.
struct Grid {
    width: f64,
    /// Where names begin; groups stand before, if there is room.
    name: f64,
    value: f64,
    /// Where the decimal marks stand.
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
        let name = widest_group.filter(|_| is_wide).map_or(8.0, |widest| widest.clamp(40.0, 80.0));
        let box_at = width - if is_wide { 76.0 } else { 52.0 };
        let (mut before, mut behind) = (0.0_f64, 0.0_f64);
        let mut words = 0.0_f64;
        for row in rows {
            match number(row) {
                Some(number) => {
                    before = before.max(VALUE.width(&number.before));
                    behind = behind.max(tail(row, &number));
                }
                // Words may be broken into lines, so they ask for no more than a number's room and a half.
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
            .clamp(60.0, width * 0.22);
        let change = box_at - changes - 14.0;
        let value = change - values - 14.0;
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
        // Over the number, whose end is at the decimal mark.
        let end = self.mark.max(self.value + small().width(value));
        let columns = [
            (0.0, what, self.value - 8.0),
            (end - small().width(value), value, self.change - self.value),
            (self.change, change, self.box_at - self.change - 8.0),
            (self.box_at, ridden, self.width - self.box_at),
        ];
        let set = columns.map(|(x, words, width)| (x, text::plain(words, width, small())));
        let height = set.iter().map(|(_, words)| words.height).fold(0.0, f64::max);
        let mut piece = Piece::default();
        for (x, words) in &set {
            piece.place(words, *x, height - words.height);
        }
        piece.height = height + 2.0;
        piece.rule(0.0, self.width, height + 2.0, 0.8, Ink::Black);
        piece
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
                piece.place(&text::plain(group, self.name - 16.0, STRONG), 0.0, 4.1);
            } else {
                piece.place(&text::plain(group, self.width, small()), 0.0, 2.0);
                top = small().line();
            }
        }
        let style = if row.is_changed { STRONG } else { NAME };
        let name = text::plain(&row.name, self.value - self.name - 10.0, style);
        let name_height = name.height;
        piece.place(&name, self.name, top + 4.1);
        let mut low = top + 4.1 + name_height;
        if let Some(note) = &row.note {
            let note = text::plain(note, self.value - self.name - 10.0, small());
            piece.place(&note, self.name, low - 1.0);
            low += note.height - 1.0;
        }
        low = low.max(top + self.value(&mut piece, row, top));
        let mut beside = top + 4.1;
        let wanted = row.wanted.as_deref().filter(|_| row.value.is_none());
        for (words, style) in [(row.change.as_deref(), style), (wanted, small())] {
            if let Some(words) = words {
                let set = text::plain(words, self.box_at - self.change - 10.0, style);
                piece.place(&set, self.change, beside);
                beside += set.height;
                low = low.max(beside);
            }
        }
        let width = self.width - self.box_at;
        piece.write_box(Rectangle { x: self.box_at, y: top + 2.3, width: width - 0.4, height: ROW - 4.6 });
        piece.height = (top + ROW).max(low + 2.0);
        if row.is_changed {
            // What changed is seen without reading, and without colour.
            let height = piece.height - top - 6.0;
            piece.bar(Rectangle { x: self.name - 7.0, y: top + 3.0, width: 2.4, height }, Ink::Black);
        }
        piece
    }

    /// Writes the value on its decimal mark; says how much height it took.
    fn value(&self, piece: &mut Piece, row: &Setting, top: f64) -> f64 {
        let baseline = top + 15.1;
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
            // Up to the decimal mark if they find room before it.
            let x = (self.mark - VALUE.width(value)).max(self.value);
            piece.write(x, baseline, value, VALUE);
            piece.write(x + VALUE.width(value) + 3.0, baseline, unit, UNIT);
            return ROW;
        }
        let style = if VALUE.width(value) <= room * 2.0 { VALUE } else { STRONG };
        let words = text::plain(value, room, style);
        piece.place(&words, self.value, top + if style == VALUE { 0.0 } else { 4.1 });
        let under = text::plain(unit, room, UNIT);
        piece.place(&under, self.value, top + words.height);
        words.height + under.height + 6.0
    }
}

/// The value as a number, if it is one with a unit short enough to stand behind it.
fn number(row: &Setting) -> Option<Decimal> {
    let number = Decimal::split(row.value.as_deref()?)?;
    (tail(row, &number) <= 80.0 && VALUE.width(&number.before) <= 80.0).then_some(number)
}

/// The width of what stands behind the decimal mark.
fn tail(row: &Setting, number: &Decimal) -> f64 {
    let unit = row.unit.as_deref().map_or(0.0, |unit| UNIT.width(unit) + 3.0);
    VALUE.width(&number.fraction) + UNIT.width(&number.rest) + unit
}

/// The width of a value that is words, with its unit.
fn words_width(row: &Setting) -> f64 {
    let unit = row.unit.as_deref().map_or(0.0, |unit| UNIT.width(unit) + 3.0);
    row.value.as_deref().map_or(0.0, |value| VALUE.width(value)) + unit
}

/// Unchanged settings in columns at text size.
fn low_rows(settings: &Settings, rows: &[&Setting], frame: Frame<'_>) -> Vec<Slice> {
    let abreast = if frame.width >= WIDE { 2 } else { 1 };
    let gutter = 18.0;
    let width = (frame.width - gutter * (abreast as f64 - 1.0)) / abreast as f64;
    let behind = rows.iter().map(|row| low_behind(row)).fold(0.0, f64::max).min(width * 0.3);
    let mark = width - LOW_BOX - 8.0 - behind;
    let mut entries: Vec<Piece> = Vec::new();
    let mut group: Option<&str> = None;
    for row in rows {
        let begins_group = row.group.as_deref() != group;
        group = row.group.as_deref();
        if let Some(group) = group.filter(|_| begins_group) {
            // With its first row, so that no group's name stands alone at the foot of a column.
            let mut piece = Piece::default();
            piece.place(&text::plain(group, width, small()), 0.0, 1.5);
            let y = piece.height;
            piece.place(&low_row(row, mark, width), 0.0, y);
            entries.push(piece);
        } else {
            entries.push(low_row(row, mark, width));
        }
    }
    let [_, _, _, ridden] = &settings.headings;
    let mut label = text::plain(&settings.unchanged_words, frame.width, small());
    for column in 0..abreast {
        let right = (width + gutter) * column as f64 + width;
        label.write_to(right, small().baseline(), ridden, small());
    }
    label.rule(0.0, frame.width, label.height + 1.0, 0.35, Ink::Dark);
    label.height += 2.0;
    let mut slices = vec![Slice::new(label, 8.0).glued()];
    // Down the first column, then down the second, cut where they come out most even; the first takes
    // the odd one. A row of the page is never broken.
    let total: f64 = entries.iter().map(|entry| entry.height).sum();
    let mut columns: Vec<Vec<Piece>> = vec![Vec::new()];
    let mut high = 0.0;
    for entry in entries {
        let is_full = high >= total / abreast as f64 && columns.len() < abreast;
        if is_full {
            columns.push(Vec::new());
            high = 0.0;
        }
        high += entry.height;
        if let Some(column) = columns.last_mut() {
            column.push(entry);
        }
    }
    let down = columns.iter().map(Vec::len).max().unwrap_or(0);
    let even = columns.iter().map(|column| column.iter().map(|entry| entry.height).sum()).fold(0.0, f64::max);
    if even <= frame.height * 0.8 {
        let mut piece = Piece::default();
        for (at, column) in columns.iter().enumerate() {
            let mut y = 0.0;
            for entry in column {
                piece.place(entry, (width + gutter) * at as f64, y);
                y += entry.height;
            }
        }
        slices.push(Slice::new(piece, 0.0));
    } else {
        for row in 0..down {
            let mut piece = Piece::default();
            for (at, column) in columns.iter().enumerate() {
                if let Some(entry) = column.get(row) {
                    piece.place(entry, (width + gutter) * at as f64, 0.0);
                }
            }
            slices.push(Slice::new(piece, 0.0));
        }
    }
    slices
}

/// The width behind the decimal mark at text size.
fn low_behind(row: &Setting) -> f64 {
    let unit = row.unit.as_deref().map_or(0.0, |unit| UNIT.width(unit) + 2.5);
    let number = row.value.as_deref().and_then(Decimal::split);
    unit + number.map_or(0.0, |number| NAME.width(&number.fraction) + UNIT.width(&number.rest))
}

fn low_row(row: &Setting, mark: f64, width: f64) -> Piece {
    let mut piece = Piece::empty(LOW_ROW);
    let box_at = width - LOW_BOX;
    let unit = row.unit.as_deref().unwrap_or_default();
    let words = row.value.as_deref().unwrap_or_default();
    let value = Decimal::split(words);
    let before = value.as_ref().map_or_else(|| NAME.width(words), |value| NAME.width(&value.before));
    let set = text::plain(
        &with_note(row),
        (mark - before.max(if row.value.is_none() { 26.0 } else { 0.0 }) - 6.0).max(width * 0.3),
        NAME,
    );
    piece.place(&set, 0.0, 0.4);
    let baseline = 0.4 + NAME.baseline();
    match value {
        Some(value) => {
            piece.write_to(mark, baseline, &value.before, NAME);
            piece.write(mark, baseline, &value.fraction, NAME);
            let x = mark + NAME.width(&value.fraction);
            piece.write(x, baseline, &value.rest, UNIT);
            piece.write(x + UNIT.width(&value.rest) + 2.5, baseline, unit, UNIT);
        }
        None => {
            piece.write_to(mark, baseline, words, NAME);
            piece.write(mark + 2.5, baseline, unit, UNIT);
        }
    }
    piece.write_box(Rectangle { x: box_at, y: 1.2, width: LOW_BOX - 0.4, height: LOW_ROW - 2.4 });
    if row.value.is_none() {
        // Nothing that is unknown is shown as a number.
        piece.write_box(Rectangle { x: mark - 26.0, y: 1.2, width: 26.0, height: LOW_ROW - 2.4 });
    }
    piece.height = piece.height.max(set.height + 0.8);
    if let Some(wanted) = row.wanted.as_deref().filter(|_| row.value.is_none()) {
        let y = piece.height - 1.0;
        piece.place(&text::plain(wanted, box_at - 6.0, small()), 0.0, y);
    }
    piece
}
