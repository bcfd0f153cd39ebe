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

#[test]
fn changes_and_rides_stand_where_the_notebook_has_them_and_a_change_says_against_what() {
    let store = Disk::new(Path::new(env!("CARGO_MANIFEST_DIR")).join("notebooks"));
    let diary = diary(&store, "2026-05-09-senior");
    let at = |words: &str| diary.find(words).unwrap_or_else(|| panic!("{words} is not in {diary}"));
    let change = at("Changed: fork height 2 mm up – pushes in the long left");
    let before = diary[..change].rfind("Ridden: ").unwrap();
    let after = change + diary[change..].find("Ridden: ").unwrap();
    assert!(before < change && change < after);
    assert!(
        diary[after..].starts_with("Ridden: 5 laps, best 2:03.5, median 2:04.0; pushes mid-corner 2; better")
    );
}

#[test]
fn a_change_in_prose_says_that_it_is_against_the_standard_setting() {
    let root = Path::new(env!("CARGO_MANIFEST_DIR")).join("notebooks");
    let path = "days/2026-05-09-senior.md";
    let text = std::fs::read_to_string(root.join(path)).unwrap();
    let disk = Disk::new(root);
    let store = Memory::over(&disk).with(path, format!("{text}\nTrail: `@change.geometry.trail`.\n"));
    let diary = diary(&store, "2026-05-09-senior");
    assert!(diary.contains("Trail: **no measurable change against standard**."), "{diary}");
}
