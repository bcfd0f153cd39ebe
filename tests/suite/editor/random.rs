//! Random edits: the server has the editor's text, and finds what `check` finds in it.

use std::path::Path;

use jiff::civil::date;
use loambook::editor::{Frame, Server};
use lsp_server::Message;
use lsp_types::Uri;
use proptest::prelude::*;
use serde_json::{Value, json};

use super::client::{Editor, offset, uri};
use super::{DAY, TODAY, book};
use crate::desk::{Desk, out};

const PIECES: [&str; 14] = [
    "é",
    "± ",
    "°C",
    "🏍",
    "\n",
    "\r\n",
    "x",
    "```\n",
    "```sag rear\n",
    "\"507 kg\"",
    "= ",
    "`@sag.rear.ridre`",
    "",
    "+++\n",
];

/// A change as an editor makes it: from one place of its text to another, and the new text there.
type Drawn = (u32, u32, usize);

/// A text as an editor keeps it that counts in code units.
struct Units(Vec<u16>);

impl Units {
    fn of(text: &str) -> Self {
        Self(text.encode_utf16().collect())
    }

    fn text(&self) -> String {
        String::from_utf16(&self.0).unwrap()
    }

    /// A place that cuts no character and no line end.
    fn place(&self, drawn: u32) -> usize {
        let mut at = drawn as usize % (self.0.len() + 1);
        while at > 0
            && at < self.0.len()
            && ((0xDC00..0xE000).contains(&self.0[at]) || (self.0[at] == 10 && self.0[at - 1] == 13))
        {
            at -= 1;
        }
        at
    }

    fn position(&self, at: usize) -> Value {
        let (mut line, mut start) = (0, 0);
        for (index, unit) in self.0[..at].iter().enumerate() {
            let is_end = *unit == 10 || (*unit == 13 && self.0.get(index + 1) != Some(&10));
            if is_end {
                (line, start) = (line + 1, index + 1);
            }
        }
        json!({ "line": line, "character": at - start })
    }

    /// Makes the change, and gives it in the protocol's form.
    fn change(&mut self, (from, to, piece): Drawn) -> Value {
        let (from, to) = (self.place(from), self.place(to));
        // Mostly near each other, so that something is left of the text.
        let (start, end) = (from.min(to), from.max(to).min(from.min(to) + 9));
        let end = self.place(u32::try_from(end).unwrap());
        let piece = PIECES[piece % PIECES.len()];
        let change = json!({
            "range": { "start": self.position(start), "end": self.position(end.max(start)) },
            "text": piece,
        });
        self.0.splice(start..end.max(start), piece.encode_utf16());
        change
    }
}

fn drawn(most: usize) -> impl Strategy<Value = Vec<Drawn>> {
    proptest::collection::vec((any::<u32>(), any::<u32>(), any::<usize>()), 1..most)
}

pub(super) fn notification(method: &str, params: Value) -> Frame {
    Frame::Text(json!({ "jsonrpc": "2.0", "method": method, "params": params }).to_string())
}

pub(super) fn introduced() -> Server {
    let mut server = Server::new();
    let hello =
        json!({ "jsonrpc": "2.0", "id": 1, "method": "initialize", "params": { "capabilities": {} } });
    assert_eq!(server.take(vec![Frame::Text(hello.to_string())], date(2026, 5, 1)).len(), 1);
    server
}

pub(super) fn opened(uri: &str, text: &str) -> Frame {
    let document = json!({ "uri": uri, "languageId": "markdown", "version": 1, "text": text });
    notification("textDocument/didOpen", json!({ "textDocument": document }))
}

pub(super) fn changed(uri: &str, version: usize, changes: &[Value]) -> Frame {
    let document = json!({ "uri": uri, "version": version });
    notification("textDocument/didChange", json!({ "textDocument": document, "contentChanges": changes }))
}

