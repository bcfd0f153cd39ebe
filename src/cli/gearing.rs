//! `loambook gearing`: sprockets on hand near today's.

use std::path::Path;

use clap::Args;

use crate::pages::gearing::{self, Gearings};

use super::Verdict;
use super::cleared::{WithStops, stops};
use super::failure::Failure;
use super::latest::Latest;
use super::press::{Json, WayOut};
use super::screen::Screen;
use super::shelf::Shelf;

/// The template of the page; a book's own in `templates/` replaces it.
const TEMPLATE: &str = "gearing.md";

/// Prints the sprockets on hand near today's: ratio, speeds, links, and where the axle ends up.
#[derive(Debug, Args)]
#[command(after_help = "Example: loambook gearing days/saturday.md")]
pub(super) struct Gearing {
    #[command(flatten)]
    latest: Latest,
}

impl Gearing {
    pub fn run(&self, book: Option<&Path>, screen: &mut Screen) -> Result<Verdict, Failure> {
        let way_out = WayOut::new(&self.latest.printing, "gearing")?;
        let page = |shelf: &Shelf, day| {
            let gearings = gearing::gearings(&shelf.book, &shelf.season, day)?;
            Some(WithStops { not_cleared: stops(shelf, [day]), page: gearings })
        };
        let read = self.latest.read(book, screen, page)?;
        way_out.print(
            (&read.shelf.book, &read.shelf.store),
            (TEMPLATE, Json::Lines),
            &read.pages,
            |it| it.laid(Gearings::laid),
            screen,
        )?;
        Ok(read.verdict)
    }
}
