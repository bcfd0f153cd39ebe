//! Standard output and standard error: text for people goes through [`terminal`], so that no command can forget it.

use std::io::{self, BufWriter, IsTerminal, Stderr, Stdout, Write};

use serde::Serialize;

use crate::finding::Finding;
use crate::render::findings::{Look, text};
use crate::render::terminal;
use crate::source::Sources;

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

    /// Prints a page for people.
    pub fn print(&mut self, page: &str) -> Result<(), Failure> {
        let page = terminal::page(page, self.has_colour());
        Ok(self.out.write_all(page.as_bytes())?)
    }

    /// Prints what another program reads, byte for byte; on a terminal nothing that it would obey.
    pub fn print_data(&mut self, data: &[u8]) -> Result<(), Failure> {
        if self.out.get_ref().is_terminal() {
            return self.print(&String::from_utf8_lossy(data));
        }
        Ok(self.out.write_all(data)?)
    }

    /// Prints a line beside the output. Nobody is helped by failing where standard error is closed.
    pub fn remark(&mut self, text: &str) {
        let _ = writeln!(self.err, "{}", terminal::one_line(text));
    }

    /// Prints a page beside the output.
    fn report(&mut self, page: &str) {
        let page = terminal::page(page, self.remarks_have_colour());
        let _ = write!(self.err, "{page}");
    }

    /// Prints findings beside the output.
    pub fn report_findings(&mut self, findings: &[Finding], sources: &Sources) {
        self.report(&text(findings, sources, Look { colour: self.remarks_have_colour(), ..Look::default() }));
    }

    pub fn complain(&mut self, failure: &Failure) {
        self.report(&failure.to_string());
    }

    pub fn flush(&mut self) -> Result<(), Failure> {
        Ok(self.out.flush()?)
    }

    /// Whether standard output takes colour: a terminal, and nobody said `NO_COLOR`.
    pub fn has_colour(&self) -> bool {
        io::stdout().is_terminal() && wants_colour()
    }

    /// Whether standard error takes colour.
    fn remarks_have_colour(&self) -> bool {
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
