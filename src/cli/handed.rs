//! Two states of one file, as git hands them to a difftool.

use std::path::Path;
use std::rc::Rc;

use crate::pages::state;
use crate::source::{limits, named, read_named};

use super::failure::Failure;
use super::shelf;
use super::sides::{Desk, Open};

/// What git names in place of a missing file; the second is what a shell makes of it on Windows.
const NO_FILE: [&str; 2] = ["/dev/null", "nul"];

/// A state of a file.
pub(super) enum Handed {
    /// The file is not there, or holds nothing.
    Nothing,
    /// What it holds is no notebook.
    Other,
    Notebook {
        open: Open,
        /// What it says by itself.
        alone: String,
    },
}

/// Reads a file's text as a state of one of the book's notebooks. The rest of the book is as it is now. `when`
/// sets this state apart from another one of the same notebook.
pub(super) fn handed(
    given: Option<&Path>,
    file: &str,
    notebook: &Path,
    when: &str,
) -> Result<Handed, Failure> {
    if NO_FILE.contains(&file) {
        return Ok(Handed::Nothing);
    }
    // Any file may come here, a photo as well, so a photo's size is allowed.
    let text = read_named(Path::new(file), limits::PHOTO_BYTES)
        .map_err(|error| Failure::new(format!("{file} cannot be read: {error}")))?;
    if text.is_empty() {
        return Ok(Handed::Nothing);
    }
    let Some(alone) = state::alone(&text) else { return Ok(Handed::Other) };
    // The notebook may be gone, and its folder with it: what is left of the path finds the book.
    let there = std::path::absolute(notebook)
        .map_err(|error| Failure::new(format!("{} cannot be read: {error}", notebook.display())))?;
    let left = there.ancestors().skip(1).find(|folder| named::is_folder(folder)).unwrap_or(Path::new("."));
    let gone = there.strip_prefix(left).unwrap_or(notebook);
    let root = shelf::root(given, Some(left))?;
    let left = shelf::real(left)?;
    let path = shelf::within(&root, &left.join(gone)).ok_or_else(|| {
        Failure::new(format!("{} is not in the book {}", notebook.display(), root.display()))
    })?;
    let desk = Rc::new(Desk::with(&root, &path, text)?);
    // A hidden file, or one that does not end in `.md`, is no notebook of the book, whatever is in it.
    let Some(id) = desk.book.sources.find(&path).filter(|id| desk.book.notebook(*id).is_some()) else {
        return Ok(Handed::Other);
    };
    let name = format!("{path}, {when}");
    let open = Open { desk, name, file: id, line: None, when: Some(when.to_owned()), is_renamed: false };
    Ok(Handed::Notebook { open, alone })
}
