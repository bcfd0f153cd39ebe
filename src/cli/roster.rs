//! `loambook roster`: the team's morning, a page for the van and all sheets behind it.

use std::path::Path;

use clap::{ArgGroup, Args, ValueEnum};
use jiff::civil::Date;
use rayon::prelude::*;

use crate::advice;
use crate::document::Document;
use crate::pages::roster::{self, About, Row};
use crate::pages::sheet::{Options, Sheet};
use crate::render::Images;
use crate::render::mark::Form;
use crate::render::terminal;
use crate::speech::say;

use super::Verdict;
use super::failure::Failure;
use super::left_out::LeftOut;
use super::new::known;
use super::output::{self, Format as _, Output, Place, Printing, ROSTER, Writer};
use super::screen::Screen;
use super::sheet::{self, Sheets};
use super::shelf::Shelf;

/// The template of a roster; a book's own in `templates/` replaces it.
const TEMPLATE: &str = "roster.md";

/// Prints one page for the van, a row a rider, with all their sheets behind it.
#[derive(Debug, Args)]
#[command(group = ArgGroup::new("about").required(true).args(["date", "track"]))]
#[command(after_help = "Example: loambook roster --date 2026-05-09 -o van")]
pub(super) struct Roster {
    /// All days of this date.
    #[arg(long, value_name = "DATE")]
    date: Option<Date>,

    /// The last day at this track of each machine and rider.
    #[arg(long, value_name = "NAME")]
    track: Option<String>,

    #[command(flatten)]
    printing: Printing<Format>,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
enum Format {
    /// To print, all sheets behind it.
    Pdf,
    /// A page for a browser, beside a file for each sheet.
    Html,
    /// The page alone, for people at a terminal.
    Text,
}

impl output::Format for Format {
    fn form(self) -> Form {
        match self {
            Self::Pdf => Form::Pdf,
            Self::Html => Form::Html,
            Self::Text => Form::Text,
        }
    }
}

/// One day of the roster.
struct Entry {
    row: Row,
    /// The sheet, and the file it goes to in a folder.
    sheet: Option<(Sheet, String)>,
}

impl Roster {
    pub fn run(&self, book: Option<&Path>, screen: &mut Screen) -> Result<Verdict, Failure> {
        let mut shelf = Shelf::open(book, &[])?;
        let about = self.about(&shelf)?;
        let days = roster::days(&shelf.book, &about);
        if days.is_empty() {
            return Err(Failure::new("there is no such day in the book").help(
                "`loambook prepare` writes a day from what is on file; `loambook new day` starts an empty one",
            ));
        }
        let (place, format) = self.printing.written.place()?;
        let format = format.unwrap_or(Format::Pdf);
        let place = match place {
            Some(place) => place,
            None if format == Format::Text => Place::Standard,
            None => Place::Folder(sheet::folder(&shelf)?),
        };
        let errors = sheet::report_errors(&mut shelf, &days, screen);
        let options = Options { is_shared: true, ..Options::default() };
        let of_sheets = if format == Format::Pdf { sheet::Format::Pdf } else { sheet::Format::Html };
        let sheets = Sheets::new(&shelf, self.printing.paper, of_sheets, options)?;
        let date = days.iter().filter_map(|day| shelf.book.days.get(*day)).map(|day| day.date).max();
        let date = date.unwrap_or_default();
        let stem = match &about {
            About::Date(date) => format!("{ROSTER}{date}"),
            About::Track(track) => format!("{ROSTER}{date}-{track}"),
        };
        let files = output::day_files(&shelf.book, format.form().ending());
        let entries: Vec<Entry> = days
            .par_iter()
            .filter_map(|day| {
                let this = shelf.book.days.get(*day)?;
                // Others see this page: it does not say what the matter is, nor does a sheet behind it.
                if let Some(unfit) = advice::unfit(&shelf.book, &shelf.advice, *day) {
                    let row = roster::row_without_sheet(&shelf.book, this, &unfit.others);
                    return Some(Entry { row, sheet: None });
                }
                if sheet::sets_an_error(&shelf.season, *day, &errors) {
                    let fault = say!("no sheet: there are errors in what it would set");
                    let fault = shelf.book.about.units.say(&fault);
                    return Some(Entry {
                        row: roster::row_without_sheet(&shelf.book, this, &fault),
                        sheet: None,
                    });
                }
                let page = sheets.sheet(*day)?;
                let file = files.get(*day)?.clone();
                let link = (format == Format::Html).then(|| output::address(&file));
                // Others read the roster; the sheet is in the rider's language.
                let is_the_books = page.tongue == *shelf.book.about.units.tongue();
                let told = if is_the_books { None } else { sheets.sheet_of_book(*day) };
                let row = roster::row(&shelf.book, &shelf.season, *day, told.as_ref().unwrap_or(&page), link);
                Some(Entry { row, sheet: Some((page, file)) })
            })
            .collect();
        let print = Print { sheets: &sheets, about: &about, date, stem: &stem };
        let printed = match (format, place) {
            (Format::Pdf, place) => print.one_file(entries, &place, screen)?,
            (Format::Html, Place::Folder(folder)) => print.a_folder(entries, &folder, screen)?,
            (Format::Text, place) => {
                let text = terminal::write(&print.front(&entries)?, screen.text_for(&place));
                let output = Output { form: Form::Text, bytes: text.as_bytes() };
                Writer::new().deliver(&place, &stem, output, screen)?;
                Verdict::Clean
            }
            (Format::Html, place) => {
                return Err(Failure::new(format!("{place} cannot be the folder for a page and its sheets"))
                    .help("give `-o` a folder, or a file that ends in `.pdf`"));
            }
        };
        Ok(if errors.is_empty() { printed } else { Verdict::Faulty })
    }

