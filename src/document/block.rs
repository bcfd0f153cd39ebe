//! The layout blocks: the words behind the fence and the body, into the tree.

use serde::Deserialize;
use serde::de::DeserializeOwned;

use super::chart::Chart;
use super::drawing::Drawing;
use super::error::TemplateError;
use super::parse::Reader;
use super::tree::{Block, Column, Inline, Pressures, Tile};

/// The most lines to write on that a page can hold.
const MOST_LINES: u32 = 60;
/// The height of a page, as the most that a box may have.
const MOST_MILLIMETRES: f64 = 250.0;

/// The block that holds a rider's own Markdown.
pub(super) const PROSE: &str = "prose";

/// A fault of TOML, with its line in the body, counted from 0.
pub(super) struct Fault {
    pub line: usize,
    pub message: String,
}

/// Reads TOML; the message never has the parser's own excerpt.
pub(super) fn from_toml<T: DeserializeOwned>(text: &str) -> Result<T, Fault> {
    toml::from_str(text).map_err(|error: toml::de::Error| {
        let at = error.span().map_or(0, |span| span.start);
        let line = text.get(..at).unwrap_or_default().matches('\n').count();
        Fault { line, message: error.message().lines().next().unwrap_or_default().to_owned() }
    })
}

/// Reads one layout block from its words behind `layout` and its body.
pub(super) fn read(words: &[&str], body: Reader<'_>, depth: usize) -> Result<Block, TemplateError> {
    let Some((kind, options)) = words.split_first() else {
        return Err(body.fault(0, "a layout block needs a word that says its kind"));
    };
    match *kind {
        "head" => Ok(Block::Head(data(body)?)),
        "settings" => Ok(Block::Settings(data(body)?)),
        "pressures" => {
            let pressures: Pressures = data(body)?;
            let wanted = pressures.headings.len().saturating_sub(2);
            if pressures.headings.len() < 3 || pressures.rows.iter().any(|row| row.cells.len() != wanted) {
                return Err(body
                    .fault(0, "`pressures` takes a heading for the names, for each cell and for the boxes"));
            }
            Ok(Block::Pressures(pressures))
        }
        "tiles" => Ok(Block::Tiles(tiles(body)?)),
        "marks" => Ok(Block::Marks(tiles(body)?)),
        "flow" => {
            let columns = number(options, body)?.unwrap_or(2.0);
            if !(1.0..=4.0).contains(&columns) {
                return Err(body.fault(0, "`flow` takes a number of columns from 1 to 4"));
            }
            // Within the range just checked, so nothing is cut off.
            Ok(Block::Flow { columns: columns as u32, blocks: body.read(depth + 1)? })
        }
        "columns" => columns(options, body, depth),
        "checklist" => checklist(body, depth),
        "chart" => {
            let chart: Chart = data(body)?;
            chart.check().map_err(|message| body.fault(0, message))?;
            Ok(Block::Chart { chart, is_wide: options.contains(&"wide"), is_kept: options.contains(&"keep") })
        }
        "drawing" => {
            let drawing: Drawing = data(body)?;
            drawing.check().map_err(|message| body.fault(0, message))?;
            Ok(Block::Drawing(drawing))
        }
        "lines" => {
            let count = number(options, body)?.unwrap_or(4.0);
            if !(1.0..=f64::from(MOST_LINES)).contains(&count) {
                return Err(body.fault(0, format!("`lines` takes a number from 1 to {MOST_LINES}")));
            }
            // Within the range just checked, so nothing is cut off.
            let count = count as u32;
            Ok(Block::Lines { label: label(body), count, is_kept: options.contains(&"keep") })
        }
        "box" => {
            let millimetres = number(options, body)?.unwrap_or(12.0);
            if !(3.0..=MOST_MILLIMETRES).contains(&millimetres) {
                return Err(body.fault(0, "`box` takes a height from 3 to 250 millimetres"));
            }
            Ok(Block::Box { label: label(body), millimetres })
        }
        "cautions" => Ok(Block::Cautions(body.read(depth + 1)?)),
        "table" => match body.read(depth + 1)?.into_iter().next() {
            Some(Block::Table(mut table)) => {
                table.is_small = true;
                Ok(Block::Table(table))
            }
            _ => Err(body.fault(0, "`layout table` takes one Markdown table")),
        },
        "page" => Ok(Block::PageBreak { is_loose: options.contains(&"loose") }),
        other => Err(body.fault(0, format!("there is no layout block `{other}`"))),
    }
}

fn tiles(body: Reader<'_>) -> Result<Vec<Tile>, TemplateError> {
    let Tiles { tiles } = data(body)?;
    if tiles.iter().filter_map(|tile| tile.band.as_ref()).any(|band| !band.is_drawable()) {
        return Err(body.fault(0, "a band needs finite edges, the low one below the high one"));
    }
    Ok(tiles)
}

fn data<T: DeserializeOwned>(body: Reader<'_>) -> Result<T, TemplateError> {
    from_toml(body.text).map_err(|fault| body.fault(fault.line, fault.message))
}

fn label(body: Reader<'_>) -> String {
    body.text.split_whitespace().collect::<Vec<_>>().join(" ")
}

/// The first word that is not an option, as a number.
fn number(options: &[&str], body: Reader<'_>) -> Result<Option<f64>, TemplateError> {
    match options.iter().find(|word| **word != "keep") {
        None => Ok(None),
        Some(word) => match word.parse::<f64>() {
            Ok(number) if number.is_finite() => Ok(Some(number)),
            _ => Err(body.fault(0, format!("`{word}` is not a number"))),
        },
    }
}

fn columns(options: &[&str], body: Reader<'_>, depth: usize) -> Result<Block, TemplateError> {
    let mut weights = Vec::new();
    for word in options {
        match word.parse::<f64>() {
            Ok(weight) if weight > 0.0 && weight.is_finite() => weights.push(weight),
            _ => return Err(body.fault(0, format!("`{word}` is not a column's width"))),
        }
    }
    let blocks = body.read(depth + 1)?;
    let parts: Vec<&[Block]> = blocks.split(|block| matches!(block, Block::Rule)).collect();
    if !weights.is_empty() && weights.len() != parts.len() {
        let (said, held) = (weights.len(), parts.len());
        return Err(body.fault(0, format!("{said} widths are given for {held} columns")));
    }
    let columns = parts
        .iter()
        .enumerate()
        .map(|(at, part)| Column { weight: weights.get(at).copied().unwrap_or(1.0), blocks: part.to_vec() });
    Ok(Block::Columns(columns.collect()))
}

fn checklist(body: Reader<'_>, depth: usize) -> Result<Block, TemplateError> {
    let mut items = Vec::new();
    for block in body.read(depth + 1)? {
        let Block::List { items: list, .. } = block else {
            return Err(body.fault(0, "a checklist takes a list and nothing else"));
        };
        for item in list {
            let mut text: Vec<Inline> = Vec::new();
            for block in item {
                let Block::Paragraph(inlines) = block else {
                    return Err(body.fault(0, "an item of a checklist is a line of text"));
                };
                if let Some(last) = text.last_mut() {
                    last.is_line_end = true;
                }
                text.extend(inlines);
            }
            items.push(text);
        }
    }
    Ok(Block::Checklist(items))
}

/// Figures, as in a fence.
#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Tiles {
    #[serde(default, rename = "tile")]
    tiles: Vec<Tile>,
}
