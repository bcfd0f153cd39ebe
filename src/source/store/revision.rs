//! A book as it was at a git revision.
//!
//! Nothing is checked out, and nothing is fetched.

use std::collections::BTreeMap;
use std::path::Path;
use std::sync::{Mutex, PoisonError};

use super::blobs::{Blob, Blobs};
use super::git::{Answer, Git};
use super::{FaultKind, Listed, Listing, ReadError, Store, is_hidden, limits};

/// The files of a book's folder in one commit. Links and submodules are left out.
pub struct Revision {
    git: Git,
    commit: String,
    tree: Tree,
    /// Started when the first file is read.
    blobs: Mutex<Option<Blobs>>,
}

/// The files of a folder by path, and what could not be read.
#[derive(Default)]
struct Tree {
    files: BTreeMap<String, Blob>,
    problems: BTreeMap<String, FaultKind>,
}

/// Why a revision could not be opened.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum RevisionError {
    /// There is no `git` program.
    NoGit,
    /// The book's folder is not in a repository.
    NoRepository { reason: String },
    /// The folder is itself a repository, and was not named as one.
    NotNamed,
    /// The repository has no such commit.
    Unknown { revision: String },
    /// The commit does not have the book's folder.
    NoBook { revision: String },
    /// The commit has no such file, under this name or another.
    NoFile { revision: String, path: String },
    /// Git gave an answer that is not understood.
    Git { reason: String },
}

impl Revision {
    /// Opens the book of a folder at a revision, in any form that git takes: `HEAD~3`, a tag, a commit.
    ///
    /// # Errors
    /// Where there is no git, no repository, no such revision, or no such folder in it.
    pub fn open(folder: &Path, revision: &str) -> Result<Self, RevisionError> {
        let git = Git::around(folder);
        let prefix = match git.ask(&["rev-parse", "--show-prefix"])? {
            Answer::Said(prefix) => String::from_utf8_lossy(&prefix).trim_end_matches(['\n', '/']).to_owned(),
            Answer::Refused(reason) => return Err(RevisionError::NoRepository { reason }),
        };
        let commit = Self::commit_of(&git, revision)?;
        Self::open_at(&git, &commit, revision, &prefix)
    }

    /// The full name of a revision's commit.
    pub(super) fn commit_of(git: &Git, revision: &str) -> Result<String, RevisionError> {
        let wanted = format!("{revision}^{{commit}}");
        match git.ask(&["rev-parse", "--verify", "--quiet", "--end-of-options", &wanted])? {
            Answer::Said(commit) => Ok(String::from_utf8_lossy(&commit).trim_end().to_owned()),
            Answer::Refused(_) => Err(RevisionError::Unknown { revision: revision.to_owned() }),
        }
    }

    /// Opens the book in a folder of a commit.
    pub(super) fn open_at(
        git: &Git,
        commit: &str,
        revision: &str,
        book: &str,
    ) -> Result<Self, RevisionError> {
        let tree = format!("{commit}:{book}");
        let listing = match git.ask(&["ls-tree", "-r", "-z", "-l", "--full-tree", &tree, "--"])? {
            Answer::Said(listing) => listing,
            Answer::Refused(_) => return Err(RevisionError::NoBook { revision: revision.to_owned() }),
        };
        let tree = Tree::read(&listing)?;
        Ok(Self { git: git.clone(), commit: commit.to_owned(), tree, blobs: Mutex::new(None) })
    }

    /// The commit's full name.
    pub fn commit(&self) -> &str {
        &self.commit
    }
}

impl Store for Revision {
    fn list(&self) -> Result<Listing, ReadError> {
        let files =
            self.tree.files.iter().map(|(path, blob)| Listed { path: path.clone(), bytes: blob.bytes });
        Ok(Listing { files: files.collect(), problems: self.tree.problems.clone().into_iter().collect() })
    }

    fn read(&self, path: &str, limit: u64) -> Result<Vec<u8>, ReadError> {
        let blob = self.tree.files.get(path).ok_or(ReadError::Missing)?;
        if blob.bytes > limit {
            return Err(ReadError::TooLarge { limit });
        }
        let mut blobs = self.blobs.lock().unwrap_or_else(PoisonError::into_inner);
        let read = match blobs.as_mut() {
            Some(blobs) => blobs.read(blob),
            None => Blobs::of(&self.git).and_then(|started| blobs.insert(started).read(blob)),
        };
        read.map_err(|error| {
            // Its next answer would belong to this file.
            *blobs = None;
            ReadError::Unreadable { reason: error.to_string() }
        })
    }
}

impl Tree {
    /// Reads the answer of `ls-tree -r -z -l`: `mode type id size`, a tab, the path, a zero byte.
    fn read(listing: &[u8]) -> Result<Self, RevisionError> {
        let mut tree = Self::default();
        for record in listing.split(|&byte| byte == 0).filter(|record| !record.is_empty()) {
            let not_understood =
                || RevisionError::Git { reason: format!("ls-tree: {}", String::from_utf8_lossy(record)) };
            let tab = record.iter().position(|&byte| byte == b'\t').ok_or_else(not_understood)?;
            let (about, path) = record.split_at(tab);
            let path = path.get(1..).unwrap_or_default();
            let shown = String::from_utf8_lossy(path).into_owned();
            let about = String::from_utf8_lossy(about);
            let words: Vec<&str> = about.split_ascii_whitespace().collect();
            let [mode, _, id, size] = words.as_slice() else { return Err(not_understood()) };
            if !mode.starts_with(FILE_MODES) || is_hidden(&shown) {
                continue;
            }
            if std::str::from_utf8(path).is_err() {
                tree.problems.insert(shown, FaultKind::NameNotUtf8);
                continue;
            }
            if tree.files.len() == limits::FILES {
                tree.problems.insert(shown, FaultKind::TooMany { limit: limits::FILES });
                break;
            }
            let bytes = size.parse().map_err(|_| not_understood())?;
            tree.files.insert(shown, Blob { id: (*id).to_owned(), bytes });
        }
        Ok(tree)
    }
}

/// How the modes of files begin; links have `120000`, submodules `160000`.
const FILE_MODES: &str = "100";

impl std::fmt::Display for RevisionError {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        match self {
            Self::NoGit => write!(f, "the program `git` is needed for this and was not found"),
            Self::NoRepository { reason } => write!(f, "the book is not in a git repository: {reason}"),
            Self::NotNamed => {
                write!(f, "this folder is itself a git repository, not a book inside one")
            }
            Self::Unknown { revision } => write!(f, "git knows no revision `{revision}`"),
            Self::NoBook { revision } => write!(f, "the book's folder is not there at `{revision}`"),
            Self::NoFile { revision, path } => write!(f, "there is no `{path}` at `{revision}`"),
            Self::Git { reason } => write!(f, "git: {reason}"),
        }
    }
}

impl std::error::Error for RevisionError {}
