//! `loambook check`: everything that is wrong or worth knowing.

use std::cmp::Reverse;
use std::collections::BTreeSet;
use std::path::{Path, PathBuf};

use clap::{Args, ValueEnum};
use jiff::civil::Date;
use unicode_width::UnicodeWidthStr as _;

use crate::advice;
use crate::book::Notebook;
use crate::checks;
use crate::finding::{Finding, Severity, keep, order, tally};
use crate::render::findings::{Look, brief_in, json_in, sarif_in, text_in};
use crate::source::{FileId, STANDARD_INPUT, limits, named};
use crate::speech::{Message, say};

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
        let mut all = shelf.findings(on);
        let errors = all.iter().filter(|finding| finding.severity == Severity::Error);
        let faulty: BTreeSet<FileId> = errors.map(|finding| finding.span.file).collect();
        // What stands in the way of a day that was asked about belongs to its check, wherever it is written.
        let (rejected, laps) = (shelf.in_the_way(), shelf.lap_files());
        all.retain(|finding| {
            let file = finding.span.file;
            let is_in_the_way = || finding.rejects().is_some_and(|own| rejected.contains(&own));
            shelf.is_asked(file) || laps.contains(&file) || is_in_the_way()
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
                let tally = [Some(tally(&all)), in_the_way(&shelf, &faulty)];
                let tally: Vec<String> = tally.iter().flatten().map(|said| tongue.say(said)).collect();
                let line = tally.join("; ");
                match line.width() <= look.width {
                    true => screen.remark(&line),
                    false => tally.iter().for_each(|said| screen.remark(said)),
                }
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
        let said =
            say!("not in the folder of its kind, but read all the same: {files}", files = few(&astray));
        screen.remark(&shelf.book.about.units.say(&said));
    }
    let beside = named::notebooks_beside(&shelf.root);
    let beside: Vec<String> = beside.iter().map(|path| path.display().to_string()).collect();
    if !beside.is_empty() {
        let beside: Vec<&str> = beside.iter().map(String::as_str).collect();
        let said = say!(
            "beside the book, and not read: {files}; move it into the book's folder",
            files = few(&beside)
        );
        screen.remark(&shelf.book.about.units.say(&said));
    }
}

/// The first paths, and how many more there are.
fn few(paths: &[&str]) -> Message {
    let (told, left) = paths.split_at(paths.len().min(FEW));
    let told = told.join(", ");
    if left.is_empty() {
        Message::text(told)
    } else {
        say!("{told} and {more} more", told, more = left.len())
    }
}

/// How many of the days asked for lack a whole sheet, and what has to be mended; `None` where all sheets are whole.
fn in_the_way(shelf: &Shelf, errors: &BTreeSet<FileId>) -> Option<Message> {
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
    let others = files.len().saturating_sub(2);
    let named = files.iter().take(if others > 0 { 1 } else { 2 }).map(|file| Message::text(*file));
    let more = (others > 0).then(|| say!("{count} other files", count = others + 1));
    let files = (Message::both(named.chain(more)), files.len());
    let (without, days) = (in_the_way.len(), days.len());
    Some(match (without, days, files) {
        (0, ..) => return None,
        (1, 1, (file, 1)) => say!("the sheet is incomplete until {file} is mended", file),
        (1, 1, (files, _)) => say!("the sheet is incomplete until {files} are mended", files),
        (_, _, (file, 1)) => {
            say!("{without} of {days} sheets are incomplete until {file} is mended", without, days, file)
        }
        (_, _, (files, _)) => {
            say!("{without} of {days} sheets are incomplete until {files} are mended", without, days, files)
        }
    })
}
