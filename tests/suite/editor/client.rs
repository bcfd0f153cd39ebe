//! An editor, as the server sees it: the real program with framed messages on its streams.

use std::collections::BTreeMap;
use std::io::{BufReader, Write};
use std::path::Path;
use std::process::{Child, ChildStdin, Stdio};
use std::sync::mpsc::{Receiver, channel};
use std::time::Duration;

use loambook::editor::{Frame, read};
use serde_json::{Value, json};

use crate::desk::{Desk, program};

/// Longer than any step takes that works.
const PATIENCE: Duration = Duration::from_secs(60);

pub struct Editor {
    child: Child,
    input: Option<ChildStdin>,
    heard: Receiver<Value>,
    next: i64,
    /// By address, as last published.
    pub diagnostics: BTreeMap<String, Value>,
    /// How often something was published for an address.
    pub published: BTreeMap<String, usize>,
    pub log: Vec<String>,
}

impl Editor {
    /// A server before its first message.
    pub fn silent() -> Self {
        let mut child = program()
            .arg("language-server")
            .stdin(Stdio::piped())
            .stdout(Stdio::piped())
            .stderr(Stdio::inherit())
            .spawn()
            .unwrap();
        let mut output = BufReader::new(child.stdout.take().unwrap());
        let (said, heard) = channel();
        std::thread::spawn(move || {
            while let Ok(Frame::Text(text)) = read(&mut output) {
                if said.send(serde_json::from_str(&text).unwrap()).is_err() {
                    break;
                }
            }
        });
        let input = child.stdin.take();
        Self {
            child,
            input,
            heard,
            next: 0,
            diagnostics: BTreeMap::new(),
            published: BTreeMap::new(),
            log: Vec::new(),
        }
    }

    pub fn started() -> Self {
        let mut editor = Self::silent();
        let told =
            editor.ask("initialize", json!({ "processId": null, "rootUri": null, "capabilities": {} }));
        assert_eq!(told["serverInfo"]["name"], "loambook");
        editor.tell("initialized", json!({}));
        editor
    }

    /// Sends bytes as they are.
    pub fn send(&mut self, bytes: &[u8]) {
        let input = self.input.as_mut().unwrap();
        input.write_all(bytes).unwrap();
        input.flush().unwrap();
    }

    pub fn framed(message: &Value) -> Vec<u8> {
        let text = message.to_string();
        format!("Content-Length: {}\r\n\r\n{text}", text.len()).into_bytes()
    }

    pub fn tell(&mut self, method: &str, params: Value) {
        self.send(&Self::framed(&json!({ "jsonrpc": "2.0", "method": method, "params": params })));
    }

    pub fn request(&mut self, method: &str, params: Value) -> (i64, Value) {
        self.next += 1;
        (self.next, json!({ "jsonrpc": "2.0", "id": self.next, "method": method, "params": params }))
    }

    /// The answer to a request: the result, or the error's code.
    pub fn try_ask(&mut self, method: &str, params: Value) -> Result<Value, i64> {
        let (id, message) = self.request(method, params);
        self.send(&Self::framed(&message));
        self.answer_to(id)
    }

    pub fn ask(&mut self, method: &str, params: Value) -> Value {
        self.try_ask(method, params).unwrap()
    }

    /// Waits for the answer to a request, and keeps the messages that come before it.
    pub fn answer_to(&mut self, id: i64) -> Result<Value, i64> {
        loop {
            let message = self.heard.recv_timeout(PATIENCE).expect("no answer");
            if message["id"] == id {
                return match message.get("error") {
                    Some(error) => Err(error["code"].as_i64().unwrap()),
                    None => Ok(message["result"].clone()),
                };
            }
            match message["method"].as_str() {
                Some("textDocument/publishDiagnostics") => {
                    let uri = message["params"]["uri"].as_str().unwrap().to_owned();
                    *self.published.entry(uri.clone()).or_default() += 1;
                    self.diagnostics.insert(uri, message["params"]["diagnostics"].clone());
                }
                Some("window/logMessage") => {
                    self.log.push(message["params"]["message"].as_str().unwrap().to_owned());
                }
                _ => panic!("{message}"),
            }
        }
    }

