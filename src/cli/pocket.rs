//! `loambook pocket`: the page for the telephone.

use std::path::Path;

use clap::{Args, ValueEnum};
use jiff::civil::Date;

use crate::pages::pocket::{self, Ride};
use crate::pages::prepare;
use crate::pages::sheet::Options;
use crate::pages::today::{self, Rides, When};
use crate::render;
use crate::render::mark::Form;

use super::Verdict;
use super::clock;
use super::failure::Failure;
use super::new::known;
use super::output::{self, Output, Place, To, Writer};
use super::screen::Screen;
use super::sheet::{self, Sheets};
use super::shelf::Shelf;
use super::today::suppose;

/// Writes one page for a telephone: the day's sheets, and forms to fill in at the track.
///
/// It needs no network and keeps what is entered. It gives that back as notebook text, which `loambook take` files. Open it
/// in a browser; it installs nothing.
///
/// The page holds the book's notebooks, because it checks and works out figures itself: give it to those who may read the
/// book.
#[derive(Debug, Args)]
#[command(after_help = "Example: loambook pocket -o saturday.html --date 2026-05-09")]
pub(super) struct Pocket {
    /// The rider; can be given several times. All riders when not given.
    #[arg(long, value_name = "NAME")]
    rider: Vec<String>,

    /// The machine; that of the rider's last day when not given.
    #[arg(long, value_name = "NAME")]
    machine: Option<String>,

    /// The day; today when not given.
    #[arg(long, value_name = "DATE")]
    date: Option<Date>,

    #[command(flatten)]
    to: To,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
enum Format {
    Html,
}

impl output::Format for Format {
    fn form(self) -> Form {
        Form::Html
    }
}

impl Pocket {
    pub fn run(&self, book: Option<&Path>, screen: &mut Screen) -> Result<Verdict, Failure> {
        let (place, _) = self.to.place::<Format>(None)?;
        let mut shelf = Shelf::open(book, &[])?;
        let date = self.date.unwrap_or_else(clock::today);
        for rider in &self.rider {
            known(Some(rider), "rider", shelf.book.riders.keys())?;
        }
        known(self.machine.as_deref(), "machine", shelf.book.machines.keys())?;
        let files = files(&shelf);
        let asked: Vec<prepare::Asked> = self.rider.iter().map(|rider| (rider.clone(), None)).collect();
        let mut verdict = Verdict::Clean;
        let mut rides = Vec::new();
        for prepare::Member { rider, machine } in
            prepare::team(&shelf.book, &asked, self.machine.as_deref(), date)
        {
            if machine.is_none() {
                screen.remark(&format!(
                    "{rider} never rode, and is not on the page: name a machine with `--machine`"
                ));
                continue;
            }
            let (ride, errors) = ride(&mut shelf, &Rides { rider: Some(rider), machine }, date, screen)?;
            rides.extend(ride);
            if errors {
                verdict = Verdict::Faulty;
            }
        }
        if rides.is_empty() {
            return Err(Failure::new("there is no rider to write anything down for")
                .help("`--rider` and `--machine` say who is meant"));
        }
        let page = pocket::pocket(&shelf.book, &shelf.advice, date, rides, files);
        let page = render::pocket::page(&page, (&page.title, &page.language), page.words())
            .map_err(|error| Failure::new(format!("the page cannot be written: {error}")))?;
        let output = Output { form: Form::Html, bytes: page.as_bytes() };
        let place = place.unwrap_or(Place::Standard);
        Writer::new().deliver(&place, "pocket", output, screen)?;
        Ok(verdict)
    }
}

/// A rider with the sheet of the day, and whether errors spoil it.
fn ride(
    shelf: &mut Shelf,
    rides: &Rides,
    date: Date,
    screen: &mut Screen,
) -> Result<(Option<Ride>, bool), Failure> {
    let (day, supposed) = match today::when(&shelf.book, rides, date, true) {
        When::Written(day) => (day, None),
        When::Supposed(date) => {
            let day = suppose(shelf, rides, date, Vec::new(), screen)?;
            (day, shelf.book.days.get(day).map(|day| day.notebook.path.clone()))
        }
    };
    let errors = sheet::report_errors(shelf, &[day], screen);
    let sets_an_error = sheet::sets_an_error(&shelf.season, day, &errors);
    let mut ride = None;
    if sets_an_error {
        let who = rides.rider.as_deref().unwrap_or_default();
        screen.remark(&format!("{who} is not on the page: there are errors in what the sheet would set"));
    } else {
        let options = Options { on: Some(date), ..Options::default() };
        let sheets = Sheets::new(shelf, None, sheet::Format::Html, options)?;
        if let Some(page) = sheets.sheet(day) {
            let printed = sheets.printed(&page)?;
            let sheet = String::from_utf8_lossy(&printed.bytes).into_owned();
            ride = pocket::ride(&shelf.book, &shelf.season, &shelf.advice, day, sheet);
        }
    }
    // The next rider does not go on from a day that is not written.
    if let Some(path) = supposed {
        shelf.withdraw(&path);
    }
    Ok((ride, !errors.is_empty()))
}

/// The texts of the book as they were read, and its photos by name alone.
fn files(shelf: &Shelf) -> Vec<(String, String)> {
    let sources = &shelf.book.sources;
    let texts = sources.files().map(|file| (sources.path(file).to_owned(), sources.whole(file).to_owned()));
    let notebooks = shelf.book.notebooks();
    let images = notebooks.flat_map(|notebook| &notebook.document.images);
    let photos =
        images.filter_map(|image| shelf.book.photo(image)).map(|path| (path.to_owned(), String::new()));
    texts.chain(photos).collect()
}
