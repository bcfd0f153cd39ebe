//! Where a notebook is in a git repository: at which revision, in which book, and under which name.
//!
//! A repository may be bare, shallow, or a worktree linked to another; git itself knows, and is asked.

use std::path::Path;

use super::super::book::BOOK_FILE;
use super::super::path::joined;
use super::git::{Answer, Git};
use super::revision::{Revision, RevisionError};

/// A repository as seen from a folder in it.
pub struct Repository {
    git: Git,
    /// The folder's path within the repository; empty at its top, and for a bare one.
    prefix: String,
}

/// A file at a revision, with the book that it belonged to then.
pub struct Located {
    pub store: Revision,
    /// Relative to the book.
    pub path: String,
    /// Whether its name then differs from the name asked for.
    pub is_renamed: bool,
}

/// A book at a revision, with the names that its files had then.
pub struct Earlier {
    pub store: Revision,
    renames: Renames,
    /// The book's folder within the repository, now and then.
    folders: (String, String),
}

impl Earlier {
    /// What a file of the book was called then, if not by its present name; both relative to the book.
    pub fn name_of(&self, path: &str) -> Option<String> {
        let (now, then) = &self.folders;
        let now = joined(now, path)?;
        let before = self.renames.before(&now);
        if before == now { None } else { within(then, before).map(str::to_owned) }
    }
}

/// Renames as (old, new), newest first.
struct Renames(Vec<(String, String)>);

impl Renames {
    /// A file's name before all of these renames.
    fn before<'n>(&'n self, name: &'n str) -> &'n str {
        self.0.iter().fold(name, |name, (old, new)| if new == name { old } else { name })
    }

    /// A file's name after all of these renames.
    fn after<'n>(&'n self, name: &'n str) -> &'n str {
        self.0.iter().rev().fold(name, |name, (old, new)| if old == name { new } else { name })
    }
}

/// Where to look for the book's folder.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum BookFolder {
    /// The nearest folder with a `book.toml`, upward from the file; else the folder that the repository is seen
    /// from, where the file is in it; else the top.
    Nearest,
    /// The folder that the repository is seen from. Where that is the repository itself, which holds no files, as
    /// `Nearest`.
    Here,
}

impl Repository {
    /// The repository around a folder.
    ///
    /// # Errors
    ///
    /// Where there is no git, or no repository; also where the folder itself is one, since a book can carry a
    /// folder made to look like a repository.
    pub fn around(folder: &Path) -> Result<Self, RevisionError> {
        match Self::seen_by(Git::around(folder)) {
            Err(RevisionError::NoRepository { .. }) if Self::seen_by(Git::of(folder)).is_ok() => {
                Err(RevisionError::NotNamed)
            }
            seen => seen,
        }
    }

    /// The repository around a folder, or the folder itself, since the user named it.
    ///
    /// # Errors
    ///
    /// Where there is no git, or no repository.
    pub fn named(folder: &Path) -> Result<Self, RevisionError> {
        let seen = Self::seen_by(Git::around(folder));
        if matches!(seen, Err(RevisionError::NoRepository { .. })) {
            return Self::seen_by(Git::of(folder)).or(seen);
        }
        seen
    }

    fn seen_by(git: Git) -> Result<Self, RevisionError> {
        match git.ask(&["rev-parse", "--show-prefix", "--show-object-format"])? {
            Answer::Said(said) => {
                let said = String::from_utf8_lossy(&said);
                let (prefix, format) = said.trim_end_matches('\n').rsplit_once('\n').unwrap_or((&said, ""));
                let prefix = prefix.trim_end_matches(['\n', '/']).to_owned();
                let no_attributes = EMPTY_TREES.into_iter().find(|(name, _)| *name == format);
                let git = git.with_attributes_of(no_attributes.map(|(_, tree)| tree));
                Ok(Self { git, prefix })
            }
            Answer::Refused(reason) => Err(RevisionError::NoRepository { reason }),
        }
    }

    /// Writes a value into the clone's own configuration, which the user asked for. A value that is already there is
    /// left, and returned if it differs.
    ///
    /// # Errors
    ///
    /// Where git cannot write it.
    pub fn configure(&self, name: &str, value: &str) -> Result<Option<String>, RevisionError> {
        if let Answer::Said(said) = self.git.ask(&["config", "--local", "--get", name])? {
            let said = String::from_utf8_lossy(&said).trim_end_matches('\n').to_owned();
            return Ok(Some(said).filter(|said| said != value));
        }
        match self.git.ask(&["config", "--local", name, value])? {
            Answer::Said(_) => Ok(None),
            Answer::Refused(reason) => Err(RevisionError::Git { reason }),
        }
    }

    /// Whether the clone has only part of the history.
    pub fn is_shallow(&self) -> bool {
        matches!(self.git.ask(&["rev-parse", "--is-shallow-repository"]), Ok(Answer::Said(said)) if said.starts_with(b"true"))
    }

    /// Finds a file at a revision by its path from the folder, or else from the top of the repository. Where
    /// the revision does not have it, it is found by the name that renames lead to.
    ///
    /// # Errors
    ///
    /// Where there is no such revision, or no such file in it under any name.
    pub fn locate(&self, revision: &str, path: &str, book: BookFolder) -> Result<Located, RevisionError> {
        let commit = Revision::commit_of(&self.git, revision)?;
        let mut names: Vec<String> =
            [joined(&self.prefix, path), joined("", path)].into_iter().flatten().collect();
        names.dedup();
        for name in &names {
            if self.is_file(&commit, name)? {
                return self.located(&commit, revision, name, false, book);
            }
        }
        for name in &names {
            let (since, until) = (self.renames_since(&commit)?, self.renames_until(&commit)?);
            for other in [since.before(name), until.after(name)] {
                if other != name && self.is_file(&commit, other)? {
                    return self.located(&commit, revision, other, true, book);
                }
            }
        }
        Err(RevisionError::NoFile { revision: revision.to_owned(), path: path.to_owned() })
    }

