//! Tables for a terminal: columns as wide as their contents, numbers on their decimal marks. Where there is no room,
//! cells wrap over lines; where that is not enough, each row is shown by itself, a cell a line.

use crate::document::tree::{Align, Cell, Table, plain_text};
use crate::render::decimal::Decimal;

use super::line::{Face, Line, widest_word, wrapped};

/// Columns between two columns of a table.
const GAP: usize = 2;
/// Shown where there is no number.
const NONE: &str = "–";
/// A cell that would take more lines beside others is shown by itself.
const TOWER: usize = 6;
/// The greatest width of a number with its unit.
const NUMBER: usize = 12;
/// The most columns for a head before a cell shown by itself.
const HEAD: usize = 22;

pub(super) fn lines(table: &Table, width: usize) -> Vec<Line> {
    let count = table.rows.iter().map(Vec::len).max().unwrap_or(0);
    let is_said = |at: &usize| table.rows.iter().any(|row| row.get(*at).is_some_and(|cell| !cell.is_empty()));
    let columns: Vec<Column<'_>> = (0..count).filter(is_said).map(|at| Column::of(table, at)).collect();
    match widths(table, &columns, width).filter(|widths| !is_tower(table, &columns, widths)) {
        Some(widths) => beside(table, &columns, &widths),
        None => one_by_one(table, &columns, width),
    }
}

/// Whether a cell runs on so long that nobody finds back to its row.
fn is_tower(table: &Table, columns: &[Column<'_>], widths: &[usize]) -> bool {
    let cells = columns.iter().zip(widths).skip(1).flat_map(|(column, width)| {
        table.rows.iter().filter_map(|row| Some(wrapped(row.get(column.at)?, *width).len()))
    });
    columns.len() > 2 && cells.max().is_some_and(|lines| lines > TOWER)
}

/// A column of a table.
struct Column<'t> {
    at: usize,
    head: &'t [crate::document::tree::Inline],
    align: Align,
    /// The widest text before a decimal mark, and from it on.
    numbers: (usize, usize),
    /// From the width at which nothing is broken to the least possible one.
    levels: [usize; 4],
}

impl<'t> Column<'t> {
    fn of(table: &'t Table, at: usize) -> Self {
        let align = table.align.get(at).copied().unwrap_or_default();
        let head = table.head.get(at).map_or(&[][..], Vec::as_slice);
        let cells: Vec<&Cell> = table.rows.iter().filter_map(|row| row.get(at)).collect();
        let mut numbers = (0, 0);
        if align == Align::Right {
            for (before, behind) in cells.iter().filter_map(|cell| halves(cell)) {
                numbers = (numbers.0.max(before), numbers.1.max(behind));
            }
        }
        let whole = |cell: &[_]| wrapped(cell, usize::MAX).iter().map(Line::width).max().unwrap_or(0);
        let cell = cells.iter().map(|cell| whole(cell)).max().unwrap_or(0).max(numbers.0 + numbers.1);
        // A number keeps its unit on its line.
        let word_of = |cell: &&Cell| {
            let whole = whole(cell);
            if whole <= NUMBER && halves(cell).is_some() { whole } else { widest_word(cell) }
        };
        let word = cells.iter().map(word_of).max().unwrap_or(0);
        let head_word = widest_word(head);
        let levels = [
            cell.max(whole(head)),
            cell.max(head_word),
            if align == Align::Left { word } else { cell }.max(head_word),
            word.max(head_word),
        ];
        Self { at, head, align, numbers, levels }
    }

    /// The lines of all its cells together.
    fn height(&self, table: &Table, width: usize) -> usize {
        let cells = table.rows.iter().filter_map(|row| row.get(self.at));
        cells.map(|cell| wrapped(cell, width).len()).sum()
    }

    /// A cell's lines, each as wide as the column.
    fn set(&self, cell: &[crate::document::tree::Inline], width: usize) -> Vec<Line> {
        let mut lines = wrapped(cell, width);
        let halves = halves(cell).filter(|_| lines.len() == 1 && self.numbers.0 + self.numbers.1 <= width);
        for line in &mut lines {
            let room = width.saturating_sub(line.width());
            let before = match (self.align, halves) {
                (Align::Left, _) => 0,
                (Align::Centre, _) => room / 2,
                // On the mark, as far to the right as the longest fraction allows.
                (Align::Right, Some((before, _))) => width.saturating_sub(self.numbers.1 + before).min(room),
                (Align::Right, None) => room,
            };
            *line = line.indented(before);
            line.pad_to(width);
        }
        lines
    }
}

