//! `loambook next`: from a complaint to one next change.

use std::path::Path;

use clap::Args;
use jiff::civil::Date;
use serde::Serialize;

use crate::advice::{self, Asking, Next as Said};

use super::Verdict;
use super::failure::Failure;
use super::latest::Latest;
use super::screen::Screen;
use super::shelf::Shelf;

/// Says the one next change for what the last ride complained of, with what it rests on and how to undo it.
#[derive(Debug, Args)]
pub(super) struct Next {
    #[command(flatten)]
    latest: Latest,

    /// Tells every step, and why those that are left out are.
    #[arg(long)]
    all: bool,

    /// The date on which readings are judged to be due; the day's own when not given.
    #[arg(long, value_name = "DATE")]
    on: Option<Date>,
}

/// A day's advice.
#[derive(Serialize)]
struct Line {
    schema: u32,
    notebook: String,
    #[serde(flatten)]
    next: Said,
}

impl Next {
    pub fn run(&self, book: Option<&Path>, screen: &mut Screen) -> Result<Verdict, Failure> {
        let line = |shelf: &Shelf, day| {
            let asking = Asking { day, points: None, on: self.on };
            let next = advice::next(&shelf.book, &shelf.season, asking, &shelf.advice)?;
            let notebook = shelf.book.days.get(day)?.notebook.path.clone();
            Some(Line { schema: 1, notebook, next })
        };
        let text = |line: &Line| format!("{}\n\n{}", line.notebook, advice::text(&line.next, self.all));
        self.latest.print(book, screen, line, text)
    }
}
