//! A document as text: what PDF and HTML draw, for a reader at a terminal.
//!
//! No line is wider than asked for. Charts and drawings are drawn where that is asked for; else they are named in a line, as
//! photos are. What is to be written on is a line with its name.

use crate::document::tree::{Block, CHART, Column, Document, Field, Head, Inline};

use crate::document::Picture;
use crate::render::POINTS;
use crate::speech::{Tongue, say};

use super::line::{Face, Line, wrapped};
use super::{canvas, table, values};

/// The least width of the layout, in columns.
const NARROWEST: usize = 40;
/// How far everything below a heading is indented.
const INDENT: usize = 2;

/// How many items of a list stay when it gives way; a list this short never does.
const FEWEST: usize = 2;
const MOST: usize = 14;

/// How text is laid out.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct TextOptions {
    /// Whether strong text is set so. Nothing is shown by that alone.
    pub has_colour: bool,
    /// The most columns of a line.
    pub width: usize,
    pub drawings: Drawings,
}

/// How charts and drawings are shown.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Drawings {
    /// Each is named in a line.
    #[default]
    Named,
    /// Lines are dots, eight to a letter.
    Dots,
    /// Lines are strokes of ASCII, for terminals and fonts without Braille letters.
    Strokes,
}

impl Default for TextOptions {
    fn default() -> Self {
        Self { has_colour: false, width: 80, drawings: Drawings::Named }
    }
}

/// Writes a document as text. Where it asks for a number of lines, its longest lists are cut and the items left out
/// are counted. It ends when each head, with what is below it, has no more lines than that.
pub fn write(document: &Document, options: TextOptions) -> String {
    let width = options.width.max(NARROWEST);
    let set = |most: usize| {
        let room = Room { width, most, drawings: options.drawings, tongue: &document.tongue };
        stacked(&document.blocks, room, |block| of_page(block, room))
    };
    let heads = document.blocks.iter().filter(|block| matches!(block, Block::Head(_))).count().max(1);
    let lines = match document.metadata.lines {
        Some(lines) => {
            let fits = |all: &Vec<Line>| all.len() <= lines as usize * heads;
            (FEWEST..=MOST).rev().map(set).find(fits).unwrap_or_else(|| set(FEWEST))
        }
        None => set(usize::MAX),
    };
    let mut out = String::new();
    for line in lines {
        line.write(options.has_colour, &mut out);
    }
    out
}

/// The room for blocks.
#[derive(Debug, Clone, Copy)]
struct Room<'t> {
    width: usize,
    /// The most items of a list that are shown.
    most: usize,
    drawings: Drawings,
    tongue: &'t Tongue,
}

impl Room<'_> {
    fn less(self, by: usize) -> Self {
        Self { width: self.width.saturating_sub(by), ..self }
    }
}

/// Blocks below each other, with an empty line between them, except behind a heading.
fn stacked(blocks: &[Block], room: Room<'_>, lines_of: impl Fn(&Block) -> Vec<Line>) -> Vec<Line> {
    let mut all: Vec<Line> = Vec::new();
    let mut is_joined = true;
    let is_named = |block: &Block| room.drawings == Drawings::Named && matches!(block, Block::Chart { .. });
    for run in blocks.chunk_by(|a, b| is_named(a) && is_named(b)) {
        let Some(block) = run.first() else { continue };
        let lines = if run.len() == 1 { lines_of(block) } else { lines_of(&named(run, room.tongue)) };
        if lines.iter().all(Line::is_empty) {
            continue;
        }
        if !is_joined {
            all.push(Line::default());
        }
        all.extend(lines);
        is_joined = matches!(block, Block::Heading { .. });
    }
    all
}

/// Charts that follow each other, in one line.
fn named(charts: &[Block], tongue: &Tongue) -> Block {
    let title = |block: &Block| match block {
        Block::Chart { chart, .. } => Some(chart.title.clone()),
        _ => None,
    };
    let titles: Vec<String> = charts.iter().filter_map(title).collect();
    Block::Paragraph(vec![Inline::plain(drawn_elsewhere(&titles.join("; "), tongue))])
}

/// A block of the page itself: heads, headings and cautions are at its edge, everything else is indented.
fn of_page(block: &Block, room: Room<'_>) -> Vec<Line> {
    match block {
        Block::Head(_) | Block::Heading { .. } | Block::Cautions(_) => lines(block, room),
        Block::Columns(columns) => stacked_columns(columns, room, of_page),
        Block::Flow { blocks, .. } => stacked(blocks, room, |block| of_page(block, room)),
        _ => lines(block, room.less(INDENT)).iter().map(|line| line.indented(INDENT)).collect(),
    }
}

