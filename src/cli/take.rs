//! `loambook take`: files a day's text that came back from the track.

use std::collections::BTreeMap;
use std::path::{Path, PathBuf};

use clap::Args;
use jiff::civil::Date;

use crate::finding::{Finding, Severity, order};
use crate::pages::starters::DayStarter;
use crate::pages::take::{self, Merged, Message, Unfit, Whose};
use crate::render::mark::Form;
use crate::render::patch::patch;
use crate::source::{STANDARD_INPUT, limits, named, read_input, read_named};
use crate::vocabulary::NotebookKind;
use crate::{book, checks};

use super::Verdict;
use super::clock;
use super::failure::Failure;
use super::new::{checked, known, place, shown};
use super::output::{self, Writer};
use super::screen::Screen;
use super::shelf::Shelf;

/// Files a day's text that came back from the track, from the telephone's page or a message.
///
/// A day without a notebook gets one. For a day that has one, what is new is printed as a patch, for `git apply` or
/// `patch -p1` in the book's folder: `loambook take saturday.txt | git apply`. Nothing is overwritten.
///
/// What the notebook has already is not new. A block that begins as the notebook's does and goes on replaces it. A text
/// can hold several days, each with its head. One without a head is of the day that the options name.
#[derive(Debug, Args)]
#[command(after_help = "Example: loambook take saturday.txt")]
pub(super) struct Take {
    /// The text's file; standard input when not given, or `-`.
    #[arg(value_name = "FILE")]
    file: Option<PathBuf>,

    /// The date of a text without a head; today when not given.
    #[arg(long, value_name = "DATE")]
    date: Option<Date>,

    /// The machine of a text without a head; the book's default, or its only one, when not given.
    #[arg(long, value_name = "NAME")]
    machine: Option<String>,

    /// The rider of a text without a head; the book's default, or its only one, when not given.
    #[arg(long, value_name = "NAME")]
    rider: Option<String>,

    /// The track of a text without a head; the book's only one, when not given.
    #[arg(long, value_name = "NAME")]
    track: Option<String>,
}

/// What happens to a notebook, by its path in the book.
enum Change {
    /// It is new, and this is its place on disk.
    Made(PathBuf),
    /// It exists, and this is what it was.
    Patched(String),
}

impl Take {
    pub fn run(&self, book: Option<&Path>, screen: &mut Screen) -> Result<Verdict, Failure> {
        let message = take::message(&self.text()?);
        let mut shelf = Shelf::open(book, &[])?.told_as(Form::Json);
        report(&message, screen);
        if message.days.is_empty() {
            return Err(Failure::new("there is nothing in the text").help("nothing was written"));
        }
        let mut changes: BTreeMap<String, Change> = BTreeMap::new();
        let mut is_patched = false;
        for text in &message.days {
            let path = self.lay_in(text, &mut shelf, &mut changes, screen)?;
            is_patched |= matches!(changes.get(&path), Some(Change::Patched(_)));
        }
        let verdict = findings(&mut shelf, &changes, screen);
        let writer = Writer::new();
        for (path, change) in &changes {
            let Some(file) = shelf.book.sources.find(path) else { continue };
            let text = shelf.book.sources.whole(file);
            match change {
                Change::Made(place) => {
                    writer.create(place, text)?;
                    let place = shown(place.clone()).display().to_string();
                    // Another program reads a patch from its first line on.
                    if is_patched { screen.remark(&place) } else { screen.print(&format!("{place}\n"))? }
                }
                Change::Patched(before) => screen.print_data(patch(path, before, text).as_bytes())?,
            }
        }
        if is_patched {
            screen.flush()?;
            let folder = shown(shelf.root.clone());
            let folder = if folder.as_os_str().is_empty() { Path::new(".") } else { &folder };
            screen.remark(&format!(
                "nothing is changed yet: `git apply` takes the patch, in {}",
                folder.display()
            ));
        }
        Ok(verdict)
    }

    fn text(&self) -> Result<String, Failure> {
        let (bytes, whence) = match self.file.as_deref().filter(|file| file.as_os_str() != STANDARD_INPUT) {
            Some(file) => (read_named(file, limits::TEXT_BYTES), file.display().to_string()),
            None => (read_input(limits::TEXT_BYTES), "standard input".to_owned()),
        };
        let bytes = bytes.map_err(|error| Failure::new(format!("{whence} cannot be read: {error}")))?;
        String::from_utf8(bytes).map_err(|_| {
            Failure::new(format!("{whence} is not UTF-8 text"))
                .help("send the text itself, or save it as UTF-8")
        })
    }

