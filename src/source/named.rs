//! Paths that somebody named, before it is known which book they are of.

use std::io;
use std::path::{Path, PathBuf};

/// A path without links and detours.
///
/// # Errors
/// Where nothing is there, or it may not be looked at.
pub fn real(path: &Path) -> io::Result<PathBuf> {
    path.canonicalize()
}

/// Whether anything is there, links followed.
pub fn is_there(path: &Path) -> bool {
    path.exists()
}

/// Whether a folder is there, links followed.
pub fn is_folder(path: &Path) -> bool {
    path.is_dir()
}

/// Whether a file is there, links followed.
pub fn is_file(path: &Path) -> bool {
    path.is_file()
}

/// Whether the path itself is a link, wherever it leads.
pub fn is_link(path: &Path) -> bool {
    path.is_symlink()
}
