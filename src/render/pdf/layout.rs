//! Blocks into slices.

use crate::document::chart::Chart;
use crate::document::tree::{BELOW, BESIDE, Block, CHART, Field, Head, Image, Inline, Setting, plain_text};
use crate::document::{Ink, Weight};

use super::super::POINTS;
use super::super::fonts;
use super::columns::{GUTTER, Kinds};
use super::flow::{Place, Slice, balance, keep_pairs, stack};
use super::photo::Photos;
use super::piece::{Photo, Piece, Rectangle, Style};
use super::{pressures, settings, table, text, tiles};

/// Type size of what to set, in points.
pub(super) const LARGE: f64 = 15.0;
/// Type size of text, in points.
pub(super) const TEXT: f64 = 9.0;
/// Type size of labels and feet, in points.
pub(super) const SMALL: f64 = 7.5;

/// The width from which things may be side by side, in points.
pub(super) const WIDE: f64 = 360.0;

/// The room before the words of a quote and of a line to tick, in points.
pub(super) const QUOTE: f64 = 10.0;
pub(super) const CHECK: f64 = 13.0;

/// Ground around code, in points.
const CODE: f64 = 4.0;

/// The least width of a column of a head's grid, in points, and the room between two fields.
const FIELD: f64 = 42.0;
const FIELD_GAP: f64 = 10.0;

/// The room for a block.
#[derive(Clone, Copy)]
pub(super) struct Frame<'f> {
    /// In points.
    pub width: f64,
    /// The height of a page's content, in points.
    pub height: f64,
    /// The size of running text.
    pub size: f64,
    /// Whether there is less room between groups.
    pub is_close: bool,
    pub photos: &'f Photos<'f>,
}

impl Frame<'_> {
    fn narrowed(self, by: f64) -> Self {
        Self { width: (self.width - by).max(20.0), ..self }
    }

    pub(super) fn style(self) -> Style {
        Style::new(self.size, Weight::Regular)
    }
}

/// The share of the room between groups that a full page keeps.
const CLOSE: f64 = 0.55;

/// Groups down a page or a column.
pub(super) fn blocks<'b>(blocks: impl IntoIterator<Item = &'b Block>, frame: Frame<'_>) -> Vec<Slice> {
    let mut slices = apart(blocks, frame);
    if frame.is_close {
        slices.iter_mut().for_each(|slice| slice.gap *= CLOSE);
    }
    slices
}

pub(super) fn apart<'b>(blocks: impl IntoIterator<Item = &'b Block>, frame: Frame<'_>) -> Vec<Slice> {
    let blocks: Vec<&Block> = blocks.into_iter().collect();
    let kinds = Kinds::of(&blocks, frame);
    let mut slices: Vec<Slice> = Vec::new();
    let mut place = Place::Next;
    let mut is_behind_words = false;
    let mut rest = blocks.into_iter().peekable();
    while let Some(block) = rest.next() {
        let mut next = match block {
            Block::PageBreak { is_loose } => {
                place = if *is_loose { Place::NewPart } else { Place::NewPage };
                is_behind_words = false;
                continue;
            }
            Block::Chart { is_wide: false, chart: first, .. } if frame.width >= WIDE => match rest.peek() {
                Some(Block::Chart { is_wide: false, chart: second, .. }) => {
                    rest.next();
                    vec![charts_abreast(first, second, frame)]
                }
                _ => vec![self::chart(first, frame)],
            },
            Block::Columns(columns) => kinds.slices(columns, frame),
            block => one(block, frame),
        };
        if let Some(first) = next.first_mut()
            && place != Place::Next
            && first.place == Place::Next
        {
            first.place = place;
            place = Place::Next;
        }
        // What leads to a table is on its page.
        if is_behind_words
            && is_listing(block)
            && let Some(words) = slices.last_mut()
        {
            words.is_glued = true;
        }
        is_behind_words = matches!(block, Block::Paragraph(_));
        slices.extend(next);
    }
    slices
}

/// Whether the words right before a block lead to it.
fn is_listing(block: &Block) -> bool {
    matches!(block, Block::Table(_) | Block::List { .. } | Block::Checklist(_) | Block::Code(_))
}

