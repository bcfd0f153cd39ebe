//! `loambook state`: the settings in force at a place, and a notebook by itself for `git diff`.

use std::path::{Path, PathBuf};

use clap::Args;

use crate::pages::state;
use crate::source::read_named;

use super::Verdict;
use super::cleared::{WithStops, stops};
use super::failure::Failure;
use super::latest::last_day;
use super::output::{AnyFormat, Printing};
use super::press::{Json, WayOut};
use super::screen::Screen;
use super::shelf::Shelf;

/// The template of the page; a book's own in `templates/` replaces it.
const TEMPLATE: &str = "state.md";

/// Prints the settings in force in a notebook, each with the place that set it.
///
/// Of a day those at its end, or at a line; of a machine the standard setting.
#[derive(Debug, Args)]
#[command(after_help = "Example: loambook state days/saturday.md")]
pub(super) struct State {
    /// A notebook of a day or a machine, by path, name or date, or a folder of days; with `--alone` any file. When not
    /// given, the last day of the book's own machine and rider.
    #[arg(required_if_eq("alone", "true"))]
    path: Option<PathBuf>,

    /// The line whose settings are shown; the notebook's end when not given.
    #[arg(long, value_name = "LINE")]
    at: Option<u32>,

    /// Prints what the file itself says, a line a value, without the book and what is carried: text for `git
    /// diff`. A file that is no notebook is printed as it is.
    #[arg(long, conflicts_with_all = ["at", "output", "format"])]
    alone: bool,

    #[command(flatten)]
    printing: Printing<AnyFormat>,
}

impl State {
    pub fn run(&self, book: Option<&Path>, screen: &mut Screen) -> Result<Verdict, Failure> {
        let way_out = WayOut::new(&self.printing, "state")?;
        let shelf = match &self.path {
            Some(path) if self.alone => return print_alone(path, screen),
            path => Shelf::open(book, path.as_slice())?.told_as(way_out.form()),
        };
        let days = match &self.path {
            Some(_) => shelf.days(),
            None => vec![last_day(&shelf)?],
        };
        let mut pages = Vec::new();
        for day in days {
            let notebook = shelf.book.days.get(day).map_or("", |day| &day.notebook.path);
            let page = state::of_day(&shelf.book, &shelf.season, day, self.at)
                .ok_or_else(|| no_line(notebook, self.at))?;
            pages.push(WithStops { not_cleared: stops(&shelf, [day]), page });
        }
        let machines =
            shelf.book.machines.iter().filter(|(_, machine)| shelf.is_asked(machine.document.file));
        let asked = machines.filter(|_| self.path.is_some() && self.at.is_none());
        let of_machines = asked.filter_map(|(name, _)| state::of_machine(&shelf.book, name));
        pages.extend(of_machines.map(|page| WithStops { not_cleared: Vec::new(), page }));
        if let Some(path) = self.path.as_ref().filter(|_| pages.is_empty()) {
            return Err(Failure::new(format!("{} has no settings of its own", path.display()))
                .help("give a day's notebook, or a machine's for its standard setting"));
        }
        way_out.print((&shelf.book, &shelf.store), (TEMPLATE, Json::Lines), &pages, |page| page, screen)?;
        Ok(Verdict::Clean)
    }
}

fn no_line(notebook: &str, line: Option<u32>) -> Failure {
    let line = line.map(|line| line.to_string()).unwrap_or_default();
    Failure::new(format!("{notebook} has no line {line}")).help("lines count from 1")
}

/// Whatever the file holds, git gets something to compare.
fn print_alone(path: &Path, screen: &mut Screen) -> Result<Verdict, Failure> {
    let bytes = read_named(path, u64::MAX)
        .map_err(|error| Failure::new(format!("{} cannot be read: {error}", path.display())))?;
    match state::alone(&bytes) {
        Some(text) => screen.print(&text)?,
        None => screen.print_data(&bytes)?,
    }
    Ok(Verdict::Clean)
}
