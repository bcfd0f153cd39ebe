//! The pages that are not sheets: season, comparison, roster, preparation. The same laws of paper hold.

use std::collections::BTreeSet;

use loambook::document::tree::plain_text;
use loambook::document::{Block, Document, compose_in};
use loambook::pages::compare::{Side, Subject, compare};
use loambook::pages::roster::{self, About};
use loambook::pages::season;
use loambook::render::html::{self, HtmlOptions};

use super::*;
use crate::desk::shown;

pub fn templates() -> Templates {
    Templates::new(std::iter::empty::<(&str, &str)>()).unwrap()
}

/// Every page of a store that is not a sheet, by its name.
pub fn documents(store: &dyn Store) -> Vec<(String, Document)> {
    let Compiled { book, season, .. } = replayed(store);
    let templates = templates();
    let tongue = book.about.units.tongue();
    let mut all = Vec::new();
    let page = season::page(&book, &season, &Advice::shipped(), &season::Options::default());
    if !page.histories.is_empty() {
        all.push(("season".to_owned(), compose_in(tongue, "season.md", &page, &templates).unwrap()));
    }
    let side = |path: &str| {
        Side::new(&book, &season, path, Subject::Notebook(book.sources.find(path).unwrap())).unwrap()
    };
    for pair in book.days.windows(2) {
        let [a, b] = [&pair[0].notebook.path, &pair[1].notebook.path];
        for complete in [false, true] {
            let comparison = compare(&side(a), &side(b), complete);
            let page = serde_json::to_value(&comparison).unwrap();
            let name = format!("{a} against {b}, all: {complete}");
            all.push((name, compose_in(tongue, "compare.md", &WithStops(page).value(), &templates).unwrap()));
        }
    }
    let dates: BTreeSet<_> = book.days.iter().map(|day| day.date).collect();
    for date in dates {
        let about = About::Date(date);
        let row = |index: usize| {
            let sheet = sheet::sheet(&book, &season, &Advice::shipped(), index, Options::default()).unwrap();
            roster::row(&book, &season, index, &sheet, None)
        };
        let rows = roster::days(&book, &about).into_iter().map(row).collect();
        let page = roster::roster(&book, &about, date, rows);
        all.push((format!("roster {date}"), compose_in(tongue, "roster.md", &page, &templates).unwrap()));
    }
    for index in 0..book.days.len() {
        let mut sheet = sheet::sheet(&book, &season, &Advice::shipped(), index, Options::default()).unwrap();
        // The caller that prints brings the photos; without them their page holds only their names.
        sheet.photos.clear();
        all.push((
            book.days[index].notebook.name.clone(),
            compose_in(tongue, "sheet.md", &sheet, &templates).unwrap(),
        ));
    }
    all
}

/// A comparison as the program hands it to its template: with the riders who are not cleared, here none.
struct WithStops(serde_json::Value);

impl WithStops {
    fn value(mut self) -> serde_json::Value {
        self.0["not_cleared"] = serde_json::Value::Array(Vec::new());
        self.0
    }
}

pub fn printed(document: &Document, paper: Paper) -> Printed {
    let options = PdfOptions { paper, ..PdfOptions::default() };
    pdf::write(std::slice::from_ref(document), &options).unwrap()
}

/// The runs of letters in a text: a word is a run of letters in the page's HTML, where no line is broken.
fn runs(text: &str) -> BTreeSet<String> {
    let letters = text.split(|letter: char| !letter.is_alphabetic());
    letters.filter(|run| run.chars().count() > 3).map(str::to_owned).collect()
}

fn keeps_the_laws(store: &dyn Store) {
    keep_the_laws(documents(store));
}

/// Checked on both papers: nothing overlaps or leaves its page, no word is broken or lost, no page holds a few
/// lines, no table leaves a row alone.
pub fn keep_the_laws(documents: Vec<(String, Document)>) {
    for (name, document) in documents {
        let page = html::write(&document, &HtmlOptions::default());
        assert!(!page.contains("<tbody>\n</tbody>"), "{name}: a head over no rows");
        assert_eq!(over_nothing(&document.blocks), [""; 0], "{name}: a heading over nothing");
        let mut words = runs(&shown(&page));
        // At the foot: `page 1 of 3`.
        words.extend(runs(&document.tongue.word("page {number} of {count}")));
        for paper in [Paper::A4, Paper::Letter] {
            let printed = printed(&document, paper);
            let faults = placed_wrongly(&name, &printed, paper);
            assert!(faults.is_empty(), "{paper:?}\n{}", faults.join("\n"));
            let broken: Vec<String> =
                runs(&text(&printed)).into_iter().filter(|run| !words.contains(run)).collect();
            assert!(broken.is_empty(), "{name}: broken or lost: {broken:?}");
            assert!(few_lines(&printed, paper).is_empty(), "{name}: {:?}", few_lines(&printed, paper));
            let torn = super::tables::torn(&printed, paper);
            assert!(torn.is_empty(), "{name}, {paper:?}: {torn:?}");
        }
    }
}

/// Headings that another of their level, or a higher one, follows at once; or nothing does.
fn over_nothing(blocks: &[Block]) -> Vec<String> {
    let level = |block: &Block| match block {
        Block::Heading { level, .. } => Some(*level),
        _ => None,
    };
    let is_empty = |at: usize, own: u8| match blocks.get(at + 1) {
        Some(Block::PageBreak { .. }) | None => true,
        Some(next) => level(next).is_some_and(|next| next <= own),
    };
    let headings = blocks.iter().enumerate().filter_map(|(at, block)| match block {
        // The fifth and sixth level name a column.
        Block::Heading { level, text } if *level < 5 && is_empty(at, *level) => Some(plain_text(text)),
        _ => None,
    });
    headings.collect()
}

