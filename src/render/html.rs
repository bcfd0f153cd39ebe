//! A document as one HTML file that needs no network: style, charts and photos lie within it.
//!
//! It says what the PDF says. Nothing gives way here, as a screen has no end; printed from a browser it keeps
//! to the same black ink. A table can be sorted by its heads where scripts run, and reads as it is where they
//! do not.

use std::collections::BTreeSet;

use allsorts::subset::SubsetProfile;

use crate::document::tree::{
    Align, Block, Cell, Document, Head, Image, Inline, Setting, Settings, Table, Tile, plain_text,
};
use crate::document::{Anchor, Ink, Picture, Shape, Weight};

use super::decimal::Decimal;
use super::{Images, POINTS, Paper, fonts};

const STYLE: &str = include_str!("../../templates/style.css");
const SCRIPT: &str = include_str!("../../templates/sort.js");

/// How a document is written as HTML.
#[derive(Debug, Clone, Default)]
pub struct HtmlOptions {
    /// What it is printed on, if it is.
    pub paper: Paper,
    pub images: Images,
    /// A style sheet in the place of the built-in one.
    pub style: Option<String>,
    /// Whether tables can be sorted by their heads.
    pub is_sortable: bool,
}

/// Writes a document as one HTML file.
pub fn write(document: &Document, options: &HtmlOptions) -> String {
    // The body first, as the head holds fonts cut down to what the body says.
    let mut page = Page::new(options);
    page.raw("<main>\n");
    page.blocks(&document.blocks);
    page.raw("</main>\n");
    if let Some(foot) = &document.metadata.foot {
        page.raw("<footer>");
        page.text(foot);
        page.raw("</footer>\n");
    }
    let (body, letters) = (page.out, page.letters);
    let mut page = Page::new(options);
    page.raw("<!doctype html>\n<html lang=\"");
    page.text(&document.language);
    page.raw("\">\n<head>\n<meta charset=\"utf-8\">\n");
    page.raw("<meta name=\"viewport\" content=\"width=device-width, initial-scale=1\">\n<title>");
    page.text(&document.title);
    page.raw("</title>\n");
    for (name, content) in [
        ("description", &document.metadata.subject),
        ("author", &document.metadata.author),
        ("date", &document.metadata.date),
    ] {
        if let Some(content) = content {
            page.raw(&format!("<meta name=\"{name}\" content=\""));
            page.text(content);
            page.raw("\">\n");
        }
    }
    let size = match options.paper {
        Paper::A4 => "A4",
        Paper::Letter => "letter",
    };
    page.raw(&format!("<style>\n@page {{ size: {size}; margin: 12mm; }}\n"));
    page.faces(&letters);
    // A book's own style sheet must not be able to end its element.
    page.raw(&options.style.as_deref().unwrap_or(STYLE).replace("</", "<\\/"));
    page.raw("</style>\n</head>\n<body>\n");
    page.raw(&body);
    if options.is_sortable {
        page.raw(&format!("<script>\n{SCRIPT}</script>\n"));
    }
    page.raw("</body>\n</html>\n");
    page.out
}

struct Page<'p> {
    out: String,
    images: &'p Images,
    is_sortable: bool,
    /// Every letter that was written.
    letters: BTreeSet<char>,
}

impl<'p> Page<'p> {
    fn new(options: &'p HtmlOptions) -> Self {
        Self {
            out: String::new(),
            images: &options.images,
            is_sortable: options.is_sortable,
            letters: BTreeSet::new(),
        }
    }

    /// The type family cut down to what is written, so that the page looks the same on any telephone. A
    /// weight that could not be cut is left to the reader's own fonts.
    fn faces(&mut self, letters: &BTreeSet<char>) {
        for (weight, style, value) in [
            (Weight::Light, "normal", 300),
            (Weight::Regular, "normal", 400),
            (Weight::Italic, "italic", 400),
            (Weight::Bold, "normal", 600),
        ] {
            let glyphs = letters.iter().filter_map(|letter| fonts::glyph(weight, *letter));
            if let Ok(bytes) = fonts::subset(weight, glyphs, &SubsetProfile::Minimal) {
                self.raw(&format!(
                    "@font-face {{ font-family: \"Loambook\"; font-style: {style}; font-weight: {value}; \
                     src: url(data:font/ttf;base64,"
                ));
                base64(&bytes, &mut self.out);
                self.raw(") format(\"truetype\"); }\n");
            }
        }
    }

    fn raw(&mut self, markup: &str) {
        self.out.push_str(markup);
    }

    fn text(&mut self, text: &str) {
        self.letters.extend(text.chars());
        escape(text, &mut self.out);
    }

