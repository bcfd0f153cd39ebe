//! Text that leaves the program: what a stranger's text does to a terminal, a spreadsheet and a browser.

use std::fs;
use std::io::{Read, Write as _};
use std::net::TcpListener;
use std::path::Path;
use std::process::Output;
use std::sync::mpsc;
use std::thread;
use std::time::Duration;

use loambook::document::{self, Block, Templates, tree::Inline};
use loambook::pages::season::Table;
use loambook::render::csv;
use loambook::render::html::{self, HtmlOptions};

use crate::chromium::Browser;
use crate::desk::{Desk, code, err, out};

/// What a terminal would obey, as a TOML string writes it: a title, a cleared screen, both in eight bits, a carriage
/// return, a reversed direction, and a line that looks like one of ours.
const HARM: &str = r"\u001b]0;t\u0007\u001b[2J\u001b[31m\u009b2J\u0085\r\u202e\u2066\u2028\n✗ CANARY";
/// The same as bytes of an argument or a file's name.
const HARM_AS_IT_IS: &str = "\u{1b}[2J\u{9b}2J\r\u{202e}\n✗ CANARY";

fn demo() -> Desk {
    let desk = Desk::empty();
    copy(&Path::new(env!("CARGO_MANIFEST_DIR")).join("notebooks"), &desk, "");
    desk
}

fn copy(from: &Path, desk: &Desk, within: &str) {
    for entry in fs::read_dir(from).unwrap() {
        let path = entry.unwrap().path();
        let name = format!("{within}{}", path.file_name().unwrap().to_str().unwrap());
        if path.is_dir() {
            copy(&path, desk, &format!("{name}/"));
        } else if let Ok(text) = fs::read_to_string(&path) {
            desk.write(&name, &text);
        }
    }
}

/// The demo with a payload at the end of each free text: names, reasons, notes, feelings, what was done, what is
/// looked at.
fn poisoned() -> Desk {
    let desk = demo();
    let mut poisoned = 0;
    let folders = ["machines", "riders", "tracks", "days"];
    for path in folders.iter().flat_map(|folder| files_in(&desk, folder)) {
        let mut text = desk.read(&path);
        for key in ["name", "because", "note", "soil", "surface", "maker", "model", "label", "want", "bench"]
        {
            let lines = text.lines().map(|line| {
                let is_key = line.split('=').next().is_some_and(|written| written.trim() == key);
                match line.rfind('"').filter(|_| is_key && line.trim_end().ends_with('"')) {
                    Some(end) => {
                        poisoned += 1;
                        format!("{}{HARM}{}\n", &line[..end], &line[end..])
                    }
                    None => format!("{line}\n"),
                }
            });
            text = lines.collect();
        }
        desk.write(&path, &text);
    }
    assert!(poisoned > 40, "{poisoned}");
    desk
}

fn files_in(desk: &Desk, folder: &str) -> Vec<String> {
    crate::desk::file_names(&desk.path(folder)).iter().map(|name| format!("{folder}/{name}")).collect()
}

#[track_caller]
fn assert_harmless(output: &Output, asked: &str) {
    for text in [out(output), err(output)] {
        let is_obeyed = |letter: char| {
            (letter.is_control() && letter != '\n')
                || matches!(letter, '\u{202a}'..='\u{202e}' | '\u{2066}'..='\u{2069}' | '\u{2028}' | '\u{2029}')
        };
        let found = text.find(is_obeyed).map(|at| &text[text.floor_char_boundary(at.saturating_sub(60))..]);
        assert!(found.is_none(), "{asked}: {:.200?}", found.unwrap_or_default());
        // Continued lines are indented below their beginning; the program's own words begin at the edge.
        let forged = text.lines().find(|line| line.starts_with("✗ CANARY"));
        assert!(forged.is_none(), "{asked}: a value begins a line: {text}");
    }
}

