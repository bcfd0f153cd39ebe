//! The conversation: which message gets which answer.

use std::collections::BTreeMap;
use std::path::PathBuf;

use jiff::civil::Date;
use lsp_server::{ErrorCode, Message, Notification, Request, RequestId, Response};
use lsp_types::notification::{self as notice, Notification as _};
use lsp_types::request::{self as ask, Request as _};
use lsp_types::{
    CodeActionParams, CompletionParams, DidChangeTextDocumentParams, DidChangeWatchedFilesParams,
    DidCloseTextDocumentParams, DidOpenTextDocumentParams, DidSaveTextDocumentParams,
    DocumentFormattingParams, DocumentRangeFormattingParams, DocumentSymbolParams, GotoDefinitionParams,
    HoverParams, InlayHintParams, ReferenceParams, RenameParams, SemanticTokensParams,
    TextDocumentPositionParams, Uri,
};
use serde::de::DeserializeOwned;
use serde_json::Value;

use crate::source::find_book;

use super::address;
use super::desk::Desk;
use super::frame::Frame;
use super::hover;
use super::inbox::{Ahead, Inbox, Stale};
use super::introduction::{introduction, tell, watch};
use super::page::Page;
use super::{completion, definition, fixes, format, hints, rename, symbols, tokens};

/// The word by which an editor says that it can rename files.
const RENAMES: &str = "rename";

/// How far the conversation has come.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Standing {
    /// The editor has not introduced itself yet.
    Waiting,
    Working,
    /// Asked to stop, and waiting for the exit.
    Stopping,
    /// Over; whether it was stopped first.
    Left {
        was_stopped: bool,
    },
}

/// One conversation with an editor.
pub struct Server {
    standing: Standing,
    desks: BTreeMap<PathBuf, Desk>,
    /// Whether the editor can put the cursor inside what it inserts.
    takes_snippets: bool,
    renames_files: bool,
    /// Whether the editor can report files that other programs write.
    watches_files: bool,
    /// Whether nothing more can come in.
    is_alone: bool,
}

/// A request being answered: its id, the date, and what has come in since.
struct Asked<'a> {
    id: RequestId,
    on: Date,
    inbox: &'a Inbox<'a>,
}

/// The result of a request.
type Answer = Result<Value, (ErrorCode, String)>;

impl Default for Server {
    fn default() -> Self {
        Self {
            standing: Standing::Waiting,
            desks: BTreeMap::new(),
            takes_snippets: false,
            renames_files: false,
            watches_files: false,
            is_alone: false,
        }
    }
}

impl Server {
    pub fn new() -> Self {
        Self::default()
    }

    pub fn standing(&self) -> Standing {
        self.standing
    }

    /// Whether the editor has gone, with or without saying so.
    pub fn is_alone(&self) -> bool {
        self.is_alone
    }

    /// The text of a file here; `None` where it is not open, or belongs to no book.
    pub fn text(&self, uri: &Uri) -> Option<&str> {
        let path = address::path(uri)?;
        let desk = self.desks.get(&find_book(&path)?)?;
        desk.text(&desk.within(&path)?)
    }

    /// Takes what has come in, in its order, and returns what to send.
    ///
    /// A book is compiled when something is asked of it, else once at the end: of many changes only the last is worked
    /// out.
    pub fn take(&mut self, frames: Vec<Frame>, on: Date) -> Vec<Message> {
        let mut said = Vec::new();
        self.take_with(frames, on, &Vec::new, &mut |message| said.push(message));
        said
    }

    /// The same, with what comes in meanwhile, until nothing is waiting. Work is broken off where its request was cancelled
    /// or the texts have changed. Each message is sent as soon as it exists.
    pub fn take_with(
        &mut self,
        frames: Vec<Frame>,
        on: Date,
        ahead: Ahead<'_>,
        say: &mut dyn FnMut(Message),
    ) {
        let inbox = Inbox::of(frames, ahead);
        loop {
            // The findings of an edit are sent behind the messages that came with it, and before later ones.
            for message in inbox.round() {
                self.take_one(message, on, &inbox).into_iter().for_each(&mut *say);
            }
            inbox.misread().into_iter().for_each(&mut *say);
            if self.standing == Standing::Working {
                let is_waited_for = || inbox.stale(None).is_none();
                for desk in self.desks.values_mut().filter(|desk| desk.has_changed()) {
                    for news in desk.news(on, &is_waited_for) {
                        let news = serde_json::to_value(news).ok();
                        news.and_then(|news| tell(notice::PublishDiagnostics::METHOD, news))
                            .into_iter()
                            .for_each(&mut *say);
                    }
                }
            }
            if inbox.is_empty() || matches!(self.standing, Standing::Left { .. }) {
                break;
            }
        }
        self.is_alone |= inbox.is_ended();
    }

