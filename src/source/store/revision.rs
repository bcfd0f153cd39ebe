//! A book as it was at a git revision.
//!
//! Asks the `git` program, by its plumbing commands alone: their output is made for programs and kept
//! stable. Nothing is checked out, and nothing is fetched.

use std::collections::BTreeMap;
use std::io::{self, BufRead, BufReader, Read, Write};
use std::path::{Path, PathBuf};
use std::process::{Child, ChildStdin, ChildStdout, Command, Stdio};
use std::sync::{Mutex, PoisonError};

use super::{FaultKind, Listed, Listing, ReadError, Store, is_hidden, limits};

/// The files of a book's folder in one commit. Links and submodules are left out.
pub struct Revision {
    folder: PathBuf,
    commit: String,
    tree: Tree,
    /// Started with the first file that is read.
    reader: Mutex<Option<Reader>>,
}

/// The files of a folder by path, and what could not be taken.
#[derive(Default)]
struct Tree {
    files: BTreeMap<String, Blob>,
    problems: BTreeMap<String, FaultKind>,
}

struct Blob {
    id: String,
    bytes: u64,
}

/// Why a revision could not be opened.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum RevisionError {
    /// There is no `git` program.
    NoGit,
    /// The book's folder does not lie in a repository.
    NoRepository { reason: String },
    /// The repository has no such commit.
    Unknown { revision: String },
    /// The commit does not have the book's folder.
    NoBook { revision: String },
    /// The commit has no such file, under this name or another.
    NoFile { revision: String, path: String },
    /// Git said something that is not understood.
    Git { reason: String },
}

impl Revision {
    /// Opens the book of a folder at a revision, in any form that git takes: `HEAD~3`, a tag, a commit.
    ///
    /// # Errors
    /// Where there is no git, no repository, no such revision, or no such folder in it.
    pub fn open(folder: &Path, revision: &str) -> Result<Self, RevisionError> {
        let prefix = match run(folder, &["rev-parse", "--show-prefix"])? {
            Answer::Said(prefix) => String::from_utf8_lossy(&prefix).trim_end_matches(['\n', '/']).to_owned(),
            Answer::Refused(reason) => return Err(RevisionError::NoRepository { reason }),
        };
        let commit = Self::commit_of(folder, revision)?;
        Self::open_at(folder, &commit, revision, &prefix)
    }

    /// The full name of a revision's commit.
    pub(super) fn commit_of(folder: &Path, revision: &str) -> Result<String, RevisionError> {
        let wanted = format!("{revision}^{{commit}}");
        match run(folder, &["rev-parse", "--verify", "--quiet", "--end-of-options", &wanted])? {
            Answer::Said(commit) => Ok(String::from_utf8_lossy(&commit).trim_end().to_owned()),
            Answer::Refused(_) => Err(RevisionError::Unknown { revision: revision.to_owned() }),
        }
    }

    /// Opens the book in a folder of a commit, of the repository that `folder` lies in.
    pub(super) fn open_at(
        folder: &Path,
        commit: &str,
        revision: &str,
        book: &str,
    ) -> Result<Self, RevisionError> {
        let tree = format!("{commit}:{book}");
        let listing = match run(folder, &["ls-tree", "-r", "-z", "-l", "--full-tree", &tree])? {
            Answer::Said(listing) => listing,
            Answer::Refused(_) => return Err(RevisionError::NoBook { revision: revision.to_owned() }),
        };
        let tree = Tree::read(&listing)?;
        Ok(Self { folder: folder.to_owned(), commit: commit.to_owned(), tree, reader: Mutex::new(None) })
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
        let mut reader = self.reader.lock().unwrap_or_else(PoisonError::into_inner);
        let read = match reader.as_mut() {
            Some(reader) => reader.read(blob),
            None => Reader::start(&self.folder).and_then(|started| reader.insert(started).read(blob)),
        };
        read.map_err(|error| {
            // What it would say next belongs to this file.
            *reader = None;
            ReadError::Unreadable { reason: error.to_string() }
        })
    }
}

