//! Pictures in characters. Lines are dots of Braille patterns (Unicode 2800 to 28FF, eight to a cell), or strokes of ASCII where
//! a terminal does not have these; words are words. Nothing is shown by colour.
//!
//! A cell is a fixed part of a picture, so that a picture laid out with [`measure`] keeps its words apart.

use unicode_width::{UnicodeWidthChar, UnicodeWidthStr};

use crate::document::{Anchor, Ink, Picture, Shape, Weight};

/// The size of a cell in a picture, in points: twice as high as wide, as in terminals; one line of a chart's words.
pub(super) const CELL: (f64, f64) = (4.5, 9.0);
/// The distance of two dots, in points: a cell has two by four.
const DOT: f64 = CELL.0 / 2.0;
/// How far words reach below their baseline, in points.
const DESCENT: f64 = 2.6;
/// Anything round and smaller than this, in points, is a mark, shown by a letter.
const MARK: f64 = 8.0;
/// How far words are moved down or up, in cells, where others are in the way.
const MOVES: [isize; 5] = [0, -1, 1, -2, 2];
/// The most columns or rows of a picture.
const MOST: f64 = 400.0;

/// The width of a text in points, whatever its size: each letter has a cell.
pub(super) fn measure(text: &str, _size: f64, _weight: Weight) -> f64 {
    to_f64(text.width()) * CELL.0
}

/// A picture as lines of characters, none wider than the picture.
pub(super) fn draw(picture: &Picture, is_ascii: bool) -> Vec<String> {
    let mut canvas = Canvas::of(picture, is_ascii);
    let is_text = |shape: &&Shape| matches!(shape, Shape::Text { .. });
    for shape in picture.shapes.iter().filter(|shape| !is_text(shape)) {
        canvas.shape(shape);
    }
    // Words come last, over everything, as on paper.
    for shape in picture.shapes.iter().filter(is_text) {
        canvas.shape(shape);
    }
    canvas.lines()
}

/// One character's place.
#[derive(Debug, Clone, Copy, Default)]
struct Cell {
    /// The dots of a Braille pattern.
    dots: u8,
    /// The direction of the last line through it.
    stroke: Option<char>,
    letter: Option<char>,
    is_mark: bool,
    /// It is the second half of a wide letter.
    is_taken: bool,
    is_tinted: bool,
}

struct Canvas {
    columns: usize,
    rows: usize,
    cells: Vec<Cell>,
    is_ascii: bool,
}

impl Canvas {
    fn of(picture: &Picture, is_ascii: bool) -> Self {
        let count = |points: f64, cell: f64| to_usize((points / cell).ceil().clamp(1.0, MOST));
        // Rounding must not give a picture one more column.
        let columns = count(picture.width - 1e-6, CELL.0);
        let rows = count(picture.height - 1e-6, CELL.1);
        Self { columns, rows, cells: vec![Cell::default(); columns * rows], is_ascii }
    }

    fn cell(&mut self, column: isize, row: isize) -> Option<&mut Cell> {
        let (column, row) = (usize::try_from(column).ok()?, usize::try_from(row).ok()?);
        if column >= self.columns || row >= self.rows {
            return None;
        }
        self.cells.get_mut(row * self.columns + column)
    }

    fn shape(&mut self, shape: &Shape) {
        match shape {
            Shape::Stroke { points, width, dash, ink } => self.stroke(points, *width, dash, *ink),
            Shape::Fill { points, ink } => self.fill(points, *ink),
            Shape::Text { x, y, text, anchor, .. } => self.text((*x, *y), text, *anchor),
        }
    }

    /// A line through points. A light one has fewer dots, to distinguish it from a black one.
    fn stroke(&mut self, points: &[(f64, f64)], width: f64, dash: &[f64], ink: Ink) {
        let turn: f64 = dash.iter().sum();
        let mut gone = 0.0;
        for pair in points.windows(2) {
            let &[from, to] = pair else { continue };
            let (across, down) = (to.0 - from.0, to.1 - from.1);
            let length = libm::sqrt(across * across + down * down);
            let steps = (length / (DOT / 2.0)).ceil().clamp(1.0, MOST * 16.0);
            let stroke = direction(across, down);
            for step in 0..=to_usize(steps) {
                let part = to_f64(step) / steps;
                let is_shown = turn <= 0.0 || is_drawn(dash, (gone + part * length) % turn);
                if is_shown && ink != Ink::Paper {
                    self.dot((from.0 + part * across, from.1 + part * down), width, ink, stroke);
                }
            }
            gone += length;
        }
    }

