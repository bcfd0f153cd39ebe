//! Rosters of one date and of one track.

use lopdf::Document;

use super::*;

const RIDERS: usize = 200;

fn team(riders: usize) -> Desk {
    let desk = Desk::new();
    for rider in 0..riders {
        desk.write(&format!("riders/r{rider}.md"), &RIDER.replace("Wren", &format!("Rider {rider}")));
        let day = DAY.replace("\"wren\"", &format!("\"r{rider}\""));
        let change = "\n```change\nfork.height = \"2 mm down\"\nbecause = \"nervous\"\n```\n";
        desk.write(&format!("days/2026-04-04-r{rider}.md"), &format!("{day}{change}"));
    }
    desk
}

#[test]
fn two_hundred_riders_are_one_file_with_a_bookmark_each() {
    let desk = team(RIDERS);
    let output = desk.run(&["roster", "--date", "2026-04-04", "-o", "van"]);
    assert_eq!(code(&output), 0, "{}{}", out(&output), err(&output));
    let document = Document::load(desk.path("van/roster-2026-04-04.pdf")).unwrap();
    assert!(document.get_pages().len() > RIDERS, "{}", document.get_pages().len());
    let bookmarks = bookmarks(&document);
    assert_eq!(bookmarks.len(), RIDERS + 1);
    assert!(bookmarks[0].contains("Roster"), "{bookmarks:?}");
    for rider in 0..RIDERS {
        let title = format!("Rider {rider} ·");
        assert_eq!(bookmarks.iter().filter(|bookmark| bookmark.starts_with(&title)).count(), 1, "{title}");
    }
}

/// The titles of a file's outline, in order.
fn bookmarks(document: &Document) -> Vec<String> {
    let outlines = document.catalog().unwrap().get(b"Outlines").unwrap().as_reference().unwrap();
    let mut next = document.get_dictionary(outlines).unwrap().get(b"First").unwrap().as_reference().ok();
    let mut titles = Vec::new();
    while let Some(id) = next {
        let entry = document.get_dictionary(id).unwrap();
        titles.push(lopdf::decode_text_string(entry.get(b"Title").unwrap()).unwrap());
        next = entry.get(b"Next").ok().and_then(|next| next.as_reference().ok());
    }
    titles
}

#[test]
fn a_folder_of_html_has_an_index_that_leads_to_every_sheet() {
    let desk = team(3);
    let output = desk.run(&["roster", "--track", "quarry", "-o", "van", "--format", "html"]);
    assert_eq!(code(&output), 0, "{}{}", out(&output), err(&output));
    let index = desk.read("van/roster-2026-04-04-quarry.html");
    for rider in 0..3 {
        let file = format!("2026-04-04-r{rider}.html");
        assert!(index.contains(&format!("href=\"{file}\"")), "{file}");
        assert!(desk.read(&format!("van/{file}")).contains(&format!("Rider {rider}")));
        assert!(index.contains("fork height 3 mm (2 mm down)"), "what was changed is on the roster");
    }
}

#[test]
fn at_a_track_only_the_last_day_of_each_counts() {
    let desk = team(2);
    desk.write(
        "days/2026-05-01-r1.md",
        &DAY.replace("\"wren\"", "\"r1\"").replace("2026-04-04", "2026-05-01"),
    );
    let output = desk.run(&["roster", "--track", "quarry", "-o", "van", "--format", "html"]);
    assert_eq!(code(&output), 0, "{}", err(&output));
    assert_eq!(
        file_names(&desk.path("van")),
        ["2026-04-04-r0.html", "2026-05-01-r1.html", "roster-2026-05-01-quarry.html"]
    );
}

#[test]
fn a_rider_with_a_slip_has_a_sheet_with_an_empty_box_and_no_sag_in_the_row() {
    let desk = team(2);
    let day = desk.read("days/2026-04-04-r1.md").replace("\"507 mm\"", "\"507 psi\"");
    desk.write("days/2026-04-04-r1.md", &day);
    let output = desk.run(&["roster", "--date", "2026-04-04", "-o", "van", "--format", "html"]);
    assert_eq!(code(&output), 1, "{}", err(&output));
    assert_eq!(
        file_names(&desk.path("van")),
        ["2026-04-04-r0.html", "2026-04-04-r1.html", "roster-2026-04-04.html"]
    );
    assert!(desk.read("van/2026-04-04-r1.html").contains("written, with an error at line"));
}

/// Others read it: a rider's own language is for their sheet.
#[test]
fn a_row_is_in_the_books_language() {
    let desk = team(1);
    let rider = desk.read("riders/r0.md").replacen("+++\n", "+++\nlanguage = \"de\"\n", 1);
    desk.write("riders/r0.md", &rider);
    let day = desk.read("days/2026-04-04-r0.md");
    desk.write("days/2026-04-04-r0.md", &format!("{day}\n```stint\nfeel = \"packs whoops 3\"\n```\n"));
    let output = desk.run(&["roster", "--date", "2026-04-04", "--format", "text", "-o", "-"]);
    assert!(out(&output).contains("packs down, whoops"), "{}", out(&output));
}

#[test]
fn a_rider_whose_notebook_sets_what_is_past_a_limit_has_a_row_and_no_sheet() {
    let desk = team(2);
    let machine = desk.path("machines").read_dir().unwrap().next().unwrap().unwrap().path();
    let text = std::fs::read_to_string(&machine).unwrap();
    std::fs::write(&machine, format!("{text}\n```limits\nseat.height = \"..900 mm\"\n```\n")).unwrap();
    let day = desk.read("days/2026-04-04-r1.md");
    desk.write("days/2026-04-04-r1.md", &format!("{day}\n```settings\nseat.height = \"950 mm\"\n```\n"));
    let output = desk.run(&["roster", "--date", "2026-04-04", "-o", "van", "--format", "html"]);
    assert_eq!(code(&output), 1, "{}", err(&output));
    let index = desk.read("van/roster-2026-04-04.html");
    assert!(index.contains("Rider 1") && index.contains("no sheet"), "{index}");
    assert_eq!(file_names(&desk.path("van")), ["2026-04-04-r0.html", "roster-2026-04-04.html"]);
}

#[test]
fn a_date_without_days_and_both_questions_at_once_are_refused() {
    let desk = team(1);
    assert_eq!(code(&desk.run(&["roster", "--date", "2026-04-05"])), 2);
    assert_eq!(code(&desk.run(&["roster", "--track", "nowhere"])), 2);
    assert_eq!(code(&desk.run(&["roster", "--date", "2026-04-04", "--track", "quarry"])), 2);
    assert_eq!(code(&desk.run(&["roster"])), 2);
}
