//! `loambook git-attributes`: what to tell git about notebooks.

use clap::Args;

use super::Verdict;
use super::failure::Failure;
use super::screen::Screen;

/// Prints the lines that make git show notebooks by their settings and readings.
#[derive(Debug, Args)]
pub(super) struct GitAttributes {}

/// Git hands the driver one file under another name: what a notebook says alone. What was carried into it is
/// known to `compare` only.
const LINES: &str = r#"# Into .gitattributes: which files are shown by what they say.
*.md diff=loambook

# Once in each clone, as git does not share it: how. `git diff`, `git log -p` and `git show` then use it.
git config diff.loambook.textconv "loambook state --alone"

# If you like, a difftool that compares all that follows from them: `git difftool -t loambook HEAD~1`.
git config difftool.loambook.cmd 'loambook compare --as "$MERGED" "$LOCAL" "$REMOTE"'
"#;

impl GitAttributes {
    pub fn run(&self, screen: &mut Screen) -> Result<Verdict, Failure> {
        screen.print(LINES)?;
        Ok(Verdict::Clean)
    }
}