    /// Lays a day into the book of the session, and returns its notebook's path there.
    fn lay_in(
        &self,
        text: &str,
        shelf: &mut Shelf,
        changes: &mut BTreeMap<String, Change>,
        screen: &mut Screen,
    ) -> Result<String, Failure> {
        let text = self.headed(shelf, text)?;
        let whose = whose(shelf, &text, screen)?;
        let known = shelf.book.days.iter().find(|day| Whose::of(day).as_ref() == Ok(&whose));
        let Some(day) = known else {
            let (path, place) = place_of(shelf, &whose)?;
            shelf.suppose(&path, text);
            changes.insert(path.clone(), Change::Made(place));
            return Ok(path);
        };
        let path = day.notebook.path.clone();
        let before = shelf.book.sources.whole(day.notebook.document.file).to_owned();
        let Merged { text, is_new } = take::merged(&before, &text).map_err(|unfit| match unfit {
            Unfit::Open => Failure::new(format!("what is new for {path} would not be read there as it is"))
                .help(
                    "a fence or a comment is left open, in the text or there: close it; nothing was written",
                ),
            Unfit::TooMany => {
                Failure::new(format!("there are more than {} paragraphs and blocks", limits::NOTEBOOK_PIECES))
            }
        })?;
        if text.len() as u64 > limits::TEXT_BYTES {
            return Err(Failure::new(format!("{path} would be larger than {} bytes", limits::TEXT_BYTES)));
        }
        if !is_new {
            screen.remark(&format!("nothing is new: all of it is in {path}"));
            return Ok(path);
        }
        shelf.suppose(&path, text);
        changes.entry(path.clone()).or_insert(Change::Patched(before));
        Ok(path)
    }

    /// A text with its head: its own, or that of the options.
    fn headed(&self, shelf: &Shelf, text: &str) -> Result<String, Failure> {
        let given = [&self.machine, &self.rider, &self.track].into_iter().any(Option::is_some);
        if text.trim_start().starts_with("+++") {
            return if given || self.date.is_some() {
                Err(Failure::new("the text gives its own day")
                    .help("`--date`, `--machine`, `--rider` and `--track` are for a text without a head"))
            } else {
                Ok(text.to_owned())
            };
        }
        let book = &shelf.book;
        let starter = DayStarter {
            name: "",
            date: self.date.unwrap_or_else(clock::today),
            from: None,
            machine: known(self.machine.as_deref(), "machine", book.machines.keys())?,
            rider: known(self.rider.as_deref(), "rider", book.riders.keys())?,
            track: known(self.track.as_deref(), "track", book.tracks.keys())?,
        };
        Ok(take::headed(book, &starter, text))
    }
}

/// Reports what in a message belongs to no day.
fn report(message: &Message, screen: &mut Screen) {
    let Message { before, dropped, .. } = message;
    if *before > 0 {
        let lines = if *before == 1 { "1 line".to_owned() } else { format!("{before} lines") };
        screen.remark(&format!("{lines} before the first head belong to no day and are left out"));
    }
    if *dropped > 0 {
        screen.remark(&format!("{dropped} control characters in the text were left out"));
    }
}

/// Whose day a text is, as the book reads it.
///
/// # Errors
///
/// Where it does not say so; what is wrong in it is reported.
fn whose(shelf: &mut Shelf, text: &str, screen: &mut Screen) -> Result<Whose, Failure> {
    shelf.suppose(STANDARD_INPUT, text);
    let file = shelf.book.sources.find(STANDARD_INPUT);
    let day = file.and_then(|file| shelf.book.day_of(file)).and_then(|day| shelf.book.days.get(day));
    let whose = day.map(Whose::of);
    let failure = match whose {
        Some(Ok(whose)) => {
            shelf.withdraw(STANDARD_INPUT);
            return Ok(whose);
        }
        Some(Err(missing)) => {
            let values = |key: &str| if key == "date" { "YYYY-MM-DD" } else { "NAME" };
            let options: Vec<String> = missing.iter().map(|key| format!("--{key} {}", values(key))).collect();
            Failure::new(format!("the text does not give its {}", missing.join(" and its "))).help(format!(
                "write it into the head, or give `{}` where there is no head",
                options.join(" ")
            ))
        }
        None => Failure::new("the text is not read as a day's notebook").help("nothing was written"),
    };
    // The failure itself says which name is missing.
    let is_of_text = |found: &&Finding| Some(found.span.file) == file && *found.code != book::NO_LINK;
    let findings: Vec<_> = shelf.findings.iter().filter(is_of_text).cloned().collect();
    screen.report_findings(shelf.book.about.units.tongue(), &findings, &shelf.book.sources);
    Err(failure)
}

/// The place of a day's new notebook: its path in the book, and on disk.
fn place_of(shelf: &Shelf, whose: &Whose) -> Result<(String, PathBuf), Failure> {
    checked(&whose.rider)?;
    checked(&whose.machine)?;
    let mut refused = None;
    for name in whose.names() {
        let file = place(&shelf.store, NotebookKind::Day, &name)?;
        let is_taken = shelf.book.days.iter().any(|day| day.notebook.name == name);
        if !is_taken && !named::is_there(&file) && !named::is_link(&file) {
            return Ok((format!("{}/{name}.md", NotebookKind::Day.folder()), file));
        }
        refused = Some(output::is_there(&shown(file)));
    }
    Err(refused.unwrap_or_else(|| Failure::new("the day has no name")))
}

/// Reports what is wrong or worth knowing in what was laid in.
fn findings(shelf: &mut Shelf, changes: &BTreeMap<String, Change>, screen: &mut Screen) -> Verdict {
    let mut found = shelf.all_findings(clock::today());
    found.retain(|finding| changes.contains_key(shelf.book.sources.path(finding.span.file)));
    checks::tell_once(&shelf.book, &mut found);
    order(&mut found);
    if !found.is_empty() {
        screen.report_findings(shelf.book.about.units.tongue(), &found, &shelf.book.sources);
    }
    let is_faulty = found.iter().any(|finding| finding.severity == Severity::Error);
    if is_faulty { Verdict::Faulty } else { Verdict::Clean }
}
