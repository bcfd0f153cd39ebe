//! `loambook card`: a paper card to take readings on.

use std::path::Path;

use clap::Args;

use crate::pages::card;

use super::Verdict;
use super::failure::Failure;
use super::new::known;
use super::output::{self, Format as _, Output, Printing, Writer};
use super::press::Press;
use super::screen::Screen;
use super::sheet::Format;
use super::shelf::Shelf;

/// The template of the card; a book's own in `templates/` replaces it.
const TEMPLATE: &str = "card.md";

/// Prints a card with empty boxes to take readings on.
///
/// Each box is named as in a notebook.
#[derive(Debug, Args)]
#[command(after_help = "Example: loambook card --machine big-one -o card.pdf")]
pub(super) struct Card {
    /// The machine whose chambers and clickers are on the card. When not given: the book's only one, else the usual
    /// chambers and clickers.
    #[arg(long, value_name = "NAME")]
    machine: Option<String>,

    #[command(flatten)]
    printing: Printing<Format>,
}

impl Card {
    pub fn run(&self, book: Option<&Path>, screen: &mut Screen) -> Result<Verdict, Failure> {
        let (place, format) = self.printing.written.place()?;
        let format = format.unwrap_or(Format::Pdf);
        let place = output::place_of(place, format, "card")?;
        let shelf = Shelf::open(book, &[])?;
        let asked = known(self.machine.as_deref(), "machine", shelf.book.machines.keys())?;
        let machine = match (asked, shelf.book.machines.len()) {
            (Some(name), _) => shelf.book.machines.get(name),
            (None, 1) => shelf.book.machines.values().next(),
            (None, _) => None,
        };
        let page = card::card(&shelf.book, machine.map(AsRef::as_ref));
        let press = Press::new(&shelf.book, &shelf.store, self.printing.paper)?;
        let document = press.compose(TEMPLATE, &page)?;
        let bytes = press.written(vec![document], format.form(), screen.text_for(&place), screen)?;
        Writer::new().deliver(&place, "card", Output { form: format.form(), bytes: &bytes }, screen)?;
        Ok(Verdict::Clean)
    }
}