impl Tree {
    /// Reads what `ls-tree -r -z -l` says: `mode type id size`, a tab, the path, a zero byte.
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

/// How the modes of files begin; links are `120000`, submodules `160000`.
const FILE_MODES: &str = "100";

/// A `git cat-file --batch`, asked for one file after another.
struct Reader {
    process: Child,
    /// Taken when it is time to end.
    questions: Option<ChildStdin>,
    answers: BufReader<ChildStdout>,
}

impl Reader {
    fn start(folder: &Path) -> io::Result<Self> {
        let mut process = git(folder)
            .args(["cat-file", "--batch"])
            .stdin(Stdio::piped())
            .stdout(Stdio::piped())
            .stderr(Stdio::null())
            .spawn()?;
        let questions = process.stdin.take();
        let answers = process.stdout.take().ok_or(io::ErrorKind::BrokenPipe)?;
        Ok(Self { process, questions, answers: BufReader::new(answers) })
    }

    fn read(&mut self, blob: &Blob) -> io::Result<Vec<u8>> {
        let questions = self.questions.as_mut().ok_or(io::ErrorKind::BrokenPipe)?;
        writeln!(questions, "{}", blob.id)?;
        questions.flush()?;
        // `id type size`, the bytes, a line feed; or `id missing`.
        let mut header = String::new();
        self.answers.by_ref().take(256).read_line(&mut header)?;
        if header.trim_end() != format!("{} blob {}", blob.id, blob.bytes) {
            return Err(io::Error::other(format!("git cat-file: {}", header.trim_end())));
        }
        let mut bytes = Vec::new();
        self.answers.by_ref().take(blob.bytes).read_to_end(&mut bytes)?;
        let mut end = [0];
        self.answers.read_exact(&mut end)?;
        Ok(bytes)
    }
}

impl Drop for Reader {
    fn drop(&mut self) {
        // It ends when there are no more questions; a failure to end it has nowhere to go.
        drop(self.questions.take());
        let _ = self.process.wait();
    }
}

pub(super) enum Answer {
    Said(Vec<u8>),
    Refused(String),
}

pub(super) fn run(folder: &Path, arguments: &[&str]) -> Result<Answer, RevisionError> {
    let output =
        git(folder).args(arguments).stdin(Stdio::null()).output().map_err(|error| match error.kind() {
            io::ErrorKind::NotFound => RevisionError::NoGit,
            _ => RevisionError::Git { reason: error.to_string() },
        })?;
    if output.status.success() {
        return Ok(Answer::Said(output.stdout));
    }
    Ok(Answer::Refused(String::from_utf8_lossy(&output.stderr).trim().to_owned()))
}

/// A git that looks at the folder's own repository, in whatever surroundings it is started, and that does
/// not go to the network for what a partial clone lacks.
fn git(folder: &Path) -> Command {
    let mut command = Command::new("git");
    command.arg("-C").arg(folder);
    for variable in ["GIT_DIR", "GIT_WORK_TREE", "GIT_INDEX_FILE", "GIT_PREFIX", "GIT_OBJECT_DIRECTORY"] {
        command.env_remove(variable);
    }
    command.env("GIT_NO_LAZY_FETCH", "1").env("GIT_OPTIONAL_LOCKS", "0").env("LC_ALL", "C");
    command
}

impl std::fmt::Display for RevisionError {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        match self {
            Self::NoGit => write!(f, "the program `git` is needed for this and was not found"),
            Self::NoRepository { reason } => write!(f, "the book does not lie in a git repository: {reason}"),
            Self::Unknown { revision } => write!(f, "git knows no revision `{revision}`"),
            Self::NoBook { revision } => write!(f, "the book's folder is not there at `{revision}`"),
            Self::NoFile { revision, path } => write!(f, "there is no `{path}` at `{revision}`"),
            Self::Git { reason } => write!(f, "git: {reason}"),
        }
    }
}

impl std::error::Error for RevisionError {}
