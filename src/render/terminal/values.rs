//! Values with what they are called, as tables: settings, pressures, figures.

use crate::document::chart::Band;
use crate::document::tree::{
    Align, Cell, Gauge, Inline, PressureRow, Pressures, Setting, Settings, Table, Tile,
};
use crate::speech::{Tongue, say};

use super::line::{Face, Line};
use super::table;

/// The columns of a band's strip.
const STRIP: usize = 13;

/// An empty box to write in.
pub(super) const BLANK: &str = "________";

fn cell(text: &str) -> Cell {
    if text.is_empty() { Cell::new() } else { vec![Inline::plain(text)] }
}

/// A value with its uncertainty and its unit.
fn value(value: &Option<String>, expanded: &Option<String>, unit: &Option<String>) -> String {
    let Some(value) = value else { return String::new() };
    let mut text = value.clone();
    if let Some(expanded) = expanded {
        text.push_str(&format!(" ± {expanded}"));
    }
    match unit.as_deref() {
        // A degree sign belongs to its number.
        Some("°") => format!("{text}°"),
        Some(unit) => format!("{text}\u{a0}{unit}"),
        None => text,
    }
}

/// What a missing value waits for; an empty box to write in where nothing is named.
fn wanted(tongue: &Tongue, wanted: Option<&str>, value: Option<&str>) -> Option<String> {
    wanted.filter(|_| value.is_none()).map(|wanted| match wanted.trim() {
        "" => BLANK.to_owned(),
        wanted => tongue.say(&say!("needs {wanted}", wanted)),
    })
}

/// What changed, then, below its heading, what did not.
pub(super) fn settings(settings: &Settings, width: usize, tongue: &Tongue) -> Vec<Line> {
    let (changed, rest): (Vec<&Setting>, Vec<&Setting>) =
        settings.rows.iter().partition(|row| row.is_changed());
    let table = |rows: &[&Setting], has_head: bool| {
        let row = |row: &&Setting| {
            let set = value(&row.value, &row.expanded, &row.unit);
            let lacks = wanted(tongue, row.wanted.as_deref(), row.value.as_deref());
            let note = lacks.or_else(|| row.note.clone()).unwrap_or_default();
            vec![cell(&row.name), cell(&set), cell(row.change.as_deref().unwrap_or_default()), cell(&note)]
        };
        let [what, value, change, _] = &settings.headings;
        let heads = if has_head { [what.as_str(), value, change, ""] } else { [""; 4] };
        Table {
            align: vec![Align::Left, Align::Right, Align::Left, Align::Left],
            head: heads.iter().map(|head| cell(head)).collect(),
            rows: rows.iter().map(row).collect(),
            is_small: false,
        }
    };
    let mut lines = table::lines(&table(&changed, true), width);
    if !changed.is_empty() && !rest.is_empty() {
        lines.extend([Line::default(), Line::of(&settings.unchanged_words, Face::Plain)]);
    }
    lines.extend(table::lines(&table(&rest, false), width));
    lines
}

/// With the last column, which is for a pen, where the others are for one too: on a card to fill in.
pub(super) fn of_pressures(pressures: &Pressures, tongue: &Tongue) -> Table {
    let is_to_fill_in =
        |gauge: &Gauge| gauge.wanted.as_deref().is_some_and(|wanted| wanted.trim().is_empty());
    let is_card = pressures.rows.iter().flat_map(|row| &row.cells).any(is_to_fill_in);
    let numbers = pressures.headings.len().saturating_sub(if is_card { 1 } else { 2 });
    let row = |row: &PressureRow| {
        let mut cells = vec![cell(&row.name)];
        cells.extend(row.cells.iter().map(|gauge| {
            let value = value(&gauge.value, &gauge.expanded, &gauge.unit);
            cell(&wanted(tongue, gauge.wanted.as_deref(), gauge.value.as_deref()).unwrap_or(value))
        }));
        cells.extend(is_card.then(|| cell(BLANK)));
        cells.push(cell(row.change.as_deref().unwrap_or_default()));
        cells
    };
    let heads = pressures.headings.iter().take(numbers + 1);
    Table {
        align: std::iter::once(Align::Left)
            .chain(std::iter::repeat_n(Align::Right, numbers))
            .chain([Align::Left])
            .collect(),
        head: heads.map(|head| cell(head)).chain([Cell::new()]).collect(),
        rows: pressures.rows.iter().map(row).collect(),
        is_small: false,
    }
}

pub(super) fn of_tiles(tiles: &[Tile], tongue: &Tongue) -> Table {
    let has_band = tiles.iter().any(|tile| tile.band.is_some());
    let row = |tile: &Tile| {
        let rest = [
            wanted(tongue, tile.wanted.as_deref(), tile.value.as_deref()),
            tile.change.clone(),
            tile.note.clone(),
        ];
        let rest: Vec<String> = rest.into_iter().flatten().collect();
        let set = value(&tile.value, &tile.expanded, &tile.unit);
        let rest = rest.join("; ");
        // Without a band, the remark is in its place.
        let (band, rest) = match tile.band.as_ref().map(strip) {
            Some(band) => (band, rest),
            None if has_band => (rest, String::new()),
            None => (String::new(), rest),
        };
        vec![cell(&tile.label), cell(&set), cell(&band), cell(&rest)]
    };
    Table {
        align: vec![Align::Left, Align::Right, Align::Left, Align::Left],
        head: vec![Cell::new(); 4],
        rows: tiles.iter().map(row).collect(),
        is_small: false,
    }
}

/// A band with the reading on it, and its edges: `··[···|·]··  95–105 mm`.
fn strip(band: &Band) -> String {
    let mut letters = ['·'; STRIP];
    let mut mark = |value: Option<f64>, letter: char| {
        let place = value.map(|value| (band.place(value) * (STRIP - 1) as f64).round().max(0.0) as usize);
        if let Some(there) = place.and_then(|place| letters.get_mut(place)) {
            *there = letter;
        }
    };
    mark(Some(band.low), '[');
    mark(Some(band.high), ']');
    mark(band.last, ':');
    mark(band.value, '|');
    format!("{}\u{a0}\u{a0}{}", letters.iter().collect::<String>(), band.words().replace(' ', "\u{a0}"))
}
