//! Writes a fuzzer's first inputs: a folder for each target, from the books kept in the project, and `words`, a
//! dictionary of what notebooks, templates and messages are made of.

use std::collections::BTreeSet;
use std::fs;
use std::path::Path;

use jiff::civil::Date;
use loambook::document::BUILT_IN;
use loambook::pages::{season, sheet, today};
use loambook::quantity::Unit;
use loambook::session::{Compiled, Session};
use loambook::source::Memory;
use loambook::vocabulary::BLOCKS;
use loambook::vocabulary::figures::FIGURES;
use loambook::vocabulary::settings::SETTINGS;

use super::books::{self, Files};
use super::targets::{BOOK, SEPARATOR};

const ASKED_ON: Date = Date::constant(2026, 12, 1);
/// Longer books are cut down to a day with what it names.
const LONGEST: usize = 6_000;

pub fn write(out: &Path) {
    let root = Path::new(env!("CARGO_MANIFEST_DIR")).join("../..");
    let books = books::all(&root);
    let mut seen = BTreeSet::new();
    for files in &books {
        for book in of_one_day(files) {
            if seen.insert(book.clone()) {
                put(out, "book", book.as_bytes());
            }
        }
    }
    quantities(out, &seen);
    templates(out, &root, &books);
    messages(out, &seen);
    taken(out, &seen);
    for asked in [
        "HEAD",
        "HEAD:days/b.md",
        "HEAD~1:days/b.md",
        "spring:days/a.md",
        "main@{0}:machines/whin.md",
        "spring^0:./days/a.md",
        "HEAD^{tree}:x",
        ":/first:days/a.md",
        "--help:days/a.md",
        "-n1:..",
        "HEAD:../x",
        "HEAD:/etc/passwd",
        "HEAD~2..HEAD:days",
        "@:days//b.md",
        "HEAD:days/b.md\n",
        "refs/tags/spring:days/a.md",
        "^HEAD:",
        "HEAD:",
        ":",
        "stash@{1 day ago}:days/b.md",
    ] {
        put(out, "revision", asked.as_bytes());
    }
    fs::write(out.join("words"), words()).unwrap();
}

fn put(out: &Path, target: &str, bytes: &[u8]) {
    let folder = out.join(target);
    fs::create_dir_all(&folder).unwrap();
    let number = fs::read_dir(&folder).unwrap().count();
    fs::write(folder.join(format!("seed-{number:04}")), bytes).unwrap();
}

fn is_text(path: &str) -> bool {
    [".md", ".toml", ".csv"].iter().any(|ending| path.ends_with(ending)) && !path.starts_with("templates/")
}

fn joined<'a>(files: impl Iterator<Item = (&'a String, &'a Vec<u8>)>) -> String {
    let texts =
        files.filter_map(|(path, bytes)| Some(format!("{path}\n{}", std::str::from_utf8(bytes).ok()?)));
    texts.collect::<Vec<_>>().join(&SEPARATOR.to_string())
}

/// A book as it is, or, where it is long, each day with what its head names.
fn of_one_day<'f>(files: &'f Files) -> Vec<String> {
    let texts = || files.iter().filter(|(path, _): &(&'f String, &'f Vec<u8>)| is_text(path));
    let whole = joined(texts());
    if whole.len() <= LONGEST {
        return vec![whole];
    }
    let days = texts().filter(|(path, _)| path.starts_with("days/"));
    let of_day = |(day, text): (&'f String, &'f Vec<u8>)| {
        let text = String::from_utf8_lossy(text);
        let head = text.split("+++").nth(1).unwrap_or_default();
        let is_named = |path: &str| {
            let stem = path.rsplit('/').next().and_then(|name| name.strip_suffix(".md"));
            stem.is_some_and(|stem| head.contains(&format!("\"{stem}\"")))
        };
        let others = texts().filter(|(path, _)| *path == "book.toml" || is_named(path));
        joined(others.chain([(day, &files[day])]))
    };
    days.map(of_day).collect()
}

/// The text between quotes in the books.
fn quantities(out: &Path, books: &BTreeSet<String>) {
    let values: BTreeSet<&str> = books
        .iter()
        .flat_map(|book| book.lines())
        .flat_map(|line| line.split('"').skip(1).step_by(2))
        .filter(|value| value.len() < 40 && value.contains(|c: char| c.is_ascii_digit()))
        .collect();
    for value in values {
        put(out, "quantity", value.as_bytes());
    }
}