/// Columns of a page go below each other: a terminal has no room for two.
fn stacked_columns(
    columns: &[Column],
    room: Room<'_>,
    lines_of: impl Fn(&Block, Room<'_>) -> Vec<Line>,
) -> Vec<Line> {
    let mut all = Vec::new();
    for column in columns {
        let column = stacked(&column.blocks, room, |block| match block.is_hidden(false) {
            true => Vec::new(),
            false => lines_of(block, room),
        });
        if !all.is_empty() && !column.is_empty() {
            all.push(Line::default());
        }
        all.extend(column);
    }
    all
}

fn blocks(blocks: &[Block], room: Room<'_>) -> Vec<Line> {
    stacked(blocks, room, |block| lines(block, room))
}

fn lines(block: &Block, room: Room<'_>) -> Vec<Line> {
    let width = room.width;
    match block {
        Block::Head(head) => self::head(head, width),
        Block::Heading { text, .. } => {
            let strong: Vec<Inline> =
                text.iter().map(|inline| Inline { is_strong: true, ..inline.clone() }).collect();
            at_edge(&strong, width)
        }
        Block::Paragraph(text) => wrapped(text, width),
        Block::List { start, items } => {
            let numbered = |at: usize| start.map(|start| format!("{}. ", start.saturating_add(at as u64)));
            let item = |(at, item): (usize, &Vec<Block>)| {
                let lead = numbered(at).unwrap_or_else(|| "- ".to_owned());
                hung(&lead, room, |room| blocks(item, room))
            };
            let mut lines: Vec<Line> = items.iter().enumerate().take(room.most).flat_map(item).collect();
            lines.extend(left_out(items.len(), room));
            lines
        }
        Block::Checklist(items) => {
            let item = |item: &Vec<Inline>| hung("[ ] ", room, |room| wrapped(item, room.width));
            let mut lines: Vec<Line> = items.iter().take(room.most).flat_map(item).collect();
            lines.extend(left_out(items.len(), room));
            lines
        }
        Block::Quote(inner) => {
            let lead = |line: Line| {
                let mut whole = Line::of("| ", Face::Plain);
                whole.append(&line);
                whole
            };
            blocks(inner, room.less(2)).into_iter().map(lead).collect()
        }
        Block::Code(code) => code.lines().map(|line| Line::of(line, Face::Plain)).collect(),
        Block::Table(table) => table::lines(table, width),
        Block::Settings(settings) => values::settings(settings, width, room.tongue),
        Block::Pressures(pressures) => table::lines(&values::of_pressures(pressures, room.tongue), width),
        Block::Tiles(tiles) | Block::Marks(tiles) => {
            table::lines(&values::of_tiles(tiles, room.tongue), width)
        }
        Block::Columns(columns) => stacked_columns(columns, room, lines),
        Block::Flow { blocks: inner, .. } | Block::Cautions(inner) => blocks(inner, room),
        Block::Chart { chart, .. } => {
            let height = chart.height.unwrap_or(CHART) * POINTS;
            drawn(room, &chart.words(), |width| chart.draw(width, height, &canvas::measure))
        }
        Block::Drawing(drawing) => {
            drawn(room, &drawing.words(), |width| drawing.draw(width, &canvas::measure))
        }
        Block::Image(image) => {
            let what = &image.description;
            remark(&room.tongue.say(&say!("[photo: {what}]", what)), width)
        }
        Block::Rule => vec![Line::of(&"─".repeat(width), Face::Plain)],
        Block::Lines { label, .. } | Block::Box { label, .. } => vec![to_write(label, width)],
        Block::PageBreak { .. } => Vec::new(),
    }
}

fn drawn_elsewhere(what: &str, tongue: &Tongue) -> String {
    tongue.say(&say!("[drawn in HTML and PDF: {what}]", what))
}

/// A picture as wide as the room, or its words.
fn drawn(room: Room<'_>, words: &str, draw: impl FnOnce(f64) -> Picture) -> Vec<Line> {
    if room.drawings == Drawings::Named {
        return remark(&drawn_elsewhere(words, room.tongue), room.width);
    }
    let picture = draw(room.width as f64 * canvas::CELL.0);
    let lines = canvas::draw(&picture, room.drawings == Drawings::Strokes);
    lines.iter().map(|line| Line::of(line, Face::Plain)).collect()
}

/// A name and a line to write on, for people who print the text or keep it as a list to fill in.
fn to_write(label: &str, width: usize) -> Line {
    let mut line = Line::of(label, Face::Plain);
    let left = width.saturating_sub(line.width() + 2);
    line.push("  ", Face::Plain);
    line.push(&"_".repeat(left.max(values::BLANK.len())), Face::Plain);
    line
}

/// How many items of a list are left out, if any are.
fn left_out(items: usize, room: Room<'_>) -> Option<Line> {
    let left = items.saturating_sub(room.most);
    (left > 0).then(|| Line::of(&room.tongue.say(&say!("and {count} more", count = left)), Face::Plain))
}

/// Words at the edge of the page. Where they run on they are indented, so that no line looks like a new one.
fn at_edge(text: &[Inline], width: usize) -> Vec<Line> {
    let lines = wrapped(text, width.saturating_sub(INDENT)).into_iter().enumerate();
    lines.map(|(at, line)| if at == 0 { line } else { line.indented(INDENT) }).collect()
}

/// What a page is about: its fields follow each other, each with its name.
fn head(head: &Head, width: usize) -> Vec<Line> {
    let mut lines = at_edge(&[strong(&head.title)], width);
    lines.extend(head.subtitle.iter().flat_map(|subtitle| at_edge(&[Inline::plain(subtitle)], width)));
    let mut last: Option<Line> = None;
    let told = |field: &Field| format!("{}: {}", field.label, field.value);
    let mut fields = head.fields.iter().filter(|field| !field.value.is_empty()).peekable();
    while let Some(field) = fields.next() {
        // It wraps between fields where it can.
        let text = told(field);
        let said = Line::of(&text, Face::Plain);
        let beside = fields.peek().filter(|_| field.with_next);
        let beside = beside.map_or(0, |next| 3 + Line::of(&told(next), Face::Plain).width());
        match &mut last {
            Some(line) if line.width() + 3 + said.width() + beside <= width => {
                line.push("   ", Face::Plain);
                line.append(&said);
            }
            _ => {
                lines.extend(last.take());
                let mut set = at_edge(&[Inline::plain(text)], width);
                last = set.pop();
                lines.extend(set);
            }
        }
    }
    lines.extend(last);
    lines
}

/// Lines below each other, the first behind a lead.
fn hung(lead: &str, room: Room<'_>, set: impl FnOnce(Room<'_>) -> Vec<Line>) -> Vec<Line> {
    let lead = Line::of(lead, Face::Plain);
    let lines = set(room.less(lead.width()));
    let behind = |(at, line): (usize, Line)| {
        let mut whole = if at == 0 { lead.clone() } else { Line::default() };
        whole.pad_to(lead.width());
        whole.append(&line);
        whole
    };
    lines.into_iter().enumerate().map(behind).collect()
}

