//! Every page that a command prints: as text of 80 columns, as HTML and as PDF, from one template.

use std::fs;

use crate::chromium::Browser;
use crate::desk::{Desk, code, err, out, shown};

const DAY: &str = "days/2026-06-20-junior.md";

/// The commands, each run on the demo book.
pub fn commands() -> Vec<Vec<&'static str>> {
    vec![
        vec!["spring", DAY],
        vec!["gearing", DAY],
        vec!["figures", DAY, "--all"],
        vec!["figures", "machines/corrie-450.md"],
        vec!["state", DAY],
        vec!["state", "machines/skerry-125.md"],
        vec!["due", "--on", "2026-07-01"],
        vec!["why", "sag.rear.rider", DAY],
        vec!["next", DAY, "--all"],
        vec!["next", "days/2026-06-06-senior.md"],
        vec!["today", "--date", "2026-06-20", "--rider", "junior"],
        vec!["try", DAY, "fork.height = 2 mm down", "--or", "shock.rebound = 1 click in"],
        vec!["roster", "--date", "2026-06-20"],
    ]
}

#[test]
fn what_a_page_says_as_text_it_says_as_html_and_there_is_a_pdf_of_it() {
    let demo = concat!(env!("CARGO_MANIFEST_DIR"), "/notebooks");
    let desk = Desk::empty();
    let copied = desk.path("book");
    let copy = std::process::Command::new("cp").args(["-r", demo]).arg(&copied).status().unwrap();
    assert!(copy.success());
    let on_paper = [vec!["sheet", DAY], vec!["card", "--machine", "corrie-450"]];
    for (at, command) in commands().into_iter().chain(on_paper).enumerate() {
        let told = desk.run_in("book", &[&command[..], &["--format", "text"]].concat());
        assert!(code(&told) != 2, "{command:?}: {}", err(&told));
        let text = out(&told).to_owned();
        assert!(text.lines().count() > 3, "{command:?}: {text}");
        for line in text.lines() {
            assert!(line.chars().count() <= 80, "{command:?}: {line}");
            assert!(line.trim_end() == line, "{command:?}: {line:?}");
        }
        let html = format!("{at}.html");
        // The sheets of a roster are in a folder beside it.
        let to = if command[0] == "roster" { "van".to_owned() } else { html.clone() };
        let written = desk.run_in("book", &[&command[..], &["--format", "html", "-o", &to]].concat());
        assert!(code(&written) != 2, "{command:?}: {}", err(&written));
        let html = if command[0] == "roster" { "van/roster-2026-06-20.html".to_owned() } else { html };
        let written = fs::read_to_string(copied.join(&html)).unwrap();
        // A chart's content is also given as text, for those who do not see it.
        let labels = written.split("aria-label=\"").skip(1).filter_map(|rest| rest.split('"').next());
        let labels = labels.collect::<Vec<_>>().join("\n");
        let page = shown(&written);
        // Only at a terminal does a field's name have a colon, and code its marks.
        let words = text.split(|sign: char| sign.is_whitespace() || sign == '`');
        let words = words.map(|word| word.trim_matches(|sign| ":()[]°".contains(sign)));
        // Charts are named there, with where they are drawn; elsewhere a band's edges are at its ends.
        let is_told = |word: &&str| {
            word.chars().count() > 3
                && word.contains(char::is_alphanumeric)
                && !["drawn", "HTML"].contains(word)
                && !word.contains('–')
        };
        for word in words.filter(is_told) {
            // One chart's name ends there with a sign that parts it from the next.
            let is_of_chart = labels.contains(word.trim_end_matches([';', '.', ',']));
            assert!(page.contains(word) || is_of_chart, "{command:?}: {word:?} is not in {page}");
        }
        let pdf = format!("{at}.pdf");
        let written = desk.run_in("book", &[&command[..], &["-o", &pdf]].concat());
        assert!(code(&written) != 2, "{command:?}: {}", err(&written));
        assert!(fs::read(copied.join(&pdf)).unwrap().starts_with(b"%PDF-"), "{command:?}");
    }
}

