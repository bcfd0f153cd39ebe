//! Heads: a notebook's own, and `book.toml`.

use std::collections::BTreeMap;

use crate::finding::Finding;
use crate::notebook::Table;
use crate::quantity::{UnitDefaults, Units};
use crate::source::{FileId, Span, down};
use crate::speech::{Tongue, say};
use crate::vocabulary::blocks::{BookHead, Head, Unread};
use crate::vocabulary::values::{UnitChoice, Written};
use crate::vocabulary::{BlockSpec, Header, Reader, Typed};

use super::tongues::Tongues;
use super::{About, codes};

/// A head's table as if it had a fence, so that it is read like any block.
fn header(spec: &BlockSpec, table: &Table) -> Header {
    let fence = Span { end: table.span.start, ..table.span };
    Header { word: spec.word, argument: None, fence, span: table.span, unread: Unread::default() }
}

/// The units that a table chooses, and the language.
fn units(choices: &[UnitChoice], tongue: Option<Tongue>) -> Units {
    let mut units = Units::default();
    for choice in choices {
        units.set(choice.kind, choice.unit);
    }
    if let Some(tongue) = tongue {
        units.speak(tongue);
    }
    units
}

/// Reads a notebook's head.
pub(super) fn read_head(table: &Table, tongues: &Tongues, findings: &mut Vec<Finding>) -> (Head, Units) {
    let defaults = UnitDefaults::default();
    let mut reader = Reader::new(&defaults, findings);
    let head = Head::read(header(Head::SPEC, table), table, &mut reader);
    let tongue = head.language.as_ref().and_then(|language| tongues.find(language, findings));
    let units = units(&head.others.units, tongue);
    (head, units)
}

/// Reads `book.toml`.
pub(super) fn read_about(
    file: FileId,
    table: &Table,
    tongues: &Tongues,
    findings: &mut Vec<Finding>,
) -> About {
    let defaults = UnitDefaults::default();
    let mut reader = Reader::new(&defaults, findings);
    let head = BookHead::read(header(BookHead::SPEC, table), table, &mut reader);
    let tongue = head.language.as_ref().and_then(|language| tongues.find(language, findings));
    let folder = head.folder.and_then(|folder| folder_of_the_book(folder, findings));
    let instruments: BTreeMap<_, _> = head
        .others
        .instruments
        .iter()
        .map(|instrument| (instrument.name.clone(), instrument.clone()))
        .collect();
    About {
        file: Some(file),
        title: head.title.map(|title| title.text),
        paper: head.paper,
        units: units(&head.others.units, tongue),
        language: head.language,
        instruments,
        tape: head.tape,
        gauge: head.gauge,
        scale: head.scale,
        thermometer: head.thermometer,
        barometer: head.barometer,
        hygrometer: head.hygrometer,
        altimeter: head.altimeter,
        machine: head.machine,
        rider: head.rider,
        folder,
    }
}

/// The folder that a book names for its sheets, where it is in the book. Users who got a book from somebody else
/// have not agreed to its writing elsewhere on their disk.
fn folder_of_the_book(folder: Written, findings: &mut Vec<Finding>) -> Option<Written> {
    if down(&folder.text).is_some() {
        return Some(folder);
    }
    findings.push(
        Finding::new(&codes::FOLDER_OUTSIDE, folder.span, say!("this is not a folder inside the book")).help(
            say!("name one that lies under `book.toml`, such as `sheets`; `-o` on the command line may name any"),),
    );
    None
}
