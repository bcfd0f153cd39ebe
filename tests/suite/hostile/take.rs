//! Texts from strangers, for `take`.

use std::fs;
use std::os::unix::fs::symlink;

use super::small::{DAY, book, files};
use crate::desk::{Desk, code, err, out};

fn text(rider: &str, body: &str) -> String {
    format!(
        "+++\nkind = \"day\"\ndate = 2026-07-04\nmachine = \"brae\"\nrider = \"{rider}\"\ntrack = \"pit\"\n+++\n\n{body}"
    )
}

fn take(desk: &Desk, text: &str) -> std::process::Output {
    desk.run_with_input(&["take"], text)
}

#[test]
fn a_name_leads_nowhere() {
    let desk = book();
    let before = files(desk.folder.path());
    for rider in ["../../wren", "/etc/passwd", ".hidden", "a/b", "a\\\\b", "a\\nb", "", "con\\u0000"] {
        let output = take(&desk, &text(rider, "Fog.\n"));
        assert_eq!((code(&output), out(&output)), (2, ""), "{rider}: {}", err(&output));
        assert_eq!(files(desk.folder.path()), before, "{rider}");
    }
}

#[test]
fn nothing_is_written_where_something_is_or_a_link_leads_out() {
    let desk = book();
    desk.write("elsewhere/empty", "");
    // Somebody else's file has the day's name; so has a link that leads nowhere.
    desk.write("days/2026-07-04-wren.md", "mine\n");
    symlink(desk.path("elsewhere/none"), desk.path("days/2026-07-04-wren-brae.md")).unwrap();
    let before = files(desk.folder.path());
    let output = take(&desk, &text("wren", "Fog.\n"));
    assert_eq!((code(&output), out(&output)), (2, ""), "{}", err(&output));
    assert_eq!(files(desk.folder.path()), before);

    let outside = Desk::empty();
    fs::remove_dir_all(desk.path("days")).unwrap();
    symlink(outside.path(""), desk.path("days")).unwrap();
    let output = take(&desk, &text("wren", "Fog.\n"));
    assert_eq!((code(&output), out(&output)), (2, ""));
    assert!(err(&output).contains("leads out of the book"), "{}", err(&output));
    assert!(files(outside.folder.path()).is_empty());
}

#[test]
fn nothing_that_is_obeyed_is_filed_or_shown() {
    let desk = book();
    let body =
        "Fog\u{1b}[2J\u{9b}31m \u{202e}gof\u{2066}\u{200e}\u{0}\n\n```stint\nnote = \"a\u{7}b\"\n```\n";
    let output = take(&desk, &text("wren", body));
    assert_eq!(code(&output), 0, "{}", err(&output));
    let filed = desk.read("days/2026-07-04-wren.md");
    let is_obeyed = |letter: char| loambook::source::is_obeyed(letter) && letter != '\n';
    assert!(!filed.contains(is_obeyed), "{filed:?}");
    assert!(!err(&output).contains(is_obeyed) && !out(&output).contains(is_obeyed));
    assert!(err(&output).contains("7 control characters"), "{}", err(&output));
}

#[test]
fn what_is_left_open_takes_nothing_in() {
    let desk = book();
    let day = desk.read(DAY);
    let head = day.split_inclusive("+++\n").take(2).collect::<String>();
    let conditions = day.find("```conditions").unwrap();
    let pressures = day.find("```pressures").unwrap();
    let before = files(desk.folder.path());
    for open in ["<!--", "```stint", "~~~", "<script>", "<pre>", "<![CDATA["] {
        let sent = format!("{head}\n{}\n{open}\n", &day[conditions..pressures]);
        let output = take(&desk, &sent);
        assert_eq!((code(&output), out(&output)), (2, ""), "{open}: {}", err(&output));
        assert!(err(&output).contains("left open"), "{open}: {}", err(&output));
    }
    assert_eq!(files(desk.folder.path()), before);
}

#[test]
fn a_text_past_the_limits_is_refused() {
    let desk = book();
    let before = files(desk.folder.path());
    let long = text("wren", &"a".repeat(2 << 20));
    desk.write("long.txt", &long);
    for output in [take(&desk, &long), desk.run(&["take", "long.txt"])] {
        assert_eq!(code(&output), 2);
        assert!(err(&output).contains("larger than"), "{}", err(&output));
    }
    fs::remove_file(desk.path("long.txt")).unwrap();
    // Together with the file's present text it would be.
    let head = desk.read(DAY).split_inclusive("+++\n").take(2).collect::<String>();
    let half = |letter: &str| format!("{head}\n{}\n", letter.repeat((1 << 20) + (1 << 19)));
    desk.write(DAY, &half("a"));
    let output = take(&desk, &half("b"));
    assert_eq!((code(&output), out(&output)), (2, ""));
    assert!(err(&output).contains("would be larger"), "{}", err(&output));
    let bytes = desk.run_with_input(&["take"], b"\xff\xfe+\0");
    assert_eq!(code(&bytes), 2);
    assert!(err(&bytes).contains("not UTF-8 text"), "{}", err(&bytes));
    assert_eq!(files(desk.folder.path()).len(), before.len());
}

#[test]
fn a_patch_names_the_file_and_no_other() {
    let desk = book();
    let day = desk.read(DAY);
    fs::remove_file(desk.path(DAY)).unwrap();
    desk.write("days/a b\".md", &day);
    let output = take(&desk, &format!("{day}\n```hours\nmeter = \"4 h\"\n```\n"));
    assert!(out(&output).starts_with("--- \"a/days/a b\\\".md\"\n"), "{}{}", out(&output), err(&output));
}