    /// The next message of a kind; earlier messages are kept.
    pub fn next_with(&mut self, is_it: impl Fn(&Value) -> bool, heard: &mut Vec<Value>) -> Value {
        loop {
            let message = self.heard.recv_timeout(PATIENCE).expect("no answer");
            if is_it(&message) {
                return message;
            }
            heard.push(message);
        }
    }

    /// Waits until everything that was sent is worked out. A book's findings are published after the answers to what
    /// came with the edit, so a second answer comes behind all of it.
    pub fn settle(&mut self) {
        for _ in 0..2 {
            assert_eq!(self.try_ask("loambook/nothing", Value::Null), Err(-32601));
        }
    }

    pub fn open(&mut self, uri: &str, text: &str) {
        let document = json!({ "uri": uri, "languageId": "markdown", "version": 1, "text": text });
        self.tell("textDocument/didOpen", json!({ "textDocument": document }));
    }

    pub fn change(&mut self, uri: &str, version: i64, changes: Value) {
        let document = json!({ "uri": uri, "version": version });
        self.tell("textDocument/didChange", json!({ "textDocument": document, "contentChanges": changes }));
    }

    pub fn close(&mut self, uri: &str) {
        self.tell("textDocument/didClose", json!({ "textDocument": { "uri": uri } }));
    }

    /// The codes of what is found in a file, with the text of each place.
    pub fn found(&self, uri: &str, text: &str) -> Vec<(String, String)> {
        let all = self.diagnostics.get(uri).and_then(Value::as_array).cloned().unwrap_or_default();
        all.iter()
            .map(|one| (one["code"].as_str().unwrap().to_owned(), at(text, &one["range"]).to_owned()))
            .collect()
    }

    /// Its exit status once its input ends.
    pub fn hang_up(mut self) -> Option<i32> {
        self.input = None;
        self.child.wait().unwrap().code()
    }
}

impl Drop for Editor {
    fn drop(&mut self) {
        let _ = self.child.kill();
        let _ = self.child.wait();
    }
}

/// The byte of a position, counted by code units one by one.
pub fn offset(text: &str, position: &Value) -> usize {
    let number = |key: &str| usize::try_from(position[key].as_u64().unwrap()).unwrap();
    let mut start = 0;
    for _ in 0..number("line") {
        start += text[start..].find('\n').map_or(text.len() - start, |end| end + 1);
    }
    let mut left = number("character");
    for (at, letter) in text[start..].char_indices() {
        if left == 0 || letter == '\n' {
            return start + at;
        }
        left = left.saturating_sub(letter.len_utf16());
    }
    text.len()
}

/// The position of a byte.
pub fn position(text: &str, offset: usize) -> Value {
    let before = &text[..offset];
    let line = before.matches('\n').count();
    let start = before.rfind('\n').map_or(0, |end| end + 1);
    json!({ "line": line, "character": before[start..].encode_utf16().count() })
}

/// Behind the last letter of a text that occurs once.
pub fn behind(text: &str, what: &str) -> Value {
    assert_eq!(text.matches(what).count(), 1, "{what}");
    position(text, text.find(what).unwrap() + what.len())
}

/// The text of a range.
pub fn at<'t>(text: &'t str, range: &Value) -> &'t str {
    &text[offset(text, &range["start"])..offset(text, &range["end"])]
}

/// The text with edits applied, each counted in the text before the edits.
pub fn edited(text: &str, edits: &Value) -> String {
    let mut edits: Vec<(usize, usize, &str)> = edits
        .as_array()
        .unwrap()
        .iter()
        .map(|edit| {
            let range = &edit["range"];
            let new = edit["newText"].as_str().unwrap();
            (offset(text, &range["start"]), offset(text, &range["end"]), new)
        })
        .collect();
    edits.sort_by_key(|(start, ..)| *start);
    let mut text = text.to_owned();
    for (start, end, new) in edits.into_iter().rev() {
        text.replace_range(start..end, new);
    }
    text
}

pub fn uri(desk: &Desk, path: &str) -> String {
    address(&desk.path(path))
}

/// Paths of the tests have no letters that an address would escape.
pub fn address(path: &Path) -> String {
    format!("file://{}", path.display())
}
