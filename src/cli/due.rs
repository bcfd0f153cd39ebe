//! `loambook due`: what to check and service, and by when.

use std::path::Path;

use clap::{Args, ValueEnum};
use jiff::civil::Date;

use crate::pages::due;
use crate::render::calendar::calendar;
use crate::render::mark::Form;

use super::Verdict;
use super::cleared::{WithStops, stops};
use super::clock;
use super::failure::Failure;
use super::output::{self, Format as _, Output, Printing, Writer};
use super::press::Press;
use super::screen::Screen;
use super::shelf::Shelf;

/// The template of the list; a book's own in `templates/` replaces it.
const TEMPLATE: &str = "due.md";

/// Lists the checks and services due on every machine, overdue ones first.
#[derive(Debug, Args)]
#[command(after_help = "Example: loambook due -o due.ics")]
pub(super) struct Due {
    /// The date to judge by; today when not given. Notebooks of later days do not count.
    #[arg(long, value_name = "DATE")]
    on: Option<Date>,

    #[command(flatten)]
    printing: Printing<Format>,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
enum Format {
    /// For people at a terminal.
    Text,
    /// One file that a browser shows without a network.
    Html,
    /// To print.
    Pdf,
    /// A calendar (RFC 5545); reading it in again updates what is there.
    Ics,
}

impl output::Format for Format {
    fn form(self) -> Form {
        match self {
            Self::Text => Form::Text,
            Self::Html => Form::Html,
            Self::Pdf => Form::Pdf,
            Self::Ics => Form::Calendar,
        }
    }
}

impl Due {
    pub fn run(&self, book: Option<&Path>, screen: &mut Screen) -> Result<Verdict, Failure> {
        let (place, format) = self.printing.written.place()?;
        let format = format.unwrap_or(Format::Text);
        let place = output::place_of(place, format, "due")?;
        let shelf = Shelf::open(book, &[])?.told_as(format.form());
        let on = self.on.unwrap_or_else(clock::today);
        let list = due::due(&shelf.book, &shelf.season, on);
        let days = shelf.book.days.iter().enumerate().filter(|(_, day)| day.date <= on);
        let bytes = match format {
            Format::Ics => calendar(&list).into_bytes(),
            _ => {
                let not_cleared = stops(&shelf, days.map(|(day, _)| day));
                let press = Press::new(&shelf.book, &shelf.store, self.printing.paper)?;
                let document = press.compose(TEMPLATE, &WithStops { not_cleared, page: list.laid() })?;
                press.written(vec![document], format.form(), screen.text_for(&place), screen)?
            }
        };
        let output = Output { form: format.form(), bytes: &bytes };
        Writer::new().deliver(&place, "due", output, screen)?;
        Ok(Verdict::Clean)
    }
}