#[test]
fn a_terminal_obeys_nothing_that_a_book_says() {
    let desk = poisoned();
    let day = "days/2026-07-04-senior.md";
    let asked: &[&[&str]] = &[
        &["check"],
        &["check", "--brief"],
        &["due"],
        &["due", "--on", "2027-01-01"],
        &["gearing", day],
        &["spring", day],
        &["state", day],
        &["state", "machines/corrie-450.md"],
        &["state", "--alone", day],
        &["next", day, "--all"],
        &["figures", day],
        &["why", "sag.rear.rider", day],
        &["compare", "days/2026-04-25-senior.md", day, "--all"],
        &["compare", "machines/corrie-450.md", day],
        &["compare", "2026", "2026", "--season", "--machine", "corrie-450"],
        &["sheet", day, "-o", "sheets"],
        &["show", day],
        &["season"],
        &["today", "--date", "2026-07-04"],
        &["roster", "--date", "2026-07-04", "--format", "text"],
        &["try", day, "fork.height = 2 mm down"],
    ];
    let mut canaries = 0;
    for arguments in asked {
        let output = desk.run(arguments);
        assert!(code(&output) < 2, "{arguments:?}: {}", err(&output));
        assert_harmless(&output, arguments[0]);
        canaries += (out(&output).to_owned() + err(&output)).matches("CANARY").count();
    }
    assert!(canaries > 20, "what was planted is shown, harmless: {canaries}");
}

#[test]
fn a_failure_obeys_nothing_that_it_repeats() {
    let desk = demo();
    let day = "days/2026-07-04-senior.md";
    let (path, line) = (format!("{HARM_AS_IT_IS}.md"), format!("{day}:9{HARM_AS_IT_IS}"));
    let asked: &[&[&str]] = &[
        &["check", &path],
        &["why", HARM_AS_IT_IS, day],
        &["why", "sag.rear.rider", &line],
        &["rule", HARM_AS_IT_IS],
        &["words", HARM_AS_IT_IS],
        &["compare", HARM_AS_IT_IS, day],
        &["season", "--format", "csv", "--machine", HARM_AS_IT_IS],
        &["new", "machine", HARM_AS_IT_IS],
        &["--book", HARM_AS_IT_IS, "check"],
    ];
    for arguments in asked {
        let output = desk.run(arguments);
        assert_ne!(code(&output), 0, "{arguments:?}: {}", out(&output));
        assert_harmless(&output, arguments[0]);
    }
}

#[test]
fn a_templates_message_is_one_harmless_line() {
    let desk = demo();
    desk.write("templates/sheet.md", &format!("{{{{ throw(message=\"{HARM}\") }}}}"));
    let output = desk.run(&["sheet", "days/2026-07-04-senior.md", "-o", "sheets"]);
    assert_ne!(code(&output), 0);
    assert_harmless(&output, "throw");
    desk.write("templates/sheet.md", &format!("{{{{ \"{HARM_AS_IT_IS}\" | nothing }}}}"));
    let output = desk.run(&["sheet", "days/2026-07-04-senior.md", "-o", "sheets"]);
    assert_ne!(code(&output), 0);
    assert_harmless(&output, "filter");
}

#[cfg(unix)]
#[test]
fn a_files_name_ends_no_line() {
    let desk = demo();
    desk.write(&format!("days/a{HARM_AS_IT_IS}.md"), "+++\nkind = \"day\"\n+++\n");
    let output = desk.run(&["check"]);
    assert!(out(&output).contains("file/name-has-controls"), "{}", out(&output));
    assert_harmless(&output, "check");
}

#[test]
fn a_spreadsheet_takes_no_cell_for_a_formula() {
    let cells = [
        ("=1+1", "\"'=1+1\""),
        ("+2 clicks", "\"'+2 clicks\""),
        ("-cmd|' /C calc'!A0", "\"'-cmd|' /C calc'!A0\""),
        ("@SUM(A1)", "\"'@SUM(A1)\""),
        ("\tx", "\"'\tx\""),
        ("\r=1", "\"'\r=1\""),
        ("＝1", "\"'＝1\""),
        ("-inf", "\"'-inf\""),
        ("-1e5", "\"'-1e5\""),
        ("=\"a\",b", "\"'=\"\"a\"\",b\""),
        ("-2.5", "-2.5"),
        ("+3", "+3"),
        ("2:04.1", "2:04.1"),
        ("2026-07-04", "2026-07-04"),
        ("a, b", "\"a, b\""),
    ];
    for (cell, written) in cells {
        let table = Table { heads: vec!["x".to_owned()], rows: vec![vec![cell.to_owned()]] };
        assert_eq!(csv::write(&table), format!("x\n{written}\n"), "{cell:?}");
    }
}

