//! What is offered while somebody writes.

use serde_json::{Value, json};

use super::client::{Editor, behind, edited, uri};
use super::{BOOK, DAY, RIDER, TODAY, book};
use crate::desk::Desk;

/// An editor in which a text of the book is being written.
struct Desktop {
    _desk: Desk,
    editor: Editor,
    uri: String,
    version: i64,
}

impl Desktop {
    fn on(path: &str, text: &str) -> Self {
        let desk = book();
        let uri = uri(&desk, path);
        let mut editor = Editor::started();
        editor.open(&uri, text);
        Self { _desk: desk, editor, uri, version: 1 }
    }

    /// The items at the mark `|` of a text.
    fn items(&mut self, marked: &str) -> (String, Vec<Value>) {
        let position = behind(&marked.replace('|', "\u{1}"), "\u{1}");
        let mut position = position;
        position["character"] = json!(position["character"].as_u64().unwrap() - 1);
        let text = marked.replacen('|', "", 1);
        self.version += 1;
        self.editor.change(&self.uri, self.version, json!([{ "text": text }]));
        let at = json!({ "textDocument": { "uri": self.uri }, "position": position });
        let items = self.editor.ask("textDocument/completion", at);
        (text, items.as_array().unwrap().clone())
    }

    fn labels(&mut self, marked: &str) -> Vec<String> {
        let (_, items) = self.items(marked);
        items.iter().map(|item| item["label"].as_str().unwrap().to_owned()).collect()
    }

    /// The text once an offer is accepted.
    fn taken(&mut self, marked: &str, label: &str) -> String {
        let (text, items) = self.items(marked);
        let item =
            items.iter().find(|item| item["label"] == label).unwrap_or_else(|| panic!("{label}: {items:?}"));
        edited(&text, &json!([item["textEdit"]]))
    }
}

const HEAD: &str = "+++\nkind = \"day\"\ndate = 2026-04-11\nmachine = \"whin\"\nrider = \"tall\"\ntrack = \"hill\"\n+++\n\né ± 🏍\n\n";

fn day(body: &str) -> String {
    format!("{HEAD}{body}")
}

#[test]
fn blocks_are_offered_behind_a_fence_and_their_words_behind_them() {
    let mut desk = Desktop::on(TODAY, DAY);
    let words = desk.labels(&day("```|\n"));
    assert!(words.contains(&"sag".to_owned()) && words.contains(&"stint".to_owned()), "{words:?}");
    // A day has no frame.
    assert!(!words.contains(&"frame".to_owned()), "{words:?}");
    assert_eq!(desk.labels(&day("```sag |\n")), ["front", "rear"]);
    assert_eq!(desk.labels(&day("```stint |\n")), ["practice", "qualifying", "race"]);
    assert_eq!(desk.taken(&day("```pre|\n"), "pressures"), day("```pressures\n"));
    assert_eq!(desk.labels(&day("Dry. |\n")), [""; 0]);
    assert_eq!(desk.labels(&day("```sag rear\nhanging = \"612 mm\"\n```\n|\n")), [""; 0]);
    assert_eq!(Desktop::on("riders/tall.md", RIDER).labels(&format!("{RIDER}\n```settings |\n")), ["whin"]);
}

