//! `loambook prepare`: from the forecast and the days on file to a day's notebook and its sheet.

use std::path::{Path, PathBuf};

use clap::{Args, ValueEnum};
use jiff::civil::Date;
use serde::Serialize;

use crate::advice;
use crate::pages::prepare::{self, Ahead, Plan, WEIGHTS_FILE, Weights};
use crate::pages::sheet::Options;
use crate::render::mark::Form;
use crate::source::{Store, named};
use crate::vocabulary::NotebookKind;

use super::Verdict;
use super::failure::Failure;
use super::forecast::Forecast;
use super::new::{checked, known, place, shown};
use super::output::{self, Format as _, Output, Place, To, Writer};
use super::press::{Json, WayOut};
use super::screen::{Screen, json_line};
use super::sheet::{self, Sheets};
use super::shelf::{Shelf, own_text};

/// The template of the plan; a book's own in `templates/` replaces it.
const TEMPLATE: &str = "prepare.md";

/// Prepares a day ahead: its notebook, its sheet, and pressures and jets for the forecast.
///
/// It starts from the most similar day on file that went best. Of several riders each gets a notebook and a sheet.
/// It never overwrites a notebook.
#[derive(Debug, Args)]
#[command(
    after_help = "Example: loambook prepare --machine big-one --rider me \\\n             --track the-hill --date 2026-05-09"
)]
pub(super) struct Prepare {
    /// The machine; that of the rider's last day when not given.
    #[arg(long, value_name = "NAME")]
    machine: Option<String>,

    /// The rider, with `=MACHINE` for another machine. Can be given several times, in the order of riding.
    #[arg(long, value_name = "NAME[=MACHINE]", required_unless_present = "all")]
    rider: Vec<String>,

    /// Every rider of the book.
    #[arg(long, conflicts_with = "rider")]
    all: bool,

    /// The track.
    #[arg(long, value_name = "NAME")]
    track: String,

    /// The day.
    #[arg(long, value_name = "DATE")]
    date: Date,

    #[command(flatten)]
    forecast: Forecast,

    /// The name of the notebook; date and rider when not given.
    #[arg(long, conflicts_with = "all")]
    name: Option<String>,

    /// Where the sheet goes; when not given, the book's own `[output] folder`, or `sheets`.
    #[command(flatten)]
    sheet: To,

    /// A file for the plan itself, to hand on: HTML, PDF or text, as its ending says.
    #[arg(long, value_name = "FILE")]
    page: Option<PathBuf>,

    /// The format of the plan.
    #[arg(long, value_enum, default_value_t = Format::Text)]
    format: Format,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
enum Format {
    /// For people.
    Text,
    /// One object.
    Json,
}

/// A plan, and the files that were written.
#[derive(Serialize)]
struct Done<'a> {
    #[serde(flatten)]
    plan: &'a Plan,
    /// `None` where the notebooks that it rests on have errors.
    sheet: Option<String>,
}

/// A day that is prepared and not yet written.
struct Ready {
    path: PathBuf,
    text: String,
    plan: Plan,
}

impl Prepare {
    pub fn run(&self, book: Option<&Path>, screen: &mut Screen) -> Result<Verdict, Failure> {
        self.place()?;
        let way_out = self.page.clone().map(|page| WayOut::to(page, "plan")).transpose()?;
        let mut shelf = Shelf::open(book, &[])?;
        if self.format == Format::Json {
            shelf = shelf.told_as(Form::Json);
        }
        known(Some(&self.track), "track", shelf.book.tracks.keys())?;
        let members = self.members(&shelf, screen)?;
        let ready = self.prepared(&mut shelf, &members, screen)?;
        if ready.is_empty() {
            return Err(Failure::new("nothing was prepared"));
        }
        // Without a place for its sheet no notebook is written.
        match self.place()?.0 {
            None => drop(sheet::folder(&shelf)?),
            Some(Place::File(file)) if ready.len() > 1 => {
                let (file, count) = (file.display(), ready.len());
                let failure = Failure::new(format!("{file} is one file, and there are {count} sheets"));
                return Err(failure.help("give `-o` a folder"));
            }
            Some(_) => {}
        }
        let writer = Writer::new();
        for day in &ready {
            writer.create(&day.path, &day.text)?;
        }
        let (sheets, verdict) = self.print_sheets(&mut shelf, &ready, &writer, screen)?;
        for (day, sheet) in ready.iter().zip(&sheets) {
            self.say(&shelf, day, sheet.as_deref(), screen)?;
        }
        if let Some(way_out) = way_out {
            let plans: Vec<Plan> = ready.iter().map(|day| day.plan.clone()).collect();
            way_out.print(
                (&shelf.book, &shelf.store),
                (TEMPLATE, Json::Lines),
                &plans,
                Plan::laid,
                screen,
            )?;
        }
        if ready.len() > 1 && self.format == Format::Text {
            screen.print(&format!("the van's page: `loambook roster --date {}`\n", self.date))?;
        }
        Ok(verdict)
    }

