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
                piece.place(&self::tile(tile, width), (width + GUTTER) * at as f64, 0.0);
            }
            Slice::new(piece, 9.0)
        })
        .collect()
}

fn tile(tile: &Tile, width: f64) -> Piece {
    let value_style = Style::new(LARGE, Weight::Bold);
    let unit_style = Style::new(TEXT, Weight::Light);
    let text_style = Style::new(TEXT, Weight::Regular);
    let mut piece = Piece::default();
    piece.place(&text::plain(&tile.label, width, small()), 0.0, 0.0);
    let top = piece.height;
    let unit = tile.unit.as_deref().unwrap_or_default();
    if let Some(value) = &tile.value {
        // The uncertainty is said, but not as loud as the value.
        let (main, behind) = match value.split_once(" ± ") {
            Some((main, uncertainty)) => (main, format!(" ± {uncertainty}")),
            None => (value.as_str(), String::new()),
        };
        let baseline = top + 15.0;
        // A degree sign belongs to its number; every other unit keeps its distance.
        let (main, unit) = if unit == "°" { (format!("{main}°"), "") } else { (main.to_owned(), unit) };
        let end = value_style.width(&main);
        let tail = if unit.is_empty() { behind } else { format!("{behind} {unit}") };
        if end + unit_style.width(&tail) <= width {
            piece.write(0.0, baseline, &main, value_style);
            piece.write(end, baseline, &tail, unit_style);
            piece.height = top + 19.0;
        } else {
            piece.place(&text::plain(&main, width, value_style), 0.0, top);
            let y = piece.height;
            piece.place(&text::plain(tail.trim_start(), width, unit_style), 0.0, y);
        }
    } else {
        let at = Rectangle { x: 0.4, y: top + 2.0, width: (width * 0.55).min(64.0), height: 15.0 };
        piece.write_box(at);
        piece.write(at.width + 4.0, top + 14.0, unit, unit_style);
        piece.height = top + 19.0;
        if let Some(wanted) = &tile.wanted {
            piece.place(&text::plain(wanted, width, small()), 0.0, top + 19.0);
        }
    }
    if let Some(change) = &tile.change {
        let y = piece.height;
        piece.place(&text::plain(change, width, text_style), 0.0, y);
    }
    if let Some(band) = &tile.band {
        let y = piece.height + 1.0;
        piece.draw(&band.draw(width, &fonts::width), 0.0, y);
    }
    if let Some(note) = &tile.note {
        let y = piece.height;
        piece.place(&text::plain(note, width, small()), 0.0, y);
    }
    piece
}
