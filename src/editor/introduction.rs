//! What is sent first, and what is sent without being asked for.

use lsp_server::{ErrorCode, Message, Notification, Request, RequestId, Response};
use lsp_types::notification::{self as notice, Notification as _};
use lsp_types::request::{self as ask, Request as _};
use lsp_types::{
    CodeActionKind, CodeActionOptions, CodeActionProviderCapability, CompletionOptions,
    DidChangeWatchedFilesRegistrationOptions, FileSystemWatcher, GlobPattern, HoverProviderCapability,
    InitializeResult, LogMessageParams, MessageType, OneOf, Registration, RegistrationParams, RenameOptions,
    SaveOptions, SemanticTokensFullOptions, SemanticTokensOptions, SemanticTokensServerCapabilities,
    ServerCapabilities, ServerInfo, TextDocumentSyncCapability, TextDocumentSyncKind,
    TextDocumentSyncOptions, TextDocumentSyncSaveOptions,
};
use serde_json::Value;

use super::tokens;

/// The files of a book.
const WATCHED: [&str; 3] = ["**/*.md", "**/*.toml", "**/*.csv"];

pub(super) fn introduction() -> InitializeResult {
    InitializeResult {
        capabilities: ServerCapabilities {
            text_document_sync: Some(TextDocumentSyncCapability::Options(TextDocumentSyncOptions {
                open_close: Some(true),
                change: Some(TextDocumentSyncKind::INCREMENTAL),
                save: Some(TextDocumentSyncSaveOptions::SaveOptions(SaveOptions {
                    include_text: Some(true),
                })),
                ..TextDocumentSyncOptions::default()
            })),
            completion_provider: Some(CompletionOptions {
                trigger_characters: Some(["`", "@", ".", "\"", " "].map(str::to_owned).into()),
                ..CompletionOptions::default()
            }),
            definition_provider: Some(OneOf::Left(true)),
            document_symbol_provider: Some(OneOf::Left(true)),
            inlay_hint_provider: Some(OneOf::Left(true)),
            code_action_provider: Some(CodeActionProviderCapability::Options(CodeActionOptions {
                code_action_kinds: Some(vec![CodeActionKind::QUICKFIX]),
                ..CodeActionOptions::default()
            })),
            references_provider: Some(OneOf::Left(true)),
            rename_provider: Some(OneOf::Right(RenameOptions {
                prepare_provider: Some(true),
                work_done_progress_options: Default::default(),
            })),
            document_formatting_provider: Some(OneOf::Left(true)),
            document_range_formatting_provider: Some(OneOf::Left(true)),
            semantic_tokens_provider: Some(SemanticTokensServerCapabilities::SemanticTokensOptions(
                SemanticTokensOptions {
                    legend: tokens::legend(),
                    full: Some(SemanticTokensFullOptions::Bool(true)),
                    ..SemanticTokensOptions::default()
                },
            )),
            hover_provider: Some(HoverProviderCapability::Simple(true)),
            ..ServerCapabilities::default()
        },
        server_info: Some(ServerInfo {
            name: "loambook".to_owned(),
            version: Some(env!("CARGO_PKG_VERSION").to_owned()),
        }),
    }
}

pub(super) fn tell(method: &str, params: Value) -> Option<Message> {
    Some(Message::Notification(Notification { method: method.to_owned(), params }))
}

pub(super) fn log(message: String) -> Option<Message> {
    let params = LogMessageParams { typ: MessageType::WARNING, message };
    tell(notice::LogMessage::METHOD, serde_json::to_value(params).ok()?)
}

/// Asks for reports about files that other programs write: git, another editor, a file manager.
pub(super) fn watch() -> Option<Message> {
    let watchers = WATCHED.map(|pattern| FileSystemWatcher {
        glob_pattern: GlobPattern::String(pattern.to_owned()),
        kind: None,
    });
    let options = DidChangeWatchedFilesRegistrationOptions { watchers: watchers.into() };
    let registration = Registration {
        id: "loambook".to_owned(),
        method: notice::DidChangeWatchedFiles::METHOD.to_owned(),
        register_options: Some(serde_json::to_value(options).ok()?),
    };
    let params = RegistrationParams { registrations: vec![registration] };
    Some(Message::Request(Request {
        id: "loambook".to_owned().into(),
        method: ask::RegisterCapability::METHOD.to_owned(),
        params: serde_json::to_value(params).ok()?,
    }))
}

/// The reply to something that is not a message: an error where it asks for an answer, else a line in the log.
pub(super) fn misread(text: &str, error: &str) -> Option<Message> {
    let id = serde_json::from_str::<Value>(text).ok();
    let id = id.and_then(|value| serde_json::from_value::<RequestId>(value.get("id")?.clone()).ok());
    match id {
        Some(id) => {
            let why = "this is no request".to_owned();
            Some(Message::Response(Response::new_err(id, ErrorCode::InvalidRequest as i32, why)))
        }
        None => log(format!("this is not a message: {error}")),
    }
}
