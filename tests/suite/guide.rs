//! The guide is true: its examples compile, its figures are worked out, its promises have their tests.

use std::collections::BTreeSet;
use std::fs;
use std::path::Path;

use loambook::pages::guide::{TOPICS, Topic};
use loambook::vocabulary::blocks::{BLOCKS, HEADS};
use loambook::vocabulary::figures::FIGURES;

use crate::desk::{Desk, code, err, out};

/// The book of a page, as a reader would type it.
fn book(topic: &Topic) -> Desk {
    let desk = Desk::empty();
    for example in topic.examples() {
        desk.write(example.path, &example.text);
    }
    desk
}

#[test]
fn every_example_of_the_guide_is_a_notebook_that_compiles() {
    let with_examples: Vec<&Topic> = TOPICS.iter().filter(|topic| !topic.examples().is_empty()).collect();
    assert!(with_examples.len() >= 3);
    for topic in with_examples {
        let paths: BTreeSet<&str> = topic.examples().iter().map(|example| example.path).collect();
        assert_eq!(paths.len(), topic.examples().len(), "{}: a path stands there twice", topic.name);
        assert!(
            paths.contains("book.toml") && paths.iter().any(|path| path.starts_with("days/")),
            "{paths:?}"
        );
        let desk = book(topic);
        let checked = desk.run(&["check", "--format", "json"]);
        let findings = out(&checked);
        assert_eq!(code(&checked), 0, "{}: {findings}", topic.name);
        // A page may show a reading outside its band, and say what to do about it.
        let warned: Vec<&str> =
            findings.lines().filter(|line| line.contains("\"severity\":\"warning\"")).collect();
        assert!(
            warned.iter().all(|line| line.contains("\"code\":\"band/outside\"")),
            "{}: {findings}",
            topic.name
        );
        let printed = desk.run(&["sheet", "-o", "out"]);
        assert_eq!(code(&printed), 0, "{}: {}", topic.name, err(&printed));
    }
}

#[test]
fn every_figure_in_the_guides_prose_is_worked_out() {
    let mut compared = 0;
    for topic in TOPICS {
        assert!(!topic.markdown().contains("`@"), "{}: {}", topic.name, topic.markdown());
        // What the guide prints is what the command prints of the same book.
        let desk = book(topic);
        for day in topic.examples().iter().filter(|example| example.path.starts_with("days/")) {
            let told = desk.run(&["figures", "--all", day.path]);
            assert_eq!(code(&told), 0);
            let sags = ["  sag.rear.rider ", "  sag.front.rider "];
            let read = out(&told).lines().filter(|line| sags.iter().any(|sag| line.contains(sag)));
            for sag in read.filter(|line| line.contains('±')) {
                let words: Vec<&str> = sag.split_whitespace().collect();
                let sign = words.iter().position(|word| *word == "±").unwrap();
                let value = words[sign - 1..=sign + 2].join(" ");
                assert!(topic.text().contains(&format!("**{value}**")), "{}: {value}", topic.name);
                compared += 1;
            }
        }
    }
    assert!(compared >= 4, "{compared}");
}

#[test]
fn a_mention_that_cannot_be_had_is_left_as_it_was_written() {
    let topic = Topic {
        name: "t",
        source: "# T\n\n`@sag.rear.rider`\n\n````markdown machines/m.md\n+++\nkind = \"machine\"\n+++\n````\n\n````markdown days/d.md\n+++\nkind = \"day\"\ndate = 2026-05-02\nmachine = \"m\"\n+++\n\n\
                 ```sag rear\nhanging = \"612 mm\"\naboard = \"507 mm\"\n```\n````\n\n`@sag.rear.rider` `@sag.front.rider`\n",
    };
    let page = topic.markdown();
    assert!(page.starts_with("# T\n\n`@sag.rear.rider`\n"), "no day stands above it: {page}");
    assert!(page.contains("**105"), "{page}");
    assert!(page.trim_end().ends_with("`@sag.front.rider`"), "{page}");
}

#[test]
fn every_block_and_figure_has_an_example_in_the_guide() {
    let page = Topic::find("blocks").unwrap().markdown();
    let section = |word: &str| {
        let head = page
            .lines()
            .position(|line| line == format!("### {word}") || line.starts_with(&format!("### {word} ")));
        let lines = page.lines().skip(head.unwrap_or_else(|| panic!("no section {word}")) + 1);
        lines
            .take_while(|line| !line.starts_with("### ") && !line.starts_with("## "))
            .collect::<Vec<_>>()
            .join("\n")
    };
    for spec in BLOCKS.iter().chain(HEADS) {
        let text = section(spec.word);
        let opens = match spec.word {
            "head" => "````\n+++\n".to_owned(),
            "book" => "````\ntitle = ".to_owned(),
            word => format!("````\n```{word}"),
        };
        assert!(text.contains(&opens), "no example of {}: {text}", spec.word);
        assert!(spec.keys.iter().all(|key| text.contains(&format!("| `{}", key.name))), "{text}");
    }
    let mut numbers = 0;
    for figure in FIGURES {
        let row = page.lines().find(|line| line.starts_with(&format!("| `{}` |", figure.pattern))).unwrap();
        let cells: Vec<&str> = row.trim_matches('|').rsplit(" | ").map(str::trim).collect();
        assert!(!cells[0].is_empty(), "{row}");
        numbers += usize::from(cells[0].contains(|letter: char| letter.is_ascii_digit()));
    }
    assert!(numbers + 8 > FIGURES.len(), "{numbers} of {}", FIGURES.len());
}

