//! `loambook show`: a day on a terminal, drawn in letters.

use std::path::{Path, PathBuf};

use clap::Args;

use crate::pages::sheet::{self, Options};
use crate::render::terminal::{self, Drawings, TextOptions};

use super::Verdict;
use super::failure::Failure;
use super::latest::asked_for;
use super::output::Place;
use super::press::Press;
use super::screen::Screen;
use super::sheet::{report_errors, sets_an_error};
use super::shelf::Shelf;

/// The template of the page; a book's own in `templates/` replaces it.
const TEMPLATE: &str = "show.md";

/// Shows a day on the terminal: its figures on their bands, the pressures, the machine from its side, fork force and linkage.
///
/// Lines are drawn as dots of Braille letters. On the Linux console, and where the locale is `C` or `POSIX`, they are
/// drawn in ASCII.
#[derive(Debug, Args)]
#[command(after_help = "Example: loambook show days/saturday.md")]
pub(super) struct Show {
    /// A notebook of a day or a machine, by path, name or date, or a folder: its last day. When not given, the last
    /// day of the book's own machine and rider.
    #[arg(value_name = "PATH")]
    path: Option<PathBuf>,

    /// Draws in ASCII, whatever the terminal can show.
    #[arg(long)]
    ascii: bool,
}

impl Show {
    pub fn run(&self, book: Option<&Path>, screen: &mut Screen) -> Result<Verdict, Failure> {
        let mut shelf = Shelf::open(book, self.path.as_slice())?;
        let day = asked_for(&shelf, self.path.as_deref())?;
        let errors = report_errors(&mut shelf, &[day], screen);
        if sets_an_error(&shelf.season, day, &errors) {
            return Err(Failure::new("there are errors in what would be set")
                .help("mend them first: `loambook check`"));
        }
        let page = sheet::sheet(&shelf.book, &shelf.season, &shelf.advice, day, Options::default())
            .ok_or_else(|| Failure::new("there is no such day"))?;
        let document =
            Press::new(&shelf.book, &shelf.store, None)?.compose_in(&page.tongue, TEMPLATE, &page)?;
        let drawings = if self.ascii || has_ascii_alone() { Drawings::Strokes } else { Drawings::Dots };
        let options = TextOptions { drawings, ..screen.text_for(&Place::Standard) };
        screen.print(&terminal::write(&document, options))?;
        Ok(if errors.is_empty() { Verdict::Clean } else { Verdict::Faulty })
    }
}

/// Whether the terminal, or the locale (POSIX.1-2017, 8.2: the first of these that is set), has no letters but ASCII.
fn has_ascii_alone() -> bool {
    let said = |name: &str| std::env::var(name).ok().filter(|value| !value.is_empty());
    let locale = ["LC_ALL", "LC_CTYPE", "LANG"].into_iter().find_map(said);
    locale.is_some_and(|locale| ["C", "POSIX"].contains(&locale.as_str()))
        || said("TERM").is_some_and(|terminal| ["linux", "dumb"].contains(&terminal.as_str()))
}