fn templates(out: &Path, root: &Path, books: &[Files]) {
    let demo = books.last().unwrap();
    let mut store = Memory::new();
    for (path, bytes) in demo {
        store.set(path.clone(), bytes.clone());
    }
    let Compiled { book, season: replayed, advice, .. } =
        Session::over(&store).unwrap().compile(Some(ASKED_ON));
    let one = |template: &str, data: serde_json::Value| {
        put(out, "template", format!("{template}{SEPARATOR}{data}").as_bytes());
    };
    for day in [0, replayed.days.len() / 2] {
        let options = sheet::Options { on: Some(ASKED_ON), torques: true, diary: true, ..sheet::Options::default() };
        let page = sheet::sheet(&book, &replayed, &advice, day, options).unwrap();
        one("sheet.md", serde_json::to_value(&page).unwrap());
        if let Some(page) = today::today(&book, &replayed, &advice, day, ASKED_ON, false) {
            one("today.md", serde_json::to_value(today::tonight(&book.about.units, ASKED_ON, vec![page], &[])).unwrap());
        }
    }
    let history = season::page(&book, &replayed, &advice, &season::Options::default());
    one("season.md", serde_json::to_value(&history).unwrap());
    let small = serde_json::json!({ "title": "t", "rows": [{ "name": "<b>", "value": 3.5 }], "text": "a `b` [c](javascript:d)" });
    for (_, text) in BUILT_IN {
        one(text, small.clone());
    }
    for text in [
        "# {{ title }}\n\n{% for row in rows %}- {{ row.name }} {{ row.value | upper }}\n{% endfor %}",
        "+++\ntitle = \"{{ title }}\"\nfoot = \"f\"\n+++\n\n{{ text | prose }}\n\n| a | b |\n| :-- | --: |\n| {{ text }} | 1 |\n",
        "```cell\nlabel = {{ text | toml }}\nvalue = {{ title | toml }}\n```\n",
        "{{ rows | join(sep=text) | replace(from=\"b\", to=text) }}{% include \"card.md\" %}",
    ] {
        one(text, small.clone());
    }
    // Each layout block as it stands in the tests.
    let pages = fs::read_dir(root.join("tests/pages")).unwrap().map(|entry| entry.unwrap().path());
    for page in pages.filter(|path| path.extension().is_some_and(|ending| ending == "md")) {
        one(&fs::read_to_string(page).unwrap(), small.clone());
    }
}

/// A conversation over each book's last file, with questions at several places.
fn messages(out: &Path, books: &BTreeSet<String>) {
    let begin = [
        r#"{"jsonrpc":"2.0","id":1,"method":"initialize","params":{"processId":null,"rootUri":null,"capabilities":{"textDocument":{"completion":{"completionItem":{"snippetSupport":true}}},"workspace":{"workspaceEdit":{"documentChanges":true,"resourceOperations":["rename"]}}}}}"#,
        r#"{"jsonrpc":"2.0","method":"initialized","params":{}}"#,
    ];
    let asks = [
        "completion",
        "hover",
        "definition",
        "references",
        "rename",
        "documentSymbol",
        "formatting",
        "inlayHint",
        "codeAction",
        "semanticTokens/full",
    ];
    for (number, book) in books.iter().enumerate().step_by(6) {
        let Some((_, text)) = book.rsplit(SEPARATOR).next().and_then(|file| file.split_once('\n')) else {
            continue;
        };
        if text.len() > 2_500 {
            continue;
        }
        let address = format!("{BOOK}/days/a.md");
        let open = serde_json::json!({ "jsonrpc": "2.0", "method": "textDocument/didOpen", "params": { "textDocument": {
            "uri": address, "languageId": "markdown", "version": 1, "text": text } } });
        let place = serde_json::json!({ "line": 8 + number % 5, "character": number % 20 });
        let ask = asks[number / 6 % asks.len()];
        let question = serde_json::json!({ "jsonrpc": "2.0", "id": 7, "method": format!("textDocument/{ask}"), "params": {
            "textDocument": { "uri": address }, "position": place, "newName": "gorse",
            "context": { "includeDeclaration": true, "diagnostics": [] },
            "options": { "tabSize": 4, "insertSpaces": true },
            "range": { "start": { "line": 0, "character": 0 }, "end": { "line": 30, "character": 0 } } } });
        let change = serde_json::json!({ "jsonrpc": "2.0", "method": "textDocument/didChange", "params": { "textDocument": {
            "uri": address, "version": 2 }, "contentChanges": [ { "range": { "start": place, "end": place }, "text": "é𝄞\n" } ] } });
        let again = serde_json::json!({ "jsonrpc": "2.0", "id": "b", "method": format!("textDocument/{}", asks[(number / 6 + 1) % asks.len()]),
            "params": question["params"].clone() });
        let all: Vec<String> = begin
            .iter()
            .map(ToString::to_string)
            .chain([open, question, change, again].iter().map(ToString::to_string))
            .collect();
        put(out, "messages", all.join(&SEPARATOR.to_string()).as_bytes());
    }
    put(out, "messages", b"!Content-Length: 2\r\n\r\n{}!junk\r\nContent-Length: x\r\n\r\n");
}

