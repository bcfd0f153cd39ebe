//! The laws of paper in every language that ships: words are longer in some.

use loambook::speech::SHIPPED_TAGS;

use super::others::{documents, keep_the_laws};
use super::*;

/// The demo book in a language.
fn told_in<'d>(demo: &'d Disk, tag: &str) -> Memory<'d> {
    let about = String::from_utf8(demo.read("book.toml", 1 << 20).unwrap()).unwrap();
    Memory::over(demo).with("book.toml", format!("language = \"{tag}\"\n{about}"))
}

#[test]
fn on_no_sheet_anything_overlaps_or_is_hidden() {
    let demo = demo();
    let (mut on_one, mut all) = (0, 0);
    for tag in &SHIPPED_TAGS {
        for paper in [Paper::A4, Paper::Letter] {
            for page in pages(&told_in(&demo, tag), paper) {
                let behind =
                    usize::from(page.sheet.stands.is_some()) + usize::from(!page.sheet.photos.is_empty());
                // The fullest one runs on where words are longer than in English: type never gets smaller.
                let front = page.printed.pages - behind;
                assert!(front == 1 || front == 2 && *tag != "en", "{tag}: {}: {front}", page.name);
                on_one += usize::from(front == 1);
                all += 1;
                let faults = faults(&page, paper);
                assert!(faults.is_empty(), "{tag}: {}", faults.join("\n"));
                let broken = broken_words(&page);
                assert!(broken.is_empty(), "{tag}: {}: {broken:?}", page.name);
            }
        }
    }
    assert!(on_one * 10 > all * 8, "{on_one} of {all} sheets are one page");
}

#[test]
fn seasons_comparisons_and_rosters_keep_the_laws() {
    let demo = demo();
    for tag in SHIPPED_TAGS.iter().filter(|tag| **tag != "en") {
        let mut all = documents(&told_in(&demo, tag));
        // Sheets are checked above; the complete comparisons contain the others.
        all.retain(|(name, _)| name == "season" || name.contains("all: true") || name.starts_with("roster"));
        assert!(all.len() > 20);
        keep_the_laws(all);
    }
}

#[test]
fn the_tools_of_the_fullest_book_keep_the_laws() {
    for tag in SHIPPED_TAGS.iter().filter(|tag| **tag != "en") {
        let full = fullest();
        keep_the_laws(tools::documents(
            Memory::over(&full).with("book.toml", format!("language = \"{tag}\"\n")),
        ));
    }
}
