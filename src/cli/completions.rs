//! `loambook completions` and `loambook man-page`, both made from the one definition of the command line.
//!
//! A shell asks the program itself what may follow, so that names of the book complete too. It asks through an environment
//! variable, which the script that `completions` prints sets.

use std::ffi::{OsStr, OsString};

use clap::{Args, Command, CommandFactory, ValueEnum};
use clap_complete::engine::{ArgValueCompleter, CompletionCandidate};
use clap_complete::env::{Bash, CompleteEnv, EnvCompleter, Fish, Zsh};

use crate::advice;
use crate::book::Book;
use crate::vocabulary;

use super::failure::Failure;
use super::screen::Screen;
use super::shelf::Shelf;
use super::{Loambook, Verdict};

/// Set by the script where a shell asks what may follow.
const ASKING: &str = "LOAMBOOK_COMPLETE";
const PROGRAM: &str = "loambook";

/// Prints the script with which a shell completes commands, options and names of the book.
#[derive(Debug, Args)]
#[command(after_help = "Example: eval \"$(loambook completions bash)\"    # in ~/.bashrc")]
pub(super) struct Completions {
    shell: Shell,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
enum Shell {
    Bash,
    Zsh,
    Fish,
}

impl Completions {
    pub fn run(&self, screen: &mut Screen) -> Result<Verdict, Failure> {
        let shell: &dyn EnvCompleter = match self.shell {
            Shell::Bash => &Bash,
            Shell::Zsh => &Zsh,
            Shell::Fish => &Fish,
        };
        let mut script = Vec::new();
        let written = shell.write_registration(ASKING, PROGRAM, PROGRAM, PROGRAM, &mut script);
        written.map_err(|error| Failure::new(error.to_string()))?;
        screen.print_data(&script)?;
        Ok(Verdict::Clean)
    }
}

/// Prints a manual page, in the form that `man` reads.
#[derive(Debug, Args)]
#[command(after_help = "Example: loambook man-page check | man -l -")]
pub(super) struct ManPage {
    /// A command; the whole program when not given.
    command: Option<String>,
}

impl ManPage {
    pub fn run(&self, screen: &mut Screen) -> Result<Verdict, Failure> {
        let mut whole = Loambook::command();
        whole.build();
        let page = match &self.command {
            None => whole,
            Some(name) => {
                let found = whole.find_subcommand(name).cloned();
                found.ok_or_else(|| Failure::new(format!("there is no command `{name}`")))?
            }
        };
        let mut text = Vec::new();
        let written = clap_mangen::Man::new(page).render(&mut text);
        written.map_err(|error| Failure::new(error.to_string()))?;
        screen.print_data(&text)?;
        Ok(Verdict::Clean)
    }
}

/// Answers a shell that asks what may follow. Returns whether one did.
pub(super) fn answered(arguments: &[OsString]) -> bool {
    if std::env::var_os(ASKING).is_none() {
        return false;
    }
    let folder = std::env::current_dir().ok();
    let asked = CompleteEnv::with_factory(|| with_names(Loambook::command())).var(ASKING).bin(PROGRAM);
    // A shell has no use for an error: it is offered nothing.
    asked.try_complete(arguments.iter().cloned(), folder.as_deref()).unwrap_or(true)
}

/// Adds what the names on the command line may be. Arguments of one name mean the same in every command.
fn with_names(command: Command) -> Command {
    let command = command.mut_args(|argument| {
        let names: fn() -> Vec<String> = match argument.get_id().as_str() {
            "machine" => || of_book(|book| book.machines.keys().cloned().collect()),
            "rider" | "riders" => || of_book(|book| book.riders.keys().cloned().collect()),
            "track" => || of_book(|book| book.tracks.keys().cloned().collect()),
            "figure" | "best" => || vocabulary::every_name().to_vec(),
            "by" => || vocabulary::every_setting().to_vec(),
            "code" => || advice::catalogue().into_iter().map(|code| code.name.to_owned()).collect(),
            _ => return argument,
        };
        argument.add(ArgValueCompleter::new(move |typed: &OsStr| beginning_with(typed, &names())))
    });
    command.mut_subcommands(with_names)
}

fn beginning_with(typed: &OsStr, names: &[String]) -> Vec<CompletionCandidate> {
    let typed = typed.to_string_lossy();
    names.iter().filter(|name| name.starts_with(&*typed)).map(CompletionCandidate::new).collect()
}

/// Names of the book around the current folder; none where there is none.
fn of_book(names: impl Fn(&Book) -> Vec<String>) -> Vec<String> {
    Shelf::open(None, &[] as &[_]).map(|shelf| names(&shelf.book)).unwrap_or_default()
}