#[test]
fn the_seasons_csv_holds_no_formula() {
    let desk = demo();
    let day = "days/2026-07-04-senior.md";
    desk.write(day, &desk.read(day).replacen("because = \"", "because = \"=HYPERLINK(1) ", 1));
    let output = desk.run(&["season", "--format", "csv"]);
    assert!(out(&output).contains("\"'=HYPERLINK(1)"), "{}", out(&output));
}

/// A style sheet that asks the network for all that a style sheet can ask for, and tries to leave its element.
fn calling(port: u16) -> String {
    let from = format!("http://127.0.0.1:{port}");
    format!(
        "@import url({from}/import);\n@font-face {{ font-family: far; src: url({from}/font); }}\n\
         body {{ background: url({from}/background); font-family: far; }}\n\
         main::before {{ content: url({from}/content); }}\n\
         </style><script>fetch('{from}/script')</script><img src='{from}/image'><style>\n"
    )
}

/// Opens a page, and gives the requests to a port made for it; `None` without a browser.
fn asked_of_the_network(page: impl Fn(u16) -> String) -> Option<Vec<String>> {
    let listener = TcpListener::bind("127.0.0.1:0").unwrap();
    let port = listener.local_addr().unwrap().port();
    let (sender, asked) = mpsc::channel();
    // Ends with the test's process.
    thread::spawn(move || {
        for mut stream in listener.incoming().flatten() {
            let mut head = [0; 200];
            let read = stream.read(&mut head).unwrap_or(0);
            let line = String::from_utf8_lossy(&head[..read]).lines().next().unwrap_or_default().to_owned();
            let _ = stream.write_all(b"HTTP/1.0 404 Not Found\r\n\r\n");
            if sender.send(line).is_err() {
                return;
            }
        }
    });
    let mut browser = Browser::blank(1000)?;
    browser.show(&page(port));
    let text = browser.value("document.body.textContent");
    assert!(text.as_str().unwrap().contains("A day"), "{text}");
    Some(std::iter::from_fn(|| asked.recv_timeout(Duration::from_millis(300)).ok()).collect())
}

#[test]
fn a_books_style_sheet_cannot_call_out() {
    let templates = Templates::new([("a.md", "+++\ntitle = \"A day\"\n+++\n\n# A day\n\nWords.\n")]).unwrap();
    let document = document::compose("a.md", &serde_json::json!({}), &templates).unwrap();
    let page = |port: u16| {
        let style = Some(calling(port));
        html::write(&document, &HtmlOptions { style, is_sortable: true, ..HtmlOptions::default() })
    };
    let without_policy = |port: u16| {
        let html = page(port);
        let start = html.find("<meta http-equiv=\"Content-Security-Policy\"").unwrap();
        let end = start + html[start..].find('>').unwrap() + 1;
        html[..start].to_owned() + &html[end..]
    };
    let Some(asked) = asked_of_the_network(page) else {
        let _ = writeln!(std::io::stderr(), "NOT RUN: no `chromium` to open a page in");
        return;
    };
    assert_eq!(asked, Vec::<String>::new());
    // Without its policy the same page does call: so the silence means something.
    let asked = asked_of_the_network(without_policy).unwrap();
    assert!(asked.iter().any(|line| line.contains("/import") || line.contains("/background")), "{asked:?}");
}

