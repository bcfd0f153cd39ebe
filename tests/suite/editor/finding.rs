//! The way from a word to what it means, and what is shown beside a notebook.

use serde_json::{Value, json};

use super::client::{Editor, at, behind, edited, uri};
use super::{BOOK, DAY, EARLIER, MACHINE, TODAY, book};
use crate::desk::Desk;

/// The texts of all places that are found from the end of something that occurs once in a text, with their
/// files.
fn meant(desk: &Desk, editor: &mut Editor, path: &str, text: &str, what: &str) -> Vec<(String, String)> {
    let asked = json!({ "textDocument": { "uri": uri(desk, path) }, "position": behind(text, what) });
    let places = editor.ask("textDocument/definition", asked);
    let root = uri(desk, "");
    let place = |place: &Value| {
        let path = place["uri"].as_str().unwrap().strip_prefix(&root).unwrap().to_owned();
        let text = desk.read(&path);
        (path, at(&text, &place["range"]).to_owned())
    };
    places.as_array().unwrap().iter().map(place).collect()
}

fn place(path: &str, text: &str) -> (String, String) {
    (path.to_owned(), text.to_owned())
}

#[test]
fn a_name_leads_to_what_it_names() {
    let desk = book();
    let mut editor = Editor::started();
    editor.open(&uri(&desk, TODAY), DAY);
    let mut go = |what: &str| meant(&desk, &mut editor, TODAY, DAY, what);
    assert_eq!(go("machine = \"whin"), [place("machines/whin.md", "")]);
    assert_eq!(go("rider = \"t"), [place("riders/tall.md", "")]);
    assert_eq!(go("track = \"hill"), [place("tracks/hill.md", "")]);
    let steel = go("tape = \"steel");
    assert!(matches!(steel.as_slice(), [(path, _)] if path == "book.toml"), "{steel:?}");
    assert_eq!(go("It came"), []);
}

#[test]
fn a_setting_leads_to_where_it_was_set_and_a_figure_to_its_band_and_its_readings() {
    let desk = book();
    let later =
        DAY.replace("```stint", "```change\nfork.rebound = \"1 click in\"\nbecause = \"x\"\n```\n\n```stint");
    desk.write(TODAY, &later);
    let mut editor = Editor::started();
    editor.open(&uri(&desk, TODAY), &later);
    assert_eq!(
        meant(&desk, &mut editor, TODAY, &later, "fork.rebound"),
        [place("days/2026-04-04.md", "\"2 clicks out\"")]
    );
    assert_eq!(
        meant(&desk, &mut editor, "days/2026-04-04.md", EARLIER, "fork.rebound"),
        [place("machines/whin.md", "\"12 clicks\"")]
    );
    let figure = meant(&desk, &mut editor, TODAY, &later, "`@sag.rear");
    assert_eq!(figure[0], place("machines/whin.md", "sag.rear.rider"));
    assert!(figure.contains(&place(TODAY, "\"506 508 507 mm\"")), "{figure:?}");
}

#[test]
fn the_blocks_of_a_notebook_are_its_symbols() {
    let desk = book();
    let mut editor = Editor::started();
    editor.open(&uri(&desk, TODAY), DAY);
    let symbols =
        editor.ask("textDocument/documentSymbol", json!({ "textDocument": { "uri": uri(&desk, TODAY) } }));
    let names = |symbols: &Value| -> Vec<String> {
        symbols.as_array().unwrap().iter().map(|one| one["name"].as_str().unwrap().to_owned()).collect()
    };
    assert_eq!(names(&symbols)[1..], ["sag rear", "stint"]);
    assert_eq!(names(&symbols[1]["children"]), ["tape", "hanging", "alone", "aboard"]);
    assert_eq!(at(DAY, &symbols[1]["children"][3]["range"]), "aboard = \"506 508 507 mm\"");
    let about = editor
        .ask("textDocument/documentSymbol", json!({ "textDocument": { "uri": uri(&desk, "book.toml") } }));
    assert_eq!(about, json!([]));
    let machine = json!({ "textDocument": { "uri": uri(&desk, "machines/whin.md") } });
    let symbols = editor.ask("textDocument/documentSymbol", machine);
    // What stands between braces is a value.
    assert_eq!(names(&symbols[3]["children"]), ["sag.rear.rider"]);
    assert!(MACHINE.contains("```band"));
}

