//! Tables: sortable where that was asked for, their decimal marks aligned.

use crate::document::tree::{Align, Cell, Table, plain_text};

use super::Page;
use crate::render::decimal::Decimal;

/// How many characters fit beside each other on a telephone, and how many two columns lose between them.
const NARROW: usize = 44;
const GAP: usize = 1;
/// So few characters are never broken.
const SHORT: usize = 14;
/// The least width of a column of sentences.
const SENTENCE: usize = 16;

impl Page<'_> {
    pub(super) fn table(&mut self, table: &Table) {
        // Where a telephone has no room for the columns, each row is a card, with each cell behind the name of
        // its column.
        let is_cards = least(table) > NARROW;
        let class = match (is_cards, self.is_sortable, table.is_small) {
            (true, true, _) => "cards sortable",
            (true, false, _) => "cards",
            (false, _, true) => "small",
            (false, _, false) => "",
        };
        let names: Vec<String> = table.head.iter().map(|cell| plain_text(cell)).collect();
        self.raw(&format!("<div class=\"scroll\"><table class=\"{class}\">\n"));
        if table.head.iter().any(|cell| !cell.is_empty()) {
            self.raw("<thead><tr>");
            for (cell, align) in table.head.iter().zip(&table.align) {
                // An empty head is none.
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
        // A date would break at its hyphens, and a few letters are not worth a second line.
        let is_short = text.chars().count() <= SHORT;
        let is_word = !text.is_empty() && (is_short || !text.contains(char::is_whitespace));
        let class = match align {
            Align::Left if is_word => " class=\"word\"",
            Align::Left => "",
            Align::Centre => " class=\"centre\"",
            Align::Right => " class=\"right\"",
        };
        let is_button = self.is_sortable && name == "th" && !text.is_empty();
        // Digits missing behind the mark are there but invisible, so that the marks line up.
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

/// What a cell has besides its text.
#[derive(Default)]
struct Extra<'t> {
    /// The longest fraction in this column.
    fraction: &'t str,
    /// The column's name, where a card shows it.
    name: &'t str,
}

/// The characters that the columns need beside each other when everything that may wrap does.
fn least(table: &Table) -> usize {
    let column = |at: usize| {
        let is_whole = table.align.get(at) == Some(&Align::Right);
        let need = |cell: &Cell| {
            let text = plain_text(cell);
            let whole = text.chars().count();
            let word = text.split_whitespace().map(|word| word.chars().count()).max().unwrap_or(0);
            if is_whole { whole } else { word.max(whole.min(SENTENCE)) }
        };
        let cells = table.rows.iter().filter_map(|row| row.get(at)).map(need).max().unwrap_or(0);
        let head = table.head.get(at).map(|cell| plain_text(cell)).unwrap_or_default();
        let head = head.split_whitespace().map(|word| word.chars().count()).max().unwrap_or(0);
        cells.max(head)
    };
    let count = table.rows.iter().map(Vec::len).max().unwrap_or(0);
    (0..count).map(|at| column(at) + GAP).sum()
}

/// The digits that a column's numbers lack behind their decimal marks, compared with the longest; nothing where
/// the column has anything but bare numbers.
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
