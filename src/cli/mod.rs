//! The command line: one file a command.
//!
//! Commands find the book, ask the other rooms and print the answers. They hold no logic that a library user
//! lacks. This room alone asks the clock, and `output` alone writes files.

mod called;
mod card;
mod check;
mod cleared;
mod clock;
mod compare;
mod completions;
mod due;
mod export;
mod failure;
mod figures;
mod forecast;
mod gearing;
mod git_attributes;
mod guide;
mod handed;
mod language_server;
mod latest;
mod left_out;
mod new;
mod next;
mod output;
mod pocket;
mod prepare;
mod press;
mod roster;
mod rule;
mod screen;
mod season;
mod sheet;
mod shelf;
mod show;
mod sides;
mod spring;
mod state;
mod take;
mod today;
mod try_out;
mod watch;
mod why;
mod words;

use std::ffi::OsString;
use std::path::PathBuf;
use std::process::ExitCode;

use clap::{Args, FromArgMatches, Parser, Subcommand};

use failure::Failure;
use screen::Screen;

/// The result of a command that could run.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Verdict {
    /// Nothing was wrong, or warnings only.
    Clean,
    /// There are errors in the notebooks.
    Faulty,
}

const NAME: &str = "loambook";

/// Checks set-up notebooks of off-road motorcycles, works out the figures, and prints the sheets.
///
/// A book is a folder of Markdown notebooks. Without a path a command works on the whole book. The book of a
/// path is the nearest folder upward with a `book.toml`.
#[derive(Debug, Parser)]
#[command(name = NAME, version, term_width = 80)]
struct Loambook {
    /// The folder of the book, instead of the nearest one upward with a `book.toml`.
    #[arg(long, global = true, value_name = "DIR")]
    book: Option<PathBuf>,

    #[command(subcommand)]
    command: Command,
}

#[derive(Debug, Subcommand)]
enum Command {
    Card(card::Card),
    Check(check::Check),
    Sheet(sheet::Sheet),
    Figures(figures::Figures),
    Spring(spring::Spring),
    Gearing(gearing::Gearing),
    State(state::State),
    Take(take::Take),
    Season(season::Season),
    Due(due::Due),
    Export(export::Export),
    Compare(compare::Compare),
    GitAttributes(git_attributes::GitAttributes),
    Guide(guide::Guide),
    LanguageServer(language_server::LanguageServer),
    Pocket(pocket::Pocket),
    Prepare(Box<prepare::Prepare>),
    Roster(roster::Roster),
    New(new::New),
    Next(next::Next),
    Rule(rule::Rule),
    Today(Box<today::Today>),
    Try(try_out::Try),
    Show(show::Show),
    Watch(watch::Watch),
    Why(why::Why),
    Words(words::Words),
    Completions(completions::Completions),
    ManPage(completions::ManPage),
}

/// Runs the program with its arguments, the program's own name first.
///
/// Exit status 0: clean, or warnings only; 1: errors in the notebooks; 2: it could not run.
pub fn run(arguments: impl IntoIterator<Item = OsString>) -> ExitCode {
    let arguments: Vec<OsString> = arguments.into_iter().collect();
    if completions::answered(&arguments) {
        return ExitCode::SUCCESS;
    }
    let mut screen = Screen::new();
    let done = match parsed(arguments) {
        Ok(Loambook { book, command }) => carry_out(command, book, &mut screen),
        Err(error) if error.use_stderr() => Err(Failure::arguments(&error)),
        Err(help) => screen.print(&help.to_string()).map(|()| Verdict::Clean),
    };
    match done.and_then(|verdict| screen.flush().map(|()| verdict)) {
        Ok(Verdict::Clean) => ExitCode::SUCCESS,
        Ok(Verdict::Faulty) => ExitCode::from(1),
        Err(failure) => {
            screen.complain(&failure);
            ExitCode::from(2)
        }
    }
}

/// The command that is meant. `--version` alone is answered before clap has built the thirty commands, which takes longer
/// than all the rest; and a check is asked for by editors and hooks all day.
fn parsed(arguments: Vec<OsString>) -> Result<Loambook, clap::Error> {
    if let [_, only] = arguments.as_slice()
        && (only == "--version" || only == "-V")
    {
        let command = clap::Command::new(NAME).version(env!("CARGO_PKG_VERSION"));
        command.try_get_matches_from(&arguments)?;
    }
    match check_alone(&arguments) {
        Some(check) => Ok(Loambook { book: None, command: Command::Check(check) }),
        None => Loambook::try_parse_from(arguments),
    }
}

/// A plain check, known without the other commands; `None` for anything else, and for what clap has to explain.
fn check_alone(arguments: &[OsString]) -> Option<check::Check> {
    const CHECK: &str = "check";
    let command = arguments.get(1).filter(|first| *first == CHECK).map(|_| clap::Command::new(CHECK))?;
    let matches = check::Check::augment_args(command).try_get_matches_from(arguments.get(1..)?).ok()?;
    check::Check::from_arg_matches(&matches).ok()
}

fn carry_out(command: Command, book: Option<PathBuf>, screen: &mut Screen) -> Result<Verdict, Failure> {
    match command {
        Command::Card(card) => card.run(book.as_deref(), screen),
        Command::Check(check) => check.run(book.as_deref(), screen),
        Command::Sheet(sheet) => sheet.run(book.as_deref(), screen),
        Command::Figures(figures) => figures.run(book.as_deref(), screen),
        Command::Spring(spring) => spring.run(book.as_deref(), screen),
        Command::Gearing(gearing) => gearing.run(book.as_deref(), screen),
        Command::Season(season) => season.run(book.as_deref(), screen),
        Command::State(state) => state.run(book.as_deref(), screen),
        Command::Take(take) => take.run(book.as_deref(), screen),
        Command::Export(export) => export.run(book.as_deref(), screen),
        Command::Due(due) => due.run(book.as_deref(), screen),
        Command::Compare(compare) => compare.run(book.as_deref(), screen),
        Command::Guide(guide) => guide.run(screen),
        Command::GitAttributes(lines) => lines.run(book.as_deref(), screen),
        Command::LanguageServer(server) => server.run(),
        Command::Pocket(pocket) => pocket.run(book.as_deref(), screen),
        Command::Prepare(prepare) => prepare.run(book.as_deref(), screen),
        Command::Roster(roster) => roster.run(book.as_deref(), screen),
        Command::New(new) => new.run(book.as_deref(), screen),
        Command::Next(next) => next.run(book.as_deref(), screen),
        Command::Rule(rule) => rule.run(screen),
        Command::Today(today) => today.run(book.as_deref(), screen),
        Command::Try(tried) => tried.run(book.as_deref(), screen),
        Command::Show(show) => show.run(book.as_deref(), screen),
        Command::Watch(watch) => watch.run(book.as_deref(), screen),
        Command::Why(why) => why.run(book.as_deref(), screen),
        Command::Words(words) => words.run(book.as_deref(), screen),
        Command::Completions(completions) => completions.run(screen),
        Command::ManPage(page) => page.run(screen),
    }
}
