//! How a conversation begins, continues whatever is sent, and ends; the findings while somebody types.

use serde_json::{Value, json};

use super::client::{Editor, behind, position, uri};
use super::{DAY, MACHINE, TODAY, book};
use crate::desk::{Desk, code};

#[test]
fn it_is_introduced_once_and_leaves_when_it_is_told_to() {
    let mut editor = Editor::silent();
    assert_eq!(editor.try_ask("textDocument/hover", json!({})), Err(-32002));
    let told = editor.ask("initialize", json!({ "capabilities": {} }));
    assert_eq!(told["capabilities"]["textDocumentSync"]["change"], 2);
    assert_eq!(editor.try_ask("initialize", json!({})), Err(-32600));
    assert_eq!(editor.try_ask("loambook/unknown", json!({})), Err(-32601));
    assert_eq!(editor.ask("shutdown", Value::Null), Value::Null);
    assert_eq!(editor.try_ask("textDocument/hover", json!({})), Err(-32600));
    editor.tell("exit", Value::Null);
    assert_eq!(editor.hang_up(), Some(0));

    let mut abrupt = Editor::started();
    abrupt.tell("exit", Value::Null);
    assert_eq!(abrupt.hang_up(), Some(1));
    assert_eq!(Editor::started().hang_up(), Some(1), "an editor that died takes the server along");
}

#[test]
fn findings_come_from_the_text_as_it_is_typed_and_not_from_the_disk() {
    let desk = book();
    let day = uri(&desk, TODAY);
    let mut editor = Editor::started();
    editor.open(&day, DAY);
    editor.settle();
    assert_eq!(editor.found(&day, DAY), []);

    // Behind letters of two and four bytes on the same line.
    let typed = DAY.replace("out at `@sag.rear.rider`", "out at 9 °C ± é 🏍 `@sag.rear.ridre`");
    editor.change(&day, 2, json!([{ "text": typed }]));
    editor.settle();
    let found = editor.found(&day, &typed);
    assert_eq!(found.iter().map(|(_, text)| text.as_str()).collect::<Vec<_>>(), ["sag.rear.ridre"]);

    let range = |text: &str, what: &str| {
        let start = text.find(what).unwrap();
        json!({ "start": position(text, start), "end": position(text, start + what.len()) })
    };
    editor.change(&day, 3, json!([{ "range": range(&typed, "ridre"), "text": "rider" }]));
    editor.settle();
    assert_eq!(editor.found(&day, &typed), []);

    let in_kilograms = DAY.replace("507 mm", "507 kg");
    editor.change(&day, 4, json!([{ "text": in_kilograms }]));
    editor.settle();
    assert_eq!(editor.found(&day, &in_kilograms)[0].1, "kg");
    // What was never saved goes with its window.
    editor.close(&day);
    editor.settle();
    assert_eq!(editor.found(&day, DAY), []);
}

#[test]
fn what_an_edit_does_to_other_files_is_told_of_them() {
    let desk = book();
    let (machine, day) = (uri(&desk, "machines/whin.md"), uri(&desk, TODAY));
    let mut editor = Editor::started();
    editor.open(&machine, MACHINE);
    editor.settle();
    assert!(!editor.published.contains_key(&day), "nothing is wrong with it");
    let tight = MACHINE.replace("aim = \"105 mm\", within = \"100..110 mm\"", "within = \"80..90 mm\"");
    editor.change(&machine, 2, json!([{ "text": tight }]));
    editor.settle();
    assert_eq!(editor.diagnostics[&day].as_array().unwrap().len(), 1);
    let told = &editor.diagnostics[&day][0]["relatedInformation"];
    assert!(told.as_array().unwrap().iter().any(|place| place["location"]["uri"] == machine), "{told}");
    editor.change(&machine, 3, json!([{ "text": MACHINE }]));
    editor.settle();
    assert_eq!(editor.diagnostics[&day], json!([]));
}

#[test]
fn a_file_that_something_else_wrote_is_looked_at_when_the_editor_says_so() {
    let desk = book();
    let (day, track) = (uri(&desk, TODAY), uri(&desk, "tracks/hill.md"));
    let mut editor = Editor::started();
    editor.open(&day, DAY);
    editor.settle();
    std::fs::remove_file(desk.path("tracks/hill.md")).unwrap();
    editor.tell("workspace/didChangeWatchedFiles", json!({ "changes": [{ "uri": track, "type": 3 }] }));
    editor.settle();
    assert_eq!(editor.found(&day, DAY).iter().map(|(_, at)| at.as_str()).collect::<Vec<_>>(), ["\"hill\""]);
}

