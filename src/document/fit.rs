//! How a document takes the pages that it asks for: what gives way on a full page, and what grows on one with room.
//!
//! Everything flows first: what changed is in two columns. On a page that is still full, things give way in this order:
//!
//! 1. Notes lines are halved, then go.
//! 2. Charts become lower, groups move closer, and settings that nobody changed go into three columns where these are lower
//!    than two.
//! 3. Charts go, from the last to the first.
//! 4. Settings that nobody changed become a count, from the last to the first, except those that a sheet is never without.
//!
//! Type never gets smaller. If all of this does not help, the document takes another page, and charts and lines take the room
//! that is left on it. On a page with room all type grows together, by a fifth at most; then charts grow; the rest is lines to
//! write on.
//!
//! A document that flows takes what pages it needs, and its type grows as far as these hold it, if need be with lower charts.
//! Charts become lower as well where a page would end early for the sake of one.
//!
//! What follows a page break is left alone.

use super::tree::{Block, CHART, Document};

/// The least height that a chart can be read at, in millimetres.
const LOW_CHART: f64 = 28.0;

/// The height beyond which a chart shows nothing more, in millimetres.
const HIGH_CHART: f64 = 64.0;

/// How much charts grow at a time, in millimetres.
const CHART_STEP: f64 = 4.0;

/// The heights of lower charts where a document flows, the highest first, in millimetres.
const LOWER_CHARTS: [f64; 2] = [42.0, 36.0];

/// The part of a page that lower charts must fill of what was blank at the ends of pages.
const FILLED: f64 = 0.1;

/// How much all type may grow together, the largest first.
const LARGER: [f64; 4] = [1.2, 1.15, 1.1, 1.05];

/// From this many changed settings on, two columns are lower than one.
const FLOWING: usize = 3;

/// How many settings are moved into the count at a time.
const AT_A_TIME: usize = 3;

/// The most lines to write on that are useful.
const MOST_LINES: u32 = 24;

/// A document that fits, laid out, and how much larger than usual it is set.
#[derive(Debug, Clone, PartialEq)]
pub struct Fitted<L> {
    pub laid: L,
    pub scale: f64,
}

/// The stages of thinning a document, from everything to what must stay; each is made when it is needed.
///
/// The first is the document itself.
pub fn stages(document: &Document) -> impl Iterator<Item = Document> {
    let mut thinner = Thinner { next: 0, gone: 0, may_go: None };
    std::iter::successors(Some(document.clone()), move |current| thinner.thinned(current.clone()))
}

/// What is taken away next from a document that is too long.
struct Thinner {
    next: usize,
    gone: usize,
    may_go: Option<usize>,
}

impl Thinner {
    /// The next thinner stage; `None` where nothing more may go.
    fn thinned(&mut self, mut current: Document) -> Option<Document> {
        while let Some(step) = STEPS.get(self.next) {
            if step(&mut current) {
                // Charts go one at a time.
                self.next += usize::from(self.next + 1 < STEPS.len());
                return Some(current);
            }
            self.next += 1;
        }
        let may_go = *self.may_go.get_or_insert_with(|| count_may_go(&current.blocks));
        if self.gone == may_go {
            return None;
        }
        self.gone = may_go.min(self.gone + AT_A_TIME);
        move_off(&mut current.blocks, self.gone);
        Some(current)
    }
}

/// In their order; each returns whether it had anything to do. The last is repeated as long as it has.
const STEPS: [fn(&mut Document) -> bool; 7] =
    [let_flow, halve_lines, remove_lines, lower_charts, close_up, tighten, remove_chart];

fn let_flow(page: &mut Document) -> bool {
    change_each(&mut page.blocks, &mut |block| match block {
        Block::Settings(settings)
            if settings.rows.iter().filter(|row| row.is_changed()).count() >= FLOWING =>
        {
            settings.is_flowing = true;
            true
        }
        _ => false,
    })
}

fn halve_lines(page: &mut Document) -> bool {
    change_each(&mut page.blocks, &mut |block| match block {
        Block::Lines { count, is_kept: false, .. } if *count > 2 => {
            *count /= 2;
            true
        }
        _ => false,
    })
}

fn remove_lines(page: &mut Document) -> bool {
    remove_each(&mut page.blocks, &|block| matches!(block, Block::Lines { is_kept: false, .. }))
}

fn lower_charts(page: &mut Document) -> bool {
    lower_to(LOW_CHART, page, |is_kept| !is_kept)
}

