//! Standard output and standard error.

use std::io::{self, BufWriter, IsTerminal, Stderr, Stdout, Write};

use serde::Serialize;

use super::failure::Failure;

/// Where commands print to: what was asked for on standard output, everything else on standard error.
pub(super) struct Screen {
    out: BufWriter<Stdout>,
    err: Stderr,
}

impl Screen {
    pub fn new() -> Self {
        Self { out: BufWriter::new(io::stdout()), err: io::stderr() }
    }

    /// Prints text as it is.
    pub fn print(&mut self, text: &str) -> Result<(), Failure> {
        Ok(self.out.write_all(text.as_bytes())?)
    }

    /// Prints bytes as they are, text or not.
    pub fn print_bytes(&mut self, bytes: &[u8]) -> Result<(), Failure> {
        Ok(self.out.write_all(bytes)?)
    }

    /// Prints a line beside the output. Nobody is helped by failing where standard error is closed.
    pub fn remark(&mut self, text: &str) {
        let _ = writeln!(self.err, "{text}");
    }

    pub fn complain(&mut self, failure: &Failure) {
        let _ = write!(self.err, "{failure}");
    }

    pub fn flush(&mut self) -> Result<(), Failure> {
        Ok(self.out.flush()?)
    }

    /// Whether standard output takes colour: a terminal, and nobody said `NO_COLOR`.
    pub fn has_colour(&self) -> bool {
        io::stdout().is_terminal() && wants_colour()
    }

    /// Whether standard error takes colour.
    pub fn remarks_have_colour(&self) -> bool {
        self.err.is_terminal() && wants_colour()
    }

    /// Whether somebody looks at standard error, so that progress is worth showing.
    pub fn is_watched(&self) -> bool {
        self.err.is_terminal()
    }
}

/// A page value as one line of JSON.
pub(super) fn json_line(page: &impl Serialize) -> Result<String, Failure> {
    let line = serde_json::to_string(page).map_err(|error| Failure::new(error.to_string()))?;
    Ok(line + "\n")
}

/// <https://no-color.org>: any value that is not empty means no.
fn wants_colour() -> bool {
    std::env::var_os("NO_COLOR").is_none_or(|value| value.is_empty())
}
