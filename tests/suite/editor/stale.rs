//! Work that nobody waits for any more: cancelled, or about a text that has changed since.

use std::fmt::Write as _;
use std::sync::Mutex;
use std::sync::atomic::{AtomicUsize, Ordering};

use jiff::civil::date;
use loambook::editor::{Frame, Server};
use lsp_server::Message;
use serde_json::{Value, json};

use super::client::{Editor, behind, uri};
use super::random::{changed, introduced, notification, opened};
use super::{DAY, TODAY, book};
use crate::desk::Desk;

const CANCELLED: i64 = -32800;
const MODIFIED: i64 = -32801;

/// The sag on a line of its own, so that its text can be asked about.
const MENTION: &str = "@sag.rear.rider";

fn hover(id: i64, day: &str, text: &str) -> Frame {
    let params = json!({ "textDocument": { "uri": day }, "position": behind(text, MENTION) });
    let request = json!({ "jsonrpc": "2.0", "id": id, "method": "textDocument/hover", "params": params });
    Frame::Text(request.to_string())
}

fn cancel(id: i64) -> Frame {
    notification("$/cancelRequest", json!({ "id": id }))
}

/// The messages sent; a frame arrives when the server has looked for one so many times; whether it arrived.
fn said(server: &mut Server, frames: Vec<Frame>, after: usize, meanwhile: Frame) -> (Vec<Value>, bool) {
    let looks = AtomicUsize::new(0);
    let meanwhile = Mutex::new(Some(meanwhile));
    let ahead = || {
        let has_come = looks.fetch_add(1, Ordering::Relaxed) >= after;
        has_come.then(|| meanwhile.lock().unwrap().take()).flatten().into_iter().collect()
    };
    let mut all = Vec::new();
    let mut say = |message: Message| all.push(serde_json::to_value(message).unwrap());
    server.take_with(frames, date(2026, 5, 1), &ahead, &mut say);
    let has_come = meanwhile.lock().unwrap().is_none();
    (all, has_come)
}

fn answer(said: &[Value], id: i64) -> Result<Value, i64> {
    let all: Vec<&Value> = said.iter().filter(|message| message["id"] == id).collect();
    let [answer] = all.as_slice() else { panic!("one request has one answer: {all:?}") };
    match answer.get("error") {
        Some(error) => Err(error["code"].as_i64().unwrap()),
        None => Ok(answer["result"].clone()),
    }
}

/// The last publication for a file.
fn published(said: &[Value], uri: &str) -> Option<Value> {
    let mut told = said.iter().filter(|message| message["params"]["uri"] == uri);
    told.next_back().map(|message| message["params"]["diagnostics"].clone())
}

/// Wherever an edit comes in, the answer is of the text before it, or none at all. The findings then are those of the new
/// text.
#[test]
fn an_edit_breaks_off_what_is_worked_out_from_the_text_before_it() {
    let desk = book();
    let day = uri(&desk, TODAY);
    let edited = DAY.replace("507 mm", "507 kg");
    let ask = || vec![opened(&day, DAY), hover(7, &day, DAY)];
    let mut undisturbed = introduced();
    let (all, _) = said(&mut undisturbed, ask(), usize::MAX, cancel(0));
    let before = answer(&all, 7).unwrap();
    let edit = || changed(&day, 2, &[json!({ "text": edited })]);
    let (all, _) = said(&mut undisturbed, vec![edit()], usize::MAX, cancel(0));
    let after = published(&all, &day).unwrap();
    assert_ne!(after, json!([]));
    let mut broken_off = 0;
    for looks in 0.. {
        let mut server = introduced();
        let (all, has_come) = said(&mut server, ask(), looks, edit());
        if !has_come {
            break;
        }
        match answer(&all, 7) {
            Err(MODIFIED) => broken_off += 1,
            other => assert_eq!(other, Ok(before.clone()), "after {looks} looks"),
        }
        assert_eq!(published(&all, &day), Some(after.clone()), "after {looks} looks");
        // Asked anew, it is answered from the new text.
        let (all, _) = said(&mut server, vec![hover(8, &day, &edited)], usize::MAX, cancel(0));
        assert!(answer(&all, 8).is_ok());
    }
    // The notebooks that are read, the days that are replayed, and the days that are checked.
    assert!(broken_off >= 6, "{broken_off}");
}

#[test]
fn a_request_that_is_taken_back_is_broken_off_and_the_book_is_told_of_all_the_same() {
    let desk = book();
    let day = uri(&desk, TODAY);
    let text = DAY.replace("507 mm", "507 kg");
    let ask = || vec![opened(&day, &text), hover(7, &day, &text)];
    let (undisturbed, _) = said(&mut introduced(), ask(), usize::MAX, cancel(0));
    let mut broken_off = 0;
    for looks in 0.. {
        let (all, has_come) = said(&mut introduced(), ask(), looks, cancel(7));
        if !has_come {
            break;
        }
        match answer(&all, 7) {
            Err(CANCELLED) => broken_off += 1,
            other => assert_eq!(other, answer(&undisturbed, 7)),
        }
        assert_eq!(published(&all, &day), published(&undisturbed, &day), "after {looks} looks");
        // Cancelling another request changes nothing here.
        let (all, _) = said(&mut introduced(), ask(), looks, cancel(8));
        assert_eq!(answer(&all, 7), answer(&undisturbed, 7));
    }
    assert!(broken_off >= 6, "{broken_off}");
}

/// Enough days that the program is still at work when the next message comes.
fn long_book() -> Desk {
    let desk = book();
    for number in 0..1_500 {
        let on = date(2010, 1, 1).saturating_add(jiff::Span::new().days(number));
        let mut text = DAY.replace("2026-04-11", &on.to_string());
        let _ = write!(text, "\nRidden {number} days after the first.\n");
        desk.write(&format!("days/{on}.md"), &text);
    }
    desk
}

#[test]
fn the_program_breaks_off_a_long_compilation() {
    let desk = long_book();
    let day = uri(&desk, TODAY);
    let mut editor = Editor::started();
    let Frame::Text(asked) = hover(901, &day, DAY) else { panic!() };
    let asked: Value = serde_json::from_str(&asked).unwrap();
    editor.open(&day, DAY);
    editor.send(&Editor::framed(&asked));
    editor.change(&day, 2, json!([{ "text": DAY.replace("507 mm", "507 kg") }]));
    assert_eq!(editor.answer_to(901), Err(MODIFIED));
    editor.settle();
    assert_eq!(editor.found(&day, &DAY.replace("507 mm", "507 kg"))[0].1, "kg");
}