    fn take_one(&mut self, message: Message, on: Date, inbox: &Inbox<'_>) -> Vec<Message> {
        match message {
            Message::Request(request) => {
                let id = request.id.clone();
                let answer = match inbox.stale(Some(&id)) {
                    Some(Stale::TakenBack) => Err(Stale::TakenBack.answer()),
                    _ => self.answer(request, on, inbox),
                };
                vec![Message::Response(match answer {
                    Ok(value) => Response { id, response_result: Ok(value) },
                    Err((code, why)) => Response::new_err(id, code as i32, why),
                })]
            }
            Message::Notification(notification) => {
                let is_ready = notification.method == notice::Initialized::METHOD;
                let asks = is_ready && self.watches_files && self.standing == Standing::Working;
                self.hear(notification);
                asks.then(watch).flatten().into_iter().collect()
            }
            // Nothing was asked that needs an answer.
            Message::Response(_) => Vec::new(),
        }
    }

    fn answer(&mut self, request: Request, on: Date, inbox: &Inbox<'_>) -> Answer {
        let Request { id, method, params } = request;
        match (self.standing, method.as_str()) {
            (Standing::Waiting, ask::Initialize::METHOD) => {
                self.standing = Standing::Working;
                let can = |what: &str| params.pointer(what).and_then(Value::as_bool).unwrap_or(false);
                self.takes_snippets =
                    can("/capabilities/textDocument/completion/completionItem/snippetSupport");
                self.watches_files = can("/capabilities/workspace/didChangeWatchedFiles/dynamicRegistration");
                let operations = params.pointer("/capabilities/workspace/workspaceEdit/resourceOperations");
                let operations = operations.and_then(Value::as_array);
                self.renames_files = operations.is_some_and(|all| all.iter().any(|one| one == RENAMES));
                return given(&introduction());
            }
            (Standing::Waiting, _) => {
                return Err((ErrorCode::ServerNotInitialized, "`initialize` comes first".to_owned()));
            }
            (Standing::Working, ask::Initialize::METHOD) => {
                return Err((ErrorCode::InvalidRequest, "`initialize` comes once".to_owned()));
            }
            (Standing::Working, ask::Shutdown::METHOD) => {
                self.standing = Standing::Stopping;
                return Ok(Value::Null);
            }
            (Standing::Working, _) => {}
            (Standing::Stopping | Standing::Left { .. }, _) => {
                return Err((ErrorCode::InvalidRequest, "it is shutting down".to_owned()));
            }
        }
        self.work(&method, params, &Asked { id, on, inbox })
    }

    /// Answers a request about a book.
    fn work(&mut self, method: &str, params: Value, asked: &Asked<'_>) -> Answer {
        match method {
            ask::HoverRequest::METHOD => {
                let it: HoverParams = wanted(params)?;
                let HoverParams { text_document_position_params: at, .. } = it;
                self.on_page(&at.text_document.uri, asked, |page| hover::hover(page, at.position))
            }
            ask::Completion::METHOD => {
                let CompletionParams { text_document_position: at, .. } = wanted(params)?;
                let takes_snippets = self.takes_snippets;
                self.on_page(&at.text_document.uri, asked, |page| {
                    Some(completion::completions(page, at.position, takes_snippets))
                })
            }
            ask::GotoDefinition::METHOD => {
                let GotoDefinitionParams { text_document_position_params: at, .. } = wanted(params)?;
                self.on_page(&at.text_document.uri, asked, |page| {
                    Some(definition::definitions(page, at.position))
                })
            }
            ask::DocumentSymbolRequest::METHOD => {
                let DocumentSymbolParams { text_document, .. } = wanted(params)?;
                self.on_page(&text_document.uri, asked, |page| Some(symbols::symbols(page)))
            }
            ask::InlayHintRequest::METHOD => {
                let InlayHintParams { text_document, range, .. } = wanted(params)?;
                self.on_page(&text_document.uri, asked, |page| Some(hints::hints(page, range)))
            }
            ask::CodeActionRequest::METHOD => {
                let CodeActionParams { text_document, range, .. } = wanted(params)?;
                self.on_page(&text_document.uri, asked, |page| {
                    Some(fixes::fixes(page, &page.compiled.told(asked.on), range))
                })
            }
            ask::References::METHOD => {
                let ReferenceParams { text_document_position: at, context, .. } = wanted(params)?;
                self.on_page(&at.text_document.uri, asked, |page| {
                    Some(rename::references(page, at.position, context.include_declaration))
                })
            }
            ask::PrepareRenameRequest::METHOD => {
                let TextDocumentPositionParams { text_document, position } = wanted(params)?;
                self.on_page(&text_document.uri, asked, |page| rename::prepare(page, position))
            }
            ask::Rename::METHOD => {
                let RenameParams { text_document_position: at, new_name, .. } = wanted(params)?;
                if !self.renames_files {
                    let why = "this editor does not rename files, and the name is the file's".to_owned();
                    return Err((ErrorCode::RequestFailed, why));
                }
                let mut refused = None;
                let edit = self.on_page(&at.text_document.uri, asked, |page| {
                    rename::rename(page, at.position, &new_name).map_err(|why| refused = Some(why)).ok()
                })?;
                refused.map_or(Ok(edit), |why| Err((ErrorCode::RequestFailed, why)))
            }
            ask::Formatting::METHOD => {
                let DocumentFormattingParams { text_document, .. } = wanted(params)?;
                self.on_page(&text_document.uri, asked, |page| Some(format::aligned(page)))
            }
            ask::RangeFormatting::METHOD => {
                let DocumentRangeFormattingParams { text_document, range, .. } = wanted(params)?;
                self.on_page(&text_document.uri, asked, |page| Some(format::aligned_in(page, range)))
            }
            ask::SemanticTokensFullRequest::METHOD => {
                let SemanticTokensParams { text_document, .. } = wanted(params)?;
                self.on_page(&text_document.uri, asked, |page| Some(tokens::tokens(page)))
            }
            _ => Err((ErrorCode::MethodNotFound, format!("`{method}` is not offered"))),
        }
    }

