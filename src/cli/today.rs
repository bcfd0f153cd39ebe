//! `loambook today`: what to do tonight, on one screen.

use std::path::Path;

use clap::Args;
use jiff::civil::Date;

use crate::finding::Severity;
use crate::pages::prepare::{self, Ahead};
use crate::pages::today::{self, Rides, Today as Page, When};
use crate::vocabulary::NotebookKind;

use super::Verdict;
use super::clock;
use super::failure::Failure;
use super::forecast::Forecast;
use super::new::known;
use super::output::{AnyFormat, Printing};
use super::press::{Json, WayOut};
use super::screen::Screen;
use super::sheet;
use super::shelf::Shelf;

/// The template of the page; a book's own in `templates/` replaces it.
const TEMPLATE: &str = "today.md";

/// Shows on one screen what to set, pump and check, and the one next change.
///
/// It is about the next day that is written, else the machine as it is now. It needs no options.
#[derive(Debug, Args)]
#[command(after_help = "Example: loambook today --rider me --air 24°C")]
pub(super) struct Today {
    /// The rider; can be given several times. When not given: the book's own, else those of the next day, else all.
    #[arg(long, value_name = "NAME")]
    rider: Vec<String>,

    /// The machine; when not given, the book's own, or that of the rider's last day.
    #[arg(long, value_name = "NAME")]
    machine: Option<String>,

    /// The date; when not given, today or the next one written.
    #[arg(long, value_name = "DATE")]
    date: Option<Date>,

    #[command(flatten)]
    forecast: Forecast,

    #[command(flatten)]
    printing: Printing<AnyFormat>,
}

impl Today {
    pub fn run(&self, book: Option<&Path>, screen: &mut Screen) -> Result<Verdict, Failure> {
        let way_out = WayOut::new(&self.printing, "today")?;
        let mut shelf = Shelf::open(book, &[])?.told_as(way_out.form());
        let date = self.date.unwrap_or_else(clock::today);
        for rider in &self.rider {
            known(Some(rider), "rider", shelf.book.riders.keys())?;
        }
        known(self.machine.as_deref(), "machine", shelf.book.machines.keys())?;
        let riders = today::riders(&shelf.book, &self.rider, self.machine.as_deref(), date);
        if riders.is_empty() {
            return Err(Failure::new("nobody has ridden in this book yet")
                .help("`loambook new day` begins a day; `--rider` and `--machine` say who is meant"));
        }
        let is_for_all = self.rider.is_empty() && shelf.book.about.rider.is_none();
        let others = if is_for_all { today::not_shown(&shelf.book, &riders) } else { Vec::new() };
        let mut pages = Vec::new();
        let mut verdict = Verdict::Clean;
        for rides in &riders {
            let (page, is_faulty) = self.page(&mut shelf, rides, date, screen)?;
            pages.push(page);
            if is_faulty {
                verdict = Verdict::Faulty;
            }
        }
        let units = match riders.as_slice() {
            [one] => shelf.book.units_for(one.rider.as_deref()),
            _ => shelf.book.about.units.clone(),
        };
        let page = today::tonight(&units, date, pages, &others);
        let pages = std::slice::from_ref(&page);
        way_out.print(
            (&shelf.book, &shelf.store),
            (TEMPLATE, Json::Lines),
            pages,
            today::Tonight::laid,
            screen,
        )?;
        Ok(verdict)
    }

    /// The page of one of them, and whether errors spoil it.
    fn page(
        &self,
        shelf: &mut Shelf,
        rides: &Rides,
        date: Date,
        screen: &mut Screen,
    ) -> Result<(Page, bool), Failure> {
        let forecast = self.forecast.given();
        let (day, is_supposed) = match today::when(&shelf.book, rides, date, self.date.is_some()) {
            When::Written(day) if forecast.is_empty() => (day, false),
            When::Written(day) => (Self::foretold(shelf, day, &forecast, screen)?, false),
            When::Supposed(date) => (suppose(shelf, rides, date, forecast, screen)?, true),
        };
        // Where an error spoils the page its place is reported, as for a sheet.
        let errors = sheet::report_errors(shelf, &[day], screen);
        if sheet::sets_an_error(&shelf.season, day, &errors) {
            return Err(Failure::new("there are errors in what would be set")
                .help("mend them first: `loambook check`"));
        }
        let on = shelf.book.days.get(day).map_or(date, |day| day.date.max(date));
        let page = today::today(&shelf.book, &shelf.season, &shelf.advice, day, on, is_supposed);
        let page = page.ok_or_else(|| Failure::new("there is no such day"))?;
        Ok((page, !errors.is_empty()))
    }

    /// Adds the forecast to a written day, for what its notebook does not say itself, and returns its place.
    fn foretold(
        shelf: &mut Shelf,
        day: usize,
        forecast: &[(&'static str, String)],
        screen: &mut Screen,
    ) -> Result<usize, Failure> {
        let about = shelf.book.days.get(day).ok_or_else(|| Failure::new("there is no such day"))?;
        let (file, path, date) = (about.notebook.document.file, about.notebook.path.clone(), about.date);
        let text = prepare::with_forecast(&about.notebook, shelf.book.sources.whole(file), forecast);
        let text = text.map_err(|key| {
            Failure::new(format!("{path} gives its own `{key}`"))
                .help("change it there; options are for what a day's notebook does not say")
        })?;
        let errors = |shelf: &mut Shelf| {
            let all = shelf.all_findings(date).into_iter();
            let here = all.filter(|finding| finding.severity == Severity::Error && finding.span.file == file);
            here.collect::<Vec<_>>()
        };
        let before = errors(shelf);
        shelf.suppose(&path, text);
        let after = errors(shelf);
        if after.len() > before.len() {
            screen.report_findings(shelf.book.about.units.tongue(), &after, &shelf.book.sources);
            return Err(Failure::new("the forecast has errors"));
        }
        shelf.book.day_of(file).ok_or_else(|| Failure::new("it is not clear which day is meant"))
    }
}

/// Puts a day without a notebook into the book without writing it, and returns its place.
pub(super) fn suppose(
    shelf: &mut Shelf,
    rides: &Rides,
    date: Date,
    forecast: Vec<(&'static str, String)>,
    screen: &mut Screen,
) -> Result<usize, Failure> {
    let (Some(rider), Some(machine)) = (&rides.rider, &rides.machine) else {
        return Err(
            Failure::new("it is not clear who rides what").help("add `--rider NAME` and `--machine NAME`")
        );
    };
    let is_theirs =
        |day: &&crate::book::Day| day.rider.as_ref() == Some(rider) && day.machine.as_ref() == Some(machine);
    let track = shelf.book.days.iter().rfind(is_theirs).and_then(|day| day.track.clone());
    let ahead = Ahead { date, machine, rider, track: track.as_deref(), order: None, forecast };
    let free = (0_u32..).map(|count| format!("{}/{date}-{rider}-{count}.md", NotebookKind::Day.folder()));
    let path = free.into_iter().find(|path| shelf.book.sources.find(path).is_none()).unwrap_or_default();
    shelf.suppose_day(&path, prepare::draft(&ahead), screen, Failure::new("the forecast has errors"))
}
