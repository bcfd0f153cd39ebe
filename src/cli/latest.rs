//! Commands about how things stand now: which days they are about, and a page for each.

use std::path::{Path, PathBuf};

use clap::Args;

use crate::book::{Book, Day};
use crate::vocabulary::values::Written;

use super::Verdict;
use super::failure::Failure;
use super::output::{AnyFormat, Format as _, Printing};
use super::screen::Screen;
use super::sheet::report_errors;
use super::shelf::Shelf;

/// The arguments that all of them take.
#[derive(Debug, Args)]
pub(super) struct Latest {
    /// A notebook of a day or a machine, by path, name or date, or a folder: the last day of each machine and rider.
    /// When not given, the last day of the book's own machine and rider.
    pub path: Option<PathBuf>,

    #[command(flatten)]
    pub printing: Printing<AnyFormat>,
}

/// The pages of the days that were asked for.
pub(super) struct Read<P> {
    pub shelf: Shelf,
    pub pages: Vec<P>,
    /// Whether there are errors in what they rest on.
    pub verdict: Verdict,
}

impl Latest {
    /// The page of each day asked for, by its place in the book. Errors in what the pages rest on are reported beside
    /// them.
    pub fn read<P>(
        &self,
        book: Option<&Path>,
        screen: &mut Screen,
        page: impl Fn(&Shelf, usize) -> Option<P>,
    ) -> Result<Read<P>, Failure> {
        let mut shelf = Shelf::open(book, self.path.as_slice())?;
        if let Some(format) = self.printing.written.place()?.1 {
            shelf = shelf.told_as(format.form());
        }
        let days = match &self.path {
            Some(path) => latest(&shelf, path)?,
            None => vec![last_day(&shelf)?],
        };
        // Whoever follows a page must know what it left out: *the head falls* under a misspelt key is no advice to ride.
        let errors = report_errors(&mut shelf, &days, screen);
        let pages = days.into_iter().filter_map(|day| page(&shelf, day)).collect();
        let verdict = if errors.is_empty() { Verdict::Clean } else { Verdict::Faulty };
        Ok(Read { shelf, pages, verdict })
    }
}

/// The one day that a path means: its own, the last one in it, or the last day of the book's own machine and rider.
pub(super) fn asked_for(shelf: &Shelf, path: Option<&Path>) -> Result<usize, Failure> {
    match path {
        None => last_day(shelf),
        Some(path) => latest(shelf, path)?
            .into_iter()
            .max()
            .ok_or_else(|| Failure::new(format!("there is no day in {}", path.display()))),
    }
}

/// The last day of the book's own machine and rider; the last of all where the book names none.
pub(super) fn last_day(shelf: &Shelf) -> Result<usize, Failure> {
    last_day_of(&shelf.book).ok_or_else(|| {
        Failure::new(format!("there is no day in {}", shelf.root.display()))
            .help("`loambook new day` begins one; a day's notebook can be named, too")
    })
}

/// The same for a book without a shelf.
pub(super) fn last_day_of(book: &Book) -> Option<usize> {
    let about = &book.about;
    let is_own = |own: &Option<Written>, name: &Option<String>| {
        own.as_ref().is_none_or(|own| name.as_deref() == Some(own.text.as_str()))
    };
    let own = |day: &Day| is_own(&about.machine, &day.machine) && is_own(&about.rider, &day.rider);
    book.days.iter().rposition(own)
}

/// The days asked for, without those that another of them goes on from. For a machine's notebook: the last day of
/// each of its riders.
fn latest(shelf: &Shelf, path: &Path) -> Result<Vec<usize>, Failure> {
    let mut asked = shelf.days();
    if asked.is_empty() {
        let machines = shelf.book.machines.values();
        let machines: Vec<&str> = machines
            .filter(|machine| shelf.is_asked(machine.document.file))
            .map(|machine| machine.name.as_str())
            .collect();
        let days = shelf.book.days.iter().enumerate();
        let of_machines =
            days.filter(|(_, day)| day.machine.as_deref().is_some_and(|name| machines.contains(&name)));
        asked = of_machines.map(|(index, _)| index).collect();
    }
    let gone_on: Vec<usize> = asked
        .iter()
        .filter_map(|day| shelf.season.days.get(*day).and_then(|replay| replay.previous))
        .collect();
    asked.retain(|day| !gone_on.contains(day));
    if asked.is_empty() {
        return Err(Failure::new(format!("there is no day in {}", path.display()))
            .help("name a day's notebook, or a machine's that was ridden"));
    }
    Ok(asked)
}
