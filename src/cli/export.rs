//! `loambook export`: the book as tidy tables, for other programs.

use std::io::Write;
use std::path::{Path, PathBuf};

use clap::{Args, ValueEnum};
use rayon::prelude::*;

use crate::pages::export::{self, Cell, Table};
use crate::render::csv;
use crate::render::mark::Form;
#[cfg(feature = "parquet")]
use crate::render::{mark::parquet_writer, parquet::ParquetTable};

use super::Verdict;
use super::failure::Failure;
use super::output::{self, Output, Streamed, Writer, file_name};
use super::screen::{Screen, json_line};
use super::shelf::Shelf;

/// How many days are worked out at once; the rows of no more are held.
const DAYS_AT_ONCE: usize = 16;

/// Writes the book as tidy tables, for spreadsheets and statistics programs.
///
/// Figures, settings, readings, changes, rides, laps and feels: a row a value, in SI base units, with the place where it was
/// written. `schema.json` beside the tables explains their columns.
///
/// The tables hold everything that the book says of its riders: give them to nobody who may not read the book.
#[derive(Debug, Args)]
#[command(after_help = "Example: loambook export --format csv -o tables")]
pub(super) struct Export {
    /// The folder for the tables; each book needs one of its own.
    #[arg(short, long, value_name = "DIR")]
    output: PathBuf,

    /// The format.
    #[arg(long, value_enum, default_value_t = Format::Csv)]
    format: Format,

