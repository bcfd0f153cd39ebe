//! `loambook figures`: everything that the program works out, for people or for programs.

use std::path::{Path, PathBuf};

use clap::Args;

use crate::pages::figures::{self, Extent, NotebookFigures};

use super::Verdict;
use super::cleared::{WithStops, stops};
use super::failure::Failure;
use super::latest::last_day;
use super::output::{AnyFormat, Printing};
use super::press::{Json, WayOut};
use super::screen::Screen;
use super::shelf::Shelf;

/// The template of the page; a book's own in `templates/` replaces it.
const TEMPLATE: &str = "figures.md";

/// Prints the figures of a day, or of a machine's standard setting.
///
/// Text has sags, collar, pressures and trail as they are at the notebook's end; with `--all` every figure. JSON has every
/// figure at every place where something it rests on changes.
#[derive(Debug, Args)]
#[command(after_help = "Example: loambook figures days/saturday.md --all")]
pub(super) struct Figures {
    /// A notebook of a day or a machine, by path, name or date, or a folder of them; the last day of the book's own
    /// machine and rider when not given.
    path: Option<PathBuf>,

    /// Every figure, not only the usual ones.
    #[arg(long)]
    all: bool,

    #[command(flatten)]
    printing: Printing<AnyFormat>,
}

impl Figures {
    pub fn run(&self, book: Option<&Path>, screen: &mut Screen) -> Result<Verdict, Failure> {
        let way_out = WayOut::new(&self.printing, "figures")?;
        let shelf = Shelf::open(book, self.path.as_slice())?.told_as(way_out.form());
        let days = match &self.path {
            Some(_) => shelf.days(),
            None => vec![last_day(&shelf)?],
        };
        let of_day = |day: &usize| {
            let page = figures::of_day(&shelf.book, &shelf.season, *day)?;
            Some(WithStops { not_cleared: stops(&shelf, [*day]), page })
        };
        let mut pages: Vec<WithStops<NotebookFigures>> = days.iter().filter_map(of_day).collect();
        if days.is_empty() {
            let machines = shelf.book.machines.values();
            let asked = machines.filter(|machine| shelf.is_asked(machine.document.file));
            let of_machine = |machine| figures::of_machine(&shelf.book, &shelf.season, machine);
            pages.extend(
                asked.map(|machine| WithStops { not_cleared: Vec::new(), page: of_machine(machine) }),
            );
        }
        if let Some(path) = self.path.as_ref().filter(|_| pages.is_empty()) {
            return Err(Failure::new(format!("{} has no figures of its own", path.display()))
                .help("give a day's notebook, or a machine's for its standard setting"));
        }
        let extent = if self.all { Extent::All } else { Extent::First };
        way_out.print(
            (&shelf.book, &shelf.store),
            (TEMPLATE, Json::Lines),
            &pages,
            |it| it.laid(|page| page.at_end(extent)),
            screen,
        )?;
        Ok(Verdict::Clean)
    }
}
