//! Edits of a broken book: changes that are only tried, and an editor that asks and types.

use std::fmt::Write as _;
use std::fs;
use std::path::Path;

use loambook::document::{self, Templates};
use loambook::editor::{Frame, Server};
use loambook::pages::what_if::{self, Supposed, Typed};
use loambook::render::terminal::{self, TextOptions};
use loambook::session::Session;
use loambook::source::{Memory, limits};
use serde_json::{Value, json};

use super::books::Files;
use super::chance::Chance;
use super::trial::ASKED_ON;

/// Changes as they are typed, some of them nonsense.
const CHANGES: [&str; 10] = [
    "fork.height = 2 mm down",
    "shock.preload = 1 turn in",
    "shock.spring = 54 N/mm; drive.rear = 51",
    "main = +4 psi; counter = 900 psi",
    "fork.rebound = 99 clicks out",
    "tyre.front = 0 bar",
    "shock.preload = -1e300 mm",
    "sag.rear = \"",
    "because = 9; back = true",
    "é = 🏍 ± °",
];

/// What is typed into a text, and what is no message.
const PIECES: [&str; 10] =
    ["é", "± ", "🏍", "\n", "\r\n", "```\n", "```sag rear\n", "\"507 kg\"", "`@sag.rear.ridre`", "+++\n"];
const RUBBISH: [&str; 4] = ["{}", "[1, 2]", "{\"jsonrpc\": \"2.0\", \"id\": 1, \"method\": 5}", "\u{0}"];

const ASKED: [&str; 12] = [
    "hover",
    "completion",
    "definition",
    "references",
    "prepareRename",
    "rename",
    "documentSymbol",
    "inlayHint",
    "codeAction",
    "formatting",
    "rangeFormatting",
    "semanticTokens/full",
];

/// Tries a change on a day of the book.
pub fn tried(files: &Files, salt: u64) -> String {
    let mut chance = Chance::new(salt, 1);
    let mut store = Memory::new();
    for (path, bytes) in files {
        store.set(path.clone(), bytes.clone());
    }
    let Ok(mut session) = Session::over(&store) else { return String::new() };
    let now = session.compile(Some(ASKED_ON));
    let Some(about) = now.book.days.get(chance.below(now.book.days.len())) else { return String::new() };
    let path = about.notebook.path.clone();
    let day = now.book.days.iter().position(|day| day.notebook.path == path).unwrap();
    let text = now.book.sources.whole(about.notebook.document.file).to_owned();
    let typed = match Typed::read(&[*chance.pick(&CHANGES), *chance.pick(&CHANGES)]) {
        Ok(typed) => typed,
        Err(why) => return why,
    };
    session.edit(path.as_str(), typed.appended_to(&text));
    let with = session.compile(Some(ASKED_ON));
    let Some(there) = with.book.days.iter().position(|day| day.notebook.path == path) else {
        return String::new();
    };
    let file = with.book.days[there].notebook.document.file;
    let told = typed.told(&with.findings, &with.book.sources, file);
    let past = what_if::past_limits(&with.book, &with.season, there, &typed);
    let supposed = Supposed {
        book: &with.book,
        season: &with.season,
        allowed: None,
        typed: &typed,
        findings: &told.findings,
        solved: None,
    };
    let page =
        what_if::what_if(&now.book, &now.season, &now.advice, day, &[supposed], salt.is_multiple_of(2));
    let page = page.map(|page| {
        let laid = document::compose("try.md", &page, &Templates::new([]).unwrap()).unwrap();
        format!("{}{}", json!(page), terminal::write(&laid, TextOptions::default()))
    });
    // Undone, everything is as before.
    session.close(&path);
    assert_eq!(session.compile(Some(ASKED_ON)).findings, now.findings);
    format!("{past:?}{}", page.unwrap_or_default())
}

/// An editor over the book, on the disk: it opens a file, types and asks here and there.
pub fn edited(files: &Files, salt: u64) -> String {
    let mut chance = Chance::new(salt, 2);
    let folder = temp_dir::TempDir::new().unwrap();
    let root = folder.path().canonicalize().unwrap();
    for (path, bytes) in files.iter().filter(|(path, _)| lies_inside(path)) {
        let path = root.join(path);
        // A name that this disk does not allow is not a file here.
        let _ = path.parent().map(fs::create_dir_all);
        let _ = fs::write(path, bytes);
    }
    let names: Vec<&String> = files.keys().filter(|path| lies_inside(path)).collect();
    let mut server = Server::new();
    let mut told = String::new();
    let mut say = |server: &mut Server, frames: Vec<Frame>| {
        for message in server.take(frames, ASKED_ON) {
            let _ = writeln!(told, "{}", json!(message));
        }
    };
    say(&mut server, vec![message(Some(0), "initialize", json!({ "capabilities": {} }))]);
    for id in 0..chance.between(4, 24) {
        let Some(path) = names.get(chance.below(names.len())) else { break };
        let uri = address(&root.join(path));
        let text = String::from_utf8_lossy(&files[*path]).into_owned();
        let lines = text.lines().count() + 2;
        let mut place = || json!({ "line": chance.below(lines), "character": chance.below(40) });
        let (start, end) = (place(), place());
        let document = json!({ "uri": uri });
        let range = json!({ "start": start, "end": end });
        let frame = match chance.below(8) {
            0 => {
                let document = json!({ "uri": uri, "languageId": "markdown", "version": 1, "text": text });
                message(None, "textDocument/didOpen", json!({ "textDocument": document }))
            }
            1 | 2 => {
                let change = json!({ "range": range, "text": chance.pick(&PIECES) });
                let params = json!({
                    "textDocument": { "uri": uri, "version": id },
                    "contentChanges": [change],
                });
                message(None, "textDocument/didChange", params)
            }
            3 if chance.one_in(4) => {
                message(None, "textDocument/didClose", json!({ "textDocument": document }))
            }
            4 if chance.one_in(4) => Frame::Text((*chance.pick(&RUBBISH)).to_owned()),
            _ => {
                let params = json!({
                    "textDocument": document,
                    "position": start,
                    "range": range,
                    "newName": "another",
                    "context": { "includeDeclaration": true, "diagnostics": [] },
                    "options": { "tabSize": 4, "insertSpaces": true },
                });
                message(Some(id + 1), &format!("textDocument/{}", chance.pick(&ASKED)), params)
            }
        };
        say(&mut server, vec![frame]);
    }
    told.replace(&address(&root), "")
}

fn message(id: Option<usize>, method: &str, params: Value) -> Frame {
    let mut message = json!({ "jsonrpc": "2.0", "method": method, "params": params });
    if let Some(id) = id {
        message["id"] = json!(id);
    }
    Frame::Text(message.to_string())
}

/// Whether a name is one that may be written below a folder.
fn lies_inside(path: &str) -> bool {
    let is_plain = |part: &str| !part.is_empty() && part != "." && part != ".." && part.len() < 200;
    !path.contains(['\0', '\\', ':', '%'])
        && path.split('/').all(is_plain)
        && path.len() as u64 <= limits::DEPTH as u64 * 8
}

/// Every byte that is not a letter or digit is written as `%XX` (RFC 3986).
fn address(path: &Path) -> String {
    let mut address = "file://".to_owned();
    for byte in path.to_str().unwrap().bytes() {
        if byte.is_ascii_alphanumeric() || b"-._~/".contains(&byte) {
            address.push(char::from(byte));
        } else {
            let _ = write!(address, "%{byte:02X}");
        }
    }
    address
}