    /// Answers from a file of a compiled book; with nothing where there is no such file.
    fn on_page<T: serde::Serialize>(
        &mut self,
        uri: &Uri,
        asked: &Asked<'_>,
        answer: impl FnOnce(&Page<'_>) -> Option<T>,
    ) -> Answer {
        let Some((desk, path)) = self.desk(uri) else { return Ok(Value::Null) };
        let stale = || asked.inbox.stale(Some(&asked.id));
        let Some(compiled) = desk.compiled(asked.on, &|| stale().is_none()).cloned() else {
            return Err(stale().unwrap_or(Stale::Outdated).answer());
        };
        let uri = |path: &str| desk.uri(path);
        let page = Page::of(&compiled, &path, &uri);
        given(&page.and_then(|page| answer(&page)))
    }

    fn hear(&mut self, notification: Notification) {
        let Notification { method, params } = notification;
        if method == notice::Exit::METHOD {
            self.standing = Standing::Left { was_stopped: self.standing == Standing::Stopping };
        }
        if self.standing != Standing::Working {
            return;
        }
        // A message of the wrong form has no effect.
        match method.as_str() {
            notice::DidOpenTextDocument::METHOD => {
                let Some(DidOpenTextDocumentParams { text_document: it }) = read(params) else { return };
                if let Some((desk, path)) = self.desk(&it.uri) {
                    desk.open(path, it.uri, it.version, it.text);
                    self.look_around();
                }
            }
            notice::DidChangeTextDocument::METHOD => {
                let Some(it) = read::<DidChangeTextDocumentParams>(params) else { return };
                if let Some((desk, path)) = self.desk(&it.text_document.uri) {
                    desk.change(path, it.text_document.version, it.content_changes);
                }
            }
            notice::DidCloseTextDocument::METHOD => {
                let Some(it) = read::<DidCloseTextDocumentParams>(params) else { return };
                if let Some((desk, path)) = self.desk(&it.text_document.uri) {
                    desk.close(path);
                    self.look_around();
                }
            }
            notice::DidSaveTextDocument::METHOD => {
                let Some(it) = read::<DidSaveTextDocumentParams>(params) else { return };
                if let Some((desk, path)) = self.desk(&it.text_document.uri) {
                    desk.save(path, it.text);
                    self.look_around();
                }
            }
            notice::DidChangeWatchedFiles::METHOD => {
                let Some(it) = read::<DidChangeWatchedFilesParams>(params) else { return };
                for change in it.changes {
                    // A file of a book that nobody works on does not matter here.
                    let path = address::path(&change.uri);
                    for desk in self.desks.values_mut() {
                        if let Some(path) = path.as_deref().and_then(|path| desk.within(path)) {
                            desk.look_again(path);
                        }
                    }
                }
            }
            _ => {}
        }
    }

    /// With an opening, saving or closing more may have happened: a rename removes one file and makes another. An editor with
    /// file reports sends these by itself.
    fn look_around(&mut self) {
        if !self.watches_files {
            self.desks.values_mut().for_each(Desk::look_around);
        }
    }

    /// The book of a file, and the file's path in it: the nearest folder upward with a `book.toml`. `None` where there is
    /// none.
    fn desk(&mut self, uri: &Uri) -> Option<(&mut Desk, String)> {
        let path = address::path(uri)?;
        let root = find_book(&path)?;
        if !self.desks.contains_key(&root) {
            let desk = Desk::over(root.clone()).ok()?;
            self.desks.insert(root.clone(), desk);
        }
        let desk = self.desks.get_mut(&root)?;
        let path = desk.within(&path)?;
        Some((desk, path))
    }
}

fn read<T: DeserializeOwned>(params: Value) -> Option<T> {
    serde_json::from_value(params).ok()
}

fn wanted<T: DeserializeOwned>(params: Value) -> Result<T, (ErrorCode, String)> {
    serde_json::from_value(params).map_err(|error| (ErrorCode::InvalidParams, error.to_string()))
}

fn given(value: &impl serde::Serialize) -> Answer {
    serde_json::to_value(value).map_err(|error| (ErrorCode::InternalError, error.to_string()))
}