/// Each last file of a book, with a text that has part of it, part of another, and something new.
fn taken(out: &Path, books: &BTreeSet<String>) {
    let last = |book: &'_ String| -> Option<String> {
        let (_, text) = book.rsplit(SEPARATOR).next()?.split_once('\n')?;
        Some(text.to_owned()).filter(|text| text.len() < 3_000)
    };
    let texts: Vec<String> = books.iter().filter_map(last).collect();
    for (number, text) in texts.iter().enumerate().step_by(4) {
        let half = (0..=text.len() / 2).rev().find(|at| text.is_char_boundary(*at)).unwrap_or(0);
        let other = &texts[(number * 7 + 3) % texts.len()];
        put(out, "take", format!("{text}{SEPARATOR}{text}\n```stint\nlaps = \"2:01.4\"\n```\n").as_bytes());
        put(out, "take", format!("{}{SEPARATOR}{text}", &text[..half]).as_bytes());
        put(out, "take", format!("{text}{SEPARATOR}hello\r\n{other}\n\n{text}").as_bytes());
    }
}

fn words() -> String {
    let mut words: BTreeSet<String> = BTreeSet::new();
    for block in BLOCKS {
        words.insert(format!("\n```{}", block.word));
        words.extend(block.keys.iter().map(|key| format!("{} = \"", key.name)));
    }
    words.extend(SETTINGS.iter().map(|row| row.pattern.to_owned()));
    words.extend(FIGURES.iter().map(|row| format!("`@{}`", row.pattern)));
    words.extend(Unit::ALL.iter().map(|unit| format!(" {}", unit.symbol())));
    for word in [
        "+++\n",
        "```\n",
        "\n\n",
        "front",
        "rear",
        "kind = \"day\"\n",
        "kind = \"machine\"\n",
        "kind = \"rider\"\n",
        "kind = \"track\"\n",
        "date = 2026-05-02\n",
        "machine = \"",
        "rider = \"",
        "track = \"",
        "order = 2\n",
        " ± ",
        " clicks out",
        " clicks in",
        "..",
        "abs",
        "1/2",
        "2:04.1",
        "'''",
        "\"\"\"",
        "[[",
        "]]",
        "\u{1e}",
        "days/",
        "machines/",
        "riders/",
        "tracks/",
        ".md\n",
        "book.toml\n",
        "{{ ",
        " }}",
        "{% for x in rows %}",
        "{% endfor %}",
        "{% if ",
        "{% endif %}",
        "| prose",
        "| toml",
        "| default(value=",
        "Content-Length: ",
        "\"jsonrpc\":\"2.0\"",
        "\"method\":\"textDocument/",
        "\"params\":{",
        "\"position\":{\"line\":",
        "\"character\":",
        "\"uri\":\"$BOOK/days/a.md\"",
        "$/cancelRequest",
        "shutdown",
        "exit",
        "didOpen",
        "didChange",
        "didClose",
        "HEAD",
        "~1",
        "^{",
        "@{",
        "refs/",
        "spring",
        "days/b.md",
        "../",
        "--",
    ] {
        words.insert(word.to_owned());
    }
    // As libFuzzer reads it: quoted, with bytes as \xNN.
    let quoted = |word: &String| {
        let bytes = word.bytes().map(|byte| match byte {
            b'"' | b'\\' => format!("\\{}", char::from(byte)),
            b' '..=b'~' => char::from(byte).to_string(),
            _ => format!("\\x{byte:02x}"),
        });
        format!("\"{}\"\n", bytes.collect::<String>())
    };
    words.iter().filter(|word| word.len() < 60).map(quoted).collect()
}