    /// The book of the repository's folder as it was at a revision, in the folder where it was then.
    ///
    /// # Errors
    ///
    /// Where there is no such revision, or no such folder in it.
    pub fn book_at(&self, revision: &str) -> Result<Earlier, RevisionError> {
        let commit = Revision::commit_of(&self.git, revision)?;
        let renames = self.renames_since(&commit)?;
        let mut then = self.prefix.clone();
        let file = joined(&self.prefix, BOOK_FILE).unwrap_or_default();
        let before = renames.before(&file);
        if !self.is_file(&commit, &file)? && self.is_file(&commit, before)? {
            then = before.rsplit_once('/').map_or("", |(folder, _)| folder).to_owned();
        }
        let store = Revision::open_at(&self.git, &commit, revision, &then)?;
        Ok(Earlier { store, renames, folders: (self.prefix.clone(), then) })
    }

    fn located(
        &self,
        commit: &str,
        revision: &str,
        name: &str,
        is_renamed: bool,
        book: BookFolder,
    ) -> Result<Located, RevisionError> {
        let folder = self.book_of(commit, name, book)?;
        let store = Revision::open_at(&self.git, commit, revision, folder)?;
        let path = within(folder, name).unwrap_or(name).to_owned();
        Ok(Located { store, path, is_renamed })
    }

    fn book_of<'n>(
        &'n self,
        commit: &str,
        name: &'n str,
        book: BookFolder,
    ) -> Result<&'n str, RevisionError> {
        let here = within(&self.prefix, name).map_or("", |_| self.prefix.as_str());
        if book == BookFolder::Here && !self.git.is_of_repository() {
            return Ok(here);
        }
        let mut folder = name;
        while let Some((upward, _)) = folder.rsplit_once('/') {
            folder = upward;
            if self.is_file(commit, &format!("{folder}/{BOOK_FILE}"))? {
                return Ok(folder);
            }
        }
        Ok(if self.is_file(commit, BOOK_FILE)? { "" } else { here })
    }

    fn is_file(&self, commit: &str, path: &str) -> Result<bool, RevisionError> {
        let answer = self.git.ask(&["cat-file", "-t", &format!("{commit}:{path}")])?;
        Ok(matches!(answer, Answer::Said(kind) if kind.starts_with(b"blob")))
    }

    /// What was renamed after a commit, whether committed or only in the index.
    fn renames_since(&self, commit: &str) -> Result<Renames, RevisionError> {
        let staged = [&["diff-index", "--cached"], &FOR_RENAMES[..], &["HEAD", "--"]].concat();
        let mut all = renames(self.git.ask(&staged)?);
        all.extend(self.renames_in(&["HEAD", &format!("^{commit}")])?);
        Ok(Renames(all))
    }

    /// What was renamed up to a commit.
    fn renames_until(&self, commit: &str) -> Result<Renames, RevisionError> {
        Ok(Renames(self.renames_in(&[commit])?))
    }

    /// Renames in some commits, newest first; none where there are no such commits, as before the first.
    fn renames_in(&self, commits: &[&str]) -> Result<Vec<(String, String)>, RevisionError> {
        let listed = [&["rev-list", "--topo-order"], commits, &["--"]].concat();
        match self.git.ask(&listed)? {
            Answer::Said(commits) if !commits.is_empty() => {
                let differences =
                    [&["diff-tree", "--stdin", "-r", "--no-commit-id"], &FOR_RENAMES[..]].concat();
                Ok(renames(self.git.tell(&differences, commits)?))
            }
            _ => Ok(Vec::new()),
        }
    }
}

/// The hashes that name empty trees.
const EMPTY_TREES: [(&str, &str); 2] = [
    ("sha1", "4b825dc642cb6eb9a060e54bf8d69288fbee4904"),
    ("sha256", "6ef19b41225c5369f1c104d45d8d85efa9b057b53b14b4b9b939dd74decc5321"),
];

/// Options that make a command which compares trees report renames, and run nothing for it. Where more than a thousand
/// files came and as many went, only those that are the same to the byte are recognised.
const FOR_RENAMES: [&str; 9] = [
    "-M",
    "-l1000",
    "--diff-filter=R",
    "--name-status",
    "-z",
    "--no-ext-diff",
    "--no-textconv",
    "--no-relative",
    "--ignore-submodules=all",
];

/// Renames as (old, new), in git's order; none where git has no answer.
fn renames(answer: Answer) -> Vec<(String, String)> {
    let Answer::Said(said) = answer else { return Vec::new() };
    // `R100`, the old path, the new path, a zero byte behind each.
    let said = String::from_utf8_lossy(&said);
    let mut parts = said.split('\0').filter(|part| !part.is_empty());
    let mut renames = Vec::new();
    while let (Some(_), Some(old), Some(new)) = (parts.next(), parts.next(), parts.next()) {
        renames.push((old.to_owned(), new.to_owned()));
    }
    renames
}

/// A path as seen from a folder that it lies in.
fn within<'p>(folder: &str, path: &'p str) -> Option<&'p str> {
    if folder.is_empty() { Some(path) } else { path.strip_prefix(folder)?.strip_prefix('/') }
}
