//! Four columns that fit a terminal: a name, both sides, the change.

use std::fmt::Write;

use crate::pages::wrapped;

/// How many characters a line may take, as a terminal usually has.
pub(super) const LINE: usize = 80;
/// In front of each column.
const GAP: &str = "  ";

/// One line of a table, its cells as plain text.
pub(super) struct Row {
    pub cells: [String; 4],
    pub is_faint: bool,
}

/// The rows as text, cells that are too wide over several lines; with the row, for its look.
pub(super) fn laid_out<'r>(heads: &Row, rows: &'r [Row]) -> Vec<(String, Option<&'r Row>)> {
    let widest = |of: fn(&str) -> usize| {
        std::iter::once(heads).chain(rows).fold([0; 4], |widths: [usize; 4], row| {
            let mut cells = row.cells.iter();
            widths.map(|width| width.max(cells.next().map_or(0, |cell| of(cell))))
        })
    };
    let word = |cell: &str| cell.split_whitespace().map(characters).max().unwrap_or(0);
    let widths = fitted(widest(characters), widest(word));
    let lines = |row: &Row| -> String {
        let mut cells = row.cells.iter();
        let columns = widths.map(|width| wrapped(cells.next().map_or("", String::as_str), width));
        let height = columns.iter().map(Vec::len).max().unwrap_or(0);
        let lines = (0..height).map(|at| {
            let mut line = String::new();
            for (column, width) in columns.iter().zip(widths) {
                let cell = column.get(at).map_or("", String::as_str);
                let _ = write!(line, "{GAP}{cell:<width$}");
            }
            line.trim_end().to_owned()
        });
        lines.collect::<Vec<_>>().join("\n")
    };
    std::iter::once((lines(heads), None)).chain(rows.iter().map(|row| (lines(row), Some(row)))).collect()
}

fn characters(text: &str) -> usize {
    text.chars().count()
}

/// Widths at which a line fits, none narrower than its longest word; what is widest gives way first.
fn fitted(mut widths: [usize; 4], words: [usize; 4]) -> [usize; 4] {
    let room = LINE - widths.len() * GAP.len();
    while widths.iter().sum::<usize>() > room {
        let can_give = widths.iter_mut().zip(words).filter(|(width, word)| **width > *word);
        match can_give.map(|(width, _)| width).max() {
            Some(widest) => *widest -= 1,
            None => break,
        }
    }
    widths
}

#[cfg(test)]
mod tests {
    use super::*;

    fn row(cells: [&str; 4]) -> Row {
        Row { cells: cells.map(str::to_owned), is_faint: false }
    }

    #[test]
    fn what_fits_takes_one_line_and_what_does_not_takes_more() {
        let heads = row(["", "one", "two", "change"]);
        let short = [row(["sag", "1 mm", "22 mm", "+21 mm"])];
        let texts: Vec<String> = laid_out(&heads, &short).into_iter().map(|(text, _)| text).collect();
        assert_eq!(texts, ["       one   two    change", "  sag  1 mm  22 mm  +21 mm"]);
        let long = [row(["levers", &"word ".repeat(30), "–", "new"])];
        let texts: Vec<String> = laid_out(&heads, &long).into_iter().map(|(text, _)| text).collect();
        assert!(texts[1].lines().count() > 1);
        assert!(texts[1].lines().all(|line| line.chars().count() <= LINE), "{}", texts[1]);
        assert_eq!(texts[1].matches("word").count(), 30);
    }
}
