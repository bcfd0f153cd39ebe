//! What has come in and is waiting, and what it means for the present work.
//!
//! While something is worked out, more comes in: the request may be cancelled, or its text changed. The work looks here
//! between one notebook and the next.

use std::collections::VecDeque;
use std::sync::{Mutex, MutexGuard, PoisonError};

use lsp_server::{ErrorCode, Message, Notification, RequestId};
use lsp_types::notification::{self as notice, Notification as _};

use super::frame::Frame;
use super::introduction::{log, misread};

/// Returns what has come in since the last call, without waiting for more.
pub type Ahead<'a> = &'a (dyn Fn() -> Vec<Frame> + Sync);

/// Messages in their order.
pub(super) struct Inbox<'a> {
    ahead: Ahead<'a>,
    waiting: Mutex<Waiting>,
}

#[derive(Default)]
struct Waiting {
    messages: VecDeque<Message>,
    /// Replies to what was not a message.
    misread: Vec<Message>,
    /// Whether nothing more comes.
    is_ended: bool,
}

/// Why nobody waits for an answer any more.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Stale {
    TakenBack,
    /// The texts have changed, or will not be asked about again.
    Outdated,
}

impl Stale {
    pub fn answer(self) -> (ErrorCode, String) {
        match self {
            Self::TakenBack => (ErrorCode::RequestCanceled, "cancelled".to_owned()),
            Self::Outdated => {
                let why = "the text was changed before this was worked out".to_owned();
                (ErrorCode::ContentModified, why)
            }
        }
    }
}

impl<'a> Inbox<'a> {
    pub fn of(frames: Vec<Frame>, ahead: Ahead<'a>) -> Self {
        let mut waiting = Waiting::default();
        frames.into_iter().for_each(|frame| waiting.add(frame));
        Self { ahead, waiting: Mutex::new(waiting) }
    }

    /// The messages that are waiting now, one after the other.
    pub fn round(&self) -> impl Iterator<Item = Message> {
        let count = self.look_ahead().messages.len();
        (0..count).map_while(|_| self.lock().messages.pop_front())
    }

    /// The replies to what was not a message, each once.
    pub fn misread(&self) -> Vec<Message> {
        std::mem::take(&mut self.look_ahead().misread)
    }

    pub fn is_empty(&self) -> bool {
        let waiting = self.look_ahead();
        waiting.messages.is_empty() && waiting.misread.is_empty()
    }

    /// Whether the stream has ended behind what has come in. Nothing more is taken in here, since no one would
    /// get the answer.
    pub fn is_ended(&self) -> bool {
        self.lock().is_ended
    }

    /// Whether an answer is already stale; `None` where somebody waits for it. Findings, which nobody requests, have no
    /// request id.
    pub fn stale(&self, request: Option<&RequestId>) -> Option<Stale> {
        let waiting = self.look_ahead();
        let is_taken_back = |message: &Message| request.is_some() && cancels(message).as_ref() == request;
        if waiting.messages.iter().any(is_taken_back) {
            return Some(Stale::TakenBack);
        }
        (waiting.is_ended || waiting.messages.iter().any(outdates)).then_some(Stale::Outdated)
    }

    fn lock(&self) -> MutexGuard<'_, Waiting> {
        // A panic while it was held still leaves it whole.
        self.waiting.lock().unwrap_or_else(PoisonError::into_inner)
    }

    fn look_ahead(&self) -> MutexGuard<'_, Waiting> {
        let mut waiting = self.lock();
        (self.ahead)().into_iter().for_each(|frame| waiting.add(frame));
        waiting
    }
}

impl Waiting {
    fn add(&mut self, frame: Frame) {
        match frame {
            Frame::Text(text) => match serde_json::from_str(&text) {
                Ok(message) => self.messages.push_back(message),
                Err(error) => self.misread.extend(misread(&text, &error.to_string())),
            },
            Frame::Broken(what) => self.misread.extend(log(what)),
            Frame::End => self.is_ended = true,
        }
    }
}

/// The request that a message cancels.
fn cancels(message: &Message) -> Option<RequestId> {
    match message {
        Message::Notification(notification) if notification.method == notice::Cancel::METHOD => {
            serde_json::from_value(notification.params.get("id")?.clone()).ok()
        }
        _ => None,
    }
}

/// Whether a message makes work on the present texts useless.
fn outdates(message: &Message) -> bool {
    let Message::Notification(Notification { method, .. }) = message else { return false };
    [
        notice::DidOpenTextDocument::METHOD,
        notice::DidChangeTextDocument::METHOD,
        notice::DidCloseTextDocument::METHOD,
        notice::DidChangeWatchedFiles::METHOD,
        notice::Exit::METHOD,
    ]
    .contains(&method.as_str())
}
