//! `loambook roster`: the whole team's morning, a page for the van and all sheets behind it.

use std::collections::BTreeSet;
use std::path::{Path, PathBuf};

use clap::{ArgGroup, Args};
use jiff::civil::Date;
use rayon::prelude::*;

use crate::document::Document;
use crate::pages::roster::{self, About, Row};
use crate::pages::sheet::{Options, Sheet};
use crate::render::Images;

use super::Verdict;
use super::failure::Failure;
use super::new::known;
use super::output;
use super::screen::Screen;
use super::sheet::{self, Format, PaperName, Press};
use super::shelf::Shelf;

/// The template of a roster; a book's own in `templates/` stands in its place.
const TEMPLATE: &str = "roster.md";
/// The file of the roster: alone with all sheets, or at the head of a folder.
const PDF: &str = "roster.pdf";
const INDEX: &str = "index";

/// Prints one page for the van, a row a rider with what matters, and all their sheets behind it.
#[derive(Debug, Args)]
#[command(group = ArgGroup::new("about").required(true).args(["date", "track"]))]
pub(super) struct Roster {
    /// All days of this date.
    #[arg(long, value_name = "DATE")]
    date: Option<Date>,

    /// The last day at this track of each machine and rider.
    #[arg(long, value_name = "NAME")]
    track: Option<String>,

    /// The folder that it goes to; the book's own `[output] folder`, or `sheets`, when not given.
    #[arg(short, long, value_name = "DIR")]
    output: Option<PathBuf>,

    /// One PDF with bookmarks, or a folder of HTML with an index.
    #[arg(long, value_enum, default_value_t = Format::Pdf)]
    format: Format,

    /// The paper; the book's own, or A4, when not given.
    #[arg(long, value_enum)]
    paper: Option<PaperName>,
}

/// One day of the roster.
struct Entry {
    row: Row,
    /// The sheet, and the file it goes to in a folder.
    sheet: Option<(Sheet, String)>,
}

impl Roster {
    pub fn run(&self, book: Option<&Path>, screen: &mut Screen) -> Result<Verdict, Failure> {
        let shelf = Shelf::open(book, &[])?;
        let about = self.about(&shelf)?;
        let days = roster::days(&shelf.book, &about);
        if days.is_empty() {
            return Err(Failure::new("there is no such day in the book").help(
                "`loambook prepare` writes a day from what is on file; `loambook new day` starts an empty one",
            ));
        }
        let errors = sheet::report_errors(&shelf, &days, screen);
        let press =
            Press::new(&shelf, sheet::paper(self.paper, &shelf.book), self.format, Options::default())?;
        let names = file_names(&shelf, &days);
        let jobs: Vec<(usize, String)> = days.into_iter().zip(names).collect();
        let entries: Vec<Entry> = jobs
            .par_iter()
            .filter_map(|(day, name)| {
                let this = shelf.book.days.get(*day)?;
                if sheet::sets_an_error(&shelf, *day, &errors) {
                    let fault = "no sheet: there are errors in what it would set";
                    return Some(Entry {
                        row: roster::row_without_sheet(&shelf.book, this, fault),
                        sheet: None,
                    });
                }
                let page = press.sheet(*day)?;
                let file = format!("{name}.{}", self.format.ending());
                let link = (self.format == Format::Html).then(|| file.clone());
                Some(Entry { row: roster::row(&page, link), sheet: Some((page, file)) })
            })
            .collect();
        let page =
            roster::roster(&shelf.book, &about, entries.iter().map(|entry| entry.row.clone()).collect());
        let front = press.compose(TEMPLATE, &page)?;
        let sheets: Vec<&(Sheet, String)> = entries.iter().filter_map(|entry| entry.sheet.as_ref()).collect();
        let folder = sheet::folder(self.output.as_deref(), &shelf)?;
        match self.format {
            Format::Pdf => one_file(&press, front, &sheets, &folder.join(PDF), screen)?,
            Format::Html => a_folder(&press, &front, &sheets, &folder, screen)?,
        }
        Ok(if errors.is_empty() { Verdict::Clean } else { Verdict::Faulty })
    }

    fn about(&self, shelf: &Shelf) -> Result<About, Failure> {
        match (self.date, known(self.track.as_deref(), "track", shelf.book.tracks.keys())?) {
            (Some(date), _) => Ok(About::Date(date)),
            (None, Some(track)) => Ok(About::Track(track.to_owned())),
            (None, None) => Err(Failure::new("a roster is for a `--date` or a `--track`")),
        }
    }
}

/// A file's name for each day, without its ending: the notebook's, or its path where another has that name.
fn file_names(shelf: &Shelf, days: &[usize]) -> Vec<String> {
    let mut taken = BTreeSet::from([INDEX.to_owned()]);
    let notebooks = days.iter().filter_map(|day| shelf.book.days.get(*day)).map(|day| &day.notebook);
    notebooks
        .map(|notebook| {
            if taken.insert(notebook.name.clone()) {
                return notebook.name.clone();
            }
            notebook.path.trim_end_matches(".md").replace('/', "-")
        })
        .collect()
}

/// The roster and all sheets in one PDF.
fn one_file(
    press: &Press<'_>,
    front: Document,
    sheets: &[&(Sheet, String)],
    path: &Path,
    screen: &mut Screen,
) -> Result<(), Failure> {
    let composed: Vec<Document> = sheets
        .par_iter()
        .map(|(page, _)| press.compose(sheet::TEMPLATE, page))
        .collect::<Result<_, Failure>>()?;
    let images: Images = sheets.iter().flat_map(|(page, _)| press.photos(&page.photos)).collect();
    let documents: Vec<Document> = std::iter::once(front).chain(composed).collect();
    let (bytes, remarks) = press.pdf(&documents, images)?;
    output::replace(path, &bytes)?;
    done(path, &remarks, screen)
}

/// The roster as the index of a folder with a file a sheet.
fn a_folder(
    press: &Press<'_>,
    front: &Document,
    sheets: &[&(Sheet, String)],
    folder: &Path,
    screen: &mut Screen,
) -> Result<(), Failure> {
    let printed: Vec<Result<Vec<String>, Failure>> =
        sheets.par_iter().map(|(page, file)| press.print_sheet(page, &folder.join(file))).collect();
    for ((_, file), remarks) in sheets.iter().zip(printed) {
        for remark in remarks? {
            screen.remark(&format!("warning: {file}: {remark}"));
        }
    }
    let path = folder.join(format!("{INDEX}.{}", Format::Html.ending()));
    let (bytes, remarks) = press.html(front, Images::new(), true);
    output::replace(&path, &bytes)?;
    done(&path, &remarks, screen)
}

fn done(path: &Path, remarks: &[String], screen: &mut Screen) -> Result<(), Failure> {
    for remark in remarks {
        screen.remark(&format!("warning: {}: {remark}", path.display()));
    }
    screen.print(&format!("{}\n", path.display()))
}
