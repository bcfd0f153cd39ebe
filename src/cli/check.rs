//! `loambook check`: everything that is wrong or worth knowing.

use std::path::{Path, PathBuf};

use clap::{Args, ValueEnum};
use jiff::civil::Date;

use crate::advice;
use crate::checks;
use crate::finding::{Finding, Severity, order};
use crate::render::findings::{Look, json, sarif, tally, text};

use super::Verdict;
use super::clock;
use super::failure::Failure;
use super::screen::Screen;
use super::shelf::Shelf;

/// Checks notebooks and reports everything that is wrong or worth knowing, each at its place.
#[derive(Debug, Args)]
pub(super) struct Check {
    /// Notebooks or folders; the whole book when none is given.
    #[arg(value_name = "PATH")]
    paths: Vec<PathBuf>,

    /// How findings are written.
    #[arg(long, value_enum, default_value_t = Format::Text)]
    format: Format,

    /// Takes warnings for errors.
    #[arg(long)]
    strict: bool,

    /// The date on which checks are judged to be due; today when not given.
    #[arg(long, value_name = "DATE")]
    on: Option<Date>,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
enum Format {
    /// For people, with the lines of the notebook.
    Text,
    /// One object a finding, one a line.
    Json,
    /// SARIF 2.1.0, for code hosts and editors.
    Sarif,
}

impl Check {
    pub fn run(&self, book: Option<&Path>, screen: &mut Screen) -> Result<Verdict, Failure> {
        let shelf = Shelf::open(book, &self.paths)?;
        let mut all = shelf.all_findings(self.on.unwrap_or_else(clock::today));
        all.retain(|finding| shelf.is_asked(finding.span.file));
        checks::tell_once(&shelf.book, &mut all);
        order(&mut all);
        let sources = &shelf.book.sources;
        match self.format {
            Format::Text => {
                screen.print(&text(&all, sources, Look { colour: screen.has_colour(), ..Look::default() }))?
            }
            Format::Json => screen.print(&json(&all, sources))?,
            Format::Sarif => screen.print(&sarif(&all, sources, &advice::catalogue()))?,
        }
        if self.format == Format::Text {
            screen.flush()?;
            screen.remark(&tally(&all));
        }
        let weighs = |finding: &Finding| {
            finding.severity == Severity::Error || (self.strict && finding.severity == Severity::Warning)
        };
        Ok(if all.iter().any(weighs) { Verdict::Faulty } else { Verdict::Clean })
    }
}
