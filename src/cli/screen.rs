//! Standard output and standard error. All text for people goes through [`terminal`], so that no command can forget
//! it.

use std::io::{self, BufWriter, IsTerminal, Stderr, Stdout, Write};

use serde::Serialize;

use crate::finding::Finding;
use crate::render::findings::{Look, text_in};
use crate::render::terminal::{self, TextOptions};
use crate::source::Sources;
use crate::speech::Tongue;

use super::failure::Failure;
use super::output::Place;

/// Longer lines are not read to the end, however wide the terminal is.
const WIDEST: usize = 110;

/// Where commands print: what was asked for on standard output, everything else on standard error.
pub(super) struct Screen {
    out: BufWriter<Stdout>,
    err: Stderr,
    /// The reader closed the output. The exit status must still say what is wrong.
    reader_left: bool,
}

impl Screen {
    pub fn new() -> Self {
        Self { out: BufWriter::new(io::stdout()), err: io::stderr(), reader_left: false }
    }

    /// Prints a page for people.
    pub fn print(&mut self, page: &str) -> Result<(), Failure> {
        let page = terminal::page(page, self.has_colour());
        self.print_with(|out| out.write_all(page.as_bytes()))
    }

    /// Prints what another program reads, byte for byte; on a terminal without anything that would control it.
    pub fn print_data(&mut self, data: &[u8]) -> Result<(), Failure> {
        if self.is_terminal() {
            return self.print(&String::from_utf8_lossy(data));
        }
        self.print_with(|out| out.write_all(data))
    }

    /// Prints a line beside the output. Where standard error is closed, failing would help nobody.
    pub fn remark(&mut self, text: &str) {
        let _ = writeln!(self.err, "{}", terminal::one_line(text));
    }

    /// Prints a page beside the output.
    fn report(&mut self, page: &str) {
        let page = terminal::page(page, self.remarks_have_colour());
        let _ = write!(self.err, "{page}");
    }

    /// Prints findings beside the output.
    pub fn report_findings(&mut self, tongue: &Tongue, findings: &[Finding], sources: &Sources) {
        let look = Look { colour: self.remarks_have_colour(), ..Look::default() };
        self.report(&text_in(tongue, findings, sources, look));
    }

    pub fn complain(&mut self, failure: &Failure) {
        self.report(&failure.to_string());
    }

    pub fn flush(&mut self) -> Result<(), Failure> {
        self.print_with(Write::flush)
    }

    /// Once the reader has left, prints nothing: the command goes on for its exit status.
    fn print_with(
        &mut self,
        print: impl FnOnce(&mut BufWriter<Stdout>) -> io::Result<()>,
    ) -> Result<(), Failure> {
        if self.reader_left {
            return Ok(());
        }
        match print(&mut self.out) {
            Err(error) if error.kind() == io::ErrorKind::BrokenPipe => {
                self.reader_left = true;
                Ok(())
            }
            printed => {
                printed.map_err(|error| Failure::new(format!("the output cannot be written: {error}")))
            }
        }
    }

    /// Whether somebody sees standard output as it is written.
    pub fn is_terminal(&self) -> bool {
        io::stdout().is_terminal()
    }

    /// How a page's text is laid out: to the terminal's width, or to 80 columns where there is no terminal.
    pub fn text_for(&self, place: &Place) -> TextOptions {
        if *place != Place::Standard {
            return TextOptions::default();
        }
        let width = terminal_size::terminal_size().filter(|(width, _)| width.0 > 0 && self.is_terminal());
        let width = width.map_or(TextOptions::default().width, |(width, _)| usize::from(width.0).min(WIDEST));
        TextOptions { has_colour: self.has_colour(), width, ..TextOptions::default() }
    }

    /// Whether standard output takes colour.
    pub fn has_colour(&self) -> bool {
        wants_colour(self.is_terminal())
    }

    /// Whether standard error takes colour.
    fn remarks_have_colour(&self) -> bool {
        wants_colour(self.err.is_terminal())
    }

    /// Whether somebody sees standard error, so that progress is worth showing.
    pub fn is_watched(&self) -> bool {
        self.err.is_terminal()
    }
}

/// A page value as one line of JSON.
pub(super) fn json_line(page: &impl Serialize) -> Result<String, Failure> {
    let line = serde_json::to_string(page).map_err(|error| Failure::new(error.to_string()))?;
    Ok(line + "\n")
}

/// A page value as JSON over several lines.
pub(super) fn json(page: &impl Serialize) -> Result<String, Failure> {
    let text = serde_json::to_string_pretty(page).map_err(|error| Failure::new(error.to_string()))?;
    Ok(text + "\n")
}

/// Whether a terminal takes colour: <https://no-color.org> (any value that is not empty means no), then `CLICOLOR_FORCE` and
/// `CLICOLOR` as at <https://bixense.com/clicolors>.
fn wants_colour(is_terminal: bool) -> bool {
    let says = |name: &str| std::env::var_os(name).filter(|value| !value.is_empty());
    if says("NO_COLOR").is_some() {
        return false;
    }
    if says("CLICOLOR_FORCE").is_some_and(|value| value != "0") {
        return true;
    }
    is_terminal && says("CLICOLOR").is_none_or(|value| value != "0")
}
