//! `loambook guide`: how to use the program.

use clap::Args;

use crate::document::{self, Document};
use crate::finding::meant;
use crate::pages::guide::{TOPICS, Topic};
use crate::render::html::HtmlOptions;
use crate::render::pdf::PdfOptions;
use crate::render::{self, Images, Paper};

use super::Verdict;
use super::failure::Failure;
use super::output::{self, Format as _, Output, PaperName, Printing, Writer};
use super::press::joined;
use super::screen::Screen;
use super::sheet::Format;

/// The name for all pages together.
const ALL: &str = "guide";

/// Prints a page of the guide, or lists the pages.
///
/// Without a topic it lists them; with `-o` or `--format` as well it prints all of them.
#[derive(Debug, Args)]
#[command(after_help = "Example: loambook guide first-evening")]
pub(super) struct Guide {
    /// The page, such as `first-evening` or `air-fork`.
    topic: Option<String>,

    #[command(flatten)]
    printing: Printing<Format>,
}

impl Guide {
    pub fn run(&self, screen: &mut Screen) -> Result<Verdict, Failure> {
        let topic = self.topic.as_deref().map(|name| Topic::find(name).ok_or_else(|| unknown(name)));
        let topic = topic.transpose()?;
        let (place, format) = self.printing.written.place()?;
        let Some(format) = format else {
            if place.is_some() {
                return Err(Failure::new("it is not clear in which format to write the guide")
                    .help("give `--format`, or an ending to `-o`: `-o guide.pdf`"));
            }
            screen.print(&topic.map_or_else(contents, Topic::text))?;
            return Ok(Verdict::Clean);
        };
        let name = topic.map_or(ALL, |topic| topic.name);
        let place = output::place_of(place, format, name)?;
        let paper = match self.printing.paper {
            Some(PaperName::Letter) => Paper::Letter,
            Some(PaperName::A4) | None => Paper::A4,
        };
        let bytes = match format {
            Format::Text => topic.map_or_else(contents, Topic::text).into_bytes(),
            Format::Pdf => {
                let options = PdfOptions { paper, images: Images::new(), title: None };
                let printed = render::pdf::write(&[document(topic)?], &options)
                    .map_err(|error| Failure::new(format!("the guide cannot be printed: {error}")))?;
                printed.bytes
            }
            Format::Html => {
                let options = HtmlOptions { paper, ..HtmlOptions::default() };
                render::html::write(&document(topic)?, &options).into_bytes()
            }
        };
        Writer::new().deliver(&place, name, Output { form: format.form(), bytes: &bytes }, screen)?;
        Ok(Verdict::Clean)
    }
}

/// One page, or all of them.
fn document(topic: Option<Topic>) -> Result<Document, Failure> {
    let topics = topic.map_or_else(|| TOPICS.to_vec(), |topic| vec![topic]);
    let title = topic.map_or("Guide", Topic::title);
    let head = format!("+++\ntitle = \"{title}\"\nfoot = \"Loambook\"\n+++\n\n");
    let read = |topic: Topic| {
        document::read(topic.name, &format!("{head}{}", topic.markdown()))
            .map_err(|error| Failure::new(error.to_string()))
    };
    let pages: Vec<Document> = topics.into_iter().map(read).collect::<Result<_, _>>()?;
    joined(pages).ok_or_else(|| Failure::new("the guide has no pages"))
}

/// The list of pages.
fn contents() -> String {
    let lines = TOPICS.iter().map(|topic| format!("  {:<16}{}\n", topic.name, topic.title()));
    format!(
        "The guide:\n\n{}\n`loambook guide TOPIC` prints a page, `-o guide.pdf` all of them.\n",
        lines.collect::<String>()
    )
}

fn unknown(name: &str) -> Failure {
    let near = meant(name, TOPICS.iter().map(|topic| topic.name));
    let failure = Failure::new(format!("the guide has no page `{name}`"));
    if near.is_empty() {
        failure.help("`loambook guide` lists them all")
    } else {
        failure.help(format!("did you mean `{}`?", near.join("` or `")))
    }
}
