//! A book on disk.

#![expect(clippy::disallowed_methods, reason = "books are read here")]

use std::fs;
use std::io::{self, Read};
use std::path::{Component, Path, PathBuf};
use std::sync::OnceLock;

use jiff::Timestamp;

use super::super::path::down;
use super::stamps::{Stamp, Stamps};
use super::{FaultKind, Listed, Listing, ReadError, Store, is_hidden, limits};

/// What the standard library wants free to look for the end of a file at once.
const PROBE: usize = 32;

/// The files under a folder.
///
/// Nothing outside the folder is listed or read, whatever links in it say. A link within the book is followed where
/// something names it. It is not listed, since what it leads to is. Hidden files and folders are not part of the
/// book.
#[derive(Debug, Clone)]
pub struct Disk {
    root: PathBuf,
    /// The folder's path without links, found when first needed.
    real: OnceLock<PathBuf>,
}

impl Disk {
    pub fn new(root: impl Into<PathBuf>) -> Self {
        Self { root: root.into(), real: OnceLock::new() }
    }

    fn real_root(&self) -> io::Result<&Path> {
        match self.real.get() {
            Some(real) => Ok(real),
            None => fs::canonicalize(&self.root).map(|real| self.real.get_or_init(|| real).as_path()),
        }
    }

    /// The path of a file of the book, without links, and what is there.
    fn inside(&self, path: &str) -> Result<(PathBuf, fs::Metadata), ReadError> {
        let root = self.real_root().map_err(|error| refused(&error))?;
        let goes_down = Path::new(path).components().all(|part| matches!(part, Component::Normal(_)));
        if !goes_down || is_hidden(path) {
            return Err(ReadError::Missing);
        }
        let whole = root.join(path);
        if let Some(there) = without_links(root, path) {
            return Ok((whole, there));
        }
        let real = fs::canonicalize(whole).map_err(|error| refused(&error))?;
        match real.strip_prefix(root).map(Path::to_string_lossy) {
            Ok(within) if is_hidden(&within) => Err(ReadError::Missing),
            Ok(_) => fs::metadata(&real).map(|there| (real, there)).map_err(|error| refused(&error)),
            Err(_) => Err(ReadError::LeadsOut),
        }
    }

    /// The length and time of each file of the book. Nothing is read.
    ///
    /// # Errors
    ///
    /// Where there is no such book.
    pub fn stamps(&self) -> Result<Stamps, ReadError> {
        let listing = self.list()?;
        let root = self.real_root().map_err(|error| refused(&error))?;
        let stamp = |listed: Listed| {
            let written = fs::symlink_metadata(root.join(&listed.path)).and_then(|there| there.modified());
            let written = written.ok().and_then(|written| Timestamp::try_from(written).ok());
            (listed.path, Stamp { bytes: listed.bytes, written })
        };
        Ok(Stamps { files: listing.files.into_iter().map(stamp).collect(), problems: listing.problems })
    }

    /// The path of a folder of the book that files will be written to, without links. It need not exist yet.
    ///
    /// # Errors
    ///
    /// `LeadsOut` where the path, or a link on it, leads out of the book.
    pub fn folder_for_writing(&self, path: &str) -> Result<PathBuf, ReadError> {
        let root = self.real_root().map_err(|error| refused(&error))?;
        let mut folder = root.to_owned();
        for part in down(path).ok_or(ReadError::LeadsOut)?.split('/').filter(|part| !part.is_empty()) {
            folder.push(part);
            let is_link = fs::symlink_metadata(&folder).is_ok_and(|metadata| metadata.is_symlink());
            if is_link {
                // A link that leads nowhere today may lead anywhere tomorrow.
                folder = fs::canonicalize(&folder).map_err(|_| ReadError::LeadsOut)?;
                if !folder.starts_with(root) {
                    return Err(ReadError::LeadsOut);
                }
            }
        }
        Ok(folder)
    }
}

/// What is at a path; `None` where it leads over a link, or cannot be followed. Without a link it is its own real path, as the
/// folder's is, and the folder's need not be looked at again for every file.
fn without_links(root: &Path, path: &str) -> Option<fs::Metadata> {
    let mut place = root.to_owned();
    let mut last = None;
    for part in Path::new(path).components() {
        place.push(part);
        last = Some(fs::symlink_metadata(&place).ok().filter(|there| !there.is_symlink())?);
    }
    last
}

/// Reads a file that the user named, wherever it is and whatever it holds.
///
/// # Errors
///
/// Where it is missing, larger than `limit` bytes, or cannot be read.
pub fn read_named(path: &Path, limit: u64) -> Result<Vec<u8>, ReadError> {
    let metadata = fs::metadata(path).map_err(|error| refused(&error))?;
    read_there(path, &metadata, limit)
}

