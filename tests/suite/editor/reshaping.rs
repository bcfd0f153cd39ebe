//! Another name, an aligned block, colours: changes in a notebook's form, not its sense.

use std::fs;

use proptest::prelude::*;
use serde_json::{Value, json};

use super::client::{Editor, at, behind, edited, uri};
use super::{BOOK, DAY, MACHINE, RIDER, TODAY, book};
use crate::desk::{Desk, out};

/// An editor that can rename files.
fn able() -> Editor {
    let mut editor = Editor::silent();
    let able = json!({ "workspace": { "workspaceEdit": { "documentChanges": true, "resourceOperations": ["rename"] } } });
    editor.ask("initialize", json!({ "capabilities": able }));
    editor
}

fn asked(uri: &str, position: &Value, more: Value) -> Value {
    let mut params = json!({ "textDocument": { "uri": uri }, "position": position });
    params.as_object_mut().unwrap().extend(more.as_object().unwrap().clone());
    params
}

/// Carries out a rename's edits.
fn carry_out(desk: &Desk, edit: &Value) {
    let root = uri(desk, "");
    let path = |uri: &Value| uri.as_str().unwrap().strip_prefix(&root).unwrap().to_owned();
    for change in edit["documentChanges"].as_array().unwrap() {
        if change["kind"] == "rename" {
            fs::rename(desk.path(&path(&change["oldUri"])), desk.path(&path(&change["newUri"]))).unwrap();
        } else {
            let path = path(&change["textDocument"]["uri"]);
            desk.write(&path, &edited(&desk.read(&path), &change["edits"]));
        }
    }
}

/// A book in which everything is named wherever it can be.
fn spoken_of() -> Desk {
    let desk = book();
    desk.write(
        "book.toml",
        &format!("{BOOK}\n[defaults]\nmachine = \"whin\"\nrider = \"tall\"\ntape = \"steel\"\n"),
    );
    desk.write("riders/tall.md", &format!("{RIDER}\n```settings whin\nfork.rebound = \"10 clicks\"\n```\n"));
    desk
}

#[test]
fn a_machine_a_rider_or_a_track_has_its_new_name_wherever_the_book_speaks_of_it() {
    for (key, old, new, file) in [
        ("machine", "whin", "gorse", "machines/gorse.md"),
        ("rider", "tall", "lanky", "riders/lanky.md"),
        ("track", "hill", "ridge", "tracks/ridge.md"),
    ] {
        let desk = spoken_of();
        let before = desk.run(&["check"]);
        let figures = desk.json(&["figures", TODAY]);
        let day = uri(&desk, TODAY);
        let mut editor = able();
        editor.open(&day, DAY);
        let position = behind(DAY, &format!("{key} = \"{old}"));
        let ready = editor.ask("textDocument/prepareRename", asked(&day, &position, json!({})));
        assert_eq!(ready["placeholder"], old);
        let edit = editor.ask("textDocument/rename", asked(&day, &position, json!({ "newName": new })));
        carry_out(&desk, &edit);
        assert!(desk.path(file).is_file(), "{file}");
        for file in ["book.toml", "riders/tall.md", "riders/lanky.md", TODAY, "days/2026-04-04.md"] {
            let text = fs::read_to_string(desk.path(file)).unwrap_or_default();
            assert!(
                !text.contains(&format!("\"{old}\"")) && !text.contains(&format!("settings {old}")),
                "{file}: {text}"
            );
        }
        let after = desk.run(&["check"]);
        assert_eq!(out(&after).replace(new, old), out(&before), "the book says what it said");
        let names = figures.to_string().matches("value").count();
        assert_eq!(desk.json(&["figures", TODAY]).to_string().matches("value").count(), names);
    }
}

#[test]
fn a_name_that_cannot_be_is_refused() {
    let desk = spoken_of();
    desk.write("machines/gorse.md", MACHINE);
    let day = uri(&desk, TODAY);
    let mut editor = able();
    editor.open(&day, DAY);
    let position = behind(DAY, "machine = \"whin");
    for name in ["gorse", "", "a b", "../x", "x\"y", "a/b"] {
        let refused =
            editor.try_ask("textDocument/rename", asked(&day, &position, json!({ "newName": name })));
        assert_eq!(refused, Err(-32803), "{name}");
    }
    let prose = asked(&day, &behind(DAY, "It came"), json!({ "newName": "x" }));
    assert_eq!(editor.try_ask("textDocument/rename", prose.clone()), Err(-32803));
    assert_eq!(editor.ask("textDocument/prepareRename", prose), Value::Null);
    // An editor that does not rename files would leave the book in two halves.
    let mut unable = Editor::started();
    unable.open(&day, DAY);
    let good = asked(&day, &position, json!({ "newName": "fine" }));
    assert_eq!(unable.try_ask("textDocument/rename", good), Err(-32803));
}

#[test]
fn every_place_that_speaks_of_a_machine_or_an_instrument_is_found() {
    let desk = spoken_of();
    let (day, machine) = (uri(&desk, TODAY), uri(&desk, "machines/whin.md"));
    let mut editor = able();
    editor.open(&day, DAY);
    let mut places = |uri: &str, position: &Value| -> Vec<String> {
        let more = json!({ "context": { "includeDeclaration": true } });
        let found = editor.ask("textDocument/references", asked(uri, position, more));
        let root = super::client::uri(&desk, "");
        let told = |one: &Value| {
            let path = one["uri"].as_str().unwrap().strip_prefix(&root).unwrap();
            format!("{path} {}", at(&desk.read(path), &one["range"]))
        };
        found.as_array().unwrap().iter().map(told).collect()
    };
    let all = [
        "machines/whin.md ",
        "book.toml \"whin\"",
        "riders/tall.md whin",
        "days/2026-04-04.md \"whin\"",
        "days/2026-04-11.md \"whin\"",
    ];
    assert_eq!(places(&day, &behind(DAY, "machine = \"whin")), all);
    assert_eq!(places(&machine, &behind(MACHINE, "kind = \"machine")), all, "from its own head");
    let steel = places(&day, &behind(DAY, "tape = \"steel"));
    assert_eq!(steel[1..], ["book.toml \"steel\"", "days/2026-04-11.md \"steel\""]);
}

