//! The laws of paper in every language that ships: words are longer in some.

use loambook::speech::SHIPPED_TAGS;

use super::others::{documents, keep_the_laws};
use super::*;

/// The demo book in a language.
fn told_in<'d>(demo: &'d Disk, tag: &str) -> Memory<'d> {
    let about = String::from_utf8(demo.read("book.toml", 1 << 20).unwrap()).unwrap();
    Memory::over(demo).with("book.toml", format!("language = \"{tag}\"\n{about}"))
}

/// Every sheet of the demo is one page that hides nothing, shows its fork, and keeps everything in its place.
fn sheets_are_whole(tag: &str) {
    let demo = demo();
    for paper in [Paper::A4, Paper::Letter] {
        let all = pages(&told_in(&demo, tag), paper);
        assert!(all.len() > 15);
        for page in all {
            let wrong = not_whole(&page, paper);
            assert!(wrong.is_empty(), "{tag}: {}", wrong.join("\n"));
        }
    }
}

#[test]
fn every_english_sheet_is_one_whole_page() {
    sheets_are_whole("en");
}

#[test]
fn every_german_sheet_is_one_whole_page() {
    sheets_are_whole("de");
}

#[test]
fn every_spanish_sheet_is_one_whole_page() {
    sheets_are_whole("es");
}

#[test]
fn the_sheets_of_every_language_are_looked_at() {
    assert_eq!(SHIPPED_TAGS, ["de", "en", "es"]);
}

#[test]
fn five_pressures_every_look_a_next_change_and_two_plans_fit_one_page() {
    let full = fullest();
    for tag in &SHIPPED_TAGS {
        for paper in [Paper::A4, Paper::Letter] {
            let store = Memory::over(&full).with("book.toml", format!("language = \"{tag}\"\n"));
            let [page] = pages(&store, paper).try_into().unwrap_or_else(|_| panic!("one day"));
            assert_eq!(page.sheet.pressures.len(), 5);
            assert!(page.sheet.looks.len() > 8 && page.sheet.next.is_some() && page.sheet.plans.len() == 2);
            let wrong = not_whole(&page, paper);
            assert!(wrong.is_empty(), "{tag}: {}", wrong.join("\n"));
        }
    }
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
