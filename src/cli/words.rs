//! `loambook words`: the printed reference of the notebook language.

use clap::Args;

use crate::finding::closest;
use crate::pages::words;

use super::Verdict;
use super::failure::Failure;
use super::screen::Screen;

/// Prints the words that a notebook may use: blocks with their keys, settings, figures.
#[derive(Debug, Args)]
pub(super) struct Words {
    /// A block's word, `head`, `book`, `settings`, `figures`, `assumptions` or `feel`; without one, all of it.
    #[arg(value_name = "BLOCK")]
    topic: Option<String>,
}

impl Words {
    pub fn run(&self, screen: &mut Screen) -> Result<Verdict, Failure> {
        let text = match &self.topic {
            None => words::everything(),
            Some(topic) => words::about(topic).ok_or_else(|| unknown(topic))?,
        };
        screen.print(&text)?;
        Ok(Verdict::Clean)
    }
}

fn unknown(topic: &str) -> Failure {
    let near = closest(topic, words::topics());
    let failure = Failure::new(format!("there is no block `{topic}`"));
    match near.first() {
        Some(near) => failure.help(format!("did you mean `{near}`?")),
        None => failure.help("`loambook words` lists them all"),
    }
}
