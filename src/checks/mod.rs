//! The rules, one a file, over everything above.
//!
//! A rule looks for one fault, reports it at its place and says what to do. It never looks at what another rule
//! reports: one cause gives one finding. Figures are worked out only where a rule asks for them, and the days
//! of a book are checked in parallel.

pub mod due;
mod judged;
mod kept;
mod place;
mod rules;
mod written;

use std::collections::BTreeSet;
use std::sync::Arc;

use jiff::civil::Date;

use crate::book::{self, Book, Day, Notebook};
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

/// A code of this room, with the version that first had it.
const fn code(name: &'static str, severity: Severity, page: &'static str) -> Code {
    Code { name, severity, since: "0.1.0", page }
}

/// The rules' findings in a book, in the order shown. Days that nothing has touched since the last call are not
/// checked again. `None` once nobody waits for it; the days checked by then are kept.
pub(crate) fn check(
    book: &Arc<Book>,
    season: &Arc<Season>,
    on: Option<Date>,
    kept: &mut Kept,
    patience: Patience<'_>,
) -> Option<Vec<Finding>> {
    let still = kept.still_found(book, season);
    let of_days = look_at_days::<Tape>(book, season, still, patience);
    let findings = gather::<Tape>(book, season, on, (book.machines.values(), &of_days));
    kept.keep(book, season, of_days);
    findings
}

/// The rules' findings in the notebooks of some days, and of what these days rest on, as `check` has them. What it finds elsewhere is
/// not all.
///
/// A rule places what it finds on a day in that day's notebook, or where something was written that still holds: on a
/// day of the same machine or rider, or in a notebook of theirs.
pub(crate) fn check_about(
    book: &Book,
    season: &Season,
    on: Option<Date>,
    about: &BTreeSet<usize>,
) -> Vec<Finding> {
    let asked: Vec<&Day> = about.iter().filter_map(|index| book.days.get(*index)).collect();
    let is_near = |day: &Day| {
        asked
            .iter()
            .any(|asked| day.date == asked.date || day.machine == asked.machine || day.rider == asked.rider)
    };
    let of_day = |(index, day): (usize, &Day)| {
        let which = if about.contains(&index) { Which::All } else { Which::Anywhere };
        let found = is_near(day).then(|| check_day::<Tape>(book, season, index, which));
        Some(Arc::new(found.unwrap_or_default()))
    };
    let of_days: Vec<_> = book.days.par_iter().enumerate().map(of_day).collect();
    // Of machines that the day's rider has settings for, rules report in the rider's notebook.
    let concerns = |machine: &Notebook, day: &Day| {
        let mut of_rider = book.rider(day).into_iter().flat_map(|rider| rider.settings_named(&machine.name));
        day.machine.as_ref() == Some(&machine.name) || of_rider.next().is_some()
    };
    let machines = book.machines.values();
    let machines = machines.filter(|machine| asked.iter().any(|day| concerns(machine, day)));
    gather::<Tape>(book, season, on, (machines, &of_days)).unwrap_or_default()
}

/// The same with figures that carry their uncertainty, or with plain ones, for which every value is exact. This
/// measures what the uncertainty costs.
pub fn check_recording<M: Recording>(book: &Book, season: &Season, on: Option<Date>) -> Vec<Finding> {
    let of_days = look_at_days::<M>(book, season, vec![None; season.days.len()], ENDLESS);
    gather::<M>(book, season, on, (book.machines.values(), &of_days)).unwrap_or_default()
}

/// The findings of a day, and the margins within which repeats elsewhere do not change them.
#[derive(Debug, Default)]
struct Found {
    findings: Box<[Finding]>,
    margins: Box<[Margin]>,
    /// Whether its prose mentions another day, which may mean any day.
    looks_elsewhere: bool,
}

/// The findings of each day of a book that are not known yet; `None` for a day that was not waited for.
fn look_at_days<M: Recording>(
    book: &Book,
    season: &Season,
    known: Vec<Option<Arc<Found>>>,
    patience: Patience<'_>,
) -> Vec<Option<Arc<Found>>> {
    let of_day = |(index, known): (usize, Option<Arc<Found>>)| {
        known.or_else(|| patience().then(|| Arc::new(check_day::<M>(book, season, index, Which::All))))
    };
    known.into_par_iter().enumerate().map(of_day).collect()
}

/// The findings over a book, some machines and its days; `None` where a day's are not known.
fn gather<'b, M: Recording>(
    book: &'b Book,
    season: &Season,
    on: Option<Date>,
    (machines, of_days): (impl IntoIterator<Item = &'b Arc<Notebook>>, &[Option<Arc<Found>>]),
) -> Option<Vec<Finding>> {
    let of_days: Vec<&Arc<Found>> = of_days.iter().map(Option::as_ref).collect::<Option<_>>()?;
    let mut findings = Vec::new();
    for rule in rules::OF_BOOKS {
        rule(book, season, on, &mut findings);
    }
    for machine in machines {
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

/// Reports once what every day would report. Call it on the findings of the notebooks asked for, so that each notebook by
/// itself still reports it.
pub fn tell_once(book: &Book, findings: &mut Vec<Finding>) {
    rules::bands::tell_once(book, findings);
}

/// Of what days left outside their bands, keeps only the last day of each machine and rider up to a date. `asked` are
/// the days asked for. `is_named` says which files were named one by one: their findings are all kept.
pub fn tell_of_last_day(
    book: &Book,
    asked: &[usize],
    is_named: impl Fn(FileId) -> bool,
    on: Date,
    findings: &mut Vec<Finding>,
) {
    rules::bands::tell_of_last_day(book, asked, is_named, on, findings);
}

/// Which rules a day is asked for.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Which {
    All,
    /// Those that may report in other notebooks than the day's own.
    Anywhere,
}

fn check_day<M: Recording>(book: &Book, season: &Season, index: usize, which: Which) -> Found {
    let (mut findings, mut margins) = (Vec::new(), Vec::new());
    OfDay::<M>::with(book, season, index, |place| {
        if which == Which::All {
            for rule in rules::of_days_here() {
                rule(place, &mut findings);
            }
            debug_assert!(findings.iter().all(|finding| place.is_here(finding.span)), "{findings:?}");
        }
        for rule in rules::of_days_anywhere() {
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
    let mentions = book.days.get(index).into_iter().flat_map(|day| &day.notebook.document.mentions);
    let looks_elsewhere = mentions.into_iter().any(|mention| book::asked(mention).day.is_some());
    Found { findings: findings.into(), margins: margins.into(), looks_elsewhere }
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
