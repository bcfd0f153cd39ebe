//! `loambook figures`: everything that the tool works out, for people or for machines.

use std::path::{Path, PathBuf};

use clap::{Args, ValueEnum};

use crate::pages::figures::{self, NotebookFigures};

use super::Verdict;
use super::failure::Failure;
use super::screen::Screen;
use super::shelf::Shelf;

/// Prints every figure of a notebook, at every place where something that it rests on changes.
#[derive(Debug, Args)]
pub(super) struct Figures {
    /// A notebook, or a folder of them.
    path: PathBuf,

    /// How figures are written.
    #[arg(long, value_enum, default_value_t = Format::Text)]
    format: Format,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
enum Format {
    /// A table for people: what holds at the end of the notebook, and what is missing.
    Text,
    /// One object a notebook, one a line.
    Json,
}

impl Figures {
    pub fn run(&self, book: Option<&Path>, screen: &mut Screen) -> Result<Verdict, Failure> {
        let shelf = Shelf::open(book, std::slice::from_ref(&self.path))?;
        for index in shelf.days() {
            let Some(figures) = figures::of_day(&shelf.book, &shelf.season, index) else { continue };
            match self.format {
                Format::Text => screen.print(&figures::text(&figures))?,
                Format::Json => screen.print_data(json(&figures)?.as_bytes())?,
            }
        }
        Ok(Verdict::Clean)
    }
}

fn json(figures: &NotebookFigures) -> Result<String, Failure> {
    let line = serde_json::to_string(figures).map_err(|error| Failure::new(error.to_string()))?;
    Ok(line + "\n")
}
