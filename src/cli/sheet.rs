//! `loambook sheet`: set-up sheets, one file a day.

use std::collections::{BTreeMap, BTreeSet};
use std::path::{Path, PathBuf};

use clap::{Args, ValueEnum};
use indicatif::{ProgressBar, ProgressDrawTarget, ProgressStyle};
use jiff::civil::Date;
use rayon::prelude::*;

use crate::finding::{Finding, Severity, keep, order};
use crate::pages::sheet::{self, Options};
use crate::render::mark::Form;
use crate::render::terminal::{self, TextOptions};
use crate::season::Season;
use crate::source::{FileId, limits};

use super::Verdict;
use super::failure::Failure;
use super::left_out::LeftOut;
use super::output::{self, Format as _, Output, PaperName, Place, Printing, Writer};
use super::press::{Page, Press};
use super::screen::Screen;
use super::shelf::Shelf;

/// The template of a sheet; a book's own in `templates/` replaces it.
pub(super) const TEMPLATE: &str = "sheet.md";
/// Where sheets go when neither the command nor the book says so.
const FOLDER: &str = "sheets";
/// Fewer sheets than this are done before anybody has read a progress bar.
const LONG_RUN: usize = 8;

/// Prints the set-up sheet of each day: what to set, what follows from it, what to check before riding.
///
/// An error affects only what rests on it: that stays empty, and the sheet says where the error is.
#[derive(Debug, Args)]
#[command(after_help = "Example: loambook sheet days/saturday.md -o prints")]
pub(super) struct Sheet {
    /// Notebooks, by path, name or date, or folders; the whole book when not given.
    #[arg(value_name = "PATH")]
    paths: Vec<PathBuf>,

    #[command(flatten)]
    printing: Printing<Format>,

    /// The date that due checks are judged by; the day's own when not given.
    #[arg(long, value_name = "DATE")]
    on: Option<Date>,

    /// Prints the torques of the machine's notebook as well.
    #[arg(long)]
    torques: bool,

    /// Prints the day's own words on a page behind the sheet, with the figures that they ask for.
    #[arg(long)]
    diary: bool,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub(super) enum Format {
    /// For a terminal; on standard output unless `-o` says otherwise.
    Text,
    /// To print.
    Pdf,
    /// One file that a browser shows without a network.
    Html,
}

impl output::Format for Format {
    fn form(self) -> Form {
        match self {
            Self::Text => Form::Text,
            Self::Pdf => Form::Pdf,
            Self::Html => Form::Html,
        }
    }
}

/// A sheet in the making: the day's place in the book and the file it goes to.
struct Job {
    day: usize,
    path: PathBuf,
}

/// What all sheets of a run share.
pub(super) struct Sheets<'a> {
    pub press: Press<'a>,
    pub shelf: &'a Shelf,
    pub format: Format,
    options: Options,
    /// How text is laid out.
    text: TextOptions,
}

impl Sheet {
    pub fn run(&self, book: Option<&Path>, screen: &mut Screen) -> Result<Verdict, Failure> {
        let (place, format) = self.printing.written.place()?;
        let format = format.unwrap_or(Format::Pdf);
        let mut shelf = Shelf::open(book, &self.paths)?.told_as(format.form());
        let days = shelf.days();
        if let Some(path) = self.paths.first().filter(|_| days.is_empty()) {
            return Err(Failure::new(format!("there is no day in {}", path.display())).help(
                "a sheet is of a day's notebook; `loambook state` prints a machine's standard setting",
            ));
        }
        let errors = report_errors(&mut shelf, &days, screen);
        let options = Options { on: self.on, torques: self.torques, diary: self.diary, ..Options::default() };
        let mut sheets = Sheets::new(&shelf, self.printing.paper, format, options)?;
        let place = if format == Format::Text { place.or(Some(Place::Standard)) } else { place };
        sheets.text = place.as_ref().map(|place| screen.text_for(place)).unwrap_or_default();
        match place {
            None => sheets.print_all(&folder(&shelf)?, &days, &errors, screen),
            Some(Place::Folder(folder)) => sheets.print_all(&folder, &days, &errors, screen),
            Some(Place::Standard) if format == Format::Text => sheets.print_texts(&days, &errors, screen),
            Some(place) => sheets.print_one(&place, &days, &errors, screen),
        }
    }
}

