//! `loambook show`: a day in the letters of a terminal.

use unicode_width::UnicodeWidthStr;

use crate::desk::program;

const DAY: &str = "notebooks/days/2026-08-22-senior.md";

fn shown(arguments: &[&str], locale: &str) -> String {
    let run = program()
        .current_dir(env!("CARGO_MANIFEST_DIR"))
        .arg("show")
        .args(arguments)
        .env("LC_ALL", locale)
        .env("TERM", "xterm")
        .env("NO_COLOR", "1")
        .output()
        .unwrap();
    assert!(run.status.success(), "{}", String::from_utf8_lossy(&run.stderr));
    String::from_utf8(run.stdout).unwrap()
}

fn is_braille(letter: char) -> bool {
    ('\u{2801}'..='\u{28ff}').contains(&letter)
}

#[test]
fn a_day_stands_on_a_terminal_with_its_figures_charts_and_side_view() {
    let page = shown(&[DAY], "C.UTF-8");
    for line in page.lines() {
        assert!(line.width() <= 80, "{line}");
        assert!(!line.contains('\u{1b}'), "{line}");
    }
    for words in [
        "The senior",
        "rear rider sag",
        "104.0",
        "Side view",
        "wheelbase",
        "rake",
        "Fork force",
        "Shock linkage",
    ] {
        assert!(page.contains(words), "{words}: {page}");
    }
    let (_, drawn) = page.split_once("Side view").unwrap();
    let (view, charts) = drawn.split_once("Fork force").unwrap();
    for part in [view, charts] {
        assert!(part.lines().filter(|line| line.contains(is_braille)).count() > 8, "{part}");
    }
    // Two wheels: the ground has a dot under each third of its width.
    let rows: Vec<&str> = view.lines().filter(|line| line.contains(is_braille)).collect();
    assert!(rows.iter().any(|row| row.chars().filter(|letter| is_braille(*letter)).count() > 50), "{view}");
}

#[test]
fn without_such_letters_it_is_drawn_in_ascii() {
    let page = shown(&[DAY, "--ascii"], "C.UTF-8");
    assert!(!page.contains(is_braille), "{page}");
    let (_, view) = page.split_once("Side view").unwrap();
    let strokes = |letter: char| matches!(letter, '-' | '|' | '/' | '\\');
    assert!(view.chars().filter(|letter| strokes(*letter)).count() > 200, "{view}");
    assert_eq!(shown(&[DAY], "POSIX"), page);
    assert!(page.lines().all(|line| line.width() <= 80));
}

#[test]
fn a_machine_without_numbers_says_what_its_side_view_needs() {
    let desk = crate::desk::Desk::empty();
    desk.write("book.toml", "");
    desk.write("machines/brae.md", "+++\nkind = \"machine\"\n+++\n");
    desk.write("days/a.md", "+++\nkind = \"day\"\ndate = 2026-05-09\nmachine = \"brae\"\n+++\n\n```sag rear\nhanging = \"612 mm\"\naboard = \"507 mm\"\n```\n");
    let output = desk.run(&["show", "days/a.md"]);
    let page = crate::desk::out(&output);
    assert!(
        page.contains("105") && page.contains("needs frame rake") && !page.contains(is_braille),
        "{page}"
    );
    assert_eq!(crate::desk::code(&desk.run(&["show", "days/none.md"])), 2);
}
