//! `loambook words`: the printed reference of the notebook language.

use std::path::Path;

use clap::Args;

use crate::finding::meant;
use crate::pages::words;
use crate::speech::{Catalogue, ENGLISH_TAG, SHIPPED_TAGS, quoted};
use crate::vocabulary;

use super::Verdict;
use super::failure::Failure;
use super::screen::Screen;
use super::shelf::Shelf;

/// Prints the words that a notebook may use: blocks with their keys, settings, figures.
#[derive(Debug, Args)]
#[command(after_help = "Example: loambook words sag")]
pub(super) struct Words {
    /// A block, setting or figure, or the beginning of several names; or `head`, `book`, `settings`, `figures`,
    /// `assumptions` or `feel`. All of it when not given.
    #[arg(value_name = "WORD")]
    topic: Option<String>,
    /// Lists what a language has no words for yet, ready to be filled in, as `de` or `es`. Without a language: the
    /// book's own, else all that ship.
    #[arg(long, value_name = "LANG", num_args = 0..=1, default_missing_value = "", conflicts_with = "topic")]
    missing: Option<String>,
}

impl Words {
    pub fn run(&self, book: Option<&Path>, screen: &mut Screen) -> Result<Verdict, Failure> {
        if let Some(tag) = &self.missing {
            screen.print(&missing(book, tag)?)?;
            return Ok(Verdict::Clean);
        }
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

/// What languages lack, each in the form of its file.
fn missing(book: Option<&Path>, tag: &str) -> Result<String, Failure> {
    let shelf = Shelf::open(book, &[])?;
    let (book, own) = (&shelf.book, shelf.book.about.units.tongue());
    let catalogue = |tag: &str| {
        let known = book.tongues.get(tag).and_then(|tongue| tongue.catalogue().cloned());
        known.unwrap_or_else(|| Catalogue::new(tag))
    };
    let tags: Vec<&str> = match tag {
        "" if own.is_english() => SHIPPED_TAGS.iter().copied().filter(|tag| *tag != ENGLISH_TAG).collect(),
        "" => vec![own.tag()],
        ENGLISH_TAG => return Ok("# en lacks nothing: patterns are English\n".to_owned()),
        tag => vec![tag],
    };
    Ok(tags.into_iter().map(|tag| lacking(&catalogue(tag))).collect())
}

fn lacking(catalogue: &Catalogue) -> String {
    let lacks = catalogue.lacks();
    let tag = &catalogue.tag;
    if lacks.is_empty() {
        return format!("# {tag} lacks nothing\n");
    }
    let mut text = format!("# {tag} lacks {} of {}\n", lacks.len(), Catalogue::english().len());
    let mut section = "";
    for (of, pattern) in lacks {
        if of != section {
            section = of;
            text.push_str(&format!("\n[{section}]\n"));
        }
        text.push_str(&format!("{} = \"\"\n", quoted(pattern)));
    }
    text
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
