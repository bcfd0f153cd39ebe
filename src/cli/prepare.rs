//! `loambook prepare`: from the forecast and what is on file to a day's notebook and its sheet.

use std::path::{Path, PathBuf};

use clap::{Args, ValueEnum};
use jiff::civil::Date;
use serde::Serialize;

use crate::advice;
use crate::finding::{Finding, Severity};
use crate::pages::prepare::{self, Ahead, FORECAST_KEYS, Plan, WEIGHTS_FILE, Weights};
use crate::pages::sheet::Options;
use crate::source::named;
use crate::vocabulary::NotebookKind;

use super::Verdict;
use super::failure::Failure;
use super::new::{checked, known, place, shown};
use super::output::{self, Format as _, Output, Place, To, Writer};
use super::screen::{Screen, json_line};
use super::sheet::{self, Press};
use super::shelf::{Shelf, own_text};

/// Writes the notebook of a day ahead from the most similar day on file that went best, with pressures and jets for
/// the forecast's air, and prints its sheet. Never overwrites a file.
#[derive(Debug, Args)]
pub(super) struct Prepare {
    /// The machine.
    #[arg(long, value_name = "NAME")]
    machine: String,

    /// The rider.
    #[arg(long, value_name = "NAME")]
    rider: String,

    /// The track.
    #[arg(long, value_name = "NAME")]
    track: String,

    /// The day.
    #[arg(long, value_name = "DATE")]
    date: Date,

    #[command(flatten)]
    forecast: Forecast,

    /// The name of the notebook; date and rider when not given.
    #[arg(long)]
    name: Option<String>,

    /// Where the sheet goes; the book's own `[output] folder`, or `sheets`, when not given.
    #[command(flatten)]
    sheet: To,

    /// How the plan is written.
    #[arg(long, value_enum, default_value_t = Format::Text)]
    format: Format,
}

/// The air and ground expected at the gate, and the bench before it.
#[derive(Debug, Args)]
struct Forecast {
    /// Air temperature: `24°C`.
    #[arg(long, allow_hyphen_values = true)]
    air: Option<String>,

    /// Relative humidity: `40%`.
    #[arg(long)]
    humidity: Option<String>,

    /// Pressure of the air at the place itself.
    #[arg(long)]
    pressure: Option<String>,

    /// Pressure as forecasts give it.
    #[arg(long, conflicts_with = "pressure")]
    sea_level_pressure: Option<String>,

    /// Height over the sea; the track's when not given.
    #[arg(long, allow_hyphen_values = true)]
    elevation: Option<String>,

    /// What the ground is made of; the track's when not given.
    #[arg(long)]
    soil: Option<String>,

    /// How the ground is.
    #[arg(long)]
    surface: Option<String>,

    /// `low`, `medium` or `high`.
    #[arg(long)]
    traction: Option<String>,

    /// The temperature where pressures will be set.
    #[arg(long, value_name = "TEMPERATURE", allow_hyphen_values = true)]
    bench: Option<String>,

    /// The height over the sea where pressures will be set; the gate's when not given.
    #[arg(long, value_name = "LENGTH", requires = "bench", allow_hyphen_values = true)]
    bench_elevation: Option<String>,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
enum Format {
    /// For people.
    Text,
    /// One object.
    Json,
}

/// A plan with the files that were written.
#[derive(Serialize)]
struct Done<'a> {
    #[serde(flatten)]
    plan: &'a Plan,
    /// `None` where there are errors in the notebooks that it rests on.
    sheet: Option<String>,
}

impl Forecast {
    fn given(&self) -> Vec<(&'static str, String)> {
        let texts = [
            &self.air,
            &self.humidity,
            &self.pressure,
            &self.sea_level_pressure,
            &self.elevation,
            &self.soil,
            &self.surface,
            &self.traction,
            &self.bench,
            &self.bench_elevation,
        ];
        let given = FORECAST_KEYS.into_iter().zip(texts);
        given.filter_map(|(key, text)| Some((key, text.clone()?))).collect()
    }
}

