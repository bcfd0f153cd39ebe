//! In which order things give way on a full page.
//!
//! Unchanged settings stand in columns at text size before anything goes. Then notes lines go first; then charts,
//! which become lower before they go, from the last to the first; then unchanged settings, from the last to the
//! first, into a count. What changed stays, and type is never made smaller: if all that does not help, the
//! document takes another page.

use super::tree::{Block, Document, Unchanged};

/// The least height that a chart can be read at, in millimetres.
const LOW_CHART: f64 = 28.0;

/// How many settings go at a time once they go into the count.
const AT_A_TIME: usize = 3;

/// How a document may be thinned out, from everything to what must stay.
///
/// The first is the document itself.
pub fn stages(document: &Document) -> Vec<Document> {
    let mut stages = vec![document.clone()];
    let mut current = document.clone();
    let unchanged = count_unchanged(&current.blocks);
    if unchanged > 0 {
        show_unchanged(&mut current.blocks, unchanged);
        stages.push(current.clone());
    }
    if change_each(&mut current.blocks, &mut |block| match block {
        Block::Lines { count, is_kept: false, .. } if *count > 2 => {
            *count /= 2;
            true
        }
        _ => false,
    }) {
        stages.push(current.clone());
    }
    if remove_each(&mut current.blocks, &|block| matches!(block, Block::Lines { is_kept: false, .. })) {
        stages.push(current.clone());
    }
    if change_each(&mut current.blocks, &mut |block| match block {
        Block::Chart { chart, is_kept: false, .. }
            if chart.height.is_none_or(|height| height > LOW_CHART) =>
        {
            chart.height = Some(LOW_CHART);
            true
        }
        _ => false,
    }) {
        stages.push(current.clone());
    }
    while remove_last(&mut current.blocks, &|block| matches!(block, Block::Chart { is_kept: false, .. })) {
        stages.push(current.clone());
    }
    let mut shown = unchanged;
    while shown > 0 {
        shown = shown.saturating_sub(AT_A_TIME);
        show_unchanged(&mut current.blocks, shown);
        stages.push(current.clone());
    }
    stages
}

/// The fullest stage that takes no more pages than wanted; `pages` says how many a document takes.
///
/// If none does, the fullest that takes as few pages as the thinnest.
pub fn fit(document: &Document, mut pages: impl FnMut(&Document) -> usize) -> Document {
    let Some(wanted) = document.metadata.pages else { return document.clone() };
    let wanted = usize::try_from(wanted).unwrap_or(usize::MAX);
    let mut counted: Vec<(Document, usize)> = Vec::new();
    for stage in stages(document) {
        let count = pages(&stage);
        if count <= wanted {
            return stage;
        }
        counted.push((stage, count));
    }
    let fewest = counted.iter().map(|(_, count)| *count).min().unwrap_or(0);
    counted
        .into_iter()
        .find(|(_, count)| *count == fewest)
        .map_or_else(|| document.clone(), |(stage, _)| stage)
}

/// Sets unchanged settings in columns, as many as this, and counts the rest.
fn show_unchanged(blocks: &mut [Block], most: usize) {
    change_each(blocks, &mut |block| match block {
        Block::Settings(settings) => {
            settings.unchanged = Unchanged::Columns(most);
            true
        }
        _ => false,
    });
}

/// The most unchanged settings that any one block of settings has.
fn count_unchanged(blocks: &[Block]) -> usize {
    let counts = blocks.iter().map(|block| match block {
        Block::Settings(settings) => settings.rows.iter().filter(|row| !row.is_changed).count(),
        Block::Columns(columns) => {
            columns.iter().map(|column| count_unchanged(&column.blocks)).max().unwrap_or(0)
        }
        _ => 0,
    });
    counts.max().unwrap_or(0)
}

/// The blocks that lie within one.
fn inner(block: &mut Block) -> Vec<&mut Vec<Block>> {
    match block {
        Block::Columns(columns) => columns.iter_mut().map(|column| &mut column.blocks).collect(),
        Block::Quote(blocks) => vec![blocks],
        Block::List { items, .. } => items.iter_mut().collect(),
        _ => Vec::new(),
    }
}

fn change_each(blocks: &mut [Block], change: &mut dyn FnMut(&mut Block) -> bool) -> bool {
    let mut has_changed = false;
    for block in blocks {
        has_changed |= change(block);
        for inside in inner(block) {
            has_changed |= change_each(inside, change);
        }
    }
    has_changed
}

fn remove_each(blocks: &mut Vec<Block>, is_meant: &dyn Fn(&Block) -> bool) -> bool {
    let before = blocks.len();
    blocks.retain(|block| !is_meant(block));
    let mut has_changed = blocks.len() != before;
    for block in blocks.iter_mut() {
        for inside in inner(block) {
            has_changed |= remove_each(inside, is_meant);
        }
    }
    drop_empty_columns(blocks);
    has_changed
}

fn remove_last(blocks: &mut Vec<Block>, is_meant: &dyn Fn(&Block) -> bool) -> bool {
    for at in (0..blocks.len()).rev() {
        let Some(block) = blocks.get_mut(at) else { continue };
        if is_meant(block) {
            blocks.remove(at);
            return true;
        }
        if inner(block).into_iter().rev().any(|inside| remove_last(inside, is_meant)) {
            drop_empty_columns(blocks);
            return true;
        }
    }
    false
}

/// A column that lost all it held gives its width to its neighbours.
fn drop_empty_columns(blocks: &mut Vec<Block>) {
    for block in blocks.iter_mut() {
        if let Block::Columns(columns) = block {
            columns.retain(|column| !column.blocks.is_empty());
        }
    }
    blocks.retain(|block| !matches!(block, Block::Columns(columns) if columns.is_empty()));
}