impl Sheets<'_> {
    /// The sheet of the only day, at the one place that was named.
    fn print_one(
        &self,
        place: &Place,
        days: &[usize],
        errors: &[Finding],
        screen: &mut Screen,
    ) -> Result<Verdict, Failure> {
        let &[day] = days else {
            let failure = Failure::new(format!("{place} is one file, and there are {} sheets", days.len()));
            return Err(failure.help("give `-o` a folder, or name one day"));
        };
        let (days, verdict) = self.to_print(&[day], errors, screen);
        if let Some(page) = days.first().and_then(|day| self.sheet(*day)) {
            let printed = self.printed(&page)?;
            printed.left_out.report(None, &self.shelf.book, screen);
            let output = Output { form: self.format.form(), bytes: &printed.bytes };
            Writer::new().deliver(place, "sheet", output, screen)?;
        }
        Ok(verdict)
    }

    /// The sheets of all days on standard output, one below the other.
    fn print_texts(
        &self,
        days: &[usize],
        errors: &[Finding],
        screen: &mut Screen,
    ) -> Result<Verdict, Failure> {
        let (days, verdict) = self.to_print(days, errors, screen);
        for (at, page) in days.iter().filter_map(|day| self.sheet(*day)).enumerate() {
            let text = terminal::write(&self.press.compose_in(&page.tongue, TEMPLATE, &page)?, self.text);
            screen.print(&if at > 0 { format!("\n\n{text}") } else { text })?;
        }
        Ok(verdict)
    }

    /// A sheet for each day, in a folder. A sheet that cannot be printed or written is named; the others are
    /// printed.
    fn print_all(
        &self,
        folder: &Path,
        days: &[usize],
        errors: &[Finding],
        screen: &mut Screen,
    ) -> Result<Verdict, Failure> {
        let (days, mut verdict) = self.to_print(days, errors, screen);
        let files = output::day_files(&self.shelf.book, self.format.form().ending());
        let jobs: Vec<Job> = days
            .into_iter()
            .filter_map(|day| Some(Job { day, path: folder.join(files.get(day)?) }))
            .collect();
        let (progress, writer) = (progress(jobs.len(), screen), Writer::new());
        let printed: Vec<Result<LeftOut, Failure>> = jobs
            .par_iter()
            .map(|job| {
                let Some(page) = self.sheet(job.day) else { return Ok(LeftOut::default()) };
                let left_out = self.print_sheet(&page, &job.path, &writer);
                progress.inc(1);
                left_out
            })
            .collect();
        progress.finish_and_clear();
        // A failure that many sheets share, such as a broken template, is reported once.
        let mut stopped: BTreeMap<String, (Failure, Vec<&str>)> = BTreeMap::new();
        for (job, printed) in jobs.iter().zip(printed) {
            match printed {
                Ok(left_out) => {
                    let file = job.path.display().to_string();
                    left_out.report(Some(&file), &self.shelf.book, screen);
                    screen.print(&format!("{}\n", job.path.display()))?;
                }
                Err(failure) => {
                    verdict = Verdict::Faulty;
                    let day = self.shelf.book.days.get(job.day);
                    let path = day.map_or("", |day| day.notebook.path.as_str());
                    stopped.entry(failure.to_string()).or_insert((failure, Vec::new())).1.push(path);
                }
            }
        }
        for (failure, paths) in stopped.into_values() {
            if paths.len() == jobs.len() {
                return Err(failure);
            }
            screen.remark(&format!("no sheet for {}", paths.join(", ")));
            screen.complain(&failure);
        }
        Ok(verdict)
    }

    /// The days to print: all but those whose sheet would have somebody set an error, which are named.
    fn to_print(&self, days: &[usize], errors: &[Finding], screen: &mut Screen) -> (Vec<usize>, Verdict) {
        let mut verdict = Verdict::Clean;
        let mut sound = Vec::new();
        for &day in days {
            let files = self.shelf.files_under(day);
            if errors.iter().any(|error| files.contains(&error.span.file)) {
                verdict = Verdict::Faulty;
            }
            if !sets_an_error(&self.shelf.season, day, errors) {
                sound.push(day);
                continue;
            }
            let path = self.shelf.book.days.get(day).map_or("", |day| day.notebook.path.as_str());
            screen.remark(&format!("no sheet for {path}: there are errors in what it would set"));
        }
        (sound, verdict)
    }
}