impl Prepare {
    pub fn run(&self, book: Option<&Path>, screen: &mut Screen) -> Result<Verdict, Failure> {
        self.place()?;
        let mut shelf = Shelf::open(book, &[])?;
        let named = |given: &str, what: &str| -> Result<(), Failure> {
            let notebooks = match what {
                "machine" => &shelf.book.machines,
                "rider" => &shelf.book.riders,
                _ => &shelf.book.tracks,
            };
            known(Some(given), what, notebooks.keys()).map(|_| ())
        };
        named(&self.machine, "machine")?;
        named(&self.rider, "rider")?;
        named(&self.track, "track")?;
        let name = self.name.clone().unwrap_or_else(|| format!("{}-{}", self.date, self.rider));
        let path = place(&shelf.store, NotebookKind::Day, checked(&name)?)?;
        if named::is_there(&path) {
            return Err(output::is_there(&shown(path)));
        }
        let within = format!("{}s/{name}.md", NotebookKind::Day.word());
        let ahead = Ahead {
            date: self.date,
            machine: &self.machine,
            rider: &self.rider,
            track: &self.track,
            forecast: self.forecast.given(),
        };
        let weights = own_text(&shelf.store, WEIGHTS_FILE)?;
        let weights = Weights::read(weights.as_deref())
            .map_err(|error| Failure::new(format!("{WEIGHTS_FILE}: {error}")))?;

        // With its draft in the book the day can be asked like any other.
        let day = suppose(&mut shelf, &within, prepare::draft(&ahead), screen)?;
        if let Some(unfit) = advice::unfit(&shelf.book, &shelf.advice, day) {
            return Err(Failure::new(unfit.text()).help("nothing was prepared"));
        }
        let plan = prepare::plan(&shelf.book, &shelf.season, day, &weights, &shelf.advice)
            .ok_or_else(|| Failure::new("the day cannot be prepared"))?;
        let text = prepare::notebook(&ahead, &plan);
        let day = suppose(&mut shelf, &within, text.clone(), screen)?;
        // No notebook without a place for its sheet.
        if self.place()?.0.is_none() {
            sheet::folder(&shelf)?;
        }
        let writer = Writer::new();
        writer.create(&path, &text)?;

        let (sheet, verdict) = self.print_sheet(&mut shelf, day, &path, &writer, screen)?;
        match self.format {
            Format::Text => {
                screen.print(&prepare::text(&plan))?;
                screen.print(&format!("{}\n", shown(path).display()))?;
                if let Some(sheet) = &sheet {
                    screen.print(&format!("{}\n", shown(sheet.clone()).display()))?;
                }
            }
            Format::Json => {
                let sheet = sheet.map(|sheet| sheet.display().to_string());
                screen.print_data(json_line(&Done { plan: &plan, sheet })?.as_bytes())?;
            }
        }
        Ok(verdict)
    }

    /// Prints the sheet of the notebook that was written; none where it would set what is an error.
    fn print_sheet(
        &self,
        shelf: &mut Shelf,
        day: usize,
        path: &Path,
        writer: &Writer,
        screen: &mut Screen,
    ) -> Result<(Option<PathBuf>, Verdict), Failure> {
        let errors = sheet::report_errors(shelf, &[day], screen);
        if sheet::sets_an_error(shelf, day, &errors) {
            screen.remark(&format!("no sheet for {}: there are errors in what it would set", path.display()));
            return Ok((None, Verdict::Faulty));
        }
        let (place, format) = self.place()?;
        let press = Press::new(shelf, sheet::paper(None, &shelf.book), format, Options::default())?;
        let Some(page) = press.sheet(day) else { return Ok((None, Verdict::Clean)) };
        let printed = press.printed(&page)?;
        let output = Output { form: format.form(), bytes: &printed.bytes };
        let file = match place {
            Some(Place::File(file)) => {
                writer.write_to(&file, output)?;
                file
            }
            place => {
                let named = match place {
                    Some(Place::Folder(folder)) => folder,
                    _ => sheet::folder(shelf)?,
                };
                let files = output::day_files(&shelf.book, format.form().ending());
                let file = named.join(files.get(day).map_or("", String::as_str));
                writer.replace(&file, output)?;
                file
            }
        };
        printed.left_out.report(Some(&file.display().to_string()), &shelf.book.sources, screen);
        Ok((Some(file), if errors.is_empty() { Verdict::Clean } else { Verdict::Faulty }))
    }

    /// Where the sheet goes, and how it is written.
    fn place(&self) -> Result<(Option<Place>, sheet::Format), Failure> {
        match self.sheet.place(None)? {
            (Some(Place::Standard), _) => Err(Failure::new("standard output is the plan's")
                .help("give `-o` a folder or a file for the sheet; `loambook sheet DAY -o -` prints it")),
            (place, format) => Ok((place, format.unwrap_or(sheet::Format::Pdf))),
        }
    }
}

/// Puts the notebook into the book as it would be, and returns its day's place.
///
/// # Errors
/// Where the notebook has errors: what was typed for the forecast is none.
fn suppose(shelf: &mut Shelf, path: &str, text: String, screen: &mut Screen) -> Result<usize, Failure> {
    shelf.suppose(path, text);
    let file = shelf.book.sources.find(path);
    let day = file.and_then(|file| shelf.book.day_of(file));
    let date = day.and_then(|day| shelf.book.days.get(day)).map(|day| day.date);
    let is_error = |finding: &Finding| finding.severity == Severity::Error && Some(finding.span.file) == file;
    let mut errors = shelf.all_findings(date.unwrap_or_default());
    errors.retain(is_error);
    if !errors.is_empty() {
        screen.report_findings(&errors, &shelf.book.sources);
        return Err(Failure::new("the notebook would have errors").help("nothing was written"));
    }
    day.ok_or_else(|| Failure::new(format!("{path} is not read as a day's notebook")))
}