    fn dot(&mut self, at: (f64, f64), width: f64, ink: Ink, stroke: char) {
        let (x, y) = (to_isize(at.0 / DOT), to_isize(at.1 / DOT));
        let spacing = match ink {
            Ink::Light | Ink::Tint if width < 1.0 => 4,
            Ink::Light | Ink::Tint => 2,
            _ => 1,
        };
        if (x + y).rem_euclid(spacing) != 0 {
            return;
        }
        if let Some(cell) = self.cell(x.div_euclid(2), y.div_euclid(4)) {
            cell.dots |= bit(x.rem_euclid(2), y.rem_euclid(4));
            if spacing == 1 {
                cell.stroke = Some(stroke);
            } else {
                cell.stroke.get_or_insert('.');
            }
        }
    }

    fn fill(&mut self, points: &[(f64, f64)], ink: Ink) {
        let Some((low, high)) = ends(points) else { return };
        let middle = ((low.0 + high.0) / 2.0, (low.1 + high.1) / 2.0);
        if points.len() > 4 && high.0 - low.0 < MARK && high.1 - low.1 < MARK {
            self.mark(middle, ink);
            return;
        }
        let (first, last) = (
            (to_isize(low.0 / CELL.0), to_isize(low.1 / CELL.1)),
            (to_isize(high.0 / CELL.0), to_isize(high.1 / CELL.1)),
        );
        let most = to_isize(MOST);
        for row in first.1.max(0)..=last.1.min(most) {
            for column in first.0.max(0)..=last.0.min(most) {
                let at = ((signed(column) + 0.5) * CELL.0, (signed(row) + 0.5) * CELL.1);
                let is_in = is_inside(points, at);
                for (across, down) in (0..2).flat_map(|across| (0..4).map(move |down| (across, down))) {
                    let dot = (
                        signed(column) * CELL.0 + (signed(across) + 0.5) * DOT,
                        signed(row) * CELL.1 + (signed(down) + 0.5) * DOT,
                    );
                    if ink != Ink::Tint && is_inside(points, dot) {
                        self.filled(column, row, bit(across, down), ink);
                    }
                }
                if let Some(cell) = self.cell(column, row).filter(|_| is_in) {
                    match ink {
                        Ink::Tint => cell.is_tinted = true,
                        Ink::Paper => *cell = Cell::default(),
                        _ => {}
                    }
                }
            }
        }
    }

    fn filled(&mut self, column: isize, row: isize, bit: u8, ink: Ink) {
        let Some(cell) = self.cell(column, row) else { return };
        if ink == Ink::Paper {
            cell.dots &= !bit;
        } else {
            cell.dots |= bit;
            cell.stroke.get_or_insert('*');
        }
    }

    /// A disc; a white one in a black one is a ring.
    fn mark(&mut self, at: (f64, f64), ink: Ink) {
        let is_ascii = self.is_ascii;
        let Some(cell) = self.cell(to_isize(at.0 / CELL.0), to_isize(at.1 / CELL.1)) else { return };
        let (full, ring) = if is_ascii { ('*', 'o') } else { ('●', '○') };
        match ink {
            Ink::Paper if cell.is_mark => cell.letter = Some(ring),
            Ink::Paper | Ink::Tint => {}
            _ => {
                cell.letter = Some(full);
                cell.is_mark = true;
            }
        }
    }

    /// Words on their line, or on the next free one.
    fn text(&mut self, at: (f64, f64), text: &str, anchor: Anchor) {
        let letters: Vec<(char, usize)> = text
            .chars()
            .map(super::harmless)
            .filter_map(|letter| Some((letter, letter.width().filter(|width| *width > 0)?)))
            .collect();
        let width: usize = letters.iter().map(|(_, width)| width).sum();
        let start = at.0 / CELL.0
            - match anchor {
                Anchor::Start => 0.0,
                Anchor::Middle => to_f64(width) / 2.0,
                Anchor::End => to_f64(width),
            };
        let last = self.columns.saturating_sub(width);
        let start = to_isize(start.round()).clamp(0, isize::try_from(last).unwrap_or(0));
        let row = to_isize((at.1 - DESCENT) / CELL.1);
        let end = start + isize::try_from(width).unwrap_or(0);
        let is_free = |canvas: &mut Self, row: isize| {
            (start - 1..=end).all(|column| {
                let is_edge = column < start || column == end;
                match canvas.cell(column, row) {
                    Some(cell) => cell.is_mark || (cell.letter.is_none() && !cell.is_taken),
                    None => is_edge,
                }
            })
        };
        let row = MOVES.iter().map(|by| row + by).find(|row| is_free(self, *row)).unwrap_or(row);
        let mut column = start;
        for (letter, width) in letters {
            for part in 0..width {
                if let Some(cell) = self.cell(column, row) {
                    cell.letter = (part == 0).then_some(letter);
                    cell.is_taken = part > 0;
                    cell.is_mark = false;
                }
                column += 1;
            }
        }
    }

