//! The options `-o`, `--format` and `--paper`, for every command that has them.

use std::fmt;
use std::path::{Path, PathBuf};

use clap::{Args, ValueEnum};

use crate::render::mark::Form;

use super::super::failure::Failure;

/// The formats that a command can write.
pub(in crate::cli) trait Format:
    ValueEnum + Copy + fmt::Debug + Send + Sync + 'static
{
    fn form(self) -> Form;
}

/// The formats of a page: for a terminal, a browser, paper and programs.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub(in crate::cli) enum AnyFormat {
    /// For people at a terminal.
    Text,
    /// One file that a browser shows without a network.
    Html,
    /// To print.
    Pdf,
    /// One object.
    Json,
}

impl Format for AnyFormat {
    fn form(self) -> Form {
        match self {
            Self::Text => Form::Text,
            Self::Html => Form::Html,
            Self::Pdf => Form::Pdf,
            Self::Json => Form::Json,
        }
    }
}

/// Where an output goes.
#[derive(Debug, Args)]
pub(in crate::cli) struct To {
    /// Where to write: a name with an ending is a file, one without is a folder, `-` is standard output.
    #[arg(short, long, value_name = "FILE or DIR")]
    output: Option<PathBuf>,
}

/// Where an output goes, and in which format.
#[derive(Debug, Args)]
pub(in crate::cli) struct Written<F: Format> {
    #[command(flatten)]
    to: To,

    /// The format; when not given, the ending of `-o` decides.
    #[arg(long, value_enum)]
    pub format: Option<F>,
}

/// Where an output goes, in which format, and on which paper.
#[derive(Debug, Args)]
pub(in crate::cli) struct Printing<F: Format> {
    #[command(flatten)]
    pub written: Written<F>,

    /// The paper; the book's own, or A4, when not given.
    #[arg(long, value_enum)]
    pub paper: Option<PaperName>,
}

/// A sheet of paper by name.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub(in crate::cli) enum PaperName {
    A4,
    Letter,
}

/// What `-o` names.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(in crate::cli) enum Place {
    /// Standard output.
    Standard,
    File(PathBuf),
    /// The folder of files whose names the program gives.
    Folder(PathBuf),
}

impl fmt::Display for Place {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Standard => f.write_str("standard output"),
            Self::File(path) | Self::Folder(path) => path.display().fmt(f),
        }
    }
}

impl To {
    pub fn of(file: PathBuf) -> Self {
        Self { output: Some(file) }
    }

    /// The place and the format that were named, the format also by an ending; `None` for what was not named.
    pub fn place<F: Format>(&self, format: Option<F>) -> Result<(Option<Place>, Option<F>), Failure> {
        let Some(given) = self.output.as_deref() else { return Ok((None, format)) };
        if is_standard_output(given) {
            return Ok((Some(Place::Standard), format));
        }
        if given.is_dir() || given.as_os_str().as_encoded_bytes().ends_with(b"/") {
            return Ok((Some(Place::Folder(given.to_path_buf())), format));
        }
        if super::is_stream(given) {
            return Ok((Some(Place::File(given.to_path_buf())), format));
        }
        let Some(ending) = given.extension() else {
            if given.exists() {
                let failure = Failure::new(format!("{} is a file, not a folder", given.display()));
                return Err(failure.help(format!("a name without an ending is a folder; {}", endings::<F>())));
            }
            return Ok((Some(Place::Folder(given.to_path_buf())), format));
        };
        let said = F::value_variants().iter().find(|said| ending.eq_ignore_ascii_case(said.form().ending()));
        let Some(said) = said else {
            let failure = Failure::new(format!("{} cannot be written", given.display()));
            return Err(failure.help(format!("{}; a name without an ending is a folder", endings::<F>())));
        };
        match format {
            Some(format) if format.form() != said.form() => {
                let failure = Failure::new(format!("{} is not what `--format` asks for", given.display()));
                Err(failure.help(format!("let it end in `.{}`", format.form().ending())))
            }
            _ => Ok((Some(Place::File(given.to_path_buf())), Some(*said))),
        }
    }
}

impl<F: Format> Written<F> {
    pub fn place(&self) -> Result<(Option<Place>, Option<F>), Failure> {
        self.to.place(self.format)
    }
}

/// The place of a command's one output; standard output when not given, which a PDF refuses.
pub(in crate::cli) fn place_of(
    given: Option<Place>,
    format: impl Format,
    stem: &str,
) -> Result<Place, Failure> {
    match given {
        None if format.form() == Form::Pdf => {
            Err(Failure::new("a PDF needs a file").help(format!("give it one: `-o {stem}.pdf`")))
        }
        given => Ok(given.unwrap_or(Place::Standard)),
    }
}

/// The endings that a file may have.
fn endings<F: Format>() -> String {
    let endings: Vec<String> =
        F::value_variants().iter().map(|format| format!("`.{}`", format.form().ending())).collect();
    format!("a file ends in {}", endings.join(", "))
}

/// `-`, and the system's names for a process's own standard output: what goes there must queue with what is printed.
fn is_standard_output(path: &Path) -> bool {
    let names = ["-", "/dev/stdout", "/dev/fd/1", "/proc/self/fd/1"];
    names.iter().any(|name| path == Path::new(name))
}
