//! `loambook words`: the printed reference of the notebook language.

use clap::Args;

use crate::finding::meant;
use crate::pages::words;
use crate::vocabulary;

use super::Verdict;
use super::failure::Failure;
use super::screen::Screen;

/// Prints the words that a notebook may use: blocks with their keys, settings, figures.
#[derive(Debug, Args)]
#[command(after_help = "Example: loambook words sag")]
pub(super) struct Words {
    /// A block's word, the name of a setting or figure or the beginning of several, `head`, `book`, `settings`, `figures`,
    /// `assumptions` or `feel`; without one, all of it.
    #[arg(value_name = "WORD")]
    topic: Option<String>,
}

impl Words {
    pub fn run(&self, screen: &mut Screen) -> Result<Verdict, Failure> {
        let text = match &self.topic {
            None => words::everything(),
            Some(topic) => {
                words::about(topic).or_else(|| words::group(topic)).ok_or_else(|| unknown(topic))?
            }
        };
        screen.print(&text)?;
        Ok(Verdict::Clean)
    }
}

fn unknown(topic: &str) -> Failure {
    let names = vocabulary::every_name();
    let mut all: Vec<&str> = words::topics().collect();
    all.extend(names.iter().map(String::as_str));
    let mut near = meant(topic, all);
    near.truncate(3);
    let failure = Failure::new(format!("there is no block, setting or figure `{topic}`"));
    if near.is_empty() {
        failure.help("`loambook words` lists them all")
    } else {
        failure.help(format!("did you mean `{}`?", near.join("` or `")))
    }
}