    /// Who rides what. For the whole book, riders without a known machine are left out and named.
    fn members(&self, shelf: &Shelf, screen: &mut Screen) -> Result<Vec<(String, String)>, Failure> {
        let book = &shelf.book;
        let asked = |given: &String| -> Result<prepare::Asked, Failure> {
            let (rider, machine) = match given.split_once('=') {
                Some((rider, machine)) => (rider, Some(machine)),
                None => (given.as_str(), None),
            };
            known(Some(rider), "rider", book.riders.keys())?;
            known(machine, "machine", book.machines.keys())?;
            Ok((rider.to_owned(), machine.map(str::to_owned)))
        };
        known(self.machine.as_deref(), "machine", book.machines.keys())?;
        let asked: Vec<prepare::Asked> = self.rider.iter().map(asked).collect::<Result<_, _>>()?;
        let mut members = Vec::new();
        for prepare::Member { rider, machine } in
            prepare::team(book, &asked, self.machine.as_deref(), self.date)
        {
            match machine {
                Some(machine) => members.push((rider, machine)),
                None if self.all => {
                    screen.remark(&format!(
                        "{rider} never rode: name a machine with `--rider {rider}=MACHINE`"
                    ));
                }
                None => {
                    return Err(Failure::new(format!("it is not clear which machine {rider} rides"))
                        .help(format!("add `--machine NAME`, or `--rider {rider}=MACHINE`")));
                }
            }
        }
        Ok(members)
    }

    /// The notebooks of all of them, none of them written yet. Whoever rides later on a machine is prepared on what the
    /// earlier rider leaves.
    fn prepared(
        &self,
        shelf: &mut Shelf,
        members: &[(String, String)],
        screen: &mut Screen,
    ) -> Result<Vec<Ready>, Failure> {
        let weights = own_text(&shelf.store, WEIGHTS_FILE)?;
        let weights = Weights::read(weights.as_deref())
            .map_err(|error| Failure::new(format!("{WEIGHTS_FILE}: {error}")))?;
        let is_alone = members.len() == 1;
        let mut ready: Vec<Ready> = Vec::new();
        for (place_in_order, (rider, machine)) in members.iter().enumerate() {
            let name = self.name.clone().unwrap_or_else(|| format!("{}-{rider}", self.date));
            let path = place(&shelf.store, NotebookKind::Day, checked(&name)?)?;
            if named::is_there(&path) || ready.iter().any(|day| day.path == path) {
                let there = output::is_there(&shown(path));
                if is_alone || self.name.is_some() {
                    return Err(there);
                }
                screen.complain(&there);
                continue;
            }
            let within = format!("{}/{name}.md", NotebookKind::Day.folder());
            let ahead = Ahead {
                date: self.date,
                machine,
                rider,
                track: Some(&self.track),
                order: (!is_alone).then_some(place_in_order + 1),
                forecast: self.forecast.given(),
            };
            // With its draft in the book, this day can be asked for like any other.
            let day = shelf.suppose_day(&within, prepare::draft(&ahead), screen, refused())?;
            if let Some(unfit) = advice::unfit(&shelf.book, &shelf.advice, day) {
                if is_alone {
                    return Err(Failure::new(unfit.text()).help("nothing was prepared"));
                }
                shelf.withdraw(&within);
                screen.remark(&format!("{rider}: {}; nothing was prepared", unfit.others));
                continue;
            }
            let plan = prepare::plan(&shelf.book, &shelf.season, day, &weights, &shelf.advice)
                .ok_or_else(|| Failure::new("the day cannot be prepared"))?;
            let text = prepare::notebook(&ahead, &plan);
            shelf.suppose_day(&within, text.clone(), screen, refused())?;
            ready.push(Ready { path, text, plan });
        }
        Ok(ready)
    }

