//! `loambook rule`: the page of a finding.

use clap::Args;

use crate::advice;
use crate::finding::{Code, Severity, closest};

use super::Verdict;
use super::failure::Failure;
use super::screen::Screen;

/// Prints what a finding means, why it matters, and an example; without a code, lists them all.
#[derive(Debug, Args)]
pub(super) struct Rule {
    /// The finding's name, such as `sag/reading-order`.
    code: Option<String>,
}

impl Rule {
    pub fn run(&self, screen: &mut Screen) -> Result<Verdict, Failure> {
        let catalogue = advice::catalogue();
        match &self.code {
            Some(name) => {
                let code = catalogue
                    .iter()
                    .find(|code| code.name == name)
                    .ok_or_else(|| unknown(name, &catalogue))?;
                screen.print(&page(code))?;
            }
            None => {
                for code in &catalogue {
                    screen.print(&format!("{:<32} {}\n", code.name, summary(code)))?;
                }
            }
        }
        Ok(Verdict::Clean)
    }
}

fn page(code: &Code) -> String {
    let severity = match code.severity {
        Severity::Error => "error",
        Severity::Warning => "warning",
        Severity::Note => "note",
    };
    format!("# {}\n\n*{severity}, since {}*\n\n{}\n", code.name, code.since, code.page.trim_end())
}

/// The first paragraph of the page, on one line.
fn summary(code: &Code) -> String {
    let first = code.page.split("\n\n").next().unwrap_or_default();
    first.split_whitespace().collect::<Vec<_>>().join(" ")
}

fn unknown(name: &str, catalogue: &[&Code]) -> Failure {
    let near = closest(name, catalogue.iter().map(|code| code.name));
    let failure = Failure::new(format!("there is no finding `{name}`"));
    match near.first() {
        Some(near) => failure.help(format!("did you mean `{near}`?")),
        None => failure.help("`loambook rule` lists them all"),
    }
}
