//! `loambook next`: from a complaint to one next change.

use std::path::{Path, PathBuf};

use clap::{Args, ValueEnum};
use jiff::civil::Date;
use serde::Serialize;

use crate::advice::{self, Asking, Next as Said};

use super::Verdict;
use super::failure::Failure;
use super::screen::Screen;
use super::shelf::Shelf;

/// Says the one next change for what the last ride complained of, with what it rests on and how to undo it.
///
/// Of a folder, the last day of each machine and rider is asked.
#[derive(Debug, Args)]
pub(super) struct Next {
    /// A day's notebook, or a folder of them.
    path: PathBuf,

    /// Tells every step, and why those that are left out are.
    #[arg(long)]
    all: bool,

    /// How advice is written.
    #[arg(long, value_enum, default_value_t = Format::Text)]
    format: Format,

    /// The date on which readings are judged to be due; the day's own when not given.
    #[arg(long, value_name = "DATE")]
    on: Option<Date>,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
enum Format {
    /// For people.
    Text,
    /// One object a day, one a line.
    Json,
}

/// A day's advice in JSON.
#[derive(Serialize)]
struct Line<'a> {
    schema: u32,
    notebook: &'a str,
    #[serde(flatten)]
    next: &'a Said,
}

impl Next {
    pub fn run(&self, book: Option<&Path>, screen: &mut Screen) -> Result<Verdict, Failure> {
        let shelf = Shelf::open(book, std::slice::from_ref(&self.path))?;
        let days = last_days(&shelf);
        if days.is_empty() {
            return Err(Failure::new(format!("{} is no day's notebook", self.path.display()))
                .help("advice is asked for a day, as that is what was ridden"));
        }
        for (place, day) in days.into_iter().enumerate() {
            let asking = Asking { day, points: None, on: self.on };
            let next = advice::next(&shelf.book, &shelf.season, asking, &shelf.advice);
            let notebook = shelf.book.days.get(day).map(|day| day.notebook.path.as_str());
            let (Some(next), Some(notebook)) = (next, notebook) else { continue };
            match self.format {
                Format::Text => {
                    let gap = if place > 0 { "\n" } else { "" };
                    screen.print(&format!("{gap}{notebook}\n\n{}", advice::text(&next, self.all)))?;
                }
                Format::Json => {
                    let line = serde_json::to_string(&Line { schema: 1, notebook, next: &next });
                    screen.print(&(line.map_err(|error| Failure::new(error.to_string()))? + "\n"))?;
                }
            }
        }
        Ok(Verdict::Clean)
    }
}

/// The days that were asked for, less those that another of them goes on from.
fn last_days(shelf: &Shelf) -> Vec<usize> {
    let asked = shelf.days();
    let gone_on: Vec<usize> = asked
        .iter()
        .filter_map(|day| shelf.season.days.get(*day).and_then(|replay| replay.previous))
        .collect();
    asked.into_iter().filter(|day| !gone_on.contains(day)).collect()
}
