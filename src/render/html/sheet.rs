//! The parts of a sheet: its head, the settings, the tiles of its figures.

use crate::document::tree::{Head, Pressures, Setting, Settings, Tile};

use super::Page;
use crate::render::decimal::Decimal;
use crate::render::fonts;

impl Page<'_> {
    pub(super) fn head(&mut self, head: &Head) {
        self.raw("<header>\n<h1>");
        self.text(&head.title);
        self.raw("</h1>");
        if let Some(subtitle) = &head.subtitle {
            self.element("p", "subtitle", subtitle);
        }
        if !head.fields.is_empty() {
            self.raw("\n<dl>");
            for field in &head.fields {
                self.raw("<div>");
                self.element("dt", "label", &field.label);
                self.raw("<dd>");
                self.text(&field.value);
                self.raw("</dd></div>");
            }
            self.raw("</dl>");
        }
        self.raw("\n</header>");
    }

    pub(super) fn settings(&mut self, settings: &Settings) {
        self.raw("<table class=\"settings\">\n<thead><tr>");
        for (class, heading) in ["what", "value", "change", "ridden"].iter().zip(&settings.headings) {
            // An empty head is none.
            self.element(if heading.is_empty() { "td" } else { "th" }, class, heading);
        }
        self.raw("</tr></thead>\n");
        let before = settings.rows.iter().filter_map(|row| row.value.as_deref()).map(figures_before).max();
        let mut group: Option<&str> = None;
        self.raw("<tbody>\n");
        let (large, rest): (Vec<&Setting>, Vec<&Setting>) =
            settings.rows.iter().partition(|row| row.is_changed());
        for (at, row) in large.iter().chain(&rest).enumerate() {
            if at == large.len() {
                self.raw("<tr class=\"group\"><th colspan=\"4\">");
                self.text(&settings.unchanged_words);
                self.raw("</th></tr>\n");
            }
            if row.group.as_deref() != group
                && let Some(name) = row.group.as_deref()
            {
                self.raw("<tr class=\"group\"><th colspan=\"4\">");
                self.text(name);
                self.raw("</th></tr>\n");
            }
            group = row.group.as_deref();
            self.setting(row, before.unwrap_or(0));
        }
        self.raw("</tbody>\n</table>");
    }

    /// A table; on a narrow screen each row is a card whose numbers say where they hold.
    pub(super) fn pressures(&mut self, pressures: &Pressures) {
        // On a telephone boxes are shown only where a table has nothing else.
        let class = if pressures.is_form() { "pressures form" } else { "pressures" };
        self.raw(&format!("<table class=\"{class}\">\n<thead><tr>"));
        for heading in &pressures.headings {
            self.raw("<th scope=\"col\">");
            self.text(heading);
            self.raw("</th>");
        }
        self.raw("</tr></thead>\n<tbody>\n");
        for row in &pressures.rows {
            self.raw(if row.change.is_some() { "<tr class=\"changed\">" } else { "<tr>" });
            self.raw("<th scope=\"row\">");
            self.text(&row.name);
            if let Some(change) = &row.change {
                self.element("span", "note", change);
            }
            self.raw("</th>");
            for (gauge, heading) in row.cells.iter().zip(pressures.headings.iter().skip(1)) {
                self.raw("<td data-name=\"");
                self.text(heading);
                self.raw("\">");
                if !gauge.is_empty() {
                    self.raw(if gauge.is_small { "<span class=\"small\">" } else { "<span>" });
                    self.value(&gauge.value, &gauge.expanded, &gauge.unit);
                    self.raw("</span>");
                    if let Some(wanted) = gauge.wanted.as_deref().filter(|_| gauge.value.is_none()) {
                        self.element("span", "note", wanted);
                    }
                }
                self.raw("</td>");
            }
            self.raw("<td class=\"ridden\" data-name=\"");
            self.text(pressures.headings.last().map_or("", String::as_str));
            self.raw("\"><span class=\"write\"></span></td></tr>\n");
        }
        self.raw("</tbody>\n</table>");
    }

    fn setting(&mut self, row: &Setting, before: usize) {
        self.raw(if row.is_changed() { "<tr class=\"changed\">" } else { "<tr>" });
        self.raw("<td class=\"what\">");
        self.text(&row.name);
        if let Some(note) = &row.note {
            self.element("span", "note", note);
        }
        self.raw("</td><td class=\"value\">");
        // All digits have one width, so this many of them align the decimal marks.
        let pad = row.value.as_deref().map_or(0, |value| before.saturating_sub(figures_before(value)));
        let is_number = |value: &str| figures_before(value) > 0 && !is_words(value);
        if pad > 0 && row.value.as_deref().is_some_and(is_number) {
            self.raw(&format!("<span class=\"pad\" style=\"width: {pad}ch\"></span>"));
        }
        self.value(&row.value, &row.expanded, &row.unit);
        self.raw("</td><td class=\"change\">");
        self.text(row.change.as_deref().unwrap_or_default());
        if let Some(wanted) = row.wanted.as_deref().filter(|_| row.value.is_none()) {
            self.element("span", "note", wanted);
        }
        self.raw("</td><td class=\"ridden\"><span class=\"write\"></span></td></tr>\n");
    }

    /// A value, with its unit in the lighter weight; an empty box where there is none.
    fn value(&mut self, value: &Option<String>, expanded: &Option<String>, unit: &Option<String>) {
        let unit = unit.as_deref();
        match value {
            Some(value) => {
                // A degree sign belongs to its number.
                let degree = unit.filter(|unit| *unit == "°").unwrap_or_default();
                let class = if is_words(value) { "words" } else { "number" };
                self.element("span", class, &format!("{value}{degree}"));
                if let Some(expanded) = expanded {
                    self.element("span", "unit", &format!(" ± {expanded}"));
                }
            }
            None => self.raw("<span class=\"write\"></span>"),
        }
        if let Some(unit) = unit.filter(|unit| *unit != "°" || value.is_none()) {
            self.element("span", "unit", &format!("\u{A0}{unit}"));
        }
    }

    pub(super) fn tile(&mut self, tile: &Tile) {
        self.raw("<div class=\"tile\">");
        self.element("div", "label", &tile.label);
        self.raw("<div>");
        let working = tile.figure.as_deref().and_then(|figure| self.working(figure));
        if let Some(address) = &working {
            self.raw("<a href=\"");
            self.text(address);
            self.raw("\">");
        }
        self.value(&tile.value, &tile.expanded, &tile.unit);
        if working.is_some() {
            self.raw("</a>");
        }
        self.raw("</div>");
        if let Some(wanted) = tile.wanted.as_deref().filter(|_| tile.value.is_none()) {
            self.element("div", "label", wanted);
        }
        if let Some(change) = &tile.change {
            self.element("div", "change", change);
        }
        if let Some(band) = &tile.band {
            self.picture(&band.draw(150.0, &fonts::width), &band.words());
        }
        if let Some(note) = &tile.note {
            self.element("div", "label", note);
        }
        self.raw("</div>\n");
    }
}

/// Whether a value is several words, to be read in lines; a number or one word is read at a glance.
fn is_words(value: &str) -> bool {
    value.contains(' ') && value.contains(char::is_alphabetic)
}

/// How many digits and signs come before the decimal mark; zero where it is no number.
fn figures_before(value: &str) -> usize {
    Decimal::split(value).map_or(0, |number| number.before.chars().count())
}