fn formatted(editor: &mut Editor, uri: &str, text: &str) -> String {
    let options = json!({ "tabSize": 4, "insertSpaces": true });
    let edits =
        editor.ask("textDocument/formatting", json!({ "textDocument": { "uri": uri }, "options": options }));
    edited(text, &edits)
}

#[test]
fn a_block_has_its_signs_under_each_other() {
    let desk = book();
    let day = uri(&desk, TODAY);
    let mut editor = Editor::started();
    let crooked = DAY
        .replace("tape = ", "tape=")
        .replace("hanging = \"612 mm\"", "hanging   =   \"612 mm\" # é 🏍 = that")
        .replace("alone = ", "alone\t= ");
    editor.open(&day, &crooked);
    let text = formatted(&mut editor, &day, &crooked);
    let block = "```sag rear\ntape    = \"steel\"\nhanging = \"612 mm\" # é 🏍 = that\nalone   = \"577 mm\"\naboard  = \"506 508 507 mm\"\n```\n";
    assert!(text.contains(block), "{text}");
    editor.change(&day, 2, json!([{ "text": text }]));
    assert_eq!(formatted(&mut editor, &day, &text), text, "once is enough");
    // Of a range, its own lines only, aligned as in the whole block.
    let line = crooked.lines().position(|line| line.starts_with("tape=")).unwrap();
    let range =
        json!({ "start": { "line": line, "character": 0 }, "end": { "line": line + 1, "character": 0 } });
    editor.change(&day, 2, json!([{ "text": crooked }]));
    let asked = json!({ "textDocument": { "uri": day }, "range": range, "options": { "tabSize": 4, "insertSpaces": true } });
    let edits = editor.ask("textDocument/rangeFormatting", asked);
    assert_eq!(edited(&crooked, &edits), crooked.replace("tape=", "tape    = "));
    // What cannot be read is left as written.
    let broken = crooked.replace("\"577 mm\"", "\"577 mm");
    editor.change(&day, 3, json!([{ "text": broken }]));
    assert_eq!(
        formatted(&mut editor, &day, &broken).split("```stint").next(),
        broken.split("```stint").next()
    );
}

/// All of a text but its blanks.
fn ink(text: &str) -> String {
    text.chars().filter(|letter| !matches!(letter, ' ' | '\t')).collect()
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 12, ..ProptestConfig::default() })]

    #[test]
    fn whatever_is_formatted_says_what_it_said(
        edits in proptest::collection::vec((any::<proptest::sample::Index>(), 0..9_usize), 0..12),
    ) {
        const PIECES: [&str; 9] = ["=", " ", "\"", "[", "]\n", "\n", "{ a = 1 }", "# ", "\"\"\""];
        let desk = book();
        let day = uri(&desk, TODAY);
        let mut text = DAY.to_owned();
        for (at, piece) in edits {
            let at = text.floor_char_boundary(at.index(text.len()));
            text.insert_str(at, PIECES[piece]);
        }
        let mut editor = Editor::started();
        editor.open(&day, &text);
        let formatted = formatted(&mut editor, &day, &text);
        prop_assert_eq!(ink(&formatted), ink(&text));
        desk.write(TODAY, &text);
        let findings = |desk: &Desk| -> Vec<String> {
            let lines = out(&desk.run(&["check", "--format", "json"])).to_owned();
            let told = |line: &str| {
                let found: Value = serde_json::from_str(line).unwrap();
                format!("{} {} {}", found["file"], found["line"], found["headline"])
            };
            lines.lines().map(told).collect()
        };
        let before = findings(&desk);
        desk.write(TODAY, &formatted);
        prop_assert_eq!(findings(&desk), before);
    }
}

#[test]
fn every_word_of_a_block_has_its_colour() {
    let desk = book();
    let day = uri(&desk, TODAY);
    let mut editor = Editor::started();
    editor.open(&day, DAY);
    let tokens = editor.ask("textDocument/semanticTokens/full", json!({ "textDocument": { "uri": day } }));
    let numbers: Vec<u64> =
        tokens["data"].as_array().unwrap().iter().map(|one| one.as_u64().unwrap()).collect();
    let (mut line, mut column) = (0, 0);
    let mut words = Vec::new();
    for token in numbers.chunks(5) {
        column = if token[0] == 0 { column + token[1] } else { token[1] };
        line += token[0];
        let place = |character: u64| json!({ "line": line, "character": character });
        let range = json!({ "start": place(column), "end": place(column + token[2]) });
        words.push((at(DAY, &range).to_owned(), token[3]));
    }
    for (word, kind) in [
        ("sag", 0),
        ("rear", 1),
        ("hanging", 2),
        ("\"steel\"", 3),
        ("\"612 mm\"", 4),
        ("2026-04-11", 4),
        ("sag.rear.rider", 5),
    ] {
        assert!(words.contains(&(word.to_owned(), kind)), "{word}: {words:?}");
    }
}