#[test]
fn a_saved_text_is_right_whatever_changes_came_before() {
    let desk = book();
    let day = uri(&desk, TODAY);
    let mut editor = Editor::started();
    editor.open(&day, DAY);
    // Out of order, as an editor may send them: each later change is applied to another text.
    let start = behind(DAY, "alone");
    editor.change(&day, 3, json!([{ "range": { "start": start, "end": start }, "text": "x" }]));
    editor.settle();
    assert!(!editor.found(&day, DAY).is_empty());
    editor.tell("textDocument/didSave", json!({ "textDocument": { "uri": day }, "text": DAY }));
    editor.settle();
    assert_eq!(editor.found(&day, DAY), []);
}

#[test]
fn of_many_changes_on_end_the_last_is_worked_out() {
    let desk = book();
    let day = uri(&desk, TODAY);
    let mut editor = Editor::started();
    editor.open(&day, DAY);
    editor.settle();
    let before = editor.published[&day];
    let mut burst = Vec::new();
    for version in 2..202 {
        burst.extend(Editor::framed(&json!({
            "jsonrpc": "2.0",
            "method": "textDocument/didChange",
            "params": {
                "textDocument": { "uri": day, "version": version },
                "contentChanges": [{ "range": { "start": behind(DAY, "🏍"), "end": behind(DAY, "🏍") }, "text": "x" }],
            },
        })));
    }
    editor.send(&burst);
    editor.settle();
    // The first may be taken by itself before the others arrive, and some more while those are read.
    let worked_out = editor.published[&day] - before;
    assert!((1..20).contains(&worked_out), "{worked_out}");
}

#[test]
fn a_request_that_was_taken_back_is_answered_so() {
    let desk = book();
    let day = uri(&desk, TODAY);
    let mut editor = Editor::started();
    editor.open(&day, DAY);
    let (id, asked) = editor.request("loambook/anything", json!({}));
    let back = json!({ "jsonrpc": "2.0", "method": "$/cancelRequest", "params": { "id": id } });
    // While the book is read both wait together.
    editor.send(&[Editor::framed(&asked), Editor::framed(&back)].concat());
    let answer = editor.answer_to(id);
    assert!(matches!(answer, Err(-32800 | -32601)), "{answer:?}");
    let unknown = json!({ "jsonrpc": "2.0", "method": "$/cancelRequest", "params": { "id": "never" } });
    editor.send(&Editor::framed(&unknown));
    editor.settle();
}

#[test]
fn whatever_is_sent_the_conversation_goes_on() {
    let desk = book();
    let day = uri(&desk, TODAY);
    let mut editor = Editor::started();
    editor.send(b"Content-Length: many\r\n\r\n");
    editor.send(b"Content-Length: 7\r\n\r\nrubbish");
    editor.send(b"Content-Length: 2\r\n\r\n\xff\xfe");
    editor.send(&Editor::framed(&json!([1, 2])));
    editor.send(&Editor::framed(&json!({ "jsonrpc": "2.0", "id": 990, "method": 5 })));
    assert_eq!(editor.answer_to(990), Err(-32600));
    for params in
        [json!(null), json!([]), json!({ "textDocument": 3 }), json!({ "textDocument": { "uri": "::" } })]
    {
        for method in ["didOpen", "didChange", "didClose", "didSave"] {
            editor.tell(&format!("textDocument/{method}"), params.clone());
        }
    }
    // Never opened; then with positions outside the text.
    editor.change(&day, 2, json!([{ "text": "x" }]));
    editor.close(&day);
    editor.open(&day, DAY);
    let past = json!({ "line": u32::MAX, "character": u32::MAX });
    let start = json!({ "line": 0, "character": 0 });
    editor.change(&day, 3, json!([{ "range": { "start": past, "end": past }, "text": "\nThe end.\n" }]));
    editor.change(&day, 4, json!([{ "range": { "start": past, "end": start }, "text": DAY }]));
    editor.settle();
    assert_eq!(editor.found(&day, DAY), []);
    assert!(editor.log.len() >= 3, "{:?}", editor.log);
}

#[test]
fn a_file_of_no_book_is_left_alone() {
    let none = Desk::empty();
    none.write("README.md", "+++\nkind = \"dya\"\n+++\n");
    let mut editor = Editor::started();
    for address in
        [uri(&none, "README.md"), "untitled:Untitled-1".to_owned(), "https://example.org/a.md".to_owned()]
    {
        editor.open(&address, "+++\nkind = \"dya\"\n+++\n");
        editor.change(&address, 2, json!([{ "text": "x" }]));
        editor.close(&address);
    }
    editor.settle();
    assert_eq!(editor.diagnostics.len(), 0);
    assert_eq!(code(&none.run(&["language-server", "--help"])), 0);
}