    /// An element that holds text, with a class.
    fn element(&mut self, name: &str, class: &str, text: &str) {
        self.raw(&format!("<{name} class=\"{class}\">"));
        self.text(text);
        self.raw(&format!("</{name}>"));
    }

    fn blocks(&mut self, blocks: &[Block]) {
        let is_small_chart = |block: &Block| matches!(block, Block::Chart { is_wide: false, .. });
        for run in blocks.chunk_by(|a, b| is_small_chart(a) == is_small_chart(b)) {
            let are_charts = run.first().is_some_and(is_small_chart);
            if are_charts {
                self.raw("<div class=\"charts\">\n");
            }
            for block in run {
                self.block(block);
                self.raw("\n");
            }
            if are_charts {
                self.raw("</div>\n");
            }
        }
    }

    fn block(&mut self, block: &Block) {
        match block {
            Block::Head(head) => self.head(head),
            Block::Heading { level, text } => {
                let level = (*level).clamp(1, 6);
                self.raw(&format!("<h{level}>"));
                self.inlines(text);
                self.raw(&format!("</h{level}>"));
            }
            Block::Paragraph(text) => {
                self.raw("<p>");
                self.inlines(text);
                self.raw("</p>");
            }
            Block::List { start, items } => {
                let name = if start.is_some() { "ol" } else { "ul" };
                match start {
                    Some(first) if *first != 1 => self.raw(&format!("<ol start=\"{first}\">")),
                    _ => self.raw(&format!("<{name}>")),
                }
                for item in items {
                    self.raw("<li>");
                    self.tight(item);
                    self.raw("</li>");
                }
                self.raw(&format!("</{name}>"));
            }
            Block::Quote(inner) => {
                self.raw("<blockquote>\n");
                self.blocks(inner);
                self.raw("</blockquote>");
            }
            Block::Code(code) => {
                self.raw("<pre>");
                self.text(code);
                self.raw("</pre>");
            }
            Block::Table(table) => self.table(table),
            Block::Settings(settings) => self.settings(settings),
            Block::Tiles(tiles) => {
                self.raw("<div class=\"tiles\">\n");
                for tile in tiles {
                    self.tile(tile);
                }
                self.raw("</div>");
            }
            Block::Columns(columns) => {
                self.raw("<div class=\"columns\">\n");
                for column in columns {
                    self.raw(&format!("<div style=\"flex: {} 1 15rem\">\n", column.weight));
                    self.blocks(&column.blocks);
                    self.raw("</div>\n");
                }
                self.raw("</div>");
            }
            Block::Checklist(items) => {
                self.raw("<ul class=\"checklist\">");
                for item in items {
                    self.raw("<li><label><input type=\"checkbox\"> <span>");
                    self.inlines(item);
                    self.raw("</span></label></li>");
                }
                self.raw("</ul>");
            }
            Block::Chart { chart, is_wide, .. } => {
                // One drawing for all screens: as wide as half a sheet, or as a whole one.
                let width = if *is_wide { 527.0 } else { 300.0 };
                let height = chart.height.unwrap_or(48.0) * POINTS;
                let class = if *is_wide { "chart wide" } else { "chart" };
                self.raw(&format!("<figure class=\"{class}\">"));
                self.picture(&chart.draw(width, height, &fonts::width), &chart.words());
                self.raw("</figure>");
            }
            Block::Image(image) => self.image(image),
            Block::Lines { label, count, .. } => {
                self.raw("<div class=\"lines\">");
                self.element("span", "label", label);
                for _ in 0..*count {
                    self.raw("<div></div>");
                }
                self.raw("</div>");
            }
            Block::Box { label, millimetres } => {
                self.raw(&format!("<div class=\"box\" style=\"height: {millimetres}mm\">"));
                self.element("span", "label", label);
                self.raw("</div>");
            }
            Block::Cautions(inner) => {
                self.raw("<section class=\"cautions\">\n");
                self.blocks(inner);
                self.raw("</section>");
            }
            Block::Rule => self.raw("<hr>"),
            Block::PageBreak => self.raw("<div class=\"page\"></div>"),
        }
    }

    /// The blocks of an item; a single paragraph goes without its element.
    fn tight(&mut self, blocks: &[Block]) {
        match blocks {
            [Block::Paragraph(text)] => self.inlines(text),
            blocks => self.blocks(blocks),
        }
    }

