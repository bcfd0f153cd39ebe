//! The forms that a comparison is written in.

use super::*;

#[test]
fn dates_riders_and_seasons_are_found() {
    let book = demo();
    let told =
        run(&book, &["compare", "2026-04-25", "2026-05-09", "--machine", "corrie-450", "--rider", "senior"]);
    assert!(out(&told).contains("2 mm down"));
    let riders = run(&book, &["compare", "senior", "junior", "--on", "2026-05-09"]);
    assert!(refused(&riders).contains("no day on 2026-05-09 with `junior`"));
    let stretches = ["2026-03-01..2026-05-31", "2026-06-01..2026-12-31"];
    let season =
        ["compare", "--season", stretches[0], stretches[1], "--machine", "corrie-450", "--rider", "senior"];
    let told = run(&book, &season);
    assert!(out(&told).contains("fork height") && out(&told).contains("Tannery Pit"), "{}", out(&told));
    let none = run(&book, &["compare", "--season", "2024", "2026", "--machine", "corrie-450"]);
    assert!(refused(&none).contains("2024"));
}

#[test]
fn every_form_says_the_same_and_none_is_coloured_where_nobody_looks() {
    let book = demo();
    let text = run(&book, &["compare", EARLIER, DAY]);
    assert!(!out(&text).contains('\u{1b}'));
    let html = run(&book, &["compare", EARLIER, DAY, "--format", "html"]);
    let folder = tempfile::tempdir().unwrap();
    let pdf = folder.path().join("c.pdf");
    out(&run(&book, &["compare", EARLIER, DAY, "--format", "pdf", "-o", pdf.to_str().unwrap()]));
    assert!(fs::read(&pdf).unwrap().starts_with(b"%PDF-"));
    for said in ["2 mm down", "−16 mm", "11.0 °C", "within the measurement"] {
        assert!(out(&text).contains(said), "text: {said}");
        assert!(out(&html).contains(said), "html: {said}");
    }
    assert!(refused(&run(&book, &["compare", EARLIER, DAY, "--format", "pdf"])).contains("-o"));
    let same = run(&book, &["compare", DAY, DAY]);
    assert!(out(&same).contains("Nothing differs."));
}
