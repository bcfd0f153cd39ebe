//! Text in columns, for a terminal.

use std::fmt::Write;

/// Rows under their heads, each column as wide as what stands in it; two spaces stand in front of a row and
/// between columns. A column without anything in it is left out.
pub(super) fn columns(heads: &[&str], rows: &[Vec<String>]) -> String {
    let cell = |row: &[String], at: usize| row.get(at).cloned().unwrap_or_default();
    let kept: Vec<usize> =
        (0..heads.len()).filter(|at| rows.iter().any(|row| !cell(row, *at).is_empty())).collect();
    let heads: Vec<String> = heads.iter().map(|head| (*head).to_owned()).collect();
    let all: Vec<&[String]> =
        std::iter::once(heads.as_slice()).chain(rows.iter().map(Vec::as_slice)).collect();
    let width = |at: usize| all.iter().map(|row| cell(row, at).chars().count()).max().unwrap_or_default();
    let widths: Vec<(usize, usize)> = kept.into_iter().map(|at| (at, width(at))).collect();
    let mut text = String::new();
    for row in &all {
        let mut line = String::new();
        for (at, width) in &widths {
            let _ = write!(line, "  {:<width$}", cell(row, *at));
        }
        text.push_str(line.trim_end());
        text.push('\n');
    }
    text
}

/// Words over lines of a width in characters; a word that is longer has a line of its own.
pub(crate) fn wrapped(words: &str, width: usize) -> Vec<String> {
    let mut lines: Vec<String> = Vec::new();
    for word in words.split_whitespace() {
        match lines.last_mut() {
            Some(line) if line.chars().count() + 1 + word.chars().count() <= width => {
                line.push(' ');
                line.push_str(word);
            }
            _ => lines.push(word.to_owned()),
        }
    }
    lines
}

#[cfg(test)]
mod tests {
    use super::columns;

    #[test]
    fn columns_are_as_wide_as_their_cells_and_empty_ones_go() {
        let row = |cells: [&str; 3]| cells.map(str::to_owned).to_vec();
        let text = columns(&["a", "b", "c"], &[row(["1", "", "µ"]), row(["22", "", "3"])]);
        assert_eq!(text, "  a   c\n  1   µ\n  22  3\n");
    }
}
