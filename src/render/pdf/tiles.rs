//! Figures side by side.

use crate::document::Weight;
use crate::document::tree::Tile;

use super::super::fonts;
use super::flow::Slice;
use super::layout::{Frame, LARGE, TEXT, small};
use super::piece::{Piece, Rectangle, Style};
use super::text;

/// The least width of a tile, in points.
const NARROWEST: f64 = 92.0;
const GUTTER: f64 = 14.0;

/// Type size of a number to look at, not to set, in points.
const MARKED: f64 = 11.0;
/// The height of a figure's line, and the place of its text, in points.
const LINE: f64 = 16.0;
const LINE_BASE: f64 = 12.5;

/// The box for a figure that is not known, beside its name.
const EMPTY: Rectangle = Rectangle { x: 0.0, y: 2.0, width: 52.0, height: 13.0 };

pub(super) fn slices(tiles: &[Tile], frame: Frame<'_>) -> Vec<Slice> {
    if tiles.is_empty() {
        return Vec::new();
    }
    let most = (((frame.width + GUTTER) / (NARROWEST + GUTTER)).floor() as usize).clamp(1, 5);
    // Rows of even length: four and four rather than five and three.
    let rows = tiles.len().div_ceil(most);
    let abreast = tiles.len().div_ceil(rows);
    let width = (frame.width - GUTTER * (abreast as f64 - 1.0)) / abreast as f64;
    tiles
        .chunks(abreast)
        .map(|row| {
            let mut piece = Piece::default();
            for (at, tile) in row.iter().enumerate() {
                piece.place(self::tile(tile, width), (width + GUTTER) * at as f64, 0.0);
            }
            Slice::new(piece, 9.0)
        })
        .collect()
}

/// Figures below each other: name, number, and the strip of the band beside them, while there is room.
pub(super) fn lines(tiles: &[Tile], frame: Frame<'_>) -> Vec<Slice> {
    let text_style = Style::new(TEXT, Weight::Regular);
    let (bold, light) = (Style::new(MARKED, Weight::Bold), Style::new(TEXT, Weight::Light));
    let names = tiles.iter().map(|tile| text_style.width(&tile.label)).fold(0.0, f64::max);
    // A name may go on in a second line, but no word of it is broken.
    let words = tiles.iter().map(|tile| text::longest(&tile.label, text_style));
    let longest = words.fold(0.0, f64::max);
    let name = names.min(longest.max(frame.width * 0.4));
    let widths = tiles.iter().map(|tile| {
        let (main, behind) = parts(tile);
        bold.width(&main) + light.width(&behind)
    });
    let value = widths.fold(0.0, f64::max).max(56.0).min(frame.width * 0.36);
    let strip_at = name + value + GUTTER + 8.0;
    let strip = frame.width - strip_at;
    let line = |(at, tile): (usize, &Tile)| {
        let mut piece = Piece::empty(LINE);
        let label = text::plain(&tile.label, name, text_style);
        let below_name = piece.place(label, 0.0, LINE_BASE - text_style.baseline());
        let (main, behind) = parts(tile);
        let x = name + 8.0;
        let mut low = below_name;
        let mut beside = strip_at;
        if tile.value.is_some() {
            piece.write(x, LINE_BASE, &main, bold);
            piece.write(x + bold.width(&main), LINE_BASE, &behind, light);
        } else {
            piece.write_box(Rectangle { x, ..EMPTY });
            beside = x + EMPTY.width + 6.0;
        }
        let small_print = [
            tile.wanted.as_deref().filter(|_| tile.value.is_none()),
            tile.note.as_deref(),
            tile.change.as_deref(),
        ];
        if let Some(band) = &tile.band {
            piece.draw(band.draw(strip, &fonts::width), strip_at, -3.0);
            low = low.max(22.0);
        }
        // Below name and number, up to the strip; without one, beside them if there is room.
        let all: Vec<&str> = small_print.into_iter().flatten().collect();
        let words = all.join("; ");
        if tile.band.is_none() && small().width(&words) <= frame.width - beside {
            piece.write(beside, LINE_BASE, &words, small());
        } else if !words.is_empty() {
            let room = if tile.band.is_some() { strip_at - GUTTER } else { frame.width };
            let set = text::plain(&words, room, small());
            let height = set.height;
            let mut y = low.min(LINE_BASE + 2.0).max(below_name - 1.0);
            // Words that go on below the box keep clear of its line.
            if tile.value.is_none() && small().width(&words) > x {
                y = y.max(EMPTY.y + EMPTY.height + 1.5);
            }
            piece.place(set, 0.0, y);
            low = low.max(LINE_BASE + 1.0 + height).max(y + height);
        }
        piece.height = low.max(LINE);
        Slice::new(piece, if at == 0 { 6.0 } else { 2.0 })
    };
    tiles.iter().enumerate().map(line).collect()
}

/// A number in large type, and the text behind it in a lighter weight.
fn parts(tile: &Tile) -> (String, String) {
    let main = tile.value.as_deref().unwrap_or_default();
    let unit = tile.unit.as_deref().unwrap_or_default();
    let behind = tile.expanded.as_ref().map(|expanded| format!(" ± {expanded}")).unwrap_or_default();
    // A degree sign belongs to its number; every other unit keeps its distance.
    match unit {
        "°" => (format!("{main}°"), behind),
        "" => (main.to_owned(), behind),
        unit => (main.to_owned(), format!("{behind} {unit}")),
    }
}

fn tile(tile: &Tile, width: f64) -> Piece {
    let value_style = Style::new(LARGE, Weight::Bold);
    let unit_style = Style::new(TEXT, Weight::Light);
    let text_style = Style::new(TEXT, Weight::Regular);
    let mut piece = Piece::default();
    piece.place(text::plain(&tile.label, width, small()), 0.0, 0.0);
    let top = piece.height;
    let unit = tile.unit.as_deref().unwrap_or_default();
    if tile.value.is_some() {
        // The uncertainty is shown, but not as large as the value.
        let (main, tail) = parts(tile);
        let baseline = top + 15.0;
        let end = value_style.width(&main);
        if end + unit_style.width(&tail) <= width {
            piece.write(0.0, baseline, &main, value_style);
            piece.write(end, baseline, &tail, unit_style);
            piece.height = top + 19.0;
        } else {
            piece.place(text::plain(&main, width, value_style), 0.0, top);
            let y = piece.height;
            piece.place(text::plain(tail.trim_start(), width, unit_style), 0.0, y);
        }
    } else {
        let at = Rectangle { x: 0.4, y: top + 2.0, width: (width * 0.55).min(64.0), height: 15.0 };
        piece.write_box(at);
        piece.write(at.width + 4.0, top + 14.0, unit, unit_style);
        piece.height = top + 19.0;
        if let Some(wanted) = &tile.wanted {
            piece.place(text::plain(wanted, width, small()), 0.0, top + 19.0);
        }
    }
    if let Some(change) = &tile.change {
        let y = piece.height;
        piece.place(text::plain(change, width, text_style), 0.0, y);
    }
    if let Some(band) = &tile.band {
        let y = piece.height + 1.0;
        piece.draw(band.draw(width, &fonts::width), 0.0, y);
    }
    if let Some(note) = &tile.note {
        let y = piece.height;
        piece.place(text::plain(note, width, small()), 0.0, y);
    }
    piece
}
