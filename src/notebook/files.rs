//! Findings about files that could not be read.

use crate::finding::Finding;
use crate::source::{Fault, FaultKind};
use crate::speech::{Message, say};

use super::codes;

/// The finding about a file that could not be read.
pub fn fault_finding(fault: &Fault) -> Finding {
    let at = fault.span;
    match &fault.kind {
        FaultKind::NotUtf8 => Finding::new(&codes::NOT_UTF_8, at, say!("from here on this file is not UTF-8"))
            .help(say!("save it as UTF-8; photos and other files must not end in `.md`")),
        FaultKind::NameNotUtf8 => Finding::new(&codes::NAME_NOT_UTF_8, at, say!("this file's name is not UTF-8"))
            .help(say!("rename it with letters that every system writes alike")),
        FaultKind::NameHasControls => Finding::new(
            &codes::NAME_HAS_CONTROLS,
            at,
            say!("this file's name has characters that cannot be printed"),)
        .help(say!("rename it with letters, digits and hyphens")),
        FaultKind::TooLarge { limit } => {
            Finding::new(&codes::TOO_LARGE, at, say!("this file is larger than {limit} MiB", limit = limit >> 20))
                .help(say!("split it, or keep it out of the book"))
        }
        FaultKind::TooMany { limit } => Finding::new(
            &codes::TOO_MANY,
            at,
            say!("the book has more than {limit} files; this one and those after it are left out", limit),)
        .help(say!("give `--book` the folder that holds the notebooks alone")),
        FaultKind::TooManyNotebooks { found, limit } => Finding::new(
            &codes::TOO_MANY_NOTEBOOKS,
            at,
            say!("the book has {found} notebooks, and {limit} is the most; this one and those after it are left out", found, limit),)
        .help(say!("make several books of it, each with its own `book.toml`, or give `--book` the right folder")),
        FaultKind::BookTooLarge { found, limit } => Finding::new(
            &codes::BOOK_TOO_LARGE,
            at,
            say!(
                "the notebooks have {found} MiB in all, and {most} is the most; this one and those after it are left out",
                found = Message::number(format!("{:.1}", *found as f64 / f64::from(1 << 20))),
                most = limit >> 20
            ),)
        .help(say!("make several books of it, each with its own `book.toml`, or give `--book` the right folder")),
        FaultKind::TooDeep { limit } => Finding::new(
            &codes::FOLDER_TOO_DEEP,
            at,
            say!("this folder is more than {limit} folders deep and is left out", limit),)
        .help(say!("move it up")),
        FaultKind::AnotherBook => Finding::new(&codes::ANOTHER_BOOK, at, say!("this folder is a book of its own"))
            .found(say!("what is in it belongs to that one"))
            .help(say!("check it by itself with `--book`, or delete its `book.toml`")),
        FaultKind::LeadsOut => {
            Finding::new(&codes::LEADS_OUT, at, say!("this link leads out of the book and is not read"))
                .help(say!("put what it leads to into the book, in its place"))
        }
        FaultKind::Unreadable { reason } => {
            Finding::new(&codes::UNREADABLE, at, say!("this could not be read{reason}", reason = Message::foreign(format!(": {reason}"))))
                .help(say!("see who may read it"))
        }
    }
}
