//! Findings about files that could not be read.

use crate::finding::Finding;
use crate::source::{Fault, FaultKind};

use super::codes;

/// What to say about a file that is there and could not be taken.
pub fn fault_finding(fault: &Fault) -> Finding {
    let at = fault.span;
    match &fault.kind {
        FaultKind::NotUtf8 => Finding::new(&codes::NOT_UTF_8, at, "from here on this file is not UTF-8")
            .help("save it as UTF-8; photos and other files must not end in `.md`"),
        FaultKind::NameNotUtf8 => Finding::new(&codes::NAME_NOT_UTF_8, at, "this file's name is not UTF-8")
            .help("rename it with letters that every system writes alike"),
        FaultKind::NameHasControls => Finding::new(
            &codes::NAME_HAS_CONTROLS,
            at,
            "this file's name holds characters that are no letters",
        )
        .help("rename it with letters, digits and hyphens"),
        FaultKind::TooLarge { limit } => {
            Finding::new(&codes::TOO_LARGE, at, format!("this file is larger than {} MiB", limit >> 20))
                .help("split it, or keep it out of the book")
        }
        FaultKind::TooMany { limit } => Finding::new(
            &codes::TOO_MANY,
            at,
            format!("the book has more than {limit} files; this one and those behind it are left out"),
        )
        .help("give `--book` the folder that holds the notebooks alone"),
        FaultKind::TooManyNotebooks { found, limit } => Finding::new(
            &codes::TOO_MANY_NOTEBOOKS,
            at,
            format!("the book has {found} notebooks, and {limit} is the most; this one and those behind it are left out"),
        )
        .help("make several books of it, each with its own `book.toml`, or give `--book` the right folder"),
        FaultKind::BookTooLarge { found, limit } => Finding::new(
            &codes::BOOK_TOO_LARGE,
            at,
            format!(
                "the notebooks have {:.1} MiB in all, and {} is the most; this one and those behind it are left out",
                *found as f64 / f64::from(1 << 20),
                limit >> 20
            ),
        )
        .help("make several books of it, each with its own `book.toml`, or give `--book` the right folder"),
        FaultKind::TooDeep { limit } => Finding::new(
            &codes::FOLDER_TOO_DEEP,
            at,
            format!("this folder lies more than {limit} folders deep and is left out"),
        )
        .help("move it up"),
        FaultKind::AnotherBook => Finding::new(&codes::ANOTHER_BOOK, at, "this folder is a book of its own")
            .found("what lies in it belongs to that one")
            .help("check it by itself with `--book`, or take its `book.toml` away"),
        FaultKind::LeadsOut => {
            Finding::new(&codes::LEADS_OUT, at, "this link leads out of the book and is not read")
                .help("put what it leads to into the book, in its place")
        }
        FaultKind::Unreadable { reason } => {
            Finding::new(&codes::UNREADABLE, at, format!("this could not be read: {reason}"))
                .help("see who may read it")
        }
    }
}
