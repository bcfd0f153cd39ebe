//! `loambook due`: what is to be looked at and serviced, and by when.

use std::path::Path;

use clap::{Args, ValueEnum};
use jiff::civil::Date;

use crate::pages::due;
use crate::render::calendar::calendar;

use super::Verdict;
use super::clock;
use super::failure::Failure;
use super::screen::Screen;
use super::shelf::Shelf;

/// Lists what is due on every machine of the book: what is overdue first.
#[derive(Debug, Args)]
pub(super) struct Due {
    /// The date of asking; today when not given. What is written for later days is not looked at.
    #[arg(long, value_name = "DATE")]
    on: Option<Date>,

    /// How the list is written.
    #[arg(long, value_enum, default_value_t = Format::Text)]
    format: Format,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
enum Format {
    /// For people.
    Text,
    /// A calendar (RFC 5545); reading it in again updates what is there.
    Ics,
}

impl Due {
    pub fn run(&self, book: Option<&Path>, screen: &mut Screen) -> Result<Verdict, Failure> {
        let shelf = Shelf::open(book, &[])?;
        let list = due::due(&shelf.book, &shelf.season, self.on.unwrap_or_else(clock::today));
        match self.format {
            Format::Text => screen.print(&due::text(&list))?,
            Format::Ics => screen.print_data(calendar(&list).as_bytes())?,
        }
        Ok(Verdict::Clean)
    }
}