    fn about(&self, shelf: &Shelf) -> Result<About, Failure> {
        match (self.date, known(self.track.as_deref(), "track", shelf.book.tracks.keys())?) {
            (Some(date), _) => Ok(About::Date(date)),
            (None, Some(track)) => Ok(About::Track(track.to_owned())),
            (None, None) => Err(Failure::new("a roster is for a `--date` or a `--track`")),
        }
    }
}

/// A roster about to be printed.
struct Print<'p> {
    sheets: &'p Sheets<'p>,
    about: &'p About,
    /// The last of its days.
    date: Date,
    /// The name of its file.
    stem: &'p str,
}

impl Print<'_> {
    fn front(&self, entries: &[Entry]) -> Result<Document, Failure> {
        let rows = entries.iter().map(|entry| entry.row.clone()).collect();
        let page = roster::roster(&self.sheets.shelf.book, self.about, self.date, rows);
        self.sheets.press.compose(TEMPLATE, &page)
    }

    /// The roster and all sheets in one PDF. A sheet that cannot be laid out is named; the others are printed.
    fn one_file(&self, entries: Vec<Entry>, place: &Place, screen: &mut Screen) -> Result<Verdict, Failure> {
        let sheets: Vec<&(Sheet, String)> = entries.iter().filter_map(|entry| entry.sheet.as_ref()).collect();
        let composed: Vec<Result<Document, Failure>> = sheets
            .par_iter()
            .map(|(page, _)| self.sheets.press.compose_in(&page.tongue, sheet::TEMPLATE, page))
            .collect();
        let (mut documents, mut images) = (vec![self.front(&entries)?], Images::new());
        let mut left_out = LeftOut::default();
        let mut verdict = Verdict::Clean;
        for ((page, file), composed) in sheets.into_iter().zip(composed) {
            match composed {
                Ok(document) => {
                    documents.push(document);
                    let (found, lacking) = self.sheets.press.photos(&page.photos);
                    images.extend(found);
                    left_out.extend(lacking);
                }
                Err(failure) => {
                    verdict = Verdict::Faulty;
                    screen.remark(&format!("no sheet {file}"));
                    screen.complain(&failure);
                }
            }
        }
        let printed = self.sheets.press.pdf(&documents, images)?;
        left_out.extend(printed.left_out);
        left_out.report(None, &self.sheets.shelf.book, screen);
        let output = Output { form: Form::Pdf, bytes: &printed.bytes };
        if let Place::File(path) = place {
            output.is_of_the_date_of(path)?;
        }
        Writer::new().deliver(place, self.stem, output, screen)?;
        Ok(verdict)
    }

    /// The roster in a folder with a file for each sheet. A sheet that cannot be printed or written is named, and its
    /// row says so.
    fn a_folder(
        &self,
        mut entries: Vec<Entry>,
        folder: &Path,
        screen: &mut Screen,
    ) -> Result<Verdict, Failure> {
        let writer = Writer::new();
        let printed: Vec<Result<LeftOut, Failure>> = entries
            .par_iter()
            .map(|entry| match &entry.sheet {
                Some((page, file)) => self.sheets.print_sheet(page, &folder.join(file), &writer),
                None => Ok(LeftOut::default()),
            })
            .collect();
        let mut verdict = Verdict::Clean;
        for (entry, printed) in entries.iter_mut().zip(printed) {
            let file = entry.sheet.as_ref().map_or("", |(_, file)| file.as_str());
            match printed {
                Ok(left_out) => left_out.report(Some(file), &self.sheets.shelf.book, screen),
                Err(failure) => {
                    verdict = Verdict::Faulty;
                    entry.row.file = None;
                    screen.remark(&format!("no sheet {file}"));
                    screen.complain(&failure);
                }
            }
        }
        let bytes = self.sheets.press.html(&self.front(&entries)?, Images::new(), true);
        let output = Output { form: Form::Html, bytes: &bytes };
        writer.deliver(&Place::Folder(folder.to_path_buf()), self.stem, output, screen)?;
        Ok(verdict)
    }
}
