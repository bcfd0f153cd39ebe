//! `loambook git-attributes`: how git is made to show notebooks.

use std::path::Path;

use clap::Args;

use crate::render::terminal::one_line;
use crate::source::{ReadError, Repository, limits, read_named};

use super::Verdict;
use super::failure::Failure;
use super::output::Writer;
use super::screen::Screen;
use super::shelf;

/// Prints the lines that make git show notebooks by their settings and readings.
#[derive(Debug, Args)]
#[command(after_help = "Example: loambook git-attributes --write")]
pub(super) struct GitAttributes {
    /// Adds the first line to the book's `.gitattributes` and the rest to this clone's git configuration, unless they
    /// are there.
    #[arg(long)]
    write: bool,
}

/// Where git looks for attributes, in the book's folder.
const FILE: &str = ".gitattributes";
/// Which files git shows by their settings and readings.
const LINE: &str = "*.md diff=loambook";

/// Git hands the driver a single file under another name, so it shows what the notebook itself says. Only
/// `compare` knows what was carried into it.
const DRIVER: (&str, &str) = ("diff.loambook.textconv", "loambook state --alone");

const FOR_THE_CLONE: &str = r#"# Once in each clone, as git does not share it: how. Run this line; `git diff`, `git log -p` and `git show` then use it,
# and show notebooks as plain text until then.
git config diff.loambook.textconv "loambook state --alone"
"#;

const DIFFTOOL: &str = r#"
# If you like, a difftool that compares all that follows from them: `git difftool -t loambook HEAD~1`.
git config difftool.loambook.cmd 'loambook compare --as "$MERGED" "$LOCAL" "$REMOTE"'
"#;

impl GitAttributes {
    pub fn run(&self, book: Option<&Path>, screen: &mut Screen) -> Result<Verdict, Failure> {
        if self.write {
            write(book, screen)?;
            configure(book, screen)?;
        } else {
            screen.print(&format!("# Into {FILE}: which files are shown by what they say.\n{LINE}\n"))?;
            screen.print(&format!("\n{FOR_THE_CLONE}"))?;
        }
        screen.print(DIFFTOOL)?;
        Ok(Verdict::Clean)
    }
}

/// Writes into the clone's configuration how notebooks are shown; where that fails, says what to run.
fn configure(book: Option<&Path>, screen: &mut Screen) -> Result<(), Failure> {
    let root = shelf::root(book, None)?;
    let (name, value) = DRIVER;
    match Repository::around(&root).and_then(|repository| repository.configure(name, value)) {
        Ok(None) => screen.print(&format!("# In this clone's configuration: {name} = {value}\n")),
        Ok(Some(other)) => {
            screen.remark(&format!("`{name}` is `{}` in this clone; it was left so", one_line(&other)));
            screen.print(&format!("\n{FOR_THE_CLONE}"))
        }
        Err(error) => {
            screen.remark(&format!("the clone could not be set up: {error}"));
            screen.print(&format!("\n{FOR_THE_CLONE}"))
        }
    }
}

/// Adds the line at the end of the book's file.
fn write(book: Option<&Path>, screen: &mut Screen) -> Result<(), Failure> {
    let path = shelf::root(book, None)?.join(FILE);
    let shown = path.display();
    let unreadable = |error: &dyn std::fmt::Display| Failure::new(format!("{shown} cannot be read: {error}"));
    let mut text = match read_named(&path, limits::TEXT_BYTES) {
        Ok(bytes) => String::from_utf8(bytes).map_err(|error| unreadable(&error))?,
        Err(ReadError::Missing) => String::new(),
        Err(error) => return Err(unreadable(&error)),
    };
    if text.lines().any(|line| line.split_whitespace().eq(LINE.split_whitespace())) {
        return screen.print(&format!("# {shown} has the line already.\n"));
    }
    if !text.is_empty() && !text.ends_with('\n') {
        text.push('\n');
    }
    text.push_str(LINE);
    text.push('\n');
    Writer::new().rewrite(&path, &text)?;
    screen.print(&format!("# Written into {shown}.\n"))
}
