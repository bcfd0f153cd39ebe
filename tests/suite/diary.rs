//! The day's own words behind the sheet.

use std::path::Path;

use loambook::advice::Advice;
use loambook::pages::sheet::{Options, sheet};
use loambook::session::Compiled;
use loambook::source::{Disk, Memory};

use crate::books::replayed;

fn diary(store: &dyn loambook::source::Store, day: &str) -> String {
    let Compiled { book, season, .. } = replayed(store);
    let index = book.days.iter().position(|known| known.notebook.name == day).unwrap();
    let options = Options { diary: true, ..Options::default() };
    sheet(&book, &season, &Advice::shipped(), index, options).unwrap().diary.unwrap()
}

#[test]
fn every_figure_of_the_demos_prose_is_filled_in() {
    let store = Disk::new(Path::new(env!("CARGO_MANIFEST_DIR")).join("notebooks"));
    let book = replayed(&store).book;
    let mut filled = 0;
    for day in &book.days {
        let diary = diary(&store, &day.notebook.name);
        assert!(!diary.contains("`@"), "{}: {diary}", day.notebook.name);
        filled += day.notebook.document.mentions.len();
    }
    assert!(filled > 10, "the demo's prose asks for figures");
}

#[test]
fn a_figure_is_told_where_it_stands_and_of_another_day_where_it_asks() {
    let machine = "+++\nkind = \"machine\"\n+++\n```shock\ntravel = \"300 mm\"\nleverage = 3\n```\n";
    let head =
        |date: &str| format!("+++\nkind = \"day\"\ndate = {date}\nmachine = \"m\"\nrider = \"r\"\n+++\n");
    let sag = |aboard: u32| {
        format!("```sag rear\nhanging = \"600 mm\"\nalone = \"570 mm\"\naboard = \"{aboard} mm\"\n```\n")
    };
    let store = Memory::new()
        .with("m.md", machine)
        .with("r.md", "+++\nkind = \"rider\"\n+++\n")
        .with("a.md", format!("{}{}", head("2026-04-01"), sag(490)))
        .with(
            "b.md",
            format!(
                "{}Before: `@sag.rear.rider`.\n\n{}\nAfter: `@sag.rear.rider`, then ` @sag.rear.rider on 2026-04-01 `.\n",
                head("2026-04-08"),
                sag(495)
            ),
        );
    let diary = diary(&store, "b");
    assert!(diary.contains("Before: **110 ± 4 mm**."), "{diary}");
    assert!(diary.contains("After: **105 ± 4 mm**, then **110 ± 4 mm**."), "{diary}");
}
