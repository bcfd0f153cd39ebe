//! The rules, one a file, over everything above.
//!
//! A rule looks at one thing that can be wrong, says so at its place and says what to do. It never looks at
//! what another rule reports: one cause gives one finding. Figures are worked out only where a rule asks
//! for one, and the days of a book are looked at side by side.

pub mod due;
mod judged;
mod kept;
mod place;
mod rules;
mod written;

use std::sync::Arc;

use jiff::civil::Date;

use crate::book::{self, Book};
use crate::figures::tape::Tape;
use crate::figures::{Margin, Recording};
use crate::finding::{self, Code, Finding, Severity, order};
use crate::season::{self, Season};
use crate::source::side_by_side::*;
use crate::source::{ENDLESS, FileId, Patience, limits};
use crate::vocabulary::shown;
use crate::{notebook, quantity, vocabulary};

use place::{OfDay, OfMachine};

pub(crate) use kept::Kept;

pub use due::{Due, Last, due, schedule};
pub use rules::CODES;

/// A code of this room, in the version that first had it.
const fn code(name: &'static str, severity: Severity, page: &'static str) -> Code {
    Code { name, severity, since: "0.1.0", page }
}

/// What the rules find in a book, in the order in which it is shown. Days that nothing touched since the last time are
/// not looked at again. `None` where nobody waits for it any more: the days that were looked at by then are kept.
pub(crate) fn check(
    book: &Arc<Book>,
    season: &Arc<Season>,
    on: Option<Date>,
    kept: &mut Kept,
    patience: Patience<'_>,
) -> Option<Vec<Finding>> {
    let still = kept.still_found(book, season);
    let of_days = look_at_days::<Tape>(book, season, still, patience);
    let findings = gather::<Tape>(book, season, on, &of_days);
    kept.keep(book, season, of_days);
    findings
}

/// The same with figures that carry their uncertainty, or with plain ones, for which every value counts as exact:
/// what the uncertainty costs is measured so.
pub fn check_recording<M: Recording>(book: &Book, season: &Season, on: Option<Date>) -> Vec<Finding> {
    let of_days = look_at_days::<M>(book, season, vec![None; season.days.len()], ENDLESS);
    gather::<M>(book, season, on, &of_days).unwrap_or_default()
}

/// What was found on a day, with what must hold of repeats elsewhere for it to be found again.
#[derive(Debug)]
struct Found {
    findings: Box<[Finding]>,
    margins: Box<[Margin]>,
}

/// What is found on each day of a book, where that is not known yet; `None` for a day that nobody waited for.
fn look_at_days<M: Recording>(
    book: &Book,
    season: &Season,
    known: Vec<Option<Arc<Found>>>,
    patience: Patience<'_>,
) -> Vec<Option<Arc<Found>>> {
    let of_day = |(index, known): (usize, Option<Arc<Found>>)| {
        known.or_else(|| patience().then(|| Arc::new(check_day::<M>(book, season, index))))
    };
    known.into_par_iter().enumerate().map(of_day).collect()
}

/// What is found in a book with what was found on its days; `None` where a day is not known.
fn gather<M: Recording>(
    book: &Book,
    season: &Season,
    on: Option<Date>,
    of_days: &[Option<Arc<Found>>],
) -> Option<Vec<Finding>> {
    let of_days: Vec<&Arc<Found>> = of_days.iter().map(Option::as_ref).collect::<Option<_>>()?;
    let mut findings = Vec::new();
    for rule in rules::OF_BOOKS {
        rule(book, season, on, &mut findings);
    }
    for machine in book.machines.values() {
        let before = findings.len();
        OfMachine::<M>::with(book, season, machine, |place| {
            for rule in rules::of_machines() {
                rule(place, &mut findings);
            }
            for written in written::of_machine(place) {
                for rule in rules::OF_SETTINGS {
                    rule(&written, &mut findings);
                }
            }
        });
        finding::keep(&mut findings, before, limits::FILE_FINDINGS);
    }
    findings.extend(of_days.iter().flat_map(|found| found.findings.iter().cloned()));
    rules::keep_one_for_a_cause(&mut findings);
    order(&mut findings);
    Some(findings)
}

/// Says once what would be said of every day: to be called on the findings of the notebooks that were asked about, so that
/// each notebook by itself still says it.
pub fn tell_once(book: &Book, findings: &mut Vec<Finding>) {
    rules::bands::tell_once(book, findings);
}

/// Of what past days left outside of their bands, keeps what was left on the last day of each machine and rider up to a
/// date. `asked` are the days that were asked about, and `is_named` tells files that were named one by one: of these
/// all is said.
pub fn tell_of_last_day(
    book: &Book,
    asked: &[usize],
    is_named: impl Fn(FileId) -> bool,
    on: Date,
    findings: &mut Vec<Finding>,
) {
    rules::bands::tell_of_last_day(book, asked, is_named, on, findings);
}

fn check_day<M: Recording>(book: &Book, season: &Season, index: usize) -> Found {
    let (mut findings, mut margins) = (Vec::new(), Vec::new());
    OfDay::<M>::with(book, season, index, |place| {
        for rule in rules::of_days() {
            rule(place, &mut findings);
        }
        for written in written::of_day(place) {
            for rule in rules::OF_SETTINGS {
                rule(&written, &mut findings);
            }
        }
        margins = place.margins();
    });
    finding::keep(&mut findings, 0, limits::FILE_FINDINGS);
    Found { findings: findings.into(), margins: margins.into() }
}

/// Every code that a finding can have, by name.
pub fn catalogue() -> Vec<&'static Code> {
    let rooms = [
        finding::CODES,
        notebook::CODES,
        quantity::CODES,
        vocabulary::CODES,
        book::CODES,
        season::CODES,
        CODES,
    ];
    let mut all: Vec<&Code> = rooms.into_iter().flatten().copied().collect();
    all.sort_by_key(|code| code.name);
    all
}