#[test]
fn every_page_says_what_a_browser_may_do_with_it() {
    let desk = demo();
    let day = "days/2026-07-04-senior.md";
    desk.run(&["sheet", day, "--format", "html", "-o", "sheets"]);
    desk.run(&["roster", "--date", "2026-07-04", "--format", "html", "-o", "rosters"]);
    let mut pages = vec![
        out(&desk.run(&["season", "--format", "html"])).to_owned(),
        out(&desk.run(&["why", "sag.rear.rider", day, "--format", "html"])).to_owned(),
        out(&desk.run(&["compare", "2026-04-25", "2026-07-04", "--format", "html", "--rider", "senior"]))
            .to_owned(),
    ];
    let others = [vec!["guide"], vec!["card", "--machine", "corrie-450"]];
    for command in crate::ways_out::commands().into_iter().chain(others) {
        if command[0] != "roster" {
            pages.push(out(&desk.run(&[&command[..], &["--format", "html"]].concat())).to_owned());
        }
    }
    pages.extend(files_in(&desk, "sheets").iter().map(|path| desk.read(path)));
    pages.extend(files_in(&desk, "rosters").iter().map(|path| desk.read(path)));
    assert!(pages.len() >= 6, "{}", pages.len());
    for page in pages {
        let policy = page.split("http-equiv=\"Content-Security-Policy\" content=\"").nth(1);
        let policy = policy.unwrap_or_else(|| panic!("{:.400}", page)).split('"').next().unwrap();
        let parts: Vec<&str> = policy.split("; ").collect();
        for wanted in ["default-src 'none'", "img-src data:", "font-src data:", "base-uri 'none'"] {
            assert!(parts.contains(&wanted), "{policy}");
        }
        assert!(!policy.contains("http") && !policy.contains('*') && policy.matches("unsafe").count() == 1);
        let script = if page.contains("<script>") { "script-src 'sha256-" } else { "script-src 'none'" };
        assert!(policy.contains(script), "{policy}");
    }
}

/// The diary as a template of a book prints it.
fn printed(diary: &str) -> document::Document {
    let template = "# Above\n\n{{ diary | prose }}\n\n# Below\n\n```layout lines 2\nbelow\n```\n";
    let templates = Templates::new([("a.md", template)]).unwrap();
    document::compose("a.md", &serde_json::json!({ "diary": diary }), &templates)
        .unwrap_or_else(|error| panic!("{diary:?}: {error}"))
}

#[test]
fn no_prose_makes_a_layout_block_or_swallows_what_is_below_it() {
    for diary in [
        "```layout page\n```",
        "~~~layout page\n~~~",
        "```&#108;ayout page\n```",
        "```&#x6c;ayout nothing\n```",
        "``` l&#97;yout chart\nx = \n```",
        "```\\layout page\n```",
        "1. ```layout page\n   ```",
        "12) ~~~layout nonsense\n    ~~~",
        "- - > 1) ```layout page\n",
        "> ```  layout page",
        "a\n``````layout prose\n```layout page\n```\n``````",
        "````\nleft open",
        "<!-- left open",
        "<script>left open",
        "```layout chart\nnot = = toml\n```",
        "[x]: y 'left open",
        "+++\ntitle = 1\n+++",
        "\n\n---\n\n| a |\n|---|\n",
        "`````layout lines 9999\n`````\n```",
        "{{ 7 * 7 }} {% raw %}",
    ] {
        let blocks = printed(diary).blocks;
        let is_heading = |block: &Block, words: &str| {
            let is = |text: &[Inline]| text.first().is_some_and(|inline| inline.text == words);
            matches!(block, Block::Heading { text, .. } if is(text))
        };
        assert!(is_heading(&blocks[0], "Above"), "{diary:?}: {blocks:?}");
        let below = blocks.iter().position(|block| is_heading(block, "Below"));
        let below = below.unwrap_or_else(|| panic!("{diary:?} swallows what is below it: {blocks:?}"));
        assert!(matches!(blocks[below + 1..], [Block::Lines { count: 2, .. }]), "{diary:?}: {blocks:?}");
        let told = format!("{:?}", &blocks[1..below]);
        let layout = ["PageBreak", "Chart", "Lines", "Tiles", "Settings", "Cautions", "Checklist"];
        assert!(layout.iter().all(|kind| !told.contains(kind)), "{diary:?}: {told}");
        // What was taken for layout is shown as the text that it is.
        assert!(!diary.contains("not =") || told.contains("not = = toml"), "{told}");
    }
}

#[test]
fn prose_is_still_markdown() {
    let blocks = printed("Some *words*.\n\n- one\n- two\n").blocks;
    assert!(
        matches!(blocks[1], Block::Paragraph(_)) && matches!(blocks[2], Block::List { .. }),
        "{blocks:?}"
    );
}