/// Makes charts no higher than this; `is_meant` says whether those that stay, or may go, are meant.
fn lower_to(height: f64, page: &mut Document, is_meant: impl Fn(bool) -> bool) -> bool {
    change_each(&mut page.blocks, &mut |block| match block {
        Block::Chart { chart, is_kept, .. }
            if is_meant(*is_kept) && chart.height.unwrap_or(CHART) > height =>
        {
            chart.height = Some(height);
            true
        }
        _ => false,
    })
}

/// Less room between groups, and columns as wide as what they hold asks for.
fn close_up(page: &mut Document) -> bool {
    !std::mem::replace(&mut page.is_close, true)
}

fn tighten(page: &mut Document) -> bool {
    change_each(&mut page.blocks, &mut |block| match block {
        Block::Settings(settings) if settings.rows.iter().any(|row| !row.is_changed()) => {
            settings.is_tight = true;
            true
        }
        _ => false,
    })
}

fn remove_chart(page: &mut Document) -> bool {
    remove_last(&mut page.blocks, &|block| matches!(block, Block::Chart { is_kept: false, .. }))
}

/// The document as it takes no more pages than it asks for, and as large as they hold; `lay` lays it out at a scale,
/// `pages` says how many pages that takes, and `broken` how many words it breaks: larger type breaks none. Nothing is laid
/// out twice. `blank` says how much is blank at the ends of all pages but the last, in pages.
///
/// If it cannot, the fullest that takes as few pages as the thinnest; charts and lines take what is left of those.
pub fn fit<L>(
    document: &Document,
    lay: impl Fn(&Document, f64) -> L,
    pages: impl Fn(&L) -> usize,
    broken: impl Fn(&L) -> usize,
    blank: impl Fn(&L, f64) -> f64,
) -> Fitted<L> {
    let Some(wanted) = document.metadata.pages else {
        return flowing(document, lay, |laid| (pages(laid), broken(laid)), blank);
    };
    let wanted = usize::try_from(wanted).unwrap_or(usize::MAX);
    let mut fullest: Option<(Document, L, usize)> = None;
    for stage in stages(document) {
        let laid = lay(&stage, 1.0);
        let count = pages(&laid);
        if fullest.as_ref().is_none_or(|(.., fewest)| count < *fewest) {
            fullest = Some((stage, laid, count));
        }
        if count <= wanted {
            break;
        }
    }
    let Some((stage, laid, count)) = fullest else {
        return Fitted { laid: lay(document, 1.0), scale: 1.0 };
    };
    let room = wanted.max(count);
    let scales: &[f64] = if count <= wanted { &LARGER } else { &[] };
    let before = broken(&laid);
    let fits = |document: &Document, scale: f64| {
        Some(lay(document, scale)).filter(|laid| pages(laid) <= room && broken(laid) <= before)
    };
    grown(stage, laid, scales, fits)
}

/// A document that flows, as large as its pages hold it; `takes` says how many pages it takes and words it breaks.
fn flowing<L>(
    document: &Document,
    lay: impl Fn(&Document, f64) -> L,
    takes: impl Fn(&L) -> (usize, usize),
    blank: impl Fn(&L, f64) -> f64,
) -> Fitted<L> {
    let laid = lay(document, 1.0);
    let (count, before) = takes(&laid);
    let fits = |laid: &L| matches!(takes(laid), (pages, broken) if pages <= count && broken <= before);
    let lower: Vec<Document> =
        LOWER_CHARTS.iter().filter_map(|height| with_lower_charts(document, *height)).collect();
    let sized =
        LARGER.iter().flat_map(|scale| std::iter::once(document).chain(&lower).map(move |it| (it, *scale)));
    let larger = sized.map(|(document, scale)| (lay(document, scale), scale)).find(|(laid, _)| fits(laid));
    let (laid, scale) = larger.unwrap_or((laid, 1.0));
    let most = blank(&laid, scale) - FILLED;
    let fills = |laid: &L| fits(laid) && blank(laid, scale) <= most;
    let fuller = lower.iter().filter(|_| most > 0.0).map(|lower| lay(lower, scale)).find(fills);
    Fitted { laid: fuller.unwrap_or(laid), scale }
}

/// The document with no chart higher than this; `None` where none is.
fn with_lower_charts(document: &Document, height: f64) -> Option<Document> {
    let mut lower = document.clone();
    let is_lower = lower_to(height, &mut lower, |_| true);
    is_lower.then_some(lower)
}