#[test]
fn changes_on_end_are_compiled_once() {
    let desk = book();
    let day = uri(&desk, TODAY);
    let mut server = introduced();
    let first = vec![opened(&day, DAY)];
    assert_eq!(server.take(first, date(2026, 5, 1)).len(), 1);
    let mut units = Units::of(DAY);
    let burst = (2..50).map(|version| changed(&day, version, &[units.change((400, 400, 6))])).collect();
    // One publication for the one open file, of its last version.
    let told = server.take(burst, date(2026, 5, 1));
    let [Message::Notification(told)] = told.as_slice() else { panic!("{told:?}") };
    assert_eq!(told.params["version"], 49);
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 48, ..ProptestConfig::default() })]

    #[test]
    fn the_servers_text_is_the_editors(edits in drawn(40)) {
        let desk = book();
        let day = uri(&desk, TODAY);
        let mut server = introduced();
        let mut units = Units::of(DAY);
        server.take(vec![opened(&day, DAY)], date(2026, 5, 1));
        // Several changes in one message, each counted in the text that those before it left.
        for (version, some) in edits.chunks(3).enumerate() {
            let changes: Vec<Value> = some.iter().map(|drawn| units.change(*drawn)).collect();
            server.take(vec![changed(&day, version + 2, &changes)], date(2026, 5, 1));
            let address: Uri = day.parse().unwrap();
            let text = units.text();
            prop_assert_eq!(server.text(&address), Some(text.as_str()));
        }
    }
}

/// What `check` finds, a line each, with places in code units.
fn checked(desk: &Desk) -> Vec<String> {
    let output = desk.run(&["check", "--format", "json"]);
    let line = |line: &str| {
        let found: Value = serde_json::from_str(line).unwrap();
        let path = found["file"].as_str().unwrap();
        let text = std::fs::read_to_string(desk.path(path)).unwrap_or_default();
        let place = |line: &str, column: &str| {
            let (line, column) = (found[line].as_u64().unwrap() - 1, found[column].as_u64().unwrap() - 1);
            let content = text.split('\n').nth(usize::try_from(line).unwrap()).unwrap_or("");
            let units: usize =
                content.chars().take(usize::try_from(column).unwrap()).map(char::len_utf16).sum();
            offset(&text, &json!({ "line": line, "character": units }))
        };
        let (start, end) = (place("line", "column"), place("end_line", "end_column"));
        format!(
            "{path} {start}..{end} {} {}",
            found["code"].as_str().unwrap(),
            found["headline"].as_str().unwrap()
        )
    };
    let mut lines: Vec<String> = out(&output).lines().map(line).collect();
    lines.sort();
    lines
}

/// The same as the editor received it.
fn told(editor: &Editor, root: &Path, texts: impl Fn(&str) -> String) -> Vec<String> {
    let root = format!("file://{}/", root.display());
    let mut lines = Vec::new();
    for (uri, all) in &editor.diagnostics {
        let path = uri.strip_prefix(&root).unwrap();
        let text = texts(path);
        for one in all.as_array().unwrap() {
            let place = |end: &str| offset(&text, &one["range"][end]);
            let headline = one["message"].as_str().unwrap().lines().next().unwrap();
            lines.push(format!(
                "{path} {}..{} {} {headline}",
                place("start"),
                place("end"),
                one["code"].as_str().unwrap()
            ));
        }
    }
    lines.sort();
    lines
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 10, ..ProptestConfig::default() })]

    #[test]
    fn what_is_told_is_what_check_finds(edits in drawn(12)) {
        let desk = book();
        let day = uri(&desk, TODAY);
        let mut editor = Editor::started();
        editor.open(&day, DAY);
        let mut units = Units::of(DAY);
        for (version, some) in edits.chunks(4).enumerate() {
            for drawn in some {
                let change = units.change(*drawn);
                editor.change(&day, i64::try_from(version).unwrap() + 2, json!([change]));
            }
            editor.settle();
            desk.write(TODAY, &units.text());
            let told = told(&editor, desk.folder.path(), |path| desk.read(path));
            prop_assert_eq!(told, checked(&desk));
        }
    }
}