/// The folder for sheets where the command names none: the book's own, which lies in the book.
pub(super) fn folder(shelf: &Shelf) -> Result<PathBuf, Failure> {
    shelf.folder(shelf.book.about.folder.as_ref().map_or(FOLDER, |folder| folder.text.as_str()))
}

/// Whether a setting in force on a day is an error itself, such as one past the maker's limit.
pub(super) fn sets_an_error(season: &Season, day: usize, errors: &[Finding]) -> bool {
    let mut set = season.days.get(day).into_iter().flat_map(|replay| replay.end().settings());
    set.any(|(_, held)| errors.iter().any(|error| held.span.contains(error.span)))
}

/// Reports the errors in everything that the days rest on, and returns them.
pub(super) fn report_errors(shelf: &mut Shelf, days: &[usize], screen: &mut Screen) -> Vec<Finding> {
    let needed: BTreeSet<FileId> = days.iter().flat_map(|day| shelf.files_under(*day)).collect();
    let on = shelf.book.days.iter().map(|day| day.date).max().unwrap_or_default();
    let is_error =
        |finding: &Finding| finding.severity == Severity::Error && needed.contains(&finding.span.file);
    let mut errors: Vec<Finding> = shelf.all_findings(on).into_iter().filter(is_error).collect();
    order(&mut errors);
    let mut told = errors.clone();
    keep(&mut told, 0, limits::FINDINGS);
    order(&mut told);
    if !told.is_empty() {
        screen.report_findings(shelf.book.about.units.tongue(), &told, &shelf.book.sources);
    }
    errors
}

impl<'a> Sheets<'a> {
    pub fn new(
        shelf: &'a Shelf,
        paper: Option<PaperName>,
        format: Format,
        options: Options,
    ) -> Result<Self, Failure> {
        let press = Press::new(&shelf.book, &shelf.store, paper)?;
        Ok(Self { press, shelf, format, options, text: TextOptions::default() })
    }

    /// What the sheet of a day says; `None` where there is no such day.
    pub fn sheet(&self, day: usize) -> Option<sheet::Sheet> {
        sheet::sheet(&self.shelf.book, &self.shelf.season, &self.shelf.advice, day, self.options)
    }

    /// The same in the book's language.
    pub fn sheet_of_book(&self, day: usize) -> Option<sheet::Sheet> {
        let options = Options { is_of_book: true, ..self.options };
        sheet::sheet(&self.shelf.book, &self.shelf.season, &self.shelf.advice, day, options)
    }

    /// Prints a sheet to a file; returns what it lacks.
    pub fn print_sheet(&self, page: &sheet::Sheet, path: &Path, writer: &Writer) -> Result<LeftOut, Failure> {
        let printed = self.printed(page)?;
        writer.replace(path, Output { form: self.format.form(), bytes: &printed.bytes })?;
        Ok(printed.left_out)
    }

    /// A sheet, laid out and printed.
    pub fn printed(&self, page: &sheet::Sheet) -> Result<Page, Failure> {
        let document = self.press.compose_in(&page.tongue, TEMPLATE, page)?;
        let (images, mut left_out) = self.press.photos(&page.photos);
        let bytes = match self.format {
            Format::Pdf => {
                let printed = self.press.pdf(std::slice::from_ref(&document), images)?;
                left_out.extend(printed.left_out);
                printed.bytes
            }
            Format::Html => self.press.html(&document, images, false),
            Format::Text => terminal::write(&document, self.text).into_bytes(),
        };
        Ok(Page { bytes, left_out })
    }
}

/// A progress bar on standard error where somebody watches and the run is long; else a hidden one.
pub(super) fn progress(sheets: usize, screen: &Screen) -> ProgressBar {
    if sheets < LONG_RUN || !screen.is_watched() {
        return ProgressBar::hidden();
    }
    let bar = ProgressBar::with_draw_target(u64::try_from(sheets).ok(), ProgressDrawTarget::stderr());
    match ProgressStyle::with_template("{pos} of {len} sheets {wide_bar}") {
        Ok(style) => bar.with_style(style),
        Err(_) => bar,
    }
}