fn one(block: &Block, frame: Frame<'_>) -> Vec<Slice> {
    match block {
        Block::Head(head) => vec![self::head(head, frame)],
        Block::Heading { level, text } => vec![heading(*level, text, frame)],
        Block::Paragraph(inlines) => paragraph(inlines, frame),
        Block::List { start, items } => list(*start, items, frame),
        Block::Quote(inner) => quote(inner, frame),
        Block::Code(code) => {
            let lines: Vec<&str> = code.lines().collect();
            let last = lines.len().saturating_sub(1);
            let line = |(at, line): (usize, &&str)| code_line(line, (at == 0, at == last), frame);
            let mut lines: Vec<Slice> = lines.iter().enumerate().map(line).collect();
            keep_pairs(&mut lines);
            lines
        }
        Block::Table(table) => table::slices(table, frame),
        Block::Settings(settings) => settings::slices(settings, frame),
        Block::Pressures(pressures) => pressures::slices(pressures, frame),
        Block::Tiles(tiles) => tiles::slices(tiles, frame),
        Block::Marks(tiles) => tiles::lines(tiles, frame),
        Block::Flow { columns, blocks } => flow(*columns, blocks, frame),
        Block::Checklist(items) => {
            let mut checks: Vec<Slice> =
                items.iter().enumerate().map(|(at, item)| check(at, item, frame)).collect();
            keep_pairs(&mut checks);
            checks
        }
        Block::Chart { chart, .. } => vec![self::chart(chart, frame)],
        Block::Drawing(drawing) => {
            let mut piece = Piece::default();
            piece.draw(drawing.draw(frame.width, &fonts::width), 0.0, 0.0);
            vec![Slice::new(piece, 12.0)]
        }
        Block::Image(image) => vec![self::image(image, frame)],
        Block::Lines { label, count, .. } => vec![lines(label, *count, frame)],
        Block::Box { label, millimetres } => {
            let height = (millimetres * POINTS).min(frame.height);
            let mut piece = Piece::empty(height);
            piece.write_box(Rectangle { x: 0.0, y: 0.0, width: frame.width, height });
            piece.place(text::plain(label, frame.width - 8.0, small()), 4.0, 2.0);
            vec![Slice::new(piece, 8.0)]
        }
        Block::Cautions(inner) => vec![cautions(inner, frame)],
        Block::Rule => {
            let mut piece = Piece::empty(1.0);
            piece.rule(0.0, frame.width, 0.5, 0.4, Ink::Dark);
            vec![Slice::new(piece, 8.0)]
        }
        // These are between blocks, and rows of columns belong together.
        Block::PageBreak { .. } | Block::Columns(_) => Vec::new(),
    }
}

/// Labels.
pub(super) fn small() -> Style {
    Style::new(SMALL, Weight::Regular).dark()
}

fn head(head: &Head, frame: Frame<'_>) -> Slice {
    let mut piece = Piece::default();
    let title = Style::new(LARGE, Weight::Bold);
    let subtitle = Style::new(TEXT, Weight::Regular);
    let beside = head.subtitle.as_deref().unwrap_or_default();
    let room = frame.width - subtitle.width(beside) - 12.0;
    let is_beside = room > frame.width * 0.4;
    let set = text::plain(&head.title, if is_beside { room } else { frame.width }, title);
    piece.place(set, 0.0, 0.0);
    if is_beside {
        piece.write_to(frame.width, title.baseline(), beside, subtitle);
    } else {
        let y = piece.height;
        piece.place(text::plain(beside, frame.width, subtitle), 0.0, y);
    }
    piece.height += 3.0;
    let top = piece.height;
    piece.rule(0.0, frame.width, top, 1.2, Ink::Black);
    piece.height += 5.0;
    // Each field begins on a line of the page's grid, and takes as many of its columns as it needs.
    let value_style = Style::new(TEXT, Weight::Bold);
    let abreast = ((frame.width / FIELD).floor() as usize).clamp(1, 12);
    let column = (frame.width + FIELD_GAP) / abreast as f64;
    let (mut at, mut y, mut low) = (0, piece.height, piece.height);
    let mut partner = None;
    let last = head.fields.len().saturating_sub(1);
    let needs_of =
        |field: &Field| value_style.width(&field.value).max(small().width(&field.label)) + FIELD_GAP + 0.1;
    let span_of = |number: usize, field: &Field| {
        // Nothing comes behind the last.
        let most = if number == last { abreast } else { abreast.div_ceil(2) };
        ((needs_of(field) / column).ceil() as usize).clamp(1, most)
    };
    for (number, field) in head.fields.iter().enumerate() {
        let needs = needs_of(field);
        let mut span = partner.take().unwrap_or_else(|| span_of(number, field));
        if let Some(next) = head.fields.get(number + 1).filter(|_| field.with_next) {
            let other = span_of(number + 1, next);
            if at > 0 && at + span + other > abreast {
                (at, y) = (0, low + 4.0);
            }
            // Both on one line, in as many lines of words as that takes.
            partner = Some(other.min(abreast - span));
        }
        let left = abreast - at;
        if span > left && needs <= column * left as f64 * 2.0 && left > 2 {
            // In two lines it fits behind the last one.
            span = left;
        }
        if at + span > abreast {
            (at, y) = (0, low + 4.0);
        }
        let x = column * at as f64;
        let width = column * span as f64 - FIELD_GAP;
        let label = text::plain(&field.label, width, small());
        let value = text::plain(&field.value, width, value_style);
        let below = piece.place(label, x, y);
        low = low.max(piece.place(value, x, below - 0.5) + 0.5);
        at += span;
    }
    piece.height = low;
    let mut slice = Slice::new(piece, 0.0);
    slice.bookmark = Some((1, head.title.clone()));
    slice
}

