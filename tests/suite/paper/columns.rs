//! Rows of columns stand under each other, and no column is narrower than its longest word.

use super::others::{documents, printed};
use super::*;

/// So many rows of four columns, the second with long lines in every other row.
fn rows(count: usize, words: usize, pages: &str) -> String {
    let row = |at: usize| {
        let long =
            "shock low-speed compression 11 clicks (1 click in) ".repeat(if at % 2 == 0 { words } else { 1 });
        format!(
            "`````layout columns 2 9 8 5\n**{at}-first**\n\n2026-04-{:02}\n\n---\n\n{long}\n\n---\n\n\
             front tyre: 0.83 bar\n\n---\n\n`fork.compression`\n`````\n\n",
            at % 28 + 1
        )
    };
    let all: String = (0..count).map(row).collect();
    format!("+++\ntitle = \"Rows\"\nfoot = \"rows\"\n{pages}\n+++\n\n{all}")
}

fn laid(text: &str, paper: Paper) -> Printed {
    let templates = Templates::new([("rows.md", text)]).unwrap();
    printed(&compose("rows.md", &serde_json::json!({}), &templates).unwrap(), paper)
}

/// Where the columns of a page begin: the places at which a text stands whose words begin so.
fn begins(printed: &Printed, words: &str) -> Vec<f64> {
    let is_it = |placed: &&Placed| matches!(&placed.what, What::Text(text) if text.starts_with(words));
    printed.boxes.iter().filter(is_it).map(|placed| placed.at.x).collect()
}

#[test]
fn rows_of_one_kind_stand_under_each_other_on_a_full_page() {
    let mut narrower = 0;
    for (count, words) in (4..14).flat_map(|count| (1..8).map(move |words| (count, words))) {
        for paper in [Paper::A4, Paper::Letter] {
            let printed = laid(&rows(count, words, "pages = 1"), paper);
            for begin in ["shock", "front", "fork"] {
                let at = begins(&printed, begin);
                assert!(at.len() >= count);
                let first = at.iter().copied().fold(f64::INFINITY, f64::min);
                let under: Vec<f64> = at.iter().copied().filter(|x| (x - first).abs() < 0.01).collect();
                // A long text's later lines begin there too, and none is beside.
                assert!(
                    under.len() >= count && at.iter().all(|x| (x - first).abs() < 0.01),
                    "{begin}: {at:?}"
                );
            }
            assert_eq!(printed.broken, 0, "{count} rows of {words}, {paper:?}");
            narrower += usize::from(printed.pages == 1);
        }
    }
    // Some fit a page, and some do not.
    assert!(narrower > 20, "{narrower}");
}

#[test]
fn a_column_is_as_wide_as_its_longest_word() {
    // By its weight it would have 18 points.
    for words in
        ["2026-04-19", "**2026-04-19**", "###### 2026-04-19", "- 2026-04-19", "> 2026-04-19", "1. 2026-04-19"]
    {
        let text = format!(
            "+++\ntitle = \"Narrow\"\nfoot = \"narrow\"\n+++\n\n```layout columns 1 30\n{words}\n\n---\n\nLong enough.\n```\n"
        );
        assert_eq!(laid(&text, Paper::A4).broken, 0, "{words}");
    }
}

#[test]
fn a_number_is_not_parted_from_its_unit_nor_a_unit_at_its_stroke() {
    // From where every number has room beside its unit.
    for width in 6..40 {
        let text = format!(
            "+++\ntitle = \"Units\"\nfoot = \"units\"\n+++\n\n```layout columns {width} 30\nshock spring 38 N/mm (+4 N/mm), \
             rebound 13 clicks, 1.80 ± 0.01 Hz, sag, front : rear, 85 m\n\n---\n\n.\n```\n"
        );
        let printed = laid(&text, Paper::A4);
        let lines = super::text(&printed);
        for line in lines.lines() {
            let ends = ["38", "+4", "(+4", "13", "±", "1.80", "85", "N/"];
            assert!(
                !ends.iter().any(|end| line.ends_with(end)) && !line.starts_with(':'),
                "{width}: {lines}"
            );
        }
    }
}

#[test]
fn no_word_or_number_is_broken_on_any_page() {
    let all = [documents(&demo()), documents(&fullest()), super::tools::documents(demo())];
    for (name, document) in all.into_iter().flatten() {
        for paper in [Paper::A4, Paper::Letter] {
            assert_eq!(printed(&document, paper).broken, 0, "{name}, {paper:?}");
        }
    }
}
