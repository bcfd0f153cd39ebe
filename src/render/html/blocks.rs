//! Blocks and the words in them.

use crate::document::tree::{Block, CHART, Inline};

use super::Page;
use crate::render::{POINTS, fonts};

impl Page<'_> {
    pub(super) fn blocks(&mut self, blocks: &[Block]) {
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
                // The fifth and the sixth level name a column and begin no section, so no level above them is
                // skipped.
                let (begin, end) = match *level {
                    0..=1 => ("<h1>", "</h1>"),
                    2 => ("<h2>", "</h2>"),
                    3 => ("<h3>", "</h3>"),
                    4 => ("<h4>", "</h4>"),
                    5 => ("<p class=\"beside\">", "</p>"),
                    6.. => ("<p class=\"below\">", "</p>"),
                };
                self.raw(begin);
                self.inlines(text);
                self.raw(end);
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
            Block::Pressures(pressures) => self.pressures(pressures),
            Block::Flow { blocks, .. } => {
                self.raw("<div class=\"flow\">\n");
                self.blocks(blocks);
                self.raw("</div>");
            }
            Block::Tiles(tiles) | Block::Marks(tiles) => {
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
                // One drawing for all screens: as wide as half a sheet, or a whole one.
                let width = if *is_wide { 527.0 } else { 300.0 };
                let height = chart.height.unwrap_or(CHART) * POINTS;
                let class = if *is_wide { "chart wide" } else { "chart" };
                self.raw(&format!("<figure class=\"{class}\">"));
                self.picture(&chart.draw(width, height, &fonts::width), &chart.words());
                self.raw("</figure>");
            }
            Block::Drawing(drawing) => {
                // Its words stay legible on a telephone.
                self.raw("<figure class=\"chart wide\">");
                self.picture(&drawing.draw(400.0, &fonts::width), &drawing.words());
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
                self.raw("<div class=\"cautions\">\n");
                self.blocks(inner);
                self.raw("</div>");
            }
            Block::Rule => self.raw("<hr>"),
            Block::PageBreak { .. } => self.raw("<div class=\"page\"></div>"),
        }
    }

    /// The blocks of an item; a single paragraph has no element of its own.
    fn tight(&mut self, blocks: &[Block]) {
        match blocks {
            [Block::Paragraph(text)] => self.inlines(text),
            blocks => self.blocks(blocks),
        }
    }

    pub(super) fn inlines(&mut self, inlines: &[Inline]) {
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
            if inline.is_code {
                self.text(&inline.text);
            } else {
                self.words(&inline.text);
            }
            for end in ends.iter().rev() {
                self.raw(end);
            }
            if inline.is_line_end {
                self.raw("<br>");
            }
        }
    }

    /// Text in which no date breaks at its hyphens.
    fn words(&mut self, text: &str) {
        let mut rest = text;
        while let Some((before, number, behind)) = hyphened(rest) {
            self.text(before);
            self.element("span", "word", number);
            rest = behind;
        }
        self.text(rest);
    }
}

/// What is before the first run of digits with hyphens between them, the run, and what is behind it. A path's are not meant.
fn hyphened(text: &str) -> Option<(&str, &str, &str)> {
    let is_part = |letter: char| letter.is_ascii_digit() || letter == '-';
    let mut from = 0;
    loop {
        let start = from + text.get(from..)?.find(|letter: char| letter.is_ascii_digit())?;
        let run = text.get(start..)?;
        let run = run.get(..run.find(|letter| !is_part(letter)).unwrap_or(run.len()))?.trim_end_matches('-');
        let end = start + run.len();
        let before = text.get(..start)?;
        if run.contains('-') && !before.ends_with('/') {
            return Some((before, run, text.get(end..)?));
        }
        from = end;
    }
}
