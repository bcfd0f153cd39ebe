//! What can be wrong with a notebook as a text, whatever it is about.

mod files;
mod text;

use crate::finding::{Code, Severity};

pub use files::*;
pub use text::*;

const fn error(name: &'static str, page: &'static str) -> Code {
    Code { name, severity: Severity::Error, since: "0.1.0", page }
}

/// Every code of this room.
pub static CODES: &[&Code] = &[
    &HEAD_MISSING,
    &HEAD_OPEN,
    &FENCE_OPEN,
    &UNKNOWN_BLOCK,
    &UNREAD,
    &CONFLICT,
    &TOO_DEEP,
    &SYNTAX,
    &SPACED_KEY,
    &UNQUOTED,
    &REPEATED_KEY,
    &NOT_FINITE,
    &NUMBER_TOO_LARGE,
    &MORE_ERRORS,
    &NOT_UTF_8,
    &NAME_NOT_UTF_8,
    &NAME_HAS_CONTROLS,
    &TOO_LARGE,
    &TOO_MANY,
    &TOO_MANY_NOTEBOOKS,
    &BOOK_TOO_LARGE,
    &TOO_MANY_BLOCKS,
    &TOO_MANY_VALUES,
    &BOOK_TOO_LONG,
    &FOLDER_TOO_DEEP,
    &LEADS_OUT,
    &ANOTHER_BOOK,
    &UNREADABLE,
];