pub(super) fn heading_style(level: u8) -> Style {
    match level {
        1 => Style::new(LARGE, Weight::Bold),
        BESIDE | BELOW => small(),
        _ => Style::new(TEXT, Weight::Bold),
    }
}

fn heading(level: u8, inlines: &[Inline], frame: Frame<'_>) -> Slice {
    let style = heading_style(level);
    let gap = match level {
        1 => 16.0,
        BESIDE | BELOW => 4.0,
        _ => 10.0,
    };
    let mut piece = Piece::default();
    if level == 2 {
        piece.rule(0.0, frame.width, 0.0, 0.4, Ink::Dark);
        piece.place(text::paragraph(inlines, frame.width, style), 0.0, 3.0);
    } else {
        piece.place(text::paragraph(inlines, frame.width, style), 0.0, 0.0);
    }
    let mut slice = Slice::new(piece, gap).glued();
    slice.bookmark = (level <= 2).then(|| (level, plain_text(inlines)));
    slice
}

/// A short paragraph stays whole; a long one is broken between its lines.
fn paragraph(inlines: &[Inline], frame: Frame<'_>) -> Vec<Slice> {
    let style = frame.style();
    let whole = text::paragraph(inlines, frame.width, style);
    if whole.height <= style.line() * 6.0 {
        return vec![Slice::new(whole, 4.0)];
    }
    let mut slices: Vec<Slice> = text::split(inlines, frame.width, style)
        .into_iter()
        .enumerate()
        .map(|(at, line)| Slice::new(line, if at == 0 { 4.0 } else { 0.0 }))
        .collect();
    keep_pairs(&mut slices);
    slices
}

fn list_label(start: Option<u64>, at: usize) -> String {
    match start {
        Some(first) => format!("{}.", first.saturating_add(u64::try_from(at).unwrap_or(0))),
        None => "•".to_owned(),
    }
}

/// The room before the items of a list.
pub(super) fn list_indent(start: Option<u64>, items: usize, frame: Frame<'_>) -> f64 {
    let style = frame.style();
    style.width(&list_label(start, items.saturating_sub(1))).max(style.width("•")) + 5.0
}

fn list(start: Option<u64>, items: &[Vec<Block>], frame: Frame<'_>) -> Vec<Slice> {
    let style = frame.style();
    let indent = list_indent(start, items.len(), frame);
    let mut slices = Vec::new();
    for (at, item) in items.iter().enumerate() {
        let mut inner = apart(item, frame.narrowed(indent));
        for (line, slice) in inner.iter_mut().enumerate() {
            let mut piece = Piece::default();
            piece.place(std::mem::take(&mut slice.piece), indent, 0.0);
            if line == 0 {
                piece.write(0.0, style.baseline(), &list_label(start, at), style);
                slice.gap = if at == 0 { 4.0 } else { 1.5 };
            }
            slice.piece = piece;
        }
        slices.extend(inner);
    }
    keep_pairs(&mut slices);
    slices
}

fn quote(inner: &[Block], frame: Frame<'_>) -> Vec<Slice> {
    let mut slices = apart(inner, frame.narrowed(QUOTE));
    for (at, slice) in slices.iter_mut().enumerate() {
        let mut piece = Piece::default();
        piece.place(std::mem::take(&mut slice.piece), QUOTE, 0.0);
        let gap = if at == 0 { 0.0 } else { slice.gap };
        let height = piece.height + gap;
        piece.bar(Rectangle { x: 1.0, y: -gap, width: 1.2, height }, Ink::Light);
        slice.piece = piece;
    }
    slices
}

