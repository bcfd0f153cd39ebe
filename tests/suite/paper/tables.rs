//! A table is not parted from what leads to it, and leaves no row alone.

use super::others::printed;
use super::*;

const MARGIN: f64 = 12.0 * 72.0 / 25.4;

/// Where the rules across a page are, from the top. Each row of a table has one below it, its head too.
fn rules(printed: &Printed, page: usize, paper: Paper) -> Vec<f64> {
    let (width, _) = paper.size();
    let across = 0.98 * (width - 2.0 * MARGIN);
    let is_rule = |placed: &&Placed| {
        let at = placed.at;
        placed.page == page && placed.what == What::Drawing && at.height < 0.1 && at.width > across
    };
    let mut rules: Vec<f64> = printed.boxes.iter().filter(is_rule).map(|placed| placed.at.y).collect();
    rules.sort_by(f64::total_cmp);
    // The lowest is above the foot, on every page.
    rules.pop();
    rules
}

/// The texts between two heights of a page, and how far down they reach.
fn between(printed: &Printed, page: usize, above: f64, below: f64) -> (Vec<&str>, f64) {
    let inside = printed.boxes.iter().filter(|placed| {
        placed.page == page && placed.at.y + placed.at.height / 2.0 > above && placed.at.y < below
    });
    let mut low = above;
    let texts = inside.filter_map(|placed| match &placed.what {
        What::Text(text) => {
            low = f64::max(low, placed.at.y + placed.at.height);
            Some(text.as_str())
        }
        _ => None,
    });
    let texts = texts.collect();
    (texts, low)
}

/// How many rows follow each other below one of the rules.
fn rows_below(printed: &Printed, page: usize, rules: &[f64], head: usize) -> usize {
    let pairs = rules.windows(2).skip(head);
    // A row's rule is close below its words; a heading's has room above it.
    let is_row = |pair: &&[f64]| {
        let (texts, low) = between(printed, page, pair[0], pair[1]);
        !texts.is_empty() && pair[1] - low < 7.5
    };
    pairs.take_while(is_row).count()
}

/// Tables that go on over a page's end and leave one row on either side of it.
pub fn torn(printed: &Printed, paper: Paper) -> Vec<String> {
    let mut torn = Vec::new();
    for page in 2..=printed.pages {
        let here = rules(printed, page, paper);
        let Some(first) = here.first() else { continue };
        let (head, _) = between(printed, page, 0.0, *first);
        // A head that is repeated is the first on its page, and was on the one before.
        let before = rules(printed, page - 1, paper);
        let tops = std::iter::once(&0.0).chain(&before);
        let heads = tops.zip(&before).enumerate();
        let found = heads.filter(|(_, (above, below))| {
            let (texts, _) = between(printed, page - 1, **above, **below);
            !head.is_empty() && texts.ends_with(&head)
        });
        let Some((at, _)) = found.last() else { continue };
        let (left, more) = (rows_below(printed, page - 1, &before, at), rows_below(printed, page, &here, 0));
        if left < 2 || more < 2 {
            torn.push(format!("page {page}: {left} rows of {head:?} before it, {more} on it"));
        }
    }
    torn
}

/// Lines, then a heading, words and a table of so many rows, then more lines.
fn page(lines: usize, rows: usize) -> String {
    let line = |at: usize| format!("Line {at}.\n\n");
    let row = |at: usize| format!("| row {at} | {at} mm |\n");
    let above: String = (0..lines).map(line).collect();
    let rows: String = (1..=rows).map(row).collect();
    let below: String = (0..12).map(line).collect();
    format!(
        "+++\ntitle = \"Rows\"\nfoot = \"rows\"\n+++\n\n{above}## Pressures\n\nBrought to one air.\n\n| pressure | at |\n| :-- | --: |\n{rows}\n{below}"
    )
}

/// The pages on which these words are.
fn on(printed: &Printed, words: &str) -> Vec<usize> {
    let is_it = |placed: &&Placed| matches!(&placed.what, What::Text(text) if text == words);
    printed.boxes.iter().filter(is_it).map(|placed| placed.page).collect()
}

#[test]
fn a_short_table_is_whole_with_what_leads_to_it_and_a_long_one_leaves_two_rows() {
    let mut broken = 0;
    for (lines, rows) in (20..50).flat_map(|lines| [(lines, 2), (lines, 5), (lines, 40)]) {
        let text = page(lines, rows);
        let templates = Templates::new([("rows.md", text.as_str())]).unwrap();
        let document = compose("rows.md", &serde_json::json!({}), &templates).unwrap();
        let printed = printed(&document, Paper::A4);
        let of_row = |at: usize| on(&printed, &format!("row {at}"))[0];
        let first = of_row(1);
        assert_eq!(on(&printed, "Pressures"), [first], "{lines} lines, {rows} rows");
        assert_eq!(on(&printed, "Brought to one air."), [first], "{lines} lines, {rows} rows");
        assert_eq!(of_row(2), first, "{lines} lines, {rows} rows");
        assert_eq!(of_row(rows - 1), of_row(rows), "{lines} lines, {rows} rows");
        if rows < 10 {
            assert_eq!(of_row(rows), first, "{lines} lines, {rows} rows");
        }
        let is_broken = of_row(rows) != first;
        broken += usize::from(is_broken);
        assert!(torn(&printed, Paper::A4).is_empty(), "{:?}", torn(&printed, Paper::A4));
        // What finds torn tables on real pages sees this one's rows.
        if is_broken {
            let rules = rules(&printed, first, Paper::A4);
            assert!(rules.len() > 2, "{rules:?}");
        }
    }
    assert!(broken > 20, "{broken}");
}

#[test]
fn a_row_alone_is_seen() {
    // Two rows on either side are seen as two: with the second taken away, one is left.
    let text = page(30, 40);
    let templates = Templates::new([("rows.md", text.as_str())]).unwrap();
    let document = compose("rows.md", &serde_json::json!({}), &templates).unwrap();
    let mut printed = printed(&document, Paper::A4);
    let page = on(&printed, "row 1")[0];
    let last = (1..=40).filter(|at| on(&printed, &format!("row {at}")) == [page]).max().unwrap();
    assert!(last < 40);
    let limit = {
        let all = rules(&printed, page, Paper::A4);
        all[all.len() - (last - 1)]
    };
    printed.boxes.retain(|placed| placed.page != page || placed.at.y < limit - 1.0 || placed.at.y > 780.0);
    assert_eq!(torn(&printed, Paper::A4).len(), 1);
}
