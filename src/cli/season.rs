//! `loambook season`: what was changed, why, and what came of it.

use std::path::Path;

use clap::{Args, ValueEnum};
use jiff::civil::Date;

use crate::pages::season::{self, Options, Page, Since};
use crate::render::mark::Form;
use crate::render::{Images, csv};
use crate::source::Repository;

use super::Verdict;
use super::failure::Failure;
use super::new::known;
use super::output::{self, Format as _, Output, Place, Printing, Writer};
use super::press::Press;
use super::screen::{Screen, json};
use super::shelf::{self, Shelf};
use super::sides::revision_failure;

/// The template of the history; a book's own in `templates/` replaces it.
const TEMPLATE: &str = "season.md";

/// Shows the history of each machine and rider: a line a day, and what each change did.
///
/// With charts, what was tried for each complaint, and what is due.
#[derive(Debug, Args)]
#[command(after_help = "Example: loambook season --machine big-one --rider me -o season.html")]
pub(super) struct Season {
    /// The machine; all when not given.
    #[arg(long, value_name = "NAME")]
    machine: Option<String>,

    /// The rider; all when not given.
    #[arg(long, value_name = "NAME")]
    rider: Option<String>,

    /// The first date shown.
    #[arg(long, value_name = "DATE")]
    from: Option<Date>,

    /// The last date shown.
    #[arg(long, value_name = "DATE")]
    to: Option<Date>,

    /// The date that due checks are judged by; the last date shown when not given.
    #[arg(long, value_name = "DATE")]
    on: Option<Date>,

    /// Marks the days that the book did not have at this git revision, and those that have changed since.
    #[arg(long, value_name = "REVISION")]
    since: Option<String>,

    #[command(flatten)]
    printing: Printing<Format>,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
enum Format {
    /// For people at a terminal.
    Text,
    /// To print.
    Pdf,
    /// One file that a browser shows and sorts without a network.
    Html,
    /// A row a stint, for spreadsheets.
    Csv,
    /// One object.
    Json,
}

impl output::Format for Format {
    fn form(self) -> Form {
        match self {
            Self::Text => Form::Text,
            Self::Pdf => Form::Pdf,
            Self::Html => Form::Html,
            Self::Csv => Form::Csv,
            Self::Json => Form::Json,
        }
    }
}

impl Season {
    pub fn run(&self, book: Option<&Path>, screen: &mut Screen) -> Result<Verdict, Failure> {
        let (place, format) = self.printing.written.place()?;
        let format = format.unwrap_or(Format::Text);
        let place = output::place_of(place, format, "season")?;
        let shelf = Shelf::open(book, &[])?.told_as(format.form());
        let options = self.options(&shelf)?;
        let page = season::page(&shelf.book, &shelf.season, &shelf.advice, &options);
        if page.histories.is_empty() {
            return Err(Failure::new("the book has no such day")
                .help("days need a date and a machine; ask for other names or dates"));
        }
        let bytes = self.bytes(&shelf, &page, (&place, format), screen)?;
        let output = Output { form: format.form(), bytes: &bytes };
        Writer::new().deliver(&place, "season", output, screen)?;
        Ok(Verdict::Clean)
    }

    fn options(&self, shelf: &Shelf) -> Result<Options, Failure> {
        let machine = known(self.machine.as_deref(), "machine", shelf.book.machines.keys())?;
        let rider = known(self.rider.as_deref(), "rider", shelf.book.riders.keys())?;
        Ok(Options {
            machine: machine.map(str::to_owned),
            rider: rider.map(str::to_owned),
            from: self.from,
            to: self.to,
            on: self.on,
            since: self.since.as_deref().map(|revision| since(shelf, revision)).transpose()?,
        })
    }

    fn bytes(
        &self,
        shelf: &Shelf,
        page: &Page,
        (place, format): (&Place, Format),
        screen: &mut Screen,
    ) -> Result<Vec<u8>, Failure> {
        let format = match format {
            Format::Csv => {
                return Ok(csv::write(&season::table(page, &shelf.book.units_for(None))).into_bytes());
            }
            Format::Json => return Ok(json(page)?.into_bytes()),
            Format::Text | Format::Pdf | Format::Html => format,
        };
        let press = Press::new(&shelf.book, &shelf.store, self.printing.paper)?;
        let document = press.compose_in(&page.tongue, TEMPLATE, page)?;
        if format == Format::Html {
            return Ok(press.html(&document, Images::new(), true));
        }
        press.written(vec![document], format.form(), screen.text_for(place), screen)
    }
}

/// Reads the book as it was at a revision, and compares the shelf's with it.
fn since(shelf: &Shelf, revision: &str) -> Result<Since, Failure> {
    let repository = Repository::around(&shelf.root).map_err(|error| revision_failure(&error, None))?;
    let earlier =
        repository.book_at(revision).map_err(|error| revision_failure(&error, Some(&repository)))?;
    let then = shelf::session(&earlier.store, format!("`{revision}`"))?.read();
    Ok(Since::new(revision, &then, &shelf.book, |path| earlier.name_of(path)))
}
