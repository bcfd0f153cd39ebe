//! What is shown of a word that somebody points to.

use serde_json::{Value, json};

use super::client::{Editor, at, behind, uri};
use super::{BOOK, DAY, EARLIER, MACHINE, TODAY, book};

/// What is shown at the end of something that occurs once in a text, and for which words. Where the answer names none, they
/// are those at the position.
fn told(editor: &mut Editor, uri: &str, text: &str, what: &str) -> Option<(String, String)> {
    let position = behind(text, what);
    let hover =
        editor.ask("textDocument/hover", json!({ "textDocument": { "uri": uri }, "position": position }));
    if hover == Value::Null {
        return None;
    }
    let words = hover["contents"]["value"].as_str().unwrap().to_owned();
    let range = &hover["range"];
    if range.is_null() {
        return Some((words, what.to_owned()));
    }
    let place = |it: &Value| (it["line"].as_u64().unwrap(), it["character"].as_u64().unwrap());
    let is_around = place(&range["start"]) <= place(&position) && place(&position) <= place(&range["end"]);
    assert!(is_around, "{position} is not in {range}");
    Some((words, at(text, range).to_owned()))
}

#[test]
fn a_key_is_told_with_its_units_its_range_and_an_example() {
    let desk = book();
    let day = uri(&desk, TODAY);
    let mut editor = Editor::started();
    editor.open(&day, DAY);
    let (words, _) = told(&mut editor, &day, DAY, "hanging").unwrap();
    for part in ["length", "Units: mm", "Range: ", "Example: `hanging = \"105 mm\"`"] {
        assert!(words.contains(part), "{part} in {words}");
    }
    let (words, at) = told(&mut editor, &day, DAY, "```sag").unwrap();
    assert!(words.contains("sag front | rear") && at == "sag", "{words} at {at}");
    let (words, _) = told(&mut editor, &day, DAY, "kind = \"d").unwrap();
    assert!(words.contains("machine | rider | track | day"), "{words}");
    assert_eq!(told(&mut editor, &day, DAY, "It came"), None);

    let book = uri(&desk, "book.toml");
    editor.open(&book, BOOK);
    assert!(told(&mut editor, &book, BOOK, "title").unwrap().0.contains("of the book"));
    assert!(told(&mut editor, &book, BOOK, "resolution").is_some());
}

#[test]
fn a_setting_is_told_with_what_holds_above_and_since_where() {
    let desk = book();
    let earlier = uri(&desk, "days/2026-04-04.md");
    let mut editor = Editor::started();
    editor.open(&earlier, EARLIER);
    let (words, _) = told(&mut editor, &earlier, EARLIER, "fork.rebound").unwrap();
    let line = MACHINE[..MACHINE.find("fork.rebound").unwrap()].lines().count();
    assert!(words.contains(&format!("12 clicks, since whin.md, line {}", line + 1)), "{words}");
}

#[test]
fn a_figure_is_told_with_its_uncertainty_and_its_working_as_it_stands_there() {
    let desk = book();
    let day = uri(&desk, TODAY);
    let mut editor = Editor::started();
    editor.open(&day, DAY);
    let (words, at) = told(&mut editor, &day, DAY, "`@sag.rear").unwrap();
    assert_eq!(at, "sag.rear.rider");
    let desk_says = desk.json(&["why", "sag.rear.rider", TODAY]);
    for part in ["shown", "formula"] {
        let part = desk_says[part].as_str().unwrap();
        assert!(words.contains(part), "{part} in {words}");
    }
    assert!(words.contains("±") && words.contains("506 508 507 mm"), "{words}");
    // From the text that was not saved.
    let typed = DAY.replace("506 508 507", "496 498 497");
    editor.change(&day, 2, json!([{ "text": typed }]));
    let (words, _) = told(&mut editor, &day, &typed, "`@sag.rear").unwrap();
    assert!(words.contains("115") && words.contains("496 498 497"), "{words}");
}