    /// The book's name in the rows; its folder's name when not given.
    #[arg(long, value_name = "NAME")]
    name: Option<String>,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
enum Format {
    /// Comma-separated values.
    Csv,
    /// Apache Parquet, in builds with the feature `parquet`.
    Parquet,
}

impl Format {
    fn form(self) -> Form {
        match self {
            Self::Csv => Form::Csv,
            Self::Parquet => Form::Parquet,
        }
    }
}

/// A table being written.
enum File<'w> {
    Csv(Streamed<'w>),
    #[cfg(feature = "parquet")]
    Parquet(Box<ParquetTable<Streamed<'w>>>, PathBuf),
}

/// The rows of a few days, ready for a file.
enum Rows {
    Csv(String),
    #[cfg(feature = "parquet")]
    Parquet(Vec<Vec<Cell>>),
}

impl Export {
    pub fn run(&self, book: Option<&Path>, screen: &mut Screen) -> Result<Verdict, Failure> {
        let folder = &self.output;
        if folder.as_os_str() == "-" {
            return Err(
                Failure::new("several tables do not go to standard output").help("give `-o` a folder")
            );
        }
        let shelf = Shelf::open(book, &[])?.told_as(Form::Json);
        let own_name = shelf.root.file_name().map(|name| name.to_string_lossy().into_owned());
        let name = self.name.clone().or(own_name).unwrap_or_default();
        let export = export::Export::new(&shelf.book, &shelf.season, &shelf.advice, &name);
        self.is_alone()?;
        let writer = Writer::new();
        let begun = Table::ALL.into_iter().map(|table| Ok((table, self.begin(&writer, table)?, 0)));
        let mut files: Vec<(Table, File<'_>, u64)> = begun.collect::<Result<_, Failure>>()?;
        let days: Vec<usize> = (0..shelf.book.days.len()).collect();
        for days in days.chunks(DAYS_AT_ONCE) {
            let of_day = |day: &usize| Table::ALL.map(|table| self.rows(export.rows(table, *day)));
            let of_days: Vec<[(u64, Rows); Table::ALL.len()]> = days.par_iter().map(of_day).collect();
            for of_day in of_days {
                for ((_, file, count), (rows, told)) in files.iter_mut().zip(of_day) {
                    file.write(told)?;
                    *count += rows;
                }
            }
        }
        let counts: Vec<(Table, u64)> = files.iter().map(|(table, _, count)| (*table, *count)).collect();
        let schema = json_line(&export::schema(self.format.form().ending(), counts))?;
        let files = files.into_iter().map(|(_, file, _)| file.finish());
        let files: Vec<Streamed<'_>> = files.collect::<Result<_, Failure>>()?;
        let mut paths: Vec<PathBuf> = files.iter().map(|file| file.path().to_owned()).collect();
        let path = self.path("schema", Form::Json);
        output::bring_in(&writer, files, (&path, Output { form: Form::Json, bytes: schema.as_bytes() }))?;
        paths.push(path);
        for stop in export.stops() {
            screen.print(&format!("{stop}\n"))?;
        }
        for path in paths {
            screen.print(&format!("{}\n", path.display()))?;
        }
        Ok(Verdict::Clean)
    }

    fn path(&self, name: &str, form: Form) -> PathBuf {
        self.output.join(file_name(name, form.ending()))
    }

    /// Refuses a folder with tables of the other format: they would stay, and nobody could tell them from these.
    fn is_alone(&self) -> Result<(), Failure> {
        let others = Format::value_variants().iter().filter(|other| **other != self.format);
        for other in others {
            for table in Table::ALL {
                let path = self.path(table.name(), other.form());
                if output::is_taken(&path) {
                    let failure = Failure::new(format!("{} is there, of another format", path.display()));
                    return Err(failure.help("give `-o` another folder, or move what is there away"));
                }
            }
        }
        Ok(())
    }

    fn begin<'w>(&self, writer: &'w Writer, table: Table) -> Result<File<'w>, Failure> {
        let (form, name) = (self.format.form(), table.name());
        let path = self.path(name, form);
        match self.format {
            Format::Csv => {
                let mut head = String::new();
                csv::line(&table.heads(), &mut head);
                let mut file = File::Csv(writer.begin(&path, form, &head)?);
                file.write(Rows::Csv(head))?;
                Ok(file)
            }
            #[cfg(feature = "parquet")]
            Format::Parquet => {
                let file = writer.begin(&path, form, &parquet_writer(name))?;
                let table =
                    ParquetTable::new(file, table).map_err(|error| Failure::writing(&path, &error))?;
                Ok(File::Parquet(Box::new(table), path))
            }
            #[cfg(not(feature = "parquet"))]
            Format::Parquet => Err(Failure::new("this program was built without Parquet")
                .help("`cargo install --features parquet` builds it; `--format csv` says the same")),
        }
    }

    /// Rows ready for a file, and how many they are.
    fn rows(&self, rows: Vec<Vec<Cell>>) -> (u64, Rows) {
        let count = rows.len() as u64;
        match self.format {
            #[cfg(feature = "parquet")]
            Format::Parquet => (count, Rows::Parquet(rows)),
            _ => (count, Rows::Csv(text(rows))),
        }
    }
}

impl<'w> File<'w> {
    fn write(&mut self, rows: Rows) -> Result<(), Failure> {
        match (self, rows) {
            (Self::Csv(file), Rows::Csv(text)) => {
                file.write_all(text.as_bytes()).map_err(|error| file.failure(&error))
            }
            #[cfg(feature = "parquet")]
            (Self::Parquet(table, path), Rows::Parquet(rows)) => {
                table.rows(rows).map_err(|error| Failure::writing(path, &error))
            }
            #[cfg(feature = "parquet")]
            _ => Err(Failure::new("rows of one format do not go into a file of another")),
        }
    }

    /// Writes what is left, and hands on the file.
    fn finish(self) -> Result<Streamed<'w>, Failure> {
        match self {
            Self::Csv(file) => Ok(file),
            #[cfg(feature = "parquet")]
            Self::Parquet(table, path) => table.finish().map_err(|error| Failure::writing(&path, &error)),
        }
    }
}

/// Rows as lines.
fn text(rows: Vec<Vec<Cell>>) -> String {
    let mut text = String::new();
    for row in rows {
        let fields: Vec<String> = row.into_iter().map(Cell::into_text).collect();
        csv::line(&fields, &mut text);
    }
    text
}