#[test]
fn keys_are_offered_that_are_not_there_yet_with_what_they_are() {
    let mut desk = Desktop::on(TODAY, DAY);
    let marked = day("```sag rear\nhanging = \"612 mm\"\n|\naboard = \"507 mm\"\n```\n");
    let keys = desk.labels(&marked);
    assert!(keys.contains(&"alone".to_owned()), "{keys:?}");
    assert!(!keys.contains(&"hanging".to_owned()) && !keys.contains(&"aboard".to_owned()), "{keys:?}");
    let (_, items) = desk.items(&marked);
    let alone = items.iter().find(|item| item["label"] == "alone").unwrap();
    assert!(alone["documentation"]["value"].as_str().unwrap().contains("no rider"), "{alone}");
    let taken = desk.taken(&day("```change\nfork.re|\n```\n"), "fork.rebound");
    assert_eq!(taken, day("```change\nfork.rebound = \n```\n"));
    // Some editors compare only the part behind the dot with the names; a family that does not exist must still get offers.
    let forks = desk.labels(&day("```change\nfork.re|\n```\n"));
    assert!(forks.len() > 1 && forks.iter().all(|name| name.starts_with("fork.")), "{forks:?}");
    assert!(desk.labels(&day("```change\nfrok.re|\n```\n")).contains(&"fork.rebound".to_owned()));
    // A value is written already.
    let taken = desk.taken(&day("```change\nfork.re| = \"2 clicks in\"\n```\n"), "fork.rebound");
    assert_eq!(taken, day("```change\nfork.rebound = \"2 clicks in\"\n```\n"));
    assert!(desk.labels("+++\nkind = \"day\"\n|\n+++\n").contains(&"machine".to_owned()));
    assert!(
        Desktop::on("book.toml", BOOK).labels(&format!("{BOOK}\n[defaults]\n|")).contains(&"tape".to_owned())
    );
}

#[test]
fn names_of_the_book_are_offered_where_they_belong() {
    let mut desk = Desktop::on(TODAY, DAY);
    for (key, name) in [("machine", "whin"), ("rider", "tall"), ("track", "hill")] {
        assert_eq!(desk.labels(&format!("+++\nkind = \"day\"\n{key} = \"|\"\n+++\n")), [name]);
    }
    assert_eq!(desk.labels(&day("```sag rear\ntape = \"|\"\n```\n")), ["steel"]);
    let taken = desk.taken(&day("```sag rear\ntape = |\n```\n"), "steel");
    assert_eq!(taken, day("```sag rear\ntape = \"steel\"\n```\n"));
    assert_eq!(desk.labels(&day("```stint\nverdict = \"|\"\n```\n")), ["better", "worse", "same"]);
}

#[test]
fn figures_are_offered_behind_an_at_and_units_behind_a_number() {
    let mut desk = Desktop::on(TODAY, DAY);
    let taken = desk.taken(&day("🏍 It is `@sag.re|`.\n"), "sag.rear.rider");
    assert_eq!(taken, day("🏍 It is `@sag.rear.rider`.\n"));
    assert_eq!(desk.labels(&day("It is `@sag.rear.rider`, |\n")), [""; 0]);
    let units = desk.labels(&day("```sag rear\nhanging = \"612 |\"\n```\n"));
    assert!(units.contains(&"mm".to_owned()) && units.contains(&"in".to_owned()), "{units:?}");
    let taken = desk.taken(&day("```pressures\ntyre.front = \"13 p|\"\n```\n"), "psi");
    assert_eq!(taken, day("```pressures\ntyre.front = \"13 psi\"\n```\n"));
    assert_eq!(desk.labels(&day("```sag rear\nhanging = \"|\"\n```\n")), [""; 0]);
}

#[test]
fn complaints_are_offered_with_what_they_mean_and_the_places_of_the_track() {
    let mut desk = Desktop::on(TODAY, DAY);
    let marked = day("```stint\nfeel = \"|\"\n```\n");
    let (_, items) = desk.items(&marked);
    let headshake = items.iter().find(|item| item["label"] == "headshake").unwrap();
    assert!(!headshake["documentation"]["value"].as_str().unwrap().is_empty());
    assert!(items.iter().any(|item| item["label"] == "step"), "a section of the track");
    let taken = desk.taken(&day("```stint\nfeel = \"headshake str|\"\n```\n"), "straight");
    assert_eq!(taken, day("```stint\nfeel = \"headshake straight\"\n```\n"));
    assert_eq!(desk.labels(&day("```stint\nfeel = \"headshake 3 - on a |\"\n```\n")), [""; 0]);
}
