//! `loambook watch`: the book in a browser, while it is written.

mod address;
mod edition;
mod listen;
mod request;
mod watcher;

use std::path::{Path, PathBuf};
use std::sync::{Arc, Mutex, PoisonError};
use std::thread;
use std::time::Duration;

use clap::Args;

use crate::finding::tally;
use crate::pages::proof::Addresses as _;
use crate::source::named;

use super::Verdict;
use super::failure::Failure;
use super::screen::Screen;
use super::shelf::{self, real, within};

use listen::Listener;
use watcher::Watcher;

/// How often the folder is looked at.
const LOOK_AGAIN: Duration = Duration::from_millis(250);
/// If more files changed at once, they are counted, not named.
const MOST_NAMED: usize = 3;

/// Shows the book in a browser, and keeps the page up to date while you write.
///
/// Findings stand behind the lines that they are about; a press on a figure shows its working. The page is
/// served to this machine alone, and nothing is written. Ctrl-C ends it.
#[derive(Debug, Args)]
#[command(after_help = "Example: loambook watch days/saturday.md")]
pub(super) struct Watch {
    /// The notebook to begin with, or the book's folder.
    #[arg(value_name = "PATH")]
    path: Option<PathBuf>,

    /// The port of the address; any free one when not given.
    #[arg(long, value_name = "NUMBER", default_value_t = 0, hide_default_value = true)]
    port: u16,
}

impl Watch {
    pub fn run(&self, book: Option<&Path>, screen: &mut Screen) -> Result<Verdict, Failure> {
        let root = shelf::root(book, self.path.as_deref())?;
        let notebook = self.path.as_deref().filter(|path| !named::is_folder(path));
        let notebook =
            notebook.map(|path| Ok::<_, Failure>((path, within(&root, &real(path)?)))).transpose()?;
        let mut watcher = Watcher::over(root)?;
        let first = watcher.edition();
        let page = match &notebook {
            None => String::new(),
            Some((_, Some(path))) if first.compiled.book.sources.find(path).is_some() => {
                address::Names.notebook(path)
            }
            Some((typed, _)) => {
                return Err(Failure::new(format!("{} is not a notebook of the book", typed.display())));
            }
        };
        let listener = Listener::open(self.port).map_err(|error| {
            let failure = Failure::new(format!("port {} is not free: {error}", self.port));
            failure.help("without `--port` it takes one that is free")
        })?;
        screen.print(&format!("{}/{page}\n", listener.address()))?;
        screen.flush()?;
        screen.remark(&format!("{}; Ctrl-C ends it", tally(&first.findings)));
        let shown = Mutex::new(Arc::new(first));
        let current = || shown.lock().unwrap_or_else(PoisonError::into_inner).clone();
        thread::scope(|scope| {
            scope.spawn(|| listener.serve(|target| current().answer(target)));
            loop {
                thread::sleep(LOOK_AGAIN);
                if let Some(changed) = watcher.look() {
                    let next = watcher.edition();
                    screen.remark(&format!("{}{}", few(&changed), tally(&next.findings)));
                    *shown.lock().unwrap_or_else(PoisonError::into_inner) = Arc::new(next);
                }
            }
        })
    }
}

/// The changed files, which come before the findings.
fn few(changed: &[String]) -> String {
    match changed {
        [] => String::new(),
        few if few.len() <= MOST_NAMED => format!("{}: ", few.join(", ")),
        many => format!("{} files: ", many.len()),
    }
}
