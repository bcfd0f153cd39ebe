//! `loambook gearing`: sprockets on hand near today's.

use std::path::Path;

use clap::Args;

use crate::pages::gearing;

use super::Verdict;
use super::failure::Failure;
use super::latest::Latest;
use super::screen::Screen;
use super::shelf::Shelf;

/// Prints the sprockets on hand near today's: ratio, speeds, links, and where the axle ends up.
#[derive(Debug, Args)]
pub(super) struct Gearing {
    #[command(flatten)]
    latest: Latest,
}

impl Gearing {
    pub fn run(&self, book: Option<&Path>, screen: &mut Screen) -> Result<Verdict, Failure> {
        let page = |shelf: &Shelf, day| gearing::gearings(&shelf.book, &shelf.season, day);
        self.latest.print(book, screen, page, gearing::text)
    }
}