    fn lines(&self) -> Vec<String> {
        let line = |cells: &[Cell]| {
            let shown: String =
                cells.iter().filter(|cell| !cell.is_taken).map(|cell| self.shown(cell)).collect();
            shown.trim_end().to_owned()
        };
        self.cells.chunks(self.columns).map(line).collect()
    }

    fn shown(&self, cell: &Cell) -> char {
        let drawn = if self.is_ascii { cell.stroke } else { char::from_u32(0x2800 + u32::from(cell.dots)) };
        match (cell.letter, drawn.filter(|_| cell.dots != 0)) {
            (Some(letter), _) => letter,
            (None, Some(drawn)) => drawn,
            (None, None) if cell.is_tinted && self.is_ascii => ':',
            (None, None) if cell.is_tinted => '░',
            (None, None) => ' ',
        }
    }
}

/// The dot of a Braille pattern at a place of its cell (Unicode 15, 21.1): the lowest two come after the others.
fn bit(across: isize, down: isize) -> u8 {
    match (across, down) {
        (0, 3) => 0x40,
        (1, 3) => 0x80,
        (0, down) => 1 << down.clamp(0, 2),
        (_, down) => 8 << down.clamp(0, 2),
    }
}

/// Whether a dashed line is drawn at a distance along its pattern.
fn is_drawn(dash: &[f64], at: f64) -> bool {
    let mut left = at;
    for (place, part) in dash.iter().enumerate() {
        if left < *part {
            return place % 2 == 0;
        }
        left -= part;
    }
    true
}

/// The sign for the direction of a line.
fn direction(across: f64, down: f64) -> char {
    let steep = down.abs() / across.abs().max(1e-9);
    match steep {
        _ if steep < 0.4 => '-',
        _ if steep > 2.5 => '|',
        _ if (across > 0.0) == (down > 0.0) => '\\',
        _ => '/',
    }
}

fn ends(points: &[(f64, f64)]) -> Option<((f64, f64), (f64, f64))> {
    let first = *points.first()?;
    Some(points.iter().fold((first, first), |(low, high), (x, y)| {
        ((low.0.min(*x), low.1.min(*y)), (high.0.max(*x), high.1.max(*y)))
    }))
}

/// Whether a place is inside a polygon: a ray from it crosses the outline an odd number of times.
fn is_inside(points: &[(f64, f64)], (x, y): (f64, f64)) -> bool {
    let next = points.iter().cycle().skip(1);
    let crosses = |(a, b): &(&(f64, f64), &(f64, f64))| {
        (a.1 > y) != (b.1 > y) && x < a.0 + (y - a.1) / (b.1 - a.1) * (b.0 - a.0)
    };
    points.iter().zip(next).filter(crosses).count() % 2 == 1
}

fn to_f64(count: usize) -> f64 {
    // No canvas and no line of words is longer.
    f64::from(u32::try_from(count).unwrap_or(u32::MAX))
}

fn signed(count: isize) -> f64 {
    f64::from(i32::try_from(count).unwrap_or(i32::MAX))
}

/// Clamped to the canvas, so that nothing drawn is cut off.
fn to_usize(number: f64) -> usize {
    number.clamp(0.0, MOST * 16.0) as usize
}

fn to_isize(number: f64) -> isize {
    number.clamp(-MOST * 16.0, MOST * 16.0).floor() as isize
}

#[cfg(test)]
mod tests {
    use super::*;

    fn picture(columns: f64, rows: f64, shapes: Vec<Shape>) -> Picture {
        Picture { width: columns * CELL.0, height: rows * CELL.1, shapes }
    }

