//! `loambook state`: the settings in force at a place, and a notebook by itself for `git diff`.

use std::path::{Path, PathBuf};

use clap::Args;

use crate::pages::state;
use crate::source::read_named;

use super::Verdict;
use super::cleared::{below, stops};
use super::failure::Failure;
use super::latest::last_day;
use super::screen::Screen;
use super::shelf::Shelf;

/// Prints the settings in force in a notebook, each with the place that set it.
///
/// A day's at its end, or at a line; a machine's standard setting.
#[derive(Debug, Args)]
#[command(after_help = "Example: loambook state days/saturday.md")]
pub(super) struct State {
    /// A day's or a machine's notebook, or a folder of days; with `--alone` any file. The last day of the book's own
    /// machine and rider when not given.
    #[arg(required_if_eq("alone", "true"))]
    path: Option<PathBuf>,

    /// The line at which to tell what holds; the notebook's end when not given.
    #[arg(long, value_name = "LINE")]
    at: Option<u32>,

    /// Prints what the file says by itself, one line a value, without a book and without what is carried: the
    /// text for `git diff`. A file that is no notebook is printed as it is.
    #[arg(long, conflicts_with = "at")]
    alone: bool,
}

impl State {
    pub fn run(&self, book: Option<&Path>, screen: &mut Screen) -> Result<Verdict, Failure> {
        let shelf = match &self.path {
            Some(path) if self.alone => return print_alone(path, screen),
            path => Shelf::open(book, path.as_slice())?,
        };
        let days = match &self.path {
            Some(_) => shelf.days(),
            None => vec![last_day(&shelf)?],
        };
        let mut printed = 0;
        for day in days {
            let notebook = shelf.book.days.get(day).map_or("", |day| &day.notebook.path);
            let in_force = state::of_day(&shelf.book, &shelf.season, day, self.at)
                .ok_or_else(|| no_line(notebook, self.at))?;
            screen.print(&below(&stops(&shelf, [day]), &state::text(&in_force)))?;
            printed += 1;
        }
        let machines =
            shelf.book.machines.iter().filter(|(_, machine)| shelf.is_asked(machine.document.file));
        for (name, _) in machines.filter(|_| self.path.is_some() && self.at.is_none()) {
            screen
                .print(&state::of_machine(&shelf.book, name).as_ref().map(state::text).unwrap_or_default())?;
            printed += 1;
        }
        if let Some(path) = self.path.as_ref().filter(|_| printed == 0) {
            return Err(Failure::new(format!("{} holds no settings of its own", path.display()))
                .help("give a day's notebook, or a machine's for its standard setting"));
        }
        Ok(Verdict::Clean)
    }
}

fn no_line(notebook: &str, line: Option<u32>) -> Failure {
    let line = line.map(|line| line.to_string()).unwrap_or_default();
    Failure::new(format!("{notebook} has no line {line}")).help("lines count from 1")
}

/// Whatever the file holds, there is something to compare.
fn print_alone(path: &Path, screen: &mut Screen) -> Result<Verdict, Failure> {
    let bytes = read_named(path, u64::MAX)
        .map_err(|error| Failure::new(format!("{} cannot be read: {error}", path.display())))?;
    match state::alone(&bytes) {
        Some(text) => screen.print(&text)?,
        None => screen.print_data(&bytes)?,
    }
    Ok(Verdict::Clean)
}
