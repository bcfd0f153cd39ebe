//! A book on disk.

use std::collections::BTreeSet;
use std::fs;
use std::io::{self, Read};
use std::path::{Path, PathBuf};

use super::{FaultKind, Listed, Listing, ReadError, Store, limits};

/// The files under a folder.
///
/// Hidden files and folders are skipped, and so is a link to what is listed in another place: in the book
/// itself, or where an earlier link has led. Other links out of the book are followed.
#[derive(Debug, Clone)]
pub struct Disk {
    root: PathBuf,
}

impl Disk {
    pub fn new(root: impl Into<PathBuf>) -> Self {
        Self { root: root.into() }
    }

    pub fn root(&self) -> &Path {
        &self.root
    }
}

impl Store for Disk {
    fn list(&self) -> Result<Listing, ReadError> {
        let root = fs::canonicalize(&self.root).map_err(|error| refused(&error))?;
        let entries = fs::read_dir(&root).map_err(|error| refused(&error))?;
        let mut walk = Walk { seen: BTreeSet::from([root]), ..Walk::default() };
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
        let full = self.root.join(path);
        let metadata = fs::metadata(&full).map_err(|error| refused(&error))?;
        // A pipe or a device would block or never end.
        if !metadata.is_file() {
            return Err(ReadError::Unreadable { reason: "it is not a file".to_owned() });
        }
        if metadata.len() > limit {
            return Err(ReadError::TooLarge { limit });
        }
        let file = fs::File::open(&full).map_err(|error| refused(&error))?;
        let mut bytes = Vec::new();
        // It may have grown since it was measured.
        file.take(limit.saturating_add(1)).read_to_end(&mut bytes).map_err(|error| refused(&error))?;
        if bytes.len() as u64 > limit { Err(ReadError::TooLarge { limit }) } else { Ok(bytes) }
    }
}

#[derive(Default)]
struct Walk {
    /// The book's folder and where links out of it have led, as they may lead there twice or in a circle.
    seen: BTreeSet<PathBuf>,
    listing: Listing,
}

impl Walk {
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
            // One more than allowed, so that the listing can name the first that is left out.
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
        let is_link = fs::symlink_metadata(full)?.is_symlink();
        if is_link {
            let target = fs::canonicalize(full)?;
            if self.seen.iter().any(|seen| target.starts_with(seen) || seen.starts_with(&target)) {
                return Ok(());
            }
            self.seen.insert(target);
        }
        let metadata = fs::metadata(full)?;
        if metadata.is_dir() {
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
