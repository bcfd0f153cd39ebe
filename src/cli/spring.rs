//! `loambook spring`: which spring, how much preload, and the rate of a bare coil.

use std::path::Path;

use clap::Args;
use serde::Serialize;

use crate::advice::{self, Unfit};
use crate::finding::order;
use crate::pages::ForReader;
use crate::pages::spring::{self, Diameter, Measured, Springs};
use crate::render::mark::Form;
use crate::session::Session;
use crate::source::Memory;
use crate::speech::Tongue;

use super::Verdict;
use super::failure::Failure;
use super::latest::Latest;
use super::press::{Json, WayOut};
use super::screen::Screen;
use super::shelf::Shelf;

/// The templates of the pages; a book's own in `templates/` replace them.
const TEMPLATE: &str = "spring.md";
const COIL_TEMPLATE: &str = "coil.md";

/// Prints the springs on hand, with the preload that each needs and its static sag.
///
/// With `--wire` it prints the rate of a bare coil, and needs no book.
#[derive(Debug, Args)]
#[command(after_help = "Example: loambook spring --wire 12mm --outside 75mm --turns 6.5")]
pub(super) struct Spring {
    #[command(flatten)]
    latest: Latest,

    #[command(flatten)]
    coil: BareCoil,
}

/// A bare coil as it was measured.
#[derive(Debug, Args)]
struct BareCoil {
    /// The wire diameter of a bare coil, such as `12 mm`.
    #[arg(long, value_name = "LENGTH", requires_all = ["diameter", "turns"], conflicts_with = "path")]
    wire: Option<String>,

    /// The coil's outside diameter.
    #[arg(long, value_name = "LENGTH", group = "diameter", requires = "wire")]
    outside: Option<String>,

    /// The coil's mean diameter, from middle to middle of the wire.
    #[arg(long, value_name = "LENGTH", group = "diameter", requires = "wire")]
    mean: Option<String>,

    /// The coil's active turns: not those that lie on each other or on a seat.
    #[arg(long, value_name = "NUMBER", requires = "wire")]
    turns: Option<f64>,

    /// `music wire` or `chrome-silicon`; both are shown when not given.
    #[arg(long, value_name = "NAME", requires = "wire")]
    material: Option<String>,

    /// The rate on the coil's label, to compare with.
    #[arg(long, value_name = "RATE", requires = "wire")]
    label: Option<String>,
}

/// The page of a day: springs; or only that its rider is not to ride.
#[derive(Serialize)]
#[serde(untagged)]
enum Page {
    Springs(Box<Springs>),
    Stopped {
        schema: u32,
        #[serde(skip)]
        tongue: Tongue,
        notebook: String,
        stop: Unfit,
    },
}

impl ForReader for Page {
    fn tongue(&self) -> &Tongue {
        match self {
            Self::Springs(springs) => springs.tongue(),
            Self::Stopped { tongue, .. } => tongue,
        }
    }
}

impl Spring {
    pub fn run(&self, book: Option<&Path>, screen: &mut Screen) -> Result<Verdict, Failure> {
        let way_out = WayOut::new(&self.latest.printing, "spring")?;
        if let Some(coil) = self.coil.measured() {
            return print_bare(&coil, book, &way_out, screen);
        }
        let page = |shelf: &Shelf, day| match advice::unfit(&shelf.book, &shelf.advice, day) {
            Some(stop) => {
                let notebook = shelf.book.days.get(day)?.notebook.path.clone();
                let rider = shelf.book.days.get(day)?.rider.as_deref();
                let tongue = shelf.book.units_for(rider).tongue().clone();
                Some(Page::Stopped { schema: 1, tongue, notebook, stop })
            }
            None => spring::springs(&shelf.book, &shelf.season, day).map(Box::new).map(Page::Springs),
        };
        let read = self.latest.read(book, screen, page)?;
        way_out.print(
            (&read.shelf.book, &read.shelf.store),
            (TEMPLATE, Json::Lines),
            &read.pages,
            |page| page,
            screen,
        )?;
        Ok(read.verdict)
    }
}

impl BareCoil {
    fn measured(&self) -> Option<Measured> {
        let outside = self.outside.clone().map(Diameter::Outside);
        Some(Measured {
            wire: self.wire.clone()?,
            diameter: outside.or(self.mean.clone().map(Diameter::Mean))?,
            active_coils: self.turns?,
            material: self.material.clone(),
            label: self.label.clone(),
        })
    }
}

/// The language of the surrounding book, where there is one: a coil needs no book, and programs read English.
fn tongue_around(book: Option<&Path>, form: Form) -> Tongue {
    let shelf = Shelf::open(book, &[]).ok().map(|shelf| shelf.told_as(form));
    shelf.map(|shelf| shelf.book.about.units.tongue().clone()).unwrap_or_default()
}

fn print_bare(
    coil: &Measured,
    book: Option<&Path>,
    way_out: &WayOut,
    screen: &mut Screen,
) -> Result<Verdict, Failure> {
    match spring::bare(coil, &tongue_around(book, way_out.form())) {
        Ok(page) => {
            // A bare coil needs no book, and its template is the program's own.
            let (book, store) = (Session::new().replay().book, Memory::default());
            way_out.print((&book, &store), (COIL_TEMPLATE, Json::Lines), &[page], |page| page, screen)?;
            Ok(Verdict::Clean)
        }
        Err((book, mut findings)) => {
            order(&mut findings);
            screen.report_findings(book.about.units.tongue(), &findings, &book.sources);
            Err(Failure::new("the coil cannot be read as typed"))
        }
    }
}