fn read_there(path: &Path, there: &fs::Metadata, limit: u64) -> Result<Vec<u8>, ReadError> {
    // A pipe or a device could block, or never end.
    if !there.is_file() {
        return Err(ReadError::Unreadable { reason: "it is not a file".to_owned() });
    }
    if there.len() > limit {
        return Err(ReadError::TooLarge { limit });
    }
    let file = fs::File::open(path).map_err(|error| refused(&error))?;
    // A little more shows the end of the file without another buffer or another look.
    let mut bytes = Vec::with_capacity(usize::try_from(there.len()).unwrap_or_default() + PROBE);
    // It may have grown since it was measured.
    file.take(limit.saturating_add(1)).read_to_end(&mut bytes).map_err(|error| refused(&error))?;
    if bytes.len() as u64 > limit { Err(ReadError::TooLarge { limit }) } else { Ok(bytes) }
}

/// Reads standard input.
///
/// # Errors
///
/// Where it is larger than `limit` bytes, or cannot be read.
pub fn read_input(limit: u64) -> Result<Vec<u8>, ReadError> {
    let mut bytes = Vec::new();
    io::stdin().take(limit.saturating_add(1)).read_to_end(&mut bytes).map_err(|error| refused(&error))?;
    if bytes.len() as u64 > limit { Err(ReadError::TooLarge { limit }) } else { Ok(bytes) }
}

impl Store for Disk {
    fn list(&self) -> Result<Listing, ReadError> {
        let root = self.real_root().map_err(|error| refused(&error))?;
        let entries = fs::read_dir(root).map_err(|error| refused(&error))?;
        let mut walk = Walk { root, listing: Listing::default() };
        walk.folder(entries, "", 0);
        walk.listing.files.sort();
        walk.listing.problems.sort_by(|a, b| a.0.cmp(&b.0));
        if let Some(first_left_out) = walk.listing.files.get(limits::FILES) {
            let problem = (first_left_out.path.clone(), FaultKind::TooMany { limit: limits::FILES });
            walk.listing.problems.push(problem);
            walk.listing.files.truncate(limits::FILES);
        }
        Ok(walk.listing)
    }

    fn read(&self, path: &str, limit: u64) -> Result<Vec<u8>, ReadError> {
        let (path, there) = self.inside(path)?;
        read_there(&path, &there, limit)
    }
}

struct Walk<'a> {
    /// Without links.
    root: &'a Path,
    listing: Listing,
}

impl Walk<'_> {
    fn folder(&mut self, entries: fs::ReadDir, prefix: &str, depth: usize) {
        if depth > limits::DEPTH {
            self.problem(prefix, FaultKind::TooDeep { limit: limits::DEPTH });
            return;
        }
        let mut names = Vec::new();
        for entry in entries {
            match entry {
                Ok(entry) => names.push((entry.file_name(), entry.path())),
                Err(error) => self.problem(prefix, FaultKind::from(refused(&error))),
            }
        }
        names.sort();
        for (name, full) in names {
            // One more than the limit, so that the listing can name the first file left out.
            if self.listing.files.len() > limits::FILES {
                return;
            }
            let shown = name.to_string_lossy();
            if shown.starts_with('.') {
                continue;
            }
            let path = if prefix.is_empty() { shown.to_string() } else { format!("{prefix}/{shown}") };
            if name.to_str().is_none() {
                self.problem(&path, FaultKind::NameNotUtf8);
                continue;
            }
            if let Err(error) = self.entry(&full, &path, depth) {
                self.problem(&path, FaultKind::from(refused(&error)));
            }
        }
    }

    fn entry(&mut self, full: &Path, path: &str, depth: usize) -> io::Result<()> {
        let metadata = fs::symlink_metadata(full)?;
        if metadata.is_symlink() {
            if !fs::canonicalize(full)?.starts_with(self.root) {
                self.problem(path, FaultKind::LeadsOut);
            }
        } else if metadata.is_dir() {
            self.folder(fs::read_dir(full)?, path, depth + 1);
        } else if metadata.is_file() {
            self.listing.files.push(Listed { path: path.to_owned(), bytes: metadata.len() });
        }
        Ok(())
    }

    fn problem(&mut self, path: &str, kind: FaultKind) {
        self.listing.problems.push((path.to_owned(), kind));
    }
}

fn refused(error: &io::Error) -> ReadError {
    match error.kind() {
        io::ErrorKind::NotFound => ReadError::Missing,
        _ => ReadError::Unreadable { reason: error.to_string() },
    }
}
