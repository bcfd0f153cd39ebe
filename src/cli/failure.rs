//! Why a command could not run.

use std::fmt;
use std::io;
use std::path::Path;

use crate::render::terminal::one_line;

/// Why a command could not run. A fault in a notebook is a finding, never a failure.
#[derive(Debug)]
pub(super) enum Failure {
    /// The arguments do not parse; the text is complete.
    Arguments(String),
    Told(Told),
}

/// A failure in words.
#[derive(Debug)]
pub(super) struct Told {
    /// One line, lower case, no full stop.
    headline: String,
    /// What to do.
    help: Option<String>,
}

impl Failure {
    pub fn new(headline: impl Into<String>) -> Self {
        Self::Told(Told { headline: one_line(&headline.into()).into_owned(), help: None })
    }

    #[must_use]
    pub fn help(self, text: impl Into<String>) -> Self {
        match self {
            Self::Told(told) => Self::Told(Told { help: Some(one_line(&text.into()).into_owned()), ..told }),
            other => other,
        }
    }

    pub fn arguments(error: &clap::Error) -> Self {
        Self::Arguments(error.to_string())
    }

    /// A file or folder that the system does not let be written.
    pub fn writing(path: &Path, error: &io::Error) -> Self {
        Self::new(format!("{} cannot be written: {error}", path.display()))
    }
}

impl fmt::Display for Failure {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Arguments(text) => f.write_str(text),
            Self::Told(Told { headline, help }) => {
                writeln!(f, "error: {headline}")?;
                help.as_ref().map_or(Ok(()), |help| writeln!(f, "help: {help}"))
            }
        }
    }
}
