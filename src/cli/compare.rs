//! `loambook compare`: what differs, and what the difference does.

use std::path::{Path, PathBuf};

use clap::Args;
use jiff::civil::Date;
use serde::Serialize;

use crate::book::Day;
use crate::pages::ForReader;
use crate::pages::compare::{Side, Subject, compare, compare_seasons};
use crate::vocabulary::NotebookKind;

use super::Verdict;
use super::cleared::WithStops;
use super::failure::Failure;
use super::handed::{Handed, handed};
use super::output::{AnyFormat, Printing};
use super::press::{Json, WayOut};
use super::screen::Screen;
use super::sides::{Among, Desk, Open, Sides, machine_of, no_notebook};

const TEMPLATE: &str = "compare.md";
const SEASONS_TEMPLATE: &str = "compare-seasons.md";

/// Shows what differs between two days, riders or seasons, and what that does.
///
/// Each side is a notebook by path or name, a date, `PATH:LINE` for what holds at a line of a day, or `REVISION:PATH` for a notebook
/// as git has it. With `--on` the sides are two riders on that date, with `--season` two years. One side alone is
/// compared with what was before it. Without a side, the last day of the book's own machine and rider is.
#[derive(Debug, Args)]
#[command(after_help = "Example: loambook compare days/april.md days/may.md")]
pub(super) struct Compare {
    /// What to compare with.
    a: Option<String>,

    /// What to compare.
    b: Option<String>,

    /// The machine of a date or of a season.
    #[arg(long, value_name = "NAME")]
    machine: Option<String>,

    /// The rider of a date or of a season.
    #[arg(long, value_name = "NAME")]
    rider: Option<String>,

    /// Takes both sides as riders, and compares each one's last day up to this date.
    #[arg(long, value_name = "DATE", conflicts_with_all = ["season", "as_notebook"])]
    on: Option<Date>,

    /// Takes both sides as years, or periods such as 2026-03-01..2026-06-30, of one machine.
    #[arg(long, conflicts_with = "as_notebook")]
    season: bool,

    /// Takes both sides as files with two states of this notebook, as git hands them to a difftool.
    #[arg(long = "as", value_name = "NOTEBOOK")]
    as_notebook: Option<PathBuf>,

    /// Also shows what is the same.
    #[arg(long)]
    all: bool,

    #[command(flatten)]
    printing: Printing<AnyFormat>,
}

impl Compare {
    pub fn run(&self, book: Option<&Path>, screen: &mut Screen) -> Result<Verdict, Failure> {
        // What cannot be written is refused before anything is read.
        let form = self.way_out()?.form();
        let among = Among { machine: self.machine.as_deref(), rider: self.rider.as_deref() };
        let mut sides = Sides::new(book, among, form);
        if self.season {
            let desk = sides.desk(None)?;
            return self.seasons(&desk, screen);
        }
        if let Some(notebook) = &self.as_notebook {
            return self.handed(book, notebook, screen);
        }
        if let Some(date) = self.on {
            let (a, b) = self.both()?;
            return self.places(&sides.rider(a, date)?, &sides.rider(b, date)?, screen);
        }
        let later = match (&self.a, &self.b) {
            (Some(a), Some(b)) => {
                let (a, b) = (sides.open(a)?, sides.open(b)?);
                if [&a, &b].into_iter().all(is_riders) {
                    screen
                        .remark("these are the riders' notebooks; with `--on DATE` their days are compared");
                }
                return self.places(&a, &b, screen);
            }
            (Some(one), None) => sides.open(one)?,
            (None, _) => sides.last(self.machine.as_deref(), self.rider.as_deref())?,
        };
        let before = later.before().ok_or_else(|| {
            Failure::new(format!("there is nothing before {}", later.name)).help("give two sides")
        })?;
        self.places(&before, &later, screen)
    }

    /// Both sides; a failure where one is missing.
    fn both(&self) -> Result<(&str, &str), Failure> {
        let both = self.a.as_deref().zip(self.b.as_deref());
        both.ok_or_else(|| Failure::new("there are two sides to a comparison").help("give both of them"))
    }

    /// Two states of a file. Where one is not there, the day is compared with what was before it.
    fn handed(&self, book: Option<&Path>, path: &Path, screen: &mut Screen) -> Result<Verdict, Failure> {
        let name = path.display();
        let (a, b) = self.both()?;
        let (before, after) = (handed(book, a, path, "before")?, handed(book, b, path, "after")?);
        let (there, alone, came) = match (before, after) {
            (Handed::Notebook { open: a, .. }, Handed::Notebook { open: b, .. }) => {
                return self.places(&a, &b, screen);
            }
            (_, Handed::Notebook { open, alone }) => (open, alone, true),
            (Handed::Notebook { open, alone }, _) => (open, alone, false),
            _ => {
                screen.remark(&format!("{name} is not a notebook: `git diff` shows it as it is"));
                return Ok(Verdict::Clean);
            }
        };
        let what = if came { "is new" } else { "is gone" };
        match there.before() {
            Some(before) => {
                screen.remark(&format!("{name} {what}: it is compared with {}, before it", before.name));
                let (a, b) = if came { (&before, &there) } else { (&there, &before) };
                self.places(a, b, screen)
            }
            None => {
                screen.remark(&format!("{name} {what}: it says"));
                screen.print(&alone)?;
                Ok(Verdict::Clean)
            }
        }
    }

