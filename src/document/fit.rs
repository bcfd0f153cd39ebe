//! How a document takes the pages that it asks for: what gives way on a full page, and what grows on one with room.
//!
//! Everything flows first: what changed stands in two columns. On a page that is still full notes lines go first; then charts, which become lower before
//! they go, from the last to the first, once settings that nobody changed stand in three columns; then settings that nobody changed, from the last to the first, into a
//! count, but for those that a sheet is never without. Type is never made smaller: if all that does not help, the
//! document takes another page. On a page with room all type grows together by a fifth at most, then charts, and
//! what is left is lines to write on.
//!
//! What follows a page break is left alone.

use super::tree::{Block, Document};

/// The least height that a chart can be read at, in millimetres.
const LOW_CHART: f64 = 28.0;

/// The height from which a chart shows nothing more, in millimetres.
const HIGH_CHART: f64 = 64.0;

/// By how much all type may grow together, the largest first.
const LARGER: [f64; 4] = [1.2, 1.15, 1.1, 1.05];

/// From this many changed settings on, two columns of them are lower than one.
const FLOWING: usize = 3;

/// How many settings go at a time once they go into the count.
const AT_A_TIME: usize = 3;

/// The most lines to write on that are of use.
const MOST_LINES: u32 = 24;

/// A document as it fits, and how much larger than usual it is set.
#[derive(Debug, Clone, PartialEq)]
pub struct Fitted {
    pub document: Document,
    pub scale: f64,
}

/// How a document may be thinned out, from everything to what must stay.
///
/// The first is the document itself.
pub fn stages(document: &Document) -> Vec<Document> {
    let mut stages = vec![document.clone()];
    let mut current = document.clone();
    if change_each(&mut current.blocks, &mut |block| match block {
        Block::Settings(settings) if settings.rows.iter().filter(|row| row.is_changed).count() >= FLOWING => {
            settings.is_flowing = true;
            true
        }
        _ => false,
    }) {
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
    if change_each(&mut current.blocks, &mut |block| match block {
        Block::Settings(settings) if settings.rows.iter().any(|row| !row.is_changed) => {
            settings.is_tight = true;
            true
        }
        _ => false,
    }) {
        stages.push(current.clone());
    }
    while remove_last(&mut current.blocks, &|block| matches!(block, Block::Chart { is_kept: false, .. })) {
        stages.push(current.clone());
    }
    let may_go = count_may_go(&current.blocks);
    let mut gone = 0;
    while gone < may_go {
        gone = may_go.min(gone + AT_A_TIME);
        move_off(&mut current.blocks, gone);
        stages.push(current.clone());
    }
    stages
}

/// The document as it takes no more pages than it asks for, and as large as they hold; `pages` says how many a
/// document takes at a scale.
///
/// If it cannot, the fullest that takes as few pages as the thinnest.
pub fn fit(document: &Document, mut pages: impl FnMut(&Document, f64) -> usize) -> Fitted {
    let as_it_is = |document: Document| Fitted { document, scale: 1.0 };
    let Some(wanted) = document.metadata.pages else { return as_it_is(document.clone()) };
    let wanted = usize::try_from(wanted).unwrap_or(usize::MAX);
    let mut counted: Vec<(Document, usize)> = Vec::new();
    for stage in stages(document) {
        let count = pages(&stage, 1.0);
        if count <= wanted {
            return grown(stage, |document, scale| pages(document, scale) <= wanted);
        }
        counted.push((stage, count));
    }
    let fewest = counted.iter().map(|(_, count)| *count).min().unwrap_or(0);
    let fullest = counted.into_iter().find(|(_, count)| *count == fewest);
    as_it_is(fullest.map_or_else(|| document.clone(), |(stage, _)| stage))
}

/// A document that fits, as large as it still does.
fn grown(document: Document, mut fits: impl FnMut(&Document, f64) -> bool) -> Fitted {
    let scale = LARGER.into_iter().find(|scale| fits(&document, *scale)).unwrap_or(1.0);
    let mut document = document;
    let heights = || std::iter::successors(Some(HIGH_CHART), |height| Some(height - 4.0));
    let lowest = lowest_chart(&document.blocks).unwrap_or(HIGH_CHART);
    for height in heights().take_while(|height| *height > lowest) {
        let mut higher = document.clone();
        raise_charts(&mut higher.blocks, height);
        if fits(&higher, scale) {
            document = higher;
            break;
        }
    }
    let (mut least, mut most) = (0, MOST_LINES);
    // The most lines that fit, by halving: more of them never take less room.
    while least < most {
        let middle = (least + most).div_ceil(2);
        let mut longer = document.clone();
        if add_lines(&mut longer.blocks, middle) && fits(&longer, scale) {
            least = middle;
        } else {
            most = middle - 1;
        }
    }
    add_lines(&mut document.blocks, least);
    Fitted { document, scale }
}

fn lowest_chart(blocks: &[Block]) -> Option<f64> {
    let heights = blocks.iter().filter_map(|block| match block {
        Block::Chart { chart, .. } => Some(chart.height.unwrap_or(HIGH_CHART)),
        Block::Columns(columns) => {
            columns.iter().filter_map(|column| lowest_chart(&column.blocks)).reduce(f64::min)
        }
        Block::Flow { blocks, .. } => lowest_chart(blocks),
        _ => None,
    });
    heights.reduce(f64::min)
}

fn raise_charts(blocks: &mut [Block], to: f64) {
    change_each(blocks, &mut |block| match block {
        Block::Chart { chart, .. } => {
            chart.height = Some(chart.height.unwrap_or(0.0).max(to));
            true
        }
        _ => false,
    });
}

/// So many more lines to write on; false where there are none to begin with.
fn add_lines(blocks: &mut [Block], more: u32) -> bool {
    change_each(blocks, &mut |block| match block {
        Block::Lines { count, is_kept: false, .. } => {
            *count = count.saturating_add(more);
            true
        }
        _ => false,
    })
}

/// Counts so many of the settings that may go.
fn move_off(blocks: &mut [Block], gone: usize) {
    change_each(blocks, &mut |block| match block {
        Block::Settings(settings) => {
            settings.moved_off = gone;
            true
        }
        _ => false,
    });
}

/// The most settings that may go of any one block.
fn count_may_go(blocks: &[Block]) -> usize {
    let counts = blocks.iter().map(|block| match block {
        Block::Settings(settings) => settings.rows.iter().filter(|row| row.may_go()).count(),
        Block::Columns(columns) => {
            columns.iter().map(|column| count_may_go(&column.blocks)).max().unwrap_or(0)
        }
        Block::Flow { blocks, .. } => count_may_go(blocks),
        _ => 0,
    });
    counts.max().unwrap_or(0)
}

/// The blocks that lie within one.
fn inner(block: &mut Block) -> Vec<&mut Vec<Block>> {
    match block {
        Block::Columns(columns) => columns.iter_mut().map(|column| &mut column.blocks).collect(),
        Block::Quote(blocks) | Block::Flow { blocks, .. } => vec![blocks],
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
    drop_empty(blocks);
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
            drop_empty(blocks);
            return true;
        }
    }
    false
}

/// A column that lost all it held gives its width to its neighbours.
fn drop_empty(blocks: &mut Vec<Block>) {
    for block in blocks.iter_mut() {
        if let Block::Columns(columns) = block {
            columns.retain(|column| !column.blocks.is_empty());
        }
    }
    blocks.retain(|block| match block {
        Block::Columns(columns) => !columns.is_empty(),
        Block::Flow { blocks, .. } => !blocks.is_empty(),
        _ => true,
    });
}