    fn stroke(points: &[(f64, f64)], ink: Ink) -> Shape {
        Shape::Stroke { points: points.to_vec(), width: 0.5, dash: Vec::new(), ink }
    }

    fn text(x: f64, y: f64, text: &str, anchor: Anchor) -> Shape {
        let text = text.to_owned();
        Shape::Text { x, y, text, size: 7.5, anchor, weight: Weight::Regular, ink: Ink::Black }
    }

    #[test]
    fn a_line_is_dots_or_strokes() {
        let across = picture(4.0, 1.0, vec![stroke(&[(0.0, 4.0), (17.9, 4.0)], Ink::Black)]);
        assert_eq!(draw(&across, false), ["⠒⠒⠒⠒"]);
        assert_eq!(draw(&across, true), ["----"]);
        let down = picture(2.0, 2.0, vec![stroke(&[(1.0, 0.0), (1.0, 17.9)], Ink::Black)]);
        assert_eq!(draw(&down, false), ["⡇", "⡇"]);
        assert_eq!(draw(&down, true), ["|", "|"]);
        let falling = picture(2.0, 1.0, vec![stroke(&[(0.0, 0.0), (8.9, 8.9)], Ink::Black)]);
        assert_eq!(draw(&falling, false), ["⠑⢄"]);
        // A light one differs from a black one without colour.
        let light = picture(4.0, 1.0, vec![stroke(&[(0.0, 0.0), (17.9, 0.0)], Ink::Light)]);
        assert_eq!(draw(&light, false), ["⠁ ⠁"]);
        assert_eq!(draw(&light, true), [". ."]);
    }

    #[test]
    fn words_stand_over_lines_and_beside_each_other() {
        let shapes = vec![
            text(0.0, 7.0, "sag ±", Anchor::Start),
            stroke(&[(0.0, 4.0), (53.9, 4.0)], Ink::Black),
            text(54.0, 7.0, "mm", Anchor::End),
            text(0.0, 7.0, "again", Anchor::Start),
        ];
        let lines = draw(&picture(12.0, 2.0, shapes), false);
        assert_eq!(lines, ["sag ±⠒⠒⠒⠒⠒mm", "again"]);
        // What would be past an end is moved in; a wide letter takes two cells.
        let shapes = vec![text(40.0, 7.0, "宽度x", Anchor::Start)];
        let lines = draw(&picture(8.0, 1.0, shapes), false);
        assert_eq!(lines, ["   宽度x"]);
        assert!(lines[0].width() <= 8);
    }

    #[test]
    fn bands_are_tinted_and_marks_are_letters() {
        let corners = |left: f64, right: f64| vec![(left, 0.0), (right, 0.0), (right, 9.0), (left, 9.0)];
        let mut it = picture(6.0, 1.0, vec![Shape::Fill { points: corners(9.0, 27.0), ink: Ink::Tint }]);
        let disc = |radius: f64| {
            let corner = |step: i32| {
                let (sine, cosine) = libm::sincos(f64::from(step) * std::f64::consts::PI / 8.0);
                (15.0 + radius * cosine, 4.5 + radius * sine)
            };
            (0..16).map(corner).collect()
        };
        it.shapes.push(Shape::Fill { points: disc(2.0), ink: Ink::Black });
        assert_eq!(draw(&it, false), ["  ░●░░"]);
        assert_eq!(draw(&it, true), ["  :*::"]);
        it.shapes.push(Shape::Fill { points: disc(1.5), ink: Ink::Paper });
        assert_eq!(draw(&it, false), ["  ░○░░"]);
        it.shapes.push(Shape::Fill { points: corners(0.0, 27.0), ink: Ink::Paper });
        assert_eq!(draw(&it, false), [""]);
    }

    #[test]
    fn nothing_that_a_terminal_obeys_is_drawn() {
        let lines =
            draw(&picture(8.0, 1.0, vec![text(0.0, 7.0, "a\u{1b}[2Jb\u{202e}", Anchor::Start)]), false);
        assert!(lines.iter().all(|line| !line.contains(['\u{1b}', '\u{202e}'])), "{lines:?}");
        let far = stroke(&[(f64::MAX, 0.0), (-1e300, 1e300)], Ink::Black);
        assert_eq!(draw(&picture(2.0, 1.0, vec![far]), true).len(), 1);
    }
}
