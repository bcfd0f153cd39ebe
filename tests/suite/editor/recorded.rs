//! Recorded conversations of real clients, played again: the answers and the last findings must be the same.
//!
//! Where an answer is meant to change, record the conversation anew: `tests/editors/README.md`.

use std::collections::BTreeMap;
use std::fs;
use std::path::Path;

use serde_json::Value;

use super::book;
use super::client::Editor;

/// Stands for the book's folder.
const BOOK: &str = "BOOK";

/// One message of a conversation.
struct Line {
    is_of_editor: bool,
    message: Value,
}

fn conversation(name: &str) -> String {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/editors").join(name);
    fs::read_to_string(path).unwrap()
}

fn lines(text: &str, folder: &str) -> Vec<Line> {
    let line = |line: &str| {
        let line: Value = serde_json::from_str(&line.replace(BOOK, folder)).unwrap();
        Line { is_of_editor: line["from"] == "editor", message: line["message"].clone() }
    };
    text.lines().map(line).collect()
}

/// The last publication for each file; a file with nothing in it counts as never published.
fn found<'m>(messages: impl Iterator<Item = &'m Value>) -> BTreeMap<String, Value> {
    let mut found = BTreeMap::new();
    for message in messages.filter(|message| message["method"] == "textDocument/publishDiagnostics") {
        let params = &message["params"];
        found.insert(params["uri"].as_str().unwrap().to_owned(), params["diagnostics"].clone());
    }
    found.retain(|_, diagnostics| diagnostics.as_array().is_some_and(|all| !all.is_empty()));
    found
}

/// Sends what the editor sent, and compares each answer with the recorded one. Returns how many requests there
/// were.
fn said_again(name: &str) -> usize {
    let desk = book();
    let folder = desk.folder.path().canonicalize().unwrap();
    let lines = lines(&conversation(name), folder.to_str().unwrap());
    let mut editor = Editor::silent();
    let renamed = (folder.join("machines/whin.md"), folder.join("machines/gorse.md"));
    let mut asked = 0;
    let mut heard = Vec::new();
    for (at, line) in lines.iter().enumerate() {
        if !line.is_of_editor {
            continue;
        }
        // The client that saves has renamed the file by then.
        if line.message["method"] == "textDocument/didSave" && renamed.0.exists() {
            fs::rename(&renamed.0, &renamed.1).unwrap();
        }
        editor.send(&Editor::framed(&line.message));
        let id = &line.message["id"];
        let is_request = !id.is_null() && line.message.get("method").is_some();
        if !is_request {
            continue;
        }
        asked += 1;
        let is_answer = |other: &&Line| {
            !other.is_of_editor && other.message["id"] == *id && other.message.get("method").is_none()
        };
        let recorded =
            lines[at..].iter().find(is_answer).unwrap_or_else(|| panic!("{name}: no answer to {id}"));
        let mut answer =
            editor.next_with(|message| message["id"] == *id && message.get("method").is_none(), &mut heard);
        let mut wanted = recorded.message.clone();
        // The server's own version may differ.
        for message in [&mut answer, &mut wanted] {
            if let Some(version) = message.pointer_mut("/result/serverInfo/version") {
                *version = Value::Null;
            }
        }
        assert_eq!(answer, wanted, "{name}: {}", line.message);
    }
    let recorded = found(lines.iter().filter(|line| !line.is_of_editor).map(|line| &line.message));
    assert_eq!(found(heard.iter()), recorded, "{name}: what is found in the end");
    asked
}

#[test]
fn neovim_is_answered_as_it_was() {
    assert!(said_again("neovim.jsonl") >= 12);
}

#[test]
fn a_client_on_node_is_answered_as_it_was() {
    assert!(said_again("node.jsonl") >= 11);
}