    fn inlines(&mut self, inlines: &[Inline]) {
        for inline in inlines {
            let mut ends = Vec::new();
            if let Some(target) = &inline.link {
                self.raw("<a rel=\"noreferrer\" href=\"");
                self.text(target);
                self.raw("\">");
                ends.push("</a>");
            }
            for (is_set, start, end) in [
                (inline.is_strong, "<strong>", "</strong>"),
                (inline.is_emphasised, "<em>", "</em>"),
                (inline.is_struck, "<s>", "</s>"),
                (inline.is_code, "<code>", "</code>"),
            ] {
                if is_set {
                    self.raw(start);
                    ends.push(end);
                }
            }
            self.text(&inline.text);
            for end in ends.iter().rev() {
                self.raw(end);
            }
            if inline.is_line_end {
                self.raw("<br>");
            }
        }
    }

    fn head(&mut self, head: &Head) {
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

    fn settings(&mut self, settings: &Settings) {
        self.raw("<table class=\"settings\">\n<thead><tr>");
        for (class, heading) in ["what", "value", "change", "ridden"].iter().zip(&settings.headings) {
            self.element("th", class, heading);
        }
        self.raw("</tr></thead>\n");
        let before = settings.rows.iter().filter_map(|row| row.value.as_deref()).map(figures_before).max();
        let mut group: Option<&str> = None;
        self.raw("<tbody>\n");
        for row in &settings.rows {
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

    fn setting(&mut self, row: &Setting, before: usize) {
        self.raw(if row.is_changed { "<tr class=\"changed\">" } else { "<tr>" });
        self.raw("<td class=\"what\">");
        self.text(&row.name);
        if let Some(note) = &row.note {
            self.element("span", "note", note);
        }
        self.raw("</td><td class=\"value\">");
        // Figures all have one width, so this many of them bring the decimal marks under each other.
        let pad = row.value.as_deref().map_or(0, |value| before.saturating_sub(figures_before(value)));
        let is_number = |value: &str| figures_before(value) > 0 && !is_words(value);
        if pad > 0 && row.value.as_deref().is_some_and(is_number) {
            self.raw(&format!("<span class=\"pad\" style=\"width: {pad}ch\"></span>"));
        }
        self.value(row.value.as_deref(), row.unit.as_deref());
        self.raw("</td><td class=\"change\">");
        self.text(row.change.as_deref().unwrap_or_default());
        if let Some(wanted) = row.wanted.as_deref().filter(|_| row.value.is_none()) {
            self.element("span", "note", wanted);
        }
        self.raw("</td><td class=\"ridden\"><span class=\"write\"></span></td></tr>\n");
    }

    /// A value with its unit in the lighter weight; an empty box if there is none.
    fn value(&mut self, value: Option<&str>, unit: Option<&str>) {
        match value {
            Some(value) => {
                let (main, uncertainty) = value.split_once(" ± ").unwrap_or((value, ""));
                // A degree sign belongs to its number.
                let degree = unit.filter(|unit| *unit == "°").unwrap_or_default();
                let class = if is_words(main) { "words" } else { "number" };
                self.element("span", class, &format!("{main}{degree}"));
                if !uncertainty.is_empty() {
                    self.element("span", "unit", &format!(" ± {uncertainty}"));
                }
            }
            None => self.raw("<span class=\"write\"></span>"),
        }
        if let Some(unit) = unit.filter(|unit| *unit != "°" || value.is_none()) {
            self.element("span", "unit", &format!("\u{A0}{unit}"));
        }
    }

    fn tile(&mut self, tile: &Tile) {
        self.raw("<div class=\"tile\">");
        self.element("div", "label", &tile.label);
        self.raw("<div>");
        self.value(tile.value.as_deref(), tile.unit.as_deref());
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

    fn table(&mut self, table: &Table) {
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

    fn image(&mut self, image: &Image) {
        let bytes = self.images.get(&image.target);
        let kind = bytes.and_then(|bytes| media_type(bytes));
        if let (Some(bytes), Some(kind)) = (bytes, kind) {
            self.raw(&format!("<figure><img src=\"data:{kind};base64,"));
            base64(bytes, &mut self.out);
            self.raw("\" alt=\"");
            self.text(&image.description);
            self.raw("\">");
            if !image.description.is_empty() {
                self.element("figcaption", "label", &image.description);
            }
            self.raw("</figure>");
        } else {
            let words = if image.description.is_empty() { &image.target } else { &image.description };
            self.element("p", "label", &format!("[{words}]"));
        }
    }

    fn picture(&mut self, picture: &Picture, words: &str) {
        let (width, height) = (length(picture.width), length(picture.height));
        self.raw(&format!(
            "<svg viewBox=\"0 0 {width} {height}\" style=\"max-width: {width}pt\" role=\"img\" aria-label=\""
        ));
        self.text(words);
        self.raw("\">");
        for shape in &picture.shapes {
            self.shape(shape);
        }
        self.raw("</svg>");
    }

    fn shape(&mut self, shape: &Shape) {
        let list = |points: &[(f64, f64)]| {
            let pairs: Vec<String> =
                points.iter().map(|(x, y)| format!("{},{}", length(*x), length(*y))).collect();
            pairs.join(" ")
        };
        match shape {
            Shape::Stroke { points, width, dash, ink } => {
                let dash: Vec<String> = dash.iter().map(|part| length(*part)).collect();
                let dash = match dash.is_empty() {
                    true => String::new(),
                    false => format!(" stroke-dasharray=\"{}\"", dash.join(" ")),
                };
                let (points, width) = (list(points), length(*width));
                let class = ink_class(*ink);
                self.raw(&format!(
                    "<polyline class=\"s-{class}\" points=\"{points}\" stroke-width=\"{width}\"{dash}/>"
                ));
            }
            Shape::Fill { points, ink } => {
                let points = list(points);
                self.raw(&format!("<polygon class=\"f-{}\" points=\"{points}\"/>", ink_class(*ink)));
            }
            Shape::Text { x, y, text, size, anchor, weight, ink } => {
                let anchor = match anchor {
                    Anchor::Start => "start",
                    Anchor::Middle => "middle",
                    Anchor::End => "end",
                };
                let weight = match weight {
                    Weight::Light => 300,
                    Weight::Regular | Weight::Italic => 400,
                    Weight::Bold => 600,
                };
                let (x, y, size, class) = (length(*x), length(*y), length(*size), ink_class(*ink));
                self.raw(&format!(
                    "<text class=\"f-{class}\" x=\"{x}\" y=\"{y}\" font-size=\"{size}\" \
                     font-weight=\"{weight}\" text-anchor=\"{anchor}\">"
                ));
                self.text(text);
                self.raw("</text>");
            }
        }
    }
}

/// Whether a value is several words: read in lines, where a number or a word is read at a glance.
fn is_words(value: &str) -> bool {
    value.contains(' ') && value.contains(char::is_alphabetic)
}

/// How many figures and signs stand before the decimal mark; none if it is no number.
fn figures_before(value: &str) -> usize {
    Decimal::split(value).map_or(0, |number| number.before.chars().count())
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

fn ink_class(ink: Ink) -> &'static str {
    match ink {
        Ink::Black => "black",
        Ink::Dark => "dark",
        Ink::Light => "light",
        Ink::Tint => "tint",
        Ink::Paper => "paper",
    }
}

/// A length to a hundredth, without zeros that say nothing.
fn length(value: f64) -> String {
    let text = format!("{value:.2}");
    let text = text.trim_end_matches('0').trim_end_matches('.');
    if text == "-0" { "0".to_owned() } else { text.to_owned() }
}

fn escape(text: &str, out: &mut String) {
    for letter in text.chars() {
        match letter {
            '&' => out.push_str("&amp;"),
            '<' => out.push_str("&lt;"),
            '>' => out.push_str("&gt;"),
            '"' => out.push_str("&quot;"),
            '\'' => out.push_str("&#39;"),
            other => out.push(other),
        }
    }
}

/// What a photo's first bytes say it is; only what a page can hold.
fn media_type(bytes: &[u8]) -> Option<&'static str> {
    if bytes.starts_with(b"\x89PNG\r\n\x1a\n") {
        Some("image/png")
    } else if bytes.starts_with(&[0xFF, 0xD8, 0xFF]) {
        Some("image/jpeg")
    } else {
        None
    }
}

/// RFC 4648, section 4.
fn base64(bytes: &[u8], out: &mut String) {
    const LETTERS: &[u8; 64] = b"ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789+/";
    for chunk in bytes.chunks(3) {
        let byte = |at: usize| u32::from(chunk.get(at).copied().unwrap_or(0));
        let word = byte(0) << 16 | byte(1) << 8 | byte(2);
        for at in 0..4 {
            let sextet = (word >> (18 - 6 * at)) & 63;
            let letter = usize::try_from(sextet).ok().and_then(|sextet| LETTERS.get(sextet)).copied();
            let is_padding = at > chunk.len();
            out.push(if is_padding { '=' } else { letter.map_or('=', char::from) });
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn base64_is_that_of_the_standard() {
        // RFC 4648, section 10.
        let pairs = [
            ("", ""),
            ("f", "Zg=="),
            ("fo", "Zm8="),
            ("foo", "Zm9v"),
            ("foob", "Zm9vYg=="),
            ("fooba", "Zm9vYmE="),
            ("foobar", "Zm9vYmFy"),
        ];
        for (plain, coded) in pairs {
            let mut out = String::new();
            base64(plain.as_bytes(), &mut out);
            assert_eq!(out, coded);
        }
    }
}