#[test]
fn how_to_read_each_page_is_told_of_every_command_that_prints_one() {
    let page = Topic::find("pages").unwrap().source;
    for command in [
        "card", "check", "sheet", "today", "roster", "next", "try", "compare", "season", "figures", "why",
        "state", "spring", "gearing", "due", "export", "take", "watch",
    ] {
        let is_told = |line: &str| line.starts_with("## ") && line.contains(&format!("`{command}`"));
        assert!(page.lines().any(is_told), "{command}");
    }
}

#[test]
fn every_page_that_is_written_is_listed() {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("templates/guide");
    let written: BTreeSet<String> = fs::read_dir(folder)
        .unwrap()
        .map(|entry| entry.unwrap().path().file_stem().unwrap().to_str().unwrap().to_owned())
        .collect();
    let listed: BTreeSet<String> = TOPICS.iter().map(|topic| topic.name.to_owned()).collect();
    assert_eq!(written, listed);
}

/// The text of all Rust files below a folder.
fn rust_below(folder: &Path, all: &mut String) {
    for entry in fs::read_dir(folder).unwrap().map(|entry| entry.unwrap().path()) {
        if entry.is_dir() {
            rust_below(&entry, all);
        } else if entry.extension().is_some_and(|ending| ending == "rs") {
            all.push_str(&fs::read_to_string(&entry).unwrap());
        }
    }
}

#[test]
fn every_promise_of_the_guide_names_a_test_that_exists() {
    let root = Path::new(env!("CARGO_MANIFEST_DIR"));
    let mut code = String::new();
    rust_below(&root.join("src"), &mut code);
    rust_below(&root.join("tests"), &mut code);
    let is_test = |name: &str| {
        let Some(at) = code.find(&format!("fn {name}()")) else { return false };
        code[..at].trim_end().ends_with("#[test]") || code[..at].trim_end().ends_with(']')
    };
    assert!(
        is_test("every_promise_of_the_guide_names_a_test_that_exists") && !is_test("no_such_test_at_all")
    );
    let promises = Topic::find("promises").unwrap().source;
    let lines: Vec<&str> = promises.lines().filter(|line| line.starts_with("- ")).collect();
    assert!(lines.len() > 15);
    for line in lines {
        let name = line.strip_suffix('`').and_then(|line| line.rsplit('`').next());
        assert!(name.is_some_and(is_test), "no test holds: {line}");
    }
    for section in ["Never lost", "Never sent", "Never run", "Never guessed"] {
        assert!(promises.contains(section));
    }
}

#[test]
fn the_guide_is_printed_as_text_html_and_pdf() {
    let desk = Desk::empty();
    let contents = desk.run(&["guide"]);
    for topic in TOPICS {
        assert!(out(&contents).contains(topic.name) && out(&contents).contains(topic.title()));
        let text = desk.run(&["guide", topic.name]);
        assert_eq!((code(&text), out(&text)), (0, topic.text().as_str()));
        let page = desk.run(&["guide", topic.name, "--format", "html"]);
        assert_eq!((code(&page), err(&page)), (0, ""));
        let title = topic.title().replace('\'', "&#39;");
        assert!(out(&page).contains(&format!("<title>{title}</title>")), "{}", topic.name);
    }
    let whole = desk.run(&["guide", "-o", "guide.pdf"]);
    assert_eq!((code(&whole), err(&whole)), (0, ""));
    let pdf = lopdf::Document::load(desk.path("guide.pdf")).unwrap();
    assert!(pdf.get_pages().len() >= TOPICS.len());
    let unknown = desk.run(&["guide", "air-frok"]);
    assert_eq!(code(&unknown), 2);
    assert!(err(&unknown).contains("air-fork"), "{}", err(&unknown));
}

#[test]
fn the_recipes_of_the_guide_ask_for_columns_that_are_exported() {
    let source = Topic::find("tables").unwrap().source;
    let desk = Desk::empty();
    desk.write("book.toml", "");
    assert_eq!(code(&desk.run(&["export", "-o", "out"])), 0);
    let asked: Vec<&str> =
        source.split("read_csv('**/").skip(1).map(|rest| rest.split('\'').next().unwrap()).collect();
    assert!(asked.len() >= 6);
    for file in asked {
        assert!(desk.path("out").join(file).is_file(), "{file}");
    }
    for table in loambook::pages::export::Table::ALL {
        assert!(source.contains(&format!("| `{}` |", table.name())), "{} is not told of", table.name());
    }
}
