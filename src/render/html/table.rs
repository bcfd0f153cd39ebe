//! Tables: to be sorted where that was asked for, their decimal marks under each other.

use crate::document::tree::{Align, Cell, Table, plain_text};

use super::Page;
use crate::render::decimal::Decimal;

/// Cells with more characters than this do not fit beside others on a telephone.
const WIDE: usize = 40;

impl Page<'_> {
    pub(super) fn table(&mut self, table: &Table) {
        // With whole sentences in its cells, a narrow screen has a row as a card, each cell under its head's name.
        let is_cards = self.is_sortable && table.rows.iter().flatten().any(|cell| length(cell) > WIDE);
        let class = match (is_cards, table.is_small) {
            (true, _) => "cards",
            (false, true) => "small",
            (false, false) => "",
        };
        let names: Vec<String> = table.head.iter().map(|cell| plain_text(cell)).collect();
        self.raw(&format!("<div class=\"scroll\"><table class=\"{class}\">\n"));
        if table.head.iter().any(|cell| !cell.is_empty()) {
            self.raw("<thead><tr>");
            for (cell, align) in table.head.iter().zip(&table.align) {
                // A head that says nothing is none.
                let name = if cell.is_empty() { "td" } else { "th" };
                self.cell(name, cell, *align, &Extra::default());
            }
            self.raw("</tr></thead>\n");
        }
        self.raw("<tbody>\n");
        let fractions: Vec<String> = table
            .align
            .iter()
            .enumerate()
            .map(|(at, align)| match align {
                Align::Right => longest_fraction(table, at),
                Align::Left | Align::Centre => String::new(),
            })
            .collect();
        for row in &table.rows {
            self.raw("<tr>");
            for (at, ((cell, align), fraction)) in row.iter().zip(&table.align).zip(&fractions).enumerate() {
                let name = names.get(at).filter(|_| is_cards && at > 0);
                self.cell("td", cell, *align, &Extra { fraction, name: name.map_or("", String::as_str) });
            }
            self.raw("</tr>\n");
        }
        self.raw("</tbody>\n</table></div>");
    }

    fn cell(&mut self, name: &str, cell: &Cell, align: Align, extra: &Extra<'_>) {
        let text = plain_text(cell);
        // A date breaks at its hyphens where nobody forbids it.
        let is_word = !text.is_empty() && !text.contains(char::is_whitespace);
        let class = match align {
            Align::Left if is_word => " class=\"word\"",
            Align::Left => "",
            Align::Centre => " class=\"centre\"",
            Align::Right => " class=\"right\"",
        };
        let is_button = self.is_sortable && name == "th" && !text.is_empty();
        // What is missing behind the mark is there but not seen, so the marks stand under each other.
        let own = Decimal::split(&text).map_or(0, |number| number.fraction.chars().count());
        let missing: String = extra.fraction.chars().skip(own).collect();
        self.raw(&format!("<{name}{class}"));
        if !missing.is_empty() {
            self.raw(&format!(" data-missing=\"{missing}\""));
        }
        if !extra.name.is_empty() {
            self.raw(" data-name=\"");
            self.text(extra.name);
            self.raw("\"");
        }
        self.raw(">");
        if is_button {
            self.raw("<button type=\"button\">");
        }
        self.inlines(cell);
        if is_button {
            self.raw("</button>");
        }
        self.raw(&format!("</{name}>"));
    }
}

/// What a cell says besides its text.
#[derive(Default)]
struct Extra<'t> {
    /// The longest that stands behind a decimal mark in this column.
    fraction: &'t str,
    /// The column's, where a card tells it.
    name: &'t str,
}

fn length(cell: &Cell) -> usize {
    plain_text(cell).chars().count()
}

/// What a column's numbers lack behind their decimal marks to be as long as the longest; nothing for a column
/// of anything but bare numbers.
fn longest_fraction(table: &Table, column: usize) -> String {
    let mut longest = String::new();
    for cell in table.rows.iter().filter_map(|row| row.get(column)) {
        match Decimal::split(&plain_text(cell)) {
            Some(number) if number.rest.is_empty() => {
                if number.fraction.chars().count() > longest.chars().count() {
                    longest = number.fraction;
                }
            }
            _ if cell.is_empty() => {}
            _ => return String::new(),
        }
    }
    longest
}
