//! Tables: to be sorted where that was asked for, their decimal marks under each other.

use crate::document::tree::{Align, Cell, Table, plain_text};

use super::Page;
use crate::render::decimal::Decimal;

impl Page<'_> {
    pub(super) fn table(&mut self, table: &Table) {
        let class = if table.is_small { "small" } else { "" };
        self.raw(&format!("<div class=\"scroll\"><table class=\"{class}\">\n"));
        if table.head.iter().any(|cell| !cell.is_empty()) {
            self.raw("<thead><tr>");
            for (cell, align) in table.head.iter().zip(&table.align) {
                self.cell("th", cell, *align, "");
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
            for ((cell, align), fraction) in row.iter().zip(&table.align).zip(&fractions) {
                self.cell("td", cell, *align, fraction);
            }
            self.raw("</tr>\n");
        }
        self.raw("</tbody>\n</table></div>");
    }

    /// `fraction` is the longest that stands behind a decimal mark in this column.
    fn cell(&mut self, name: &str, cell: &Cell, align: Align, fraction: &str) {
        let class = match align {
            Align::Left => "",
            Align::Centre => " class=\"centre\"",
            Align::Right => " class=\"right\"",
        };
        let is_button = self.is_sortable && name == "th" && !plain_text(cell).is_empty();
        // What is missing behind the mark is there but not seen, so the marks stand under each other.
        let own = Decimal::split(&plain_text(cell)).map_or(0, |number| number.fraction.chars().count());
        let missing: String = fraction.chars().skip(own).collect();
        if missing.is_empty() {
            self.raw(&format!("<{name}{class}>"));
        } else {
            self.raw(&format!("<{name}{class} data-missing=\"{missing}\">"));
        }
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