/// A line of code on a light ground, with a little more ground above the first and below the last.
fn code_line(line: &str, (is_first, is_last): (bool, bool), frame: Frame<'_>) -> Slice {
    let style = frame.style();
    let above = if is_first { CODE } else { 0.0 };
    // A line's indent is kept, since the code may be about just that; so are empty lines.
    let text = line.replace('\t', "    ");
    let kept = text.trim_start();
    let indent = "\u{A0}".repeat((text.len() - kept.len()).max(usize::from(kept.is_empty())));
    let set = text::plain(&format!("{indent}{kept}"), frame.width - 2.0 * CODE, style);
    let height = above + set.height + if is_last { CODE } else { 0.0 };
    let mut piece = Piece::empty(height);
    piece.bar(Rectangle { x: 0.0, y: 0.0, width: frame.width, height }, Ink::Tint);
    piece.place(set, CODE, above);
    Slice::new(piece, if is_first { CODE } else { 0.0 })
}

/// Blocks that run on through columns; where those are higher than a page, below each other.
fn flow(columns: u32, inner: &[Block], frame: Frame<'_>) -> Vec<Slice> {
    let columns = if frame.width < WIDE { 1.0 } else { f64::from(columns) };
    let width = (frame.width - GUTTER * (columns - 1.0)) / columns;
    let slices = blocks(inner, Frame { width, ..frame });
    let mut piece = Piece::default();
    for (at, column) in balance(slices, columns as usize).into_iter().enumerate() {
        piece.place(column, (width + GUTTER) * at as f64, 0.0);
    }
    if piece.height <= frame.height {
        return vec![Slice::new(piece, 10.0)];
    }
    apart(inner, frame)
}

fn check(at: usize, item: &[Inline], frame: Frame<'_>) -> Slice {
    let mut piece = Piece::default();
    piece.place(text::paragraph(item, (frame.width - CHECK).max(20.0), frame.style()), CHECK, 0.0);
    piece.write_box(Rectangle { x: 0.4, y: 1.0, width: 8.0, height: 8.0 });
    Slice::new(piece, if at == 0 { 3.0 } else { 2.0 })
}

fn chart(chart: &Chart, frame: Frame<'_>) -> Slice {
    let height = chart.height.unwrap_or(CHART) * POINTS;
    let mut piece = Piece::default();
    piece.draw(chart.draw(frame.width, height, &fonts::width), 0.0, 0.0);
    Slice::new(piece, 12.0)
}

fn charts_abreast(first: &Chart, second: &Chart, frame: Frame<'_>) -> Slice {
    let width = (frame.width - GUTTER) / 2.0;
    let half = |chart| self::chart(chart, Frame { width, ..frame });
    let mut slice = half(first);
    slice.piece.place(half(second).piece, width + GUTTER, 0.0);
    slice
}

fn image(image: &Image, frame: Frame<'_>) -> Slice {
    let mut piece = Piece::default();
    if let Some((across, down)) = frame.photos.size(&image.target) {
        let most = 75.0 * POINTS;
        let scale = (frame.width / across).min(most / down);
        let at = Rectangle { x: 0.0, y: 0.0, width: across * scale, height: down * scale };
        piece.photos.push(Photo { at, target: image.target.clone() });
        piece.height = at.height;
        if !image.description.is_empty() {
            let caption = text::plain(&image.description, frame.width, small());
            piece.place(caption, 0.0, at.height + 2.0);
        }
    } else {
        // Words for what should be here are better than nothing.
        let words = if image.description.is_empty() { &image.target } else { &image.description };
        piece.place(text::plain(&format!("[{words}]"), frame.width, small()), 0.0, 0.0);
    }
    Slice::new(piece, 8.0)
}

fn lines(label: &str, count: u32, frame: Frame<'_>) -> Slice {
    let mut piece = text::plain(label, frame.width, small());
    for _ in 0..count {
        piece.height += 19.0;
        let y = piece.height;
        piece.rule(0.0, frame.width, y, 0.4, Ink::Dark);
    }
    piece.height += 1.0;
    Slice::new(piece, 10.0)
}

fn cautions(inner: &[Block], frame: Frame<'_>) -> Slice {
    let mut piece = Piece::empty(4.0);
    piece.rule(0.0, frame.width, 0.3, 0.6, Ink::Black);
    let frame = Frame { size: SMALL, ..frame };
    piece.place(stack(blocks(inner, frame)), 0.0, 4.0);
    let mut slice = Slice::new(piece, 8.0);
    slice.place = Place::Foot;
    slice
}

/// The name of a setting where its group is not beside it.
pub(super) fn with_note(setting: &Setting) -> String {
    match &setting.note {
        Some(note) => format!("{} ({note})", setting.name),
        None => setting.name.clone(),
    }
}