/// The widths of a cell before its decimal mark, and from it on; `None` where it is no number.
fn halves(cell: &[crate::document::tree::Inline]) -> Option<(usize, usize)> {
    let text = plain_text(cell);
    let width = |text: &str| Line::of(text, Face::Plain).width();
    match Decimal::split(&text) {
        Some(number) => Some((width(&number.before), width(&number.fraction) + width(&number.rest))),
        None => (text == NONE).then_some((1, 0)),
    }
}

/// The width of each column; `None` where they do not fit beside each other.
fn widths(table: &Table, columns: &[Column<'_>], width: usize) -> Option<Vec<usize>> {
    let room = width.checked_sub(GAP * columns.len().saturating_sub(1))?;
    let at = |level: usize| columns.iter().map(move |column| column.levels.get(level).copied().unwrap_or(0));
    let level = (0..4).find(|level| at(*level).sum::<usize>() <= room)?;
    let mut widths: Vec<usize> = at(level).collect();
    let wanted: Vec<usize> = at(level.saturating_sub(1)).collect();
    let mut heights: Vec<usize> =
        columns.iter().zip(&widths).map(|(column, width)| column.height(table, *width)).collect();
    for _ in widths.iter().sum::<usize>()..room {
        // What identifies a row stays whole where that leaves room for the others; then the column whose cells run on
        // most grows first.
        let lacks = (0..columns.len()).filter(|at| widths.get(*at) < wanted.get(*at));
        let is_name = |at: usize| at == 0 && wanted.first().is_some_and(|wanted| *wanted <= HEAD);
        let Some(at) = lacks.max_by_key(|at| (is_name(*at), heights.get(*at).copied())) else { break };
        if let (Some(width), Some(height), Some(column)) =
            (widths.get_mut(at), heights.get_mut(at), columns.get(at))
        {
            *width += 1;
            *height = column.height(table, *width);
        }
    }
    Some(widths)
}

fn beside(table: &Table, columns: &[Column<'_>], widths: &[usize]) -> Vec<Line> {
    let mut lines = Vec::new();
    let heads: Vec<Vec<Line>> = columns
        .iter()
        .zip(widths)
        .map(|(column, width)| {
            let mut head = wrapped(column.head, *width);
            for line in &mut head {
                let before =
                    if column.align == Align::Right { width.saturating_sub(line.width()) } else { 0 };
                *line = Line::of(&line.indented(before).plain(), Face::Faint);
            }
            head
        })
        .collect();
    // Heads of several lines are aligned at the bottom.
    let height = heads.iter().map(Vec::len).max().unwrap_or(0);
    let heads = heads.into_iter().map(|head| {
        let mut all = vec![Line::default(); height - head.len()];
        all.extend(head);
        all
    });
    lines.extend(row(&heads.collect::<Vec<_>>(), widths));
    for cells in &table.rows {
        let cells: Vec<Vec<Line>> = columns
            .iter()
            .zip(widths)
            .map(|(column, width)| column.set(cells.get(column.at).map_or(&[][..], Vec::as_slice), *width))
            .collect();
        lines.extend(row(&cells, widths));
    }
    lines
}

/// The lines of cells beside each other.
fn row(cells: &[Vec<Line>], widths: &[usize]) -> Vec<Line> {
    let height = cells.iter().map(Vec::len).max().unwrap_or(0);
    (0..height)
        .map(|at| {
            let mut line = Line::default();
            let mut end = 0;
            for (cell, width) in cells.iter().zip(widths) {
                line.pad_to(end);
                if let Some(piece) = cell.get(at) {
                    line.append(piece);
                }
                end += width + GAP;
            }
            line
        })
        .collect()
}

/// Each row by itself: its first cell above the others, each of these behind its head.
fn one_by_one(table: &Table, columns: &[Column<'_>], width: usize) -> Vec<Line> {
    let heads = columns.iter().skip(1).map(|column| Line::of(&plain_text(column.head), Face::Plain).width());
    let head = heads.max().unwrap_or(0).min(HEAD).min(width / 3);
    let mut lines = Vec::new();
    for (at, cells) in table.rows.iter().enumerate() {
        if at > 0 {
            lines.push(Line::default());
        }
        for (place, column) in columns.iter().enumerate() {
            let cell = cells.get(column.at).map_or(&[][..], Vec::as_slice);
            if place == 0 {
                lines.extend(wrapped(cell, width));
                continue;
            }
            let indent = if head > 0 { head + GAP + GAP } else { GAP };
            let names = wrapped(column.head, head.max(1));
            let set = wrapped(cell, width.saturating_sub(indent));
            let height = if set.is_empty() { 0 } else { set.len().max(names.len()) };
            for at in 0..height {
                let mut line = names.get(at).map_or_else(Line::default, |name| name.indented(GAP));
                line.pad_to(indent);
                line.append(&set.get(at).cloned().unwrap_or_default());
                lines.push(line);
            }
        }
    }
    lines
}