#[test]
fn what_readings_come_to_stands_beside_them() {
    let desk = book();
    let mut editor = Editor::started();
    let day = uri(&desk, TODAY);
    editor.open(&day, DAY);
    let whole = json!({ "start": { "line": 0, "character": 0 }, "end": { "line": 99, "character": 0 } });
    let asked = json!({ "textDocument": { "uri": day }, "range": whole });
    let hints = editor.ask("textDocument/inlayHint", asked.clone());
    let hints: Vec<(&Value, &str)> = hints
        .as_array()
        .unwrap()
        .iter()
        .map(|hint| (&hint["position"], hint["label"].as_str().unwrap()))
        .collect();
    let says = |name: &str| desk.json(&["why", name, TODAY])["shown"].as_str().unwrap().to_owned();
    let [(sag, told), (_, laps)] = hints.as_slice() else { panic!("{hints:?}") };
    assert_eq!(**sag, behind(DAY, "```sag rear"));
    for name in ["sag.rear.static", "sag.rear.rider"] {
        assert!(told.contains(&says(name)), "{name} in {told}");
    }
    assert!(laps.contains(&says("laps.best")), "{laps}");
    let mut above = asked;
    above["range"]["end"]["line"] = json!(2);
    assert_eq!(editor.ask("textDocument/inlayHint", above), json!([]));
}

#[test]
fn what_a_chamber_lost_is_not_said_twice() {
    let desk = Desk::empty();
    let machine =
        "+++\nkind = \"machine\"\n+++\n\n```chamber main\nvolume = \"200 ml\"\narea = \"8.5 cm²\"\n```\n";
    let on = |date: &str, key: &str| {
        let head = DAY.split("# Dry").next().unwrap().replace("2026-04-11", date);
        format!(
            "{head}```conditions\nair = \"9 °C\"\n```\n\n```pressures\n{key}main = \"{} psi\"\nat = \"9 °C\"\n```\n",
            if key.is_empty() { 152 } else { 120 }
        )
    };
    desk.write("book.toml", BOOK);
    desk.write("machines/whin.md", machine);
    desk.write("tracks/hill.md", super::TRACK);
    desk.write("days/2026-04-04.md", &on("2026-04-04", ""));
    desk.write(TODAY, &on("2026-04-11", "found."));
    let day = uri(&desk, TODAY);
    let mut editor = Editor::started();
    editor.open(&day, &desk.read(TODAY));
    let whole = json!({ "start": { "line": 0, "character": 0 }, "end": { "line": 99, "character": 0 } });
    let hints =
        editor.ask("textDocument/inlayHint", json!({ "textDocument": { "uri": day }, "range": whole }));
    let told = hints.as_array().unwrap().last().unwrap()["label"].as_str().unwrap();
    assert!(told.contains("main chamber lost 32.0 psi in 7 days"), "{told}");
}

#[test]
fn a_finding_with_a_sure_way_out_is_mended_by_it() {
    let desk = book();
    let mut editor = Editor::started();
    let day = uri(&desk, TODAY);
    let wrong = DAY
        .replace("🏍", "é 🏍")
        .replace("hanging =", "hangign =")
        .replace("sag.rear.rider`", "sag.rear.ridre`");
    editor.open(&day, &wrong);
    editor.settle();
    let mut text = wrong;
    for (mended, version) in [("hanging", 2), ("sag.rear.rider`", 3)] {
        let found = editor.diagnostics[&day].as_array().unwrap().clone();
        let ask = |found: &Value| json!({ "textDocument": { "uri": day }, "range": found["range"], "context": { "diagnostics": [] } });
        let actions: Vec<Value> = found
            .iter()
            .flat_map(|found| editor.ask("textDocument/codeAction", ask(found)).as_array().unwrap().clone())
            .filter(|action| edited(&text, &action["edit"]["changes"][&day]).contains(mended))
            .collect();
        assert!(!actions.is_empty(), "{mended}: {found:?}");
        assert_eq!(actions[0]["kind"], "quickfix");
        text = edited(&text, &actions[0]["edit"]["changes"][&day]);
        editor.change(&day, version, json!([{ "text": text }]));
        editor.settle();
    }
    assert_eq!(editor.found(&day, &text), []);
    let nothing = json!({ "textDocument": { "uri": day }, "range": { "start": { "line": 0, "character": 0 }, "end": { "line": 99, "character": 0 } }, "context": { "diagnostics": [] } });
    assert_eq!(editor.ask("textDocument/codeAction", nothing), json!([]));
    assert!(BOOK.contains("steel"));
}
