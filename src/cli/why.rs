//! `loambook why`: how one figure came about.

use std::path::{Path, PathBuf};

use clap::Args;

use crate::figures::Here;
use crate::pages::why;
use crate::source::named;
use crate::vocabulary::FigureName;

use super::Verdict;
use super::cleared::{WithStops, stops};
use super::failure::Failure;
use super::latest::last_day;
use super::output::{AnyFormat, Printing};
use super::press::{Json, WayOut};
use super::screen::Screen;
use super::shelf::Shelf;

/// The template of the page; a book's own in `templates/` replaces it.
const TEMPLATE: &str = "why.md";

/// Shows how a figure came about: formula, inputs with their places, and what makes it uncertain.
#[derive(Debug, Args)]
#[command(after_help = "Example: loambook why geometry.trail days/saturday.md")]
pub(super) struct Why {
    /// The figure's name, such as `sag.rear.rider`.
    figure: String,

    /// A day's notebook, by path, name or date; with `:LINE` behind it, as things stood there. Of a folder the last day. When not given, the
    /// last day of the book's own machine and rider.
    #[arg(value_name = "PATH[:LINE]")]
    path: Option<String>,

    #[command(flatten)]
    printing: Printing<AnyFormat>,
}

impl Why {
    pub fn run(&self, book: Option<&Path>, screen: &mut Screen) -> Result<Verdict, Failure> {
        let way_out = WayOut::new(&self.printing, "why")?;
        let (path, line) = self.path.as_deref().map(place).unzip();
        let line = line.flatten();
        let shelf = Shelf::open(book, path.as_slice())?.told_as(way_out.form());
        let path = path.unwrap_or_else(|| shelf.root.clone());
        let not_a_day = || Failure::new(format!("{} is not a day's notebook", path.display()));
        let day = match &self.path {
            Some(_) => *shelf.days().last().ok_or_else(not_a_day)?,
            None => last_day(&shelf)?,
        };
        let (about, replay) = (shelf.book.days.get(day), shelf.season.days.get(day));
        let (about, replay) = about.zip(replay).ok_or_else(not_a_day)?;
        let state = match line {
            None => replay.end(),
            Some(line) => {
                let file = about.notebook.document.file;
                let span = shelf
                    .book
                    .sources
                    .line(file, line)
                    .ok_or_else(|| Failure::new(format!("{} has no line {line}", path.display())))?;
                // A line counts with all of its block.
                replay.at(span.end)
            }
        };
        let here = Here::of_day(&shelf.book, &shelf.season, day, state).ok_or_else(not_a_day)?;
        let units = shelf.book.units_for(about.rider.as_deref());
        let Some(figure) = FigureName::parse(&self.figure) else {
            let mut failure = Failure::new(format!("there is no figure `{}`", self.figure));
            let near = why::nearest(&self.figure);
            if !near.is_empty() {
                failure = failure.help(format!("did you mean `{}`?", near.join("` or `")));
            }
            return Err(failure);
        };
        let why = why::why(&shelf.book, here, figure, &units);
        if !named::is_file(&path) {
            screen.remark(&format!("as of {}, the last day", about.notebook.path));
        }
        let page = WithStops { not_cleared: stops(&shelf, [day]), page: why };
        way_out.print(
            (&shelf.book, &shelf.store),
            (TEMPLATE, Json::Indented),
            &[page],
            |page| page,
            screen,
        )?;
        Ok(Verdict::Clean)
    }
}

/// Takes `days/a.md:14` apart; anything but a line number belongs to the path.
pub(super) fn place(given: &str) -> (PathBuf, Option<u32>) {
    match given.rsplit_once(':').map(|(path, line)| (path, line.parse::<u32>())) {
        Some((path, Ok(line))) => (PathBuf::from(path), Some(line)),
        _ => (PathBuf::from(given), None),
    }
}
