//! `loambook rule`: the page of a finding.

use clap::Args;

use crate::advice;
use crate::finding::{Code, meant};

use super::Verdict;
use super::failure::Failure;
use super::screen::Screen;

/// Explains a finding: what it means, why it matters, and an example.
///
/// Without a code it lists all findings.
#[derive(Debug, Args)]
#[command(after_help = "Example: loambook rule sag/reading-order")]
pub(super) struct Rule {
    /// The finding's name, such as `sag/reading-order`, or its topic: `sag`.
    code: Option<String>,
}

impl Rule {
    pub fn run(&self, screen: &mut Screen) -> Result<Verdict, Failure> {
        let catalogue = advice::catalogue();
        match &self.code {
            Some(name) => match catalogue.iter().find(|code| code.name == name) {
                Some(code) => screen.print(&page(code))?,
                None => {
                    let is_of_topic = |code: &&&Code| code.name.split('/').next() == Some(name.as_str());
                    let topic: Vec<&&Code> = catalogue.iter().filter(is_of_topic).collect();
                    if topic.is_empty() {
                        return Err(unknown(name, &catalogue));
                    }
                    for code in topic {
                        screen.print(&line(code))?;
                    }
                }
            },
            None => {
                for code in &catalogue {
                    screen.print(&line(code))?;
                }
            }
        }
        Ok(Verdict::Clean)
    }
}

fn line(code: &Code) -> String {
    format!("{:<32} {}\n", code.name, summary(code))
}

fn page(code: &Code) -> String {
    let severity = code.severity.word();
    format!("# {}\n\n*{severity}, since {}*\n\n{}\n", code.name, code.since, code.page.trim_end())
}

/// The first paragraph of the page, on one line.
fn summary(code: &Code) -> String {
    let first = code.page.split("\n\n").next().unwrap_or_default();
    first.split_whitespace().collect::<Vec<_>>().join(" ")
}

fn unknown(name: &str, catalogue: &[&Code]) -> Failure {
    let near = meant(name, catalogue.iter().map(|code| code.name));
    let failure = Failure::new(format!("there is no finding `{name}`"));
    if near.is_empty() {
        failure.help("`loambook rule` lists them all")
    } else {
        failure.help(format!("did you mean `{}`?", near.join("` or `")))
    }
}
