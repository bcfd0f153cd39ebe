//! The tables without a fence: a notebook's head and `book.toml`.

use crate::quantity::Kind;
use crate::vocabulary::spec::{Argument, NotebookKind, Open, Shape, ValueSpec};
use crate::vocabulary::values::{Dated, Given, Written};

use super::block;

const KINDS: &[&str] = &["machine", "rider", "track", "day"];
/// The words of `paper`.
pub const A4: &str = "a4";
pub const LETTER: &str = "letter";

block! {
    /// The head of a notebook.
    Head "head", Argument::None, &NotebookKind::ALL, Open::Units, "The head of a notebook, between `+++` lines." {
        kind: Written = "kind", ValueSpec::word(KINDS), None, None, "`machine`, `rider`, `track` or `day`";
        name: Written = "name", ValueSpec::text(), None, None, "as printed; the file's name when not given";
        date: Dated = "date", ValueSpec::of(Shape::Date), None, None, "of a day";
        order: Given = "order", ValueSpec::positive(&[Kind::Count]), None, None, "of a day: its place among the notebooks of one date; their first `start` when not given";
        machine: Written = "machine", ValueSpec::text(), None, None, "of a day: the name of a machine's notebook";
        rider: Written = "rider", ValueSpec::text(), None, None, "of a day: the name of a rider's notebook";
        track: Written = "track", ValueSpec::text(), None, None, "of a day: the name of a track's notebook";
        language: Written = "language", ValueSpec::text(), None, None, "of a rider: the language of their pages; the book's when not given";
    }
}

block! {
    /// `book.toml`.
    BookHead "book", Argument::None, &[], Open::Book, "`book.toml`, at the top of a book; every key may be left out." {
        title: Written = "title", ValueSpec::text(), None, None, "of the book";
        language: Written = "language", ValueSpec::text(), None, None, "language of findings and pages: `en` when not given, `de`, `es`, or one of the book's own `templates/words`";
        paper: Written = "paper", ValueSpec::word(&[A4, LETTER]), None, None, "`a4` or `letter`";
        tape: Written = "defaults.tape", ValueSpec::text(), None, None, "the tape when a block names none";
        gauge: Written = "defaults.gauge", ValueSpec::text(), None, None, "the gauge when a block names none";
        scale: Written = "defaults.scale", ValueSpec::text(), None, None, "the scale when a block names none";
        thermometer: Written = "defaults.thermometer", ValueSpec::text(), None, None, "the thermometer when a block names none";
        barometer: Written = "defaults.barometer", ValueSpec::text(), None, None, "the barometer when a block names none";
        hygrometer: Written = "defaults.hygrometer", ValueSpec::text(), None, None, "the hygrometer when a block names none";
        altimeter: Written = "defaults.altimeter", ValueSpec::text(), None, None, "the altimeter when a block names none";
        machine: Written = "defaults.machine", ValueSpec::text(), None, None, "the machine when a day names none";
        rider: Written = "defaults.rider", ValueSpec::text(), None, None, "the rider when a day names none";
        folder: Written = "output.folder", ValueSpec::text(), None, None, "where sheets go when the command names no place";
    }
}
