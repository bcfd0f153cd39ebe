//! `loambook spring`: which spring, and how much preload.

use std::path::{Path, PathBuf};

use clap::{Args, ValueEnum};

use crate::pages::spring;

use super::Verdict;
use super::failure::Failure;
use super::latest::latest;
use super::screen::{Screen, json_line};
use super::shelf::Shelf;

/// Prints the springs on hand with the preload that each asks for, and the static sag that follows.
///
/// Of a folder or a machine's notebook, the last day of each machine and rider is taken.
#[derive(Debug, Args)]
pub(super) struct Spring {
    /// A day's or a machine's notebook, or a folder.
    path: PathBuf,

    /// How it is written.
    #[arg(long, value_enum, default_value_t = Format::Text)]
    format: Format,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
enum Format {
    /// For people.
    Text,
    /// One object a day, one a line.
    Json,
}

impl Spring {
    pub fn run(&self, book: Option<&Path>, screen: &mut Screen) -> Result<Verdict, Failure> {
        let shelf = Shelf::open(book, std::slice::from_ref(&self.path))?;
        for (place, day) in latest(&shelf, &self.path)?.into_iter().enumerate() {
            let Some(page) = spring::springs(&shelf.book, &shelf.season, day) else { continue };
            match self.format {
                Format::Text => {
                    let gap = if place > 0 { "\n" } else { "" };
                    screen.print(&format!("{gap}{}", spring::text(&page)))?;
                }
                Format::Json => screen.print(&json_line(&page)?)?,
            }
        }
        Ok(Verdict::Clean)
    }
}