#[test]
fn what_programs_read_is_the_same_in_every_language() {
    let demo = concat!(env!("CARGO_MANIFEST_DIR"), "/notebooks");
    let desk = Desk::empty();
    for book in ["plain", "spoken"] {
        let copy = std::process::Command::new("cp").args(["-r", demo]).arg(desk.path(book)).status().unwrap();
        assert!(copy.success());
    }
    let about = fs::read_to_string(desk.path("spoken/book.toml")).unwrap();
    desk.write("spoken/book.toml", &format!("language = \"xx\"\n{about}"));
    desk.write("spoken/templates/words/xx.toml", &crate::mixing::language());
    let mut all: Vec<(Vec<&str>, &str)> = commands()
        .into_iter()
        .filter(|command| command[0] != "roster")
        .map(|command| (command, "json"))
        .collect();
    all.push((vec!["season"], "json"));
    all.push((vec!["season"], "csv"));
    // What is due is shown to people alone.
    all.retain(|(command, _)| command[0] != "due");
    all.push((vec!["compare", "days/2026-04-11-senior.md", "days/2026-10-17-senior.md"], "json"));
    let mut told_otherwise = 0;
    for (command, format) in all {
        let told = |book: &str, format: &str| {
            let told = desk.run_in(book, &[&command[..], &["--format", format]].concat());
            assert!(code(&told) != 2, "{command:?}: {}", err(&told));
            out(&told).to_owned()
        };
        assert_eq!(told("plain", format), told("spoken", format), "{command:?} --format {format}");
        if format == "json" {
            told_otherwise += usize::from(told("plain", "text") != told("spoken", "text"));
        }
    }
    assert!(told_otherwise > 8, "{told_otherwise}");
}

#[test]
fn no_column_of_a_page_is_lost_on_a_telephone() {
    let Some(mut browser) = Browser::blank(390) else { return };
    let desk = Desk::empty();
    let demo = concat!(env!("CARGO_MANIFEST_DIR"), "/notebooks");
    let compared = ["compare", "days/2026-04-11-senior.md", "days/2026-10-17-senior.md", "--all"];
    let years = [
        "compare",
        "--season",
        "2026-03-01..2026-05-31",
        "2026-06-01..2026-12-31",
        "--machine",
        "corrie-450",
    ];
    let all = commands().into_iter().filter(|command| command[0] != "roster");
    let mut wide = String::new();
    for command in all.chain([compared.to_vec(), years.to_vec()]) {
        let arguments: Vec<String> = command
            .iter()
            .map(|word| if word.ends_with(".md") { format!("{demo}/{word}") } else { (*word).to_owned() })
            .collect();
        let mut arguments: Vec<&str> = arguments.iter().map(String::as_str).collect();
        arguments.extend(["--book", demo, "--format", "html"]);
        let written = desk.run(&arguments);
        assert!(code(&written) != 2, "{command:?}: {}", err(&written));
        browser.show(out(&written));
        assert_eq!((browser.scroll_width(), browser.hidden_at_the_side()), (390, 0), "{command:?}");
        wide =
            out(&written).replace("<tbody>", "<tbody><tr><td><p style=\"width:2000px\">wide</p></td></tr>");
    }
    browser.show(&wide);
    assert!(browser.hidden_at_the_side() > 1000, "it measures");
}

#[test]
fn a_books_own_template_stands_in_the_place_of_a_page_whatever_its_form() {
    let desk = Desk::empty();
    desk.write("book.toml", "");
    desk.write(
        "machines/heron.md",
        "+++\nkind = \"machine\"\n+++\n\n```settings\nfork.height = \"4 mm\"\n```\n",
    );
    desk.write("templates/state.md", "+++\ntitle = \"x\"\n+++\n\nours: {{ settings | length }}\n");
    let told = desk.run(&["state", "machines/heron.md"]);
    assert_eq!(out(&told), "  ours: 1\n", "{}", err(&told));
    let told = desk.run(&["state", "machines/heron.md", "--format", "html"]);
    assert!(out(&told).contains("<p>ours: 1</p>"), "{}", err(&told));
}
