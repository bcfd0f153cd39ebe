//! `loambook check`: everything that is wrong or worth knowing.

use std::cmp::Reverse;
use std::collections::BTreeSet;
use std::path::{Path, PathBuf};

use clap::{Args, ValueEnum};
use jiff::civil::Date;

use crate::advice;
use crate::book::Notebook;
use crate::checks;
use crate::finding::{Finding, Severity, keep, order, tally};
use crate::render::findings::{Look, brief_in, json_in, sarif_in, text_in};
use crate::source::{FileId, STANDARD_INPUT, limits, named};

use super::Verdict;
use super::clock;
use super::failure::Failure;
use super::screen::Screen;
use super::shelf::Shelf;

/// How many paths a line names.
const FEW: usize = 3;

/// Checks notebooks: shows everything that is wrong or worth knowing, each at its line.
#[derive(Debug, Args)]
#[command(after_help = "Example: loambook check days/saturday.md --brief")]
pub(super) struct Check {
    /// Notebooks, by path, name or date, or folders; the whole book when not given. `-` is one notebook on standard input, judged as if it
    /// were in the book.
    #[arg(value_name = "PATH")]
    paths: Vec<PathBuf>,

    /// How findings are written.
    #[arg(long, value_enum, default_value_t = Format::Text)]
    format: Format,

    /// One line a finding, its place first: for editors, and for those who know the book.
    #[arg(long, conflicts_with = "format")]
    brief: bool,

    /// Counts warnings as errors.
    #[arg(long)]
    strict: bool,

    /// The date that due checks are judged by; today when not given.
    #[arg(long, value_name = "DATE")]
    on: Option<Date>,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
enum Format {
    /// For people, with the lines of the notebook.
    Text,
    /// One object a finding, one a line.
    Json,
    /// SARIF 2.1.0, for code hosts and editors.
    Sarif,
}

impl Check {
    pub fn run(&self, book: Option<&Path>, screen: &mut Screen) -> Result<Verdict, Failure> {
        let mut shelf = match self.paths.as_slice() {
            [path] if path.as_os_str() == STANDARD_INPUT => Shelf::open_with_input(book)?,
            paths => Shelf::open(book, paths)?,
        };
        let on = self.on.unwrap_or_else(clock::today);
        let mut all = shelf.all_findings(on);
        let errors = all.iter().filter(|finding| finding.severity == Severity::Error);
        let faulty: BTreeSet<FileId> = errors.map(|finding| finding.span.file).collect();
        // What stands in the way of a day that was asked about belongs to its check, wherever it is written.
        let rejected = shelf.in_the_way();
        all.retain(|finding| {
            shelf.is_asked(finding.span.file) || finding.rejects().is_some_and(|own| rejected.contains(&own))
        });
        checks::tell_once(&shelf.book, &mut all);
        checks::tell_of_last_day(&shelf.book, &shelf.days(), |file| shelf.is_named(file), on, &mut all);
        keep(&mut all, 0, limits::FINDINGS);
        order(&mut all);
        let (sources, tongue) = (&shelf.book.sources, shelf.book.about.units.tongue());
        match self.format {
            Format::Text => {
                // What stands in the way of a sheet is said first; within a weight what belongs to no day, then the newest.
                let day = |finding: &Finding| shelf.book.day_of(finding.span.file);
                all.sort_by_key(|finding| (finding.severity, day(finding).is_some(), Reverse(day(finding))));
                let look = Look { colour: screen.has_colour(), ..Look::default() };
                let page = match self.brief {
                    true => brief_in(tongue, &all, sources),
                    false => text_in(tongue, &all, sources, look),
                };
                screen.print(&page)?;
                screen.flush()?;
                if !self.brief && !all.is_empty() {
                    screen.remark("");
                }
                screen.remark(&format!("{}{}", tongue.say(&tally(&all)), in_the_way(&shelf, &faulty)));
                if self.paths.is_empty() {
                    astray(&shelf, screen);
                }
            }
            Format::Json => screen.print_data(json_in(tongue, &all, sources).as_bytes())?,
            Format::Sarif => {
                let log = sarif_in(tongue, &all, sources, &advice::catalogue());
                screen.print_data(log.as_bytes())?;
            }
        }
        let weighs = |finding: &Finding| {
            finding.severity == Severity::Error || (self.strict && finding.severity == Severity::Warning)
        };
        Ok(if all.iter().any(weighs) { Verdict::Faulty } else { Verdict::Clean })
    }
}

/// Notebooks in odd places: those in the book, which count all the same, and those beside it, which do not.
fn astray(shelf: &Shelf, screen: &mut Screen) {
    let notebooks = shelf.book.notebooks();
    let is_at_home = |notebook: &Notebook| notebook.path.starts_with(&format!("{}/", notebook.kind.folder()));
    let astray: Vec<&str> =
        notebooks.filter(|notebook| !is_at_home(notebook)).map(|notebook| notebook.path.as_str()).collect();
    if !astray.is_empty() {
        screen.remark(&format!("not where its kind lies, and counted all the same: {}", few(&astray)));
    }
    let beside = named::notebooks_beside(&shelf.root);
    let beside: Vec<String> = beside.iter().map(|path| path.display().to_string()).collect();
    if !beside.is_empty() {
        let beside: Vec<&str> = beside.iter().map(String::as_str).collect();
        screen.remark(&format!(
            "beside the book, and not read: {}; move it into the book's folder",
            few(&beside)
        ));
    }
}

/// The first paths, and how many more there are.
fn few(paths: &[&str]) -> String {
    let (told, left) = paths.split_at(paths.len().min(FEW));
    let more = if left.is_empty() { String::new() } else { format!(" and {} more", left.len()) };
    format!("{}{more}", told.join(", "))
}

/// How many of the days asked for lack a whole sheet, and what has to be mended.
fn in_the_way(shelf: &Shelf, errors: &BTreeSet<FileId>) -> String {
    let mut days = shelf.days();
    if days.is_empty() {
        days = (0..shelf.book.days.len()).collect();
    }
    let faulty = |day: &usize| {
        shelf.files_under(*day).into_iter().filter(|file| errors.contains(file)).collect::<Vec<_>>()
    };
    let in_the_way: Vec<Vec<FileId>> = days.iter().map(faulty).filter(|files| !files.is_empty()).collect();
    let files: BTreeSet<&str> =
        in_the_way.iter().flatten().map(|file| shelf.book.sources.path(*file)).collect();
    let which = match (in_the_way.len(), days.len()) {
        (0, _) => return String::new(),
        (1, 1) => "the sheet is not whole".to_owned(),
        (without, days) => format!("{without} of {days} sheets are not whole"),
    };
    let others = files.len().saturating_sub(2);
    let mut named: Vec<String> =
        files.iter().take(if others > 0 { 1 } else { 2 }).map(ToString::to_string).collect();
    if others > 0 {
        named.push(format!("{} other files", others + 1));
    }
    format!("; {which} until {} {} mended", named.join(" and "), if files.len() == 1 { "is" } else { "are" })
}