    fn say(
        &self,
        shelf: &Shelf,
        day: &Ready,
        sheet: Option<&Path>,
        screen: &mut Screen,
    ) -> Result<(), Failure> {
        match self.format {
            Format::Text => {
                let pages = std::slice::from_ref(&day.plan);
                let from = (&*shelf.book, &shelf.store as &dyn Store);
                WayOut::text("plan").print(from, (TEMPLATE, Json::Lines), pages, Plan::laid, screen)?;
                let files = [Some(day.path.as_path()), sheet].into_iter().flatten();
                let files = files.map(|file| format!("{}\n", shown(file.to_path_buf()).display()));
                screen.print(&format!("\n{}", files.collect::<String>()))
            }
            Format::Json => {
                let sheet = sheet.map(|sheet| sheet.display().to_string());
                screen.print_data(json_line(&Done { plan: &day.plan, sheet })?.as_bytes())
            }
        }
    }

    /// Prints the sheets of the notebooks that were written, in their order; none that would have somebody set an
    /// error.
    fn print_sheets(
        &self,
        shelf: &mut Shelf,
        ready: &[Ready],
        writer: &Writer,
        screen: &mut Screen,
    ) -> Result<(Vec<Option<PathBuf>>, Verdict), Failure> {
        let day_of =
            |day: &Ready| shelf.book.days.iter().position(|it| it.notebook.path == day.plan.notebook);
        let days: Vec<Option<usize>> = ready.iter().map(day_of).collect();
        let errors = sheet::report_errors(shelf, &days.iter().flatten().copied().collect::<Vec<_>>(), screen);
        let shelf = &*shelf;
        let mut verdict = if errors.is_empty() { Verdict::Clean } else { Verdict::Faulty };
        let (place, format) = self.place()?;
        let press = Sheets::new(shelf, None, format, Options::default())?;
        let files = output::day_files(&shelf.book, format.form().ending());
        let mut sheets = Vec::new();
        for (day, ready) in days.into_iter().zip(ready) {
            let Some(day) = day else {
                sheets.push(None);
                continue;
            };
            if sheet::sets_an_error(&shelf.season, day, &errors) {
                let path = ready.path.display();
                screen.remark(&format!("no sheet for {path}: there are errors in what it would set"));
                verdict = Verdict::Faulty;
                sheets.push(None);
                continue;
            }
            let Some(page) = press.sheet(day) else {
                sheets.push(None);
                continue;
            };
            let printed = press.printed(&page)?;
            let output = Output { form: format.form(), bytes: &printed.bytes };
            let file = match &place {
                Some(Place::File(file)) => {
                    writer.write_to(file, output)?;
                    file.clone()
                }
                place => {
                    let named = match place {
                        Some(Place::Folder(folder)) => folder.clone(),
                        _ => sheet::folder(shelf)?,
                    };
                    let file = named.join(files.get(day).map_or("", String::as_str));
                    writer.replace(&file, output)?;
                    file
                }
            };
            printed.left_out.report(Some(&file.display().to_string()), &shelf.book, screen);
            sheets.push(Some(file));
        }
        Ok((sheets, verdict))
    }

    /// Where the sheet goes, and in which format.
    fn place(&self) -> Result<(Option<Place>, sheet::Format), Failure> {
        match self.sheet.place(None)? {
            (Some(Place::Standard), _) => Err(Failure::new("standard output is for the plan")
                .help("give `-o` a folder or a file for the sheet; `loambook sheet DAY -o -` prints it")),
            (place, format) => Ok((place, format.unwrap_or(sheet::Format::Pdf))),
        }
    }
}

fn refused() -> Failure {
    Failure::new("the notebook would have errors").help("nothing was written")
}