fn remark(text: &str, width: usize) -> Vec<Line> {
    wrapped(&[Inline::plain(text)], width)
}

fn strong(text: &str) -> Inline {
    Inline { is_strong: true, ..Inline::plain(text) }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::document::read;

    fn text(markdown: &str, width: usize) -> String {
        write(&read("t.md", markdown).unwrap(), TextOptions { width, ..TextOptions::default() })
    }

    #[test]
    fn a_page_is_read_from_top_to_bottom() {
        let page = "```layout head\ntitle = \"Heron\"\n[[field]]\nlabel = \"track\"\nvalue = \"Quarry\"\n```\n\n\
            ## To set\n\n```layout checklist\n- **clip**: 4 mm and more words than go on one line\n- bar\n```\n\n\
            | a | b | c |\n|:--|--:|:--|\n| x | 1.5 mm | |\n| long | 10.25 mm | |\n\n```layout lines 4\nnotes\n```\n\n\
            ```layout cautions\nMind.\n```\n";
        assert_eq!(
            text(page, 40),
            "Heron\ntrack: Quarry\n\nTo set\n  [ ] clip: 4 mm and more words than go\n      on one line\n  [ ] bar\n\n  \
             a            b\n  x      1.5  mm\n  long  10.25 mm\n\n  notes  _______________________________\n\nMind.\n"
                .replace("1.5  mm", "1.5 mm ")
                .replace(" \n", "\n")
        );
    }

    #[test]
    fn what_does_not_fit_beside_each_other_runs_on_and_then_stands_below() {
        let table =
            "| name | words |\n|:--|:--|\n| spring | one two three four five six seven eight nine |\n";
        assert_eq!(
            text(table, 40),
            "  name    words\n  spring  one two three four five six\n          seven eight nine\n"
        );
        let wide: Vec<String> = (0..8).map(|at| format!("{at}2345678")).collect();
        let heads: Vec<String> = (0..8).map(|at| format!("h{at}")).collect();
        let table = format!("| {} |\n|{}\n| {} |\n", heads.join(" | "), "--:|".repeat(8), wide.join(" | "));
        let told = text(&table, 40);
        assert!(told.starts_with("  02345678\n    h1  12345678\n    h2  22345678\n"), "{told}");
    }

    #[test]
    fn no_line_is_wider_than_the_terminal() {
        let page = "# A heading that is a good deal longer than the forty columns of it\n\nWords and words and words \
            and words_that_are_longer_than_any_line_of_the_terminal_could_be.\n\n> quoted words that go on and on and on\n\n\
            - an item that is longer than its line\n  1. and one in it that is longer, too, than its line\n\n\
            ```layout marks\n[[tile]]\nlabel = \"rear rider sag\"\nvalue = \"101\"\nunit = \"mm\"\nnote = \"as written\"\nband = { low = 95, high = 105, value = 101, unit = \"mm\" }\n```\n";
        let told = text(page, 40);
        assert!(told.lines().all(|line| line.chars().count() <= 40), "{told}");
        assert!(
            text(page, 80).contains("rear rider sag  101 mm  ···[···|·]···  95–105 mm  as written"),
            "{}",
            text(page, 80)
        );
    }
}