/// Pages behind the first that hold a few lines only: less than about three tenths of their height, as `flow` evens them.
fn few_lines(printed: &Printed, paper: Paper) -> Vec<(usize, f64)> {
    let height = paper.size().1;
    let margin = 12.0 * 72.0 / 25.4;
    let ends = (2..=printed.pages).map(|page| {
        // The foot's line is on every page.
        let on_page =
            printed.boxes.iter().filter(|placed| placed.page == page && placed.at.y < height - margin - 24.0);
        (page, on_page.map(|placed| placed.at.y + placed.at.height).fold(0.0, f64::max) / height)
    });
    ends.filter(|(_, part)| *part < 0.29).collect()
}

#[test]
fn no_page_of_the_demo_overlaps_breaks_a_word_or_holds_a_few_lines() {
    keeps_the_laws(&demo());
}

#[test]
fn no_page_of_the_fullest_book_and_of_the_emptiest_does() {
    keeps_the_laws(&fullest());
    keeps_the_laws(&emptiest());
}

/// Where the columns of a page end that has this many.
fn column_ends(columns: u32, width: f64, margin: f64) -> impl Iterator<Item = f64> {
    let gutter = 18.0;
    let column = (width - 2.0 * margin - gutter * f64::from(columns - 1)) / f64::from(columns);
    (1..=columns).map(move |at| margin + column * f64::from(at) + gutter * f64::from(at - 1))
}

/// The boxes to write in of a first page that end at no column's end, and are not under another either.
fn off_the_grid(page: &Page, paper: Paper) -> Vec<Rectangle> {
    let (width, margin) = (paper.size().0, 12.0 * 72.0 / 25.4);
    let lines: Vec<f64> = (1..=3).flat_map(|columns| column_ends(columns, width, margin)).collect();
    let boxes = page.printed.boxes.iter().filter(|placed| placed.page == 1 && placed.what == What::WriteBox);
    // A tick's box is a square at the start of its line.
    let boxes: Vec<Rectangle> =
        boxes.map(|placed| placed.at).filter(|at| at.width > at.height * 1.2).collect();
    assert!(boxes.len() > 3, "{}", page.name);
    let is_off = |at: &Rectangle| !lines.iter().any(|line| (at.x + at.width - line).abs() < 1.0);
    let off: Vec<Rectangle> = boxes.into_iter().filter(is_off).collect();
    // The mark for an unknown number begins where the numbers above and below it do.
    let begins_with = |at: &Rectangle, other: &Rectangle| at != other && (at.x - other.x).abs() < 0.1;
    off.iter().copied().filter(|at| !off.iter().any(|other| begins_with(at, other))).collect()
}

#[test]
fn boxes_to_write_in_end_on_the_grid_of_their_page() {
    for paper in [Paper::A4, Paper::Letter] {
        for page in pages(&demo(), paper).into_iter().chain(pages(&fullest(), paper)) {
            let off = off_the_grid(&page, paper);
            assert!(off.is_empty(), "{}: {off:?}", page.name);
        }
    }
}

#[test]
fn a_sheet_is_read_aloud_in_the_order_of_the_work() {
    let said = [
        "to set",
        "to pump; check again before the start",
        "unchanged",
        "front rider sag",
        "rake",
        "Before riding",
        "One next change",
        "How the machine sits",
        "Side view, to scale",
        "Shock linkage",
    ];
    for page in pages(&demo(), Paper::A4) {
        let text = text(&page.printed);
        let lines: Vec<&str> = text.lines().collect();
        let at = |words: &str| lines.iter().position(|line| *line == words);
        let found: Vec<(usize, &str)> =
            said.into_iter().filter_map(|words| Some((at(words)?, words))).collect();
        assert!(found.len() > 7, "{}: {found:?}", page.name);
        assert!(found.is_sorted(), "{}: {found:?}", page.name);
        // A setting's value comes behind its name, and its unit behind that.
        let rebound = at("fork rebound").unwrap();
        assert!(lines[rebound + 1..rebound + 5].iter().any(|line| line.starts_with("click")), "{lines:?}");
    }
}

#[test]
fn every_file_has_its_title_its_language_and_bookmarks() {
    let mut kinds = BTreeSet::new();
    for (name, document) in documents(&demo()).into_iter().chain(super::tools::documents(fullest())) {
        // One of each kind: each takes its time to load again.
        if !kinds.insert(document.metadata.subject.clone()) {
            continue;
        }
        let file = lopdf::Document::load_mem(&printed(&document, Paper::A4).bytes).unwrap();
        let catalog = file.catalog().unwrap();
        assert_eq!(catalog.get(b"Lang").unwrap().as_str().unwrap(), b"en", "{name}");
        let info = file.trailer.get(b"Info").unwrap().as_reference().unwrap();
        let title = file.get_dictionary(info).unwrap().get(b"Title").unwrap();
        assert_eq!(lopdf::decode_text_string(title).unwrap(), document.title, "{name}");
        assert!(!document.title.is_empty());
        let outlines = catalog.get(b"Outlines").unwrap().as_reference().unwrap();
        assert!(file.get_dictionary(outlines).unwrap().get(b"First").is_ok(), "{name} has bookmarks");
    }
    assert!(kinds.len() >= 15, "{kinds:?}");
}
