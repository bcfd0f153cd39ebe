//! What to pump and where: the largest thing on a sheet.

use crate::document::Ink;
use crate::document::tree::{Gauge, PressureRow, Pressures};

use super::super::decimal::Decimal;
use super::flow::Slice;
use super::layout::{Frame, WIDE, small};
use super::piece::{Piece, Rectangle, Style};
use super::settings::{BASELINE, NAME, NAMES, ROW, STRONG, TEXT_TOP, UNIT, VALUE};
use super::{table, text};

/// Room between two columns, in points.
const GUTTER: f64 = 12.0;

/// The most of a narrow table's width for names.
const NARROW_NAMES: f64 = 0.58;

/// Where the columns are, in points.
struct Grid {
    width: f64,
    name: f64,
    /// Where each column of numbers begins, its width, and where its decimal marks are in it.
    cells: Vec<(f64, f64, f64)>,
    box_at: f64,
    /// Every value is to be written by hand.
    is_form: bool,
}

pub(super) fn slices(pressures: &Pressures, frame: Frame<'_>) -> Vec<Slice> {
    let grid = Grid::new(pressures, frame.width);
    let head = std::rc::Rc::new(grid.head(pressures));
    let mut slices = vec![Slice::new((*head).clone(), 8.0).glued()];
    for row in &pressures.rows {
        let mut slice = Slice::new(grid.row(row), 0.0);
        slice.head = Some(std::rc::Rc::clone(&head));
        slices.push(slice);
    }
    slices
}

fn style(gauge: &Gauge) -> Style {
    if gauge.is_small { NAME } else { VALUE }
}

fn number(gauge: &Gauge) -> Option<Decimal> {
    Decimal::with(gauge.value.as_deref()?, gauge.expanded.as_deref())
}

/// The width of a number before its decimal mark, and behind it with its unit.
fn widths(gauge: &Gauge) -> (f64, f64) {
    let unit = gauge.unit.as_deref().map_or(0.0, |unit| UNIT.width(unit) + 3.0);
    match number(gauge) {
        Some(number) => {
            let behind = style(gauge).width(&number.fraction) + UNIT.width(&number.rest) + unit;
            (style(gauge).width(&number.before), behind)
        }
        None => (0.0, 0.0),
    }
}

impl Grid {
    fn new(pressures: &Pressures, width: f64) -> Self {
        let count = pressures.rows.iter().map(|row| row.cells.len()).max().unwrap_or(0);
        let names = pressures.rows.iter().map(|row| STRONG.width(&row.name)).fold(0.0, f64::max);
        let heading = pressures.headings.first().map_or(0.0, |words| text::longest(words, small()));
        let is_form = pressures.is_form();
        let name = match width >= WIDE {
            true => NAMES * width - GUTTER,
            false => (names.max(heading) + 10.0).min(width * NARROW_NAMES),
        };
        // Boxes to write in all have one width.
        let even = (width - name) / (count + 1) as f64 - GUTTER;
        let box_at = width
            - match width >= WIDE {
                _ if is_form => even,
                true => 76.0,
                false => 52.0,
            };
        let each = (box_at - name - GUTTER) / count.max(1) as f64;
        let cells = (0..count).map(|at| {
            let all =
                pressures.rows.iter().filter_map(|row| row.cells.get(at).filter(|gauge| !gauge.is_empty()));
            let before = all.map(|gauge| widths(gauge).0).fold(0.0, f64::max);
            (name + GUTTER + each * at as f64, each - GUTTER, before)
        });
        Self { width, name, cells: cells.collect(), box_at, is_form }
    }

    fn head(&self, pressures: &Pressures) -> Piece {
        let mut places = vec![(0.0, self.name)];
        places.extend(self.cells.iter().map(|(x, width, _)| (*x, *width)));
        places.push((self.box_at, self.width - self.box_at));
        let set: Vec<(f64, Piece)> = pressures
            .headings
            .iter()
            .zip(places)
            .map(|(words, (x, width))| (x, text::plain(words, width, small())))
            .collect();
        table::heads(set, self.width)
    }

    fn row(&self, row: &PressureRow) -> Piece {
        let mut piece = Piece::empty(ROW);
        let change = row.change.as_deref().unwrap_or_default();
        let change_width = small().width(change);
        let name = text::plain(&row.name, self.name - 8.0, STRONG);
        let mut low = piece.place(name, 8.0, TEXT_TOP);
        // Behind the name, where there is room.
        let behind = 8.0 + STRONG.width(&row.name) + 6.0;
        if behind + change_width <= self.name {
            piece.write(behind, BASELINE, change, small());
        } else {
            let change = text::plain(change, self.name - 8.0, small());
            low = piece.place(change, 8.0, low - 1.0);
        }
        if row.change.is_some() {
            // A change shows without reading, and without colour.
            piece.bar(Rectangle { x: 1.0, y: 3.0, width: 2.4, height: low - 3.0 }, Ink::Black);
        }
        for ((x, width, before), gauge) in self.cells.iter().zip(&row.cells) {
            if !gauge.is_empty() {
                if self.is_form {
                    piece.write_box(Rectangle { x: *x, y: 2.3, width: *width, height: ROW - 4.6 });
                } else {
                    low = low.max(gauge_in(&mut piece, gauge, (*x, *width, *before)));
                }
            }
        }
        let width = self.width - self.box_at;
        piece.write_box(Rectangle { x: self.box_at, y: 2.3, width: width - 0.4, height: ROW - 4.6 });
        piece.height = ROW.max(low + 2.0);
        piece
    }
}

/// Writes what a gauge shows; returns how far down it reaches.
fn gauge_in(piece: &mut Piece, gauge: &Gauge, (x, width, before): (f64, f64, f64)) -> f64 {
    let unit = gauge.unit.as_deref().unwrap_or_default();
    let Some(value) = &gauge.value else {
        let wide = (width * 0.6).min(56.0);
        piece.write_box(Rectangle { x, y: 2.3, width: wide, height: ROW - 4.6 });
        let wanted = text::plain(gauge.wanted.as_deref().unwrap_or_default(), width - wide - 4.0, small());
        return piece.place(wanted, x + wide + 4.0, TEXT_TOP - 1.0) + 1.0;
    };
    let style = style(gauge);
    let number = number(gauge).filter(|_| {
        let (_, behind) = widths(gauge);
        before + behind <= width
    });
    let Some(number) = number else {
        let expanded = gauge.expanded.as_ref().map(|expanded| format!(" ± {expanded}")).unwrap_or_default();
        let words = text::plain(&format!("{value}{expanded} {unit}"), width, NAME);
        return piece.place(words, x, TEXT_TOP);
    };
    let mark = x + before;
    piece.write_to(mark, BASELINE, &number.before, style);
    piece.write(mark, BASELINE, &number.fraction, style);
    let end = mark + style.width(&number.fraction);
    piece.write(end, BASELINE, &number.rest, UNIT);
    piece.write(end + UNIT.width(&number.rest) + 3.0, BASELINE, unit, UNIT);
    ROW
}
