//! `loambook next`: from a complaint to one next change.

use std::path::Path;

use clap::Args;
use jiff::civil::Date;

use crate::advice::{self, Asking};
use crate::pages::next::NextPage;
use crate::source::named;
use crate::vocabulary::NotebookKind;

use super::Verdict;
use super::clock;
use super::failure::Failure;
use super::latest::{Latest, last_day};
use super::new::{checked, place, shown};
use super::output::{self, AnyFormat, Writer};
use super::press::{Json, WayOut};
use super::screen::{Screen, json_line};
use super::shelf::Shelf;

/// The template of the page; a book's own in `templates/` replaces it.
const TEMPLATE: &str = "next.md";

/// Proposes one next change for what the rider complained of: why, how much, and how to undo it.
#[derive(Debug, Args)]
#[command(after_help = "Example: loambook next days/saturday.md")]
pub(super) struct Next {
    #[command(flatten)]
    latest: Latest,

    /// Shows every step, and why the others were left out.
    #[arg(long)]
    all: bool,

    /// Writes a test of the change, as a day's notebook to fill in: as it is, changed, as it was. It says how many laps each
    /// needs, going by the rider's own laps. Its date is `--on`, else today. It never overwrites a file.
    #[arg(long, conflicts_with = "all")]
    plan: bool,

    /// The date that readings are judged by; the day's own when not given.
    #[arg(long, value_name = "DATE")]
    on: Option<Date>,
}

impl Next {
    pub fn run(&self, book: Option<&Path>, screen: &mut Screen) -> Result<Verdict, Failure> {
        if self.plan {
            return self.write_plan(book, screen);
        }
        let way_out = WayOut::new(&self.latest.printing, "next")?;
        let page = |shelf: &Shelf, day| {
            let asking = Asking { day, points: None, on: self.on, is_of_book: false };
            let next = advice::next(&shelf.book, &shelf.season, asking, &shelf.advice)?;
            let notebook = shelf.book.days.get(day)?.notebook.path.clone();
            let rider = shelf.book.days.get(day)?.rider.as_deref();
            Some(NextPage::new(notebook, next).told_in(shelf.book.units_for(rider).tongue()))
        };
        let read = self.latest.read(book, screen, page)?;
        let laid = |page| NextPage::laid(page, self.all);
        way_out.print(
            (&read.shelf.book, &read.shelf.store),
            (TEMPLATE, Json::Lines),
            &read.pages,
            laid,
            screen,
        )?;
        Ok(read.verdict)
    }

    /// Writes the test of the next change into the book.
    fn write_plan(&self, book: Option<&Path>, screen: &mut Screen) -> Result<Verdict, Failure> {
        let shelf = Shelf::open(book, self.latest.path.as_slice())?;
        let day = match &self.latest.path {
            Some(_) => shelf.days().last().copied(),
            None => Some(last_day(&shelf)?),
        };
        let day = day.ok_or_else(|| Failure::new("that is not a day's notebook"))?;
        let date = self.on.unwrap_or_else(clock::today);
        let rider = shelf.book.days.get(day).and_then(|day| day.rider.as_deref());
        let rider = rider.map(|rider| format!("-{rider}")).unwrap_or_default();
        let name = format!("{date}{rider}-test");
        let path = place(&shelf.store, NotebookKind::Day, checked(&name)?)?;
        if named::is_there(&path) {
            return Err(output::is_there(&shown(path)));
        }
        let asking = Asking { day, points: None, on: Some(date), is_of_book: false };
        let plan = advice::plan(&shelf.book, &shelf.season, asking, &shelf.advice, date)
            .map_err(|why| Failure::new(format!("there is nothing to test: {why}")))?;
        Writer::new().create(&path, &plan.notebook)?;
        match self.latest.printing.written.format {
            Some(AnyFormat::Json) => screen.print_data(json_line(&plan)?.as_bytes())?,
            _ => screen.print(&format!("{}\n{}\n{}\n", plan.what, plan.why, shown(path).display()))?,
        }
        Ok(Verdict::Clean)
    }
}
