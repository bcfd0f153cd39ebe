//! `loambook export`: the book as tidy tables, for larger tools.

use std::path::{Path, PathBuf};

use clap::{Args, ValueEnum};
use rayon::prelude::*;

use crate::pages::export::{self, Cell, Table};
use crate::render::csv;
use crate::render::mark::Form;

use super::Verdict;
use super::failure::Failure;
use super::output::{Output, Streamed, Writer, file_name};
use super::screen::{Screen, json_line};
use super::shelf::Shelf;

/// So many days are worked out at once; what is kept of them grows with nothing else.
const DAYS_AT_ONCE: usize = 16;

/// Writes the book's figures, settings, readings, changes, rides, laps and feels as tidy tables: a row a value, in SI base units,
/// with the place where it was written.
///
/// What the columns are stands in `schema.json` beside the tables. They hold everything that the book says of its riders:
/// give them to nobody who may not read the book.
#[derive(Debug, Args)]
#[command(after_help = "Example: loambook export --format csv -o tables")]
pub(super) struct Export {
    /// The folder that the tables go to, one of its own for each book.
    #[arg(short, long, value_name = "DIR")]
    output: PathBuf,

    /// How they are written.
    #[arg(long, value_enum, default_value_t = Format::Csv)]
    format: Format,

    /// What the book is called in its rows; its folder's name when not given.
    #[arg(long, value_name = "NAME")]
    name: Option<String>,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
enum Format {
    /// Comma-separated values.
    Csv,
}

impl Export {
    pub fn run(&self, book: Option<&Path>, screen: &mut Screen) -> Result<Verdict, Failure> {
        let Format::Csv = self.format;
        let folder = &self.output;
        if folder.as_os_str() == "-" {
            return Err(
                Failure::new("several tables do not go to standard output").help("give `-o` a folder")
            );
        }
        let shelf = Shelf::open(book, &[])?;
        let own_name = shelf.root.file_name().map(|name| name.to_string_lossy().into_owned());
        let name = self.name.clone().or(own_name).unwrap_or_default();
        let export = export::Export::new(&shelf.book, &shelf.season, &shelf.advice, &name);
        let writer = Writer::new();
        let mut files: Vec<(Table, Streamed<'_>)> = Vec::new();
        for table in Table::ALL {
            let mut head = String::new();
            csv::line(&table.heads(), &mut head);
            let path = folder.join(file_name(table.name(), Form::Csv.ending()));
            files.push((table, writer.begin(&path, Form::Csv, &head)?));
        }
        let days: Vec<usize> = (0..shelf.book.days.len()).collect();
        for days in days.chunks(DAYS_AT_ONCE) {
            let of_day = |day: &usize| Table::ALL.map(|table| text(export.rows(table, *day)));
            let texts: Vec<[String; Table::ALL.len()]> = days.par_iter().map(of_day).collect();
            for of_day in texts {
                for ((_, file), text) in files.iter_mut().zip(of_day) {
                    file.write(&text)?;
                }
            }
        }
        for (_, file) in files {
            let path = file.path().to_owned();
            file.finish()?;
            screen.print(&format!("{}\n", path.display()))?;
        }
        let schema = json_line(&export::schema())?;
        let path = folder.join(file_name("schema", Form::Json.ending()));
        writer.replace(&path, Output { form: Form::Json, bytes: schema.as_bytes() })?;
        screen.print(&format!("{}\n", path.display()))?;
        Ok(Verdict::Clean)
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