/// A document that fits, as large as it still fits.
fn grown<L>(
    mut document: Document,
    laid: L,
    scales: &[f64],
    fits: impl Fn(&Document, f64) -> Option<L>,
) -> Fitted<L> {
    let larger = scales.iter().find_map(|scale| Some((fits(&document, *scale)?, *scale)));
    let (mut laid, scale) = larger.unwrap_or((laid, 1.0));
    let lowest = lowest_chart(&document.blocks);
    // The most that fits, by halving: more of it never takes less room.
    let mut most_of = |change: &dyn Fn(&mut [Block], u32) -> bool, mut most: u32| {
        let (start, mut least) = (document.clone(), 0);
        while least < most {
            let middle = (least + most).div_ceil(2);
            let mut longer = start.clone();
            if change(&mut longer.blocks, middle)
                && let Some(fitting) = fits(&longer, scale)
            {
                (document, laid, least) = (longer, fitting, middle);
            } else {
                most = middle - 1;
            }
        }
    };
    let lowest = lowest.filter(|lowest| *lowest < HIGH_CHART);
    if let Some(lowest) = lowest {
        let steps = ((HIGH_CHART - lowest) / CHART_STEP).ceil() as u32;
        let raise = |blocks: &mut [Block], by: u32| {
            raise_charts(blocks, (lowest + CHART_STEP * f64::from(by)).min(HIGH_CHART));
            true
        };
        most_of(&raise, steps);
    }
    most_of(&|blocks, more| add_lines(blocks, more), MOST_LINES);
    Fitted { laid, scale }
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

/// Adds this many lines to write on; false where there are none to begin with.
fn add_lines(blocks: &mut [Block], more: u32) -> bool {
    change_each(blocks, &mut |block| match block {
        Block::Lines { count, is_kept: false, .. } => {
            *count = count.saturating_add(more);
            true
        }
        _ => false,
    })
}

/// Moves this many settings of those that may go into the count.
fn move_off(blocks: &mut [Block], gone: usize) {
    change_each(blocks, &mut |block| match block {
        Block::Settings(settings) => {
            settings.moved_off = gone;
            true
        }
        _ => false,
    });
}

/// The most settings that may go from any one block.
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

/// The blocks inside a block.
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

#[cfg(test)]
mod tests {
    use super::super::tree::Metadata;
    use super::*;

    /// Ten fit a page: this many that stay, and lines to write on.
    fn fitted(stays: usize) -> usize {
        let lines = Block::Lines { label: String::new(), count: 2, is_kept: false };
        let metadata = Metadata { pages: Some(1), ..Metadata::default() };
        let document = Document { blocks: vec![lines], metadata, ..Document::default() };
        let height = |document: &Document| match document.blocks.first() {
            Some(Block::Lines { count, .. }) => stays + *count as usize,
            _ => stays,
        };
        fit(&document, |document, _| height(document), |height| height.div_ceil(10), |_| 0, |_, _| 0.0).laid
    }

    #[test]
    fn what_is_left_of_the_pages_that_it_takes_is_lines() {
        assert_eq!(fitted(5), 10);
        // Without its lines it would fit.
        assert_eq!(fitted(9), 9);
        assert_eq!(fitted(15), 20);
    }

    /// The height of the chart of a document that flows, of which so much of a page is blank for a chart of a height.
    fn chart_of(blank: impl Fn(f64) -> f64) -> Option<f64> {
        let chart = toml::from_str("title = ''\nx = { name = '' }\ny = { name = '' }").unwrap();
        let chart = Block::Chart { chart, is_wide: false, is_kept: true };
        let document = Document { blocks: vec![chart], ..Document::default() };
        let height = |document: &Document| match document.blocks.first() {
            Some(Block::Chart { chart, .. }) => chart.height.unwrap_or(CHART),
            _ => 0.0,
        };
        // Larger type takes a page more.
        let lay = |document: &Document, scale: f64| (height(document), if scale > 1.0 { 3 } else { 2 });
        let fitted = fit(&document, lay, |laid| laid.1, |_| 0, |laid, _| blank(laid.0));
        Some(fitted.laid.0).filter(|height| *height < CHART)
    }

    #[test]
    fn charts_give_way_where_a_page_would_end_early() {
        let [high, low] = LOWER_CHARTS;
        assert_eq!(chart_of(|height| if height > high { 0.3 } else { 0.1 }), Some(high));
        assert_eq!(chart_of(|height| if height > low { 0.3 } else { 0.1 }), Some(low));
        // Where it fills no page, it stays as high as it was.
        assert_eq!(chart_of(|_| 0.3), None);
        assert_eq!(chart_of(|height| if height > high { 0.08 } else { 0.0 }), None);
    }
}
