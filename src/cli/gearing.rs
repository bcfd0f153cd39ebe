//! `loambook gearing`: sprockets on hand near today's.

use std::path::Path;

use clap::Args;

use crate::pages::gearing;

use super::Verdict;
use super::cleared::{WithStops, below, stops};
use super::failure::Failure;
use super::latest::Latest;
use super::screen::Screen;
use super::shelf::Shelf;

/// Prints the sprockets on hand near today's: ratio, speeds, links, and where the axle ends up.
#[derive(Debug, Args)]
#[command(after_help = "Example: loambook gearing days/saturday.md")]
pub(super) struct Gearing {
    #[command(flatten)]
    latest: Latest,
}

impl Gearing {
    pub fn run(&self, book: Option<&Path>, screen: &mut Screen) -> Result<Verdict, Failure> {
        let page = |shelf: &Shelf, day| {
            let gearings = gearing::gearings(&shelf.book, &shelf.season, day)?;
            Some(WithStops { not_cleared: stops(shelf, [day]), page: gearings })
        };
        let text = |it: &WithStops<_>| below(&it.not_cleared, &gearing::text(&it.page));
        self.latest.print(book, screen, page, text)
    }
}