    fn places(&self, a: &Open, b: &Open, screen: &mut Screen) -> Result<Verdict, Failure> {
        for open in [a, b] {
            if open.errors() > 0 {
                screen.remark(&format!(
                    "warning: there are errors in {}; what they stand in is left out",
                    open.name
                ));
            }
        }
        comparable(a, b)?;
        let mut first = side(a)?.labelled(a.label(b));
        if a.is_renamed || b.is_renamed {
            first = first.known_there_as(b.path());
        }
        let comparison = compare(&first, &side(b)?.labelled(b.label(a)), self.all);
        let mut stops = a.desk.stops(|day| day.notebook.document.file == a.file);
        stops.extend(b.desk.stops(|day| day.notebook.document.file == b.file));
        stops.dedup();
        self.write(&comparison, stops, TEMPLATE, &b.desk, screen)
    }

    fn way_out(&self) -> Result<WayOut, Failure> {
        WayOut::new(&self.printing, "compare")
    }

    fn seasons(&self, desk: &Desk, screen: &mut Screen) -> Result<Verdict, Failure> {
        let book = &desk.book;
        let machine = machine_of(book, self.machine.as_deref())?;
        if let Some(rider) = self.rider.as_ref().filter(|rider| !book.riders.contains_key(*rider)) {
            return Err(Failure::new(format!("the book has no rider `{rider}`")));
        }
        let (a, b) = self.both()?;
        let (first, second) = (stretch(a)?, stretch(b)?);
        let holds = |(from, to): (Date, Date)| move |date: Date| from <= date && date <= to;
        let (in_first, in_second) = (holds(first), holds(second));
        let pair = (machine, self.rider.as_deref());
        let stretches: [(&str, &dyn Fn(Date) -> bool); 2] = [(a, &in_first), (b, &in_second)];
        let seasons = compare_seasons(book, &desk.season, pair, stretches);
        for season in [&seasons.a, &seasons.b] {
            if season.days == 0 {
                return Err(Failure::new(format!(
                    "the book has no day of {} in {}",
                    seasons.title, season.name
                )));
            }
        }
        let is_compared = |day: &Day| {
            let is_rider = self.rider.is_none() || day.rider == self.rider;
            day.machine.as_deref() == Some(machine) && is_rider
        };
        self.write(&seasons, desk.stops(is_compared), SEASONS_TEMPLATE, desk, screen)
    }

    fn write(
        &self,
        page: &(impl Serialize + ForReader),
        not_cleared: Vec<String>,
        template: &str,
        desk: &Desk,
        screen: &mut Screen,
    ) -> Result<Verdict, Failure> {
        let pages = [WithStops { not_cleared, page }];
        let json = Json::Indented;
        self.way_out()?.print((&desk.book, desk.store()), (template, json), &pages, |page| page, screen)?;
        Ok(Verdict::Clean)
    }
}

fn side(open: &Open) -> Result<Side<'_>, Failure> {
    let desk = &open.desk;
    if let Some(line) = open.line {
        let count = desk.book.sources.line_count(open.file);
        if line == 0 || line > count {
            return Err(Failure::new(format!("{} has no line {line}", open.path()))
                .help(format!("its lines are 1 to {count}")));
        }
        return Side::new(&desk.book, &desk.season, &open.name, Subject::Line(open.file, line)).ok_or_else(
            || {
                Failure::new(format!("{} is not a day's notebook", open.path()))
                    .help("a line says when; a machine's, rider's or track's notebook is compared whole")
            },
        );
    }
    Side::new(&desk.book, &desk.season, &open.name, Subject::Notebook(open.file))
        .ok_or_else(|| no_notebook(&open.name))
}

/// Both sides must be of one kind, except that a day may be compared with a machine's standard setting.
fn comparable(a: &Open, b: &Open) -> Result<(), Failure> {
    let kind = |open: &Open| open.desk.book.notebook(open.file).map(|notebook| notebook.kind);
    let has_settings = |kind| matches!(kind, NotebookKind::Day | NotebookKind::Machine);
    match (kind(a), kind(b)) {
        (Some(one), Some(two)) if one != two && !(has_settings(one) && has_settings(two)) => Err(
            Failure::new(format!("a {}'s notebook cannot be compared with a {}'s", one.word(), two.word())),
        ),
        _ => Ok(()),
    }
}

fn is_riders(open: &Open) -> bool {
    open.desk.book.notebook(open.file).is_some_and(|notebook| notebook.kind == NotebookKind::Rider)
}

/// A year, or two dates with `..` between.
fn stretch(given: &str) -> Result<(Date, Date), Failure> {
    let year = |text: &str| {
        let year: i16 = text.parse().ok().filter(|year| (1..=9999).contains(year))?;
        Some((Date::new(year, 1, 1).ok()?, Date::new(year, 12, 31).ok()?))
    };
    let dates = |text: &str| {
        let (from, to) = text.split_once("..")?;
        Some((from.parse().ok()?, to.parse().ok()?))
    };
    year(given).or_else(|| dates(given)).ok_or_else(|| {
        Failure::new(format!("`{given}` is neither a year nor a span of dates"))
            .help("write 2026, or 2026-03-01..2026-06-30")
    })
}
