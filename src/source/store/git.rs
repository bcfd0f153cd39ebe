//! The one place that runs `git`.
//!
//! A repository may be a stranger's, and its configuration can name programs for git to run. So git is asked by
//! plumbing commands alone. They run none of these programs, with two exceptions: `core.fsmonitor`, where the index is
//! read, and a fetch of what a partial clone lacks. Both are switched off here on every call, with everything else that
//! could start a program. One command writes, into the clone's own configuration, where the user asked for it; `git
//! config` runs no program. What the user has set for all repositories, such as which folders are safe, still holds.

#![expect(clippy::disallowed_methods, reason = "git is started here, and nothing else anywhere")]

use std::io::{self, Read, Write};
use std::path::{Path, PathBuf};
use std::process::{Child, ChildStdin, ChildStdout, Command, Stdio};
use std::sync::mpsc::{self, Receiver};
use std::thread;
use std::time::Duration;

use super::revision::RevisionError;

/// How long git may take over one answer. Searching a whole history for renames takes a tenth of it.
pub(super) const PATIENCE: Duration = Duration::from_secs(10);
/// The longest answer, in bytes: the names of a million files.
const ANSWER_BYTES: u64 = 64 << 20;
/// How much is kept of an error message, in bytes.
const COMPLAINT_BYTES: u64 = 16 << 10;

/// On the command line these take precedence over any configuration, wherever it is included from.
const SETTINGS: [&str; 9] = [
    "core.fsmonitor=false",
    "core.hooksPath=/dev/null",
    // A folder of a book that is itself a git directory is not found by searching; it must be named.
    "safe.bareRepository=explicit",
    "core.attributesFile=/dev/null",
    // Read together with the index, though nothing here asks what is ignored.
    "core.excludesFile=/dev/null",
    "protocol.allow=never",
    "core.sshCommand=false",
    "credential.helper=",
    "gc.auto=0",
];

/// Where the user's own configuration is, how far upward a repository is searched for, and where git keeps its own
/// programs. Every other variable that begins with `GIT_` could lead git to another repository, or to other
/// programs.
const KEPT: [&str; 6] = [
    "GIT_CONFIG_GLOBAL",
    "GIT_CONFIG_SYSTEM",
    "GIT_CONFIG_NOSYSTEM",
    "GIT_CEILING_DIRECTORIES",
    "GIT_DISCOVERY_ACROSS_FILESYSTEM",
    "GIT_EXEC_PATH",
];

/// Set in place of the variables that are removed.
const SURROUNDINGS: [(&str, &str); 8] = [
    ("GIT_NO_LAZY_FETCH", "1"),
    // No protocol is allowed: for a git that does not know the variable above.
    ("GIT_ALLOW_PROTOCOL", ""),
    ("GIT_TERMINAL_PROMPT", "0"),
    // An index that is not written calls no hook.
    ("GIT_OPTIONAL_LOCKS", "0"),
    ("GIT_ATTR_NOSYSTEM", "1"),
    ("GIT_PAGER", "cat"),
    ("GIT_LITERAL_PATHSPECS", "1"),
    ("LC_ALL", "C"),
];

/// Git in a folder.
#[derive(Debug, Clone)]
pub(super) struct Git {
    folder: PathBuf,
    /// Whether the folder is the repository itself, and not where the search for one begins.
    is_repository: bool,
    /// The tree that attributes are read from; git's usual places where it is not known.
    attributes: Option<&'static str>,
}

/// What git answered.
pub(super) enum Answer {
    Said(Vec<u8>),
    Refused(String),
}

/// A running git; it is stopped when this is dropped.
pub(super) struct Process(Child);

impl Drop for Process {
    fn drop(&mut self) {
        // It only reads, or writes one file in one step, so it can be stopped at any time. If it has ended already, nothing
        // happens.
        let _ = self.0.kill();
        let _ = self.0.wait();
    }
}

impl Git {
    /// Git in the repository around a folder.
    pub fn around(folder: &Path) -> Self {
        Self { folder: folder.to_owned(), is_repository: false, attributes: None }
    }

    /// Git in a bare repository.
    pub fn of(repository: &Path) -> Self {
        Self { is_repository: true, ..Self::around(repository) }
    }

    /// Whether the folder is the repository itself, and not where the search for one begins.
    pub fn is_of_repository(&self) -> bool {
        self.is_repository
    }

    /// The same, with attributes from that tree and from no file of the repository's folder.
    pub fn with_attributes_of(self, tree: Option<&'static str>) -> Self {
        Self { attributes: tree, ..self }
    }

    /// Asks a question.
    pub fn ask(&self, arguments: &[&str]) -> Result<Answer, RevisionError> {
        self.tell(arguments, Vec::new())
    }

    /// Asks a question, with something to read.
    pub fn tell(&self, arguments: &[&str], input: Vec<u8>) -> Result<Answer, RevisionError> {
        let mut child = self
            .command(arguments)
            .stdin(Stdio::piped())
            .stdout(Stdio::piped())
            .stderr(Stdio::piped())
            .spawn()
            .map_err(|error| match error.kind() {
                io::ErrorKind::NotFound => RevisionError::NoGit,
                _ => failed(&error),
            })?;
        let pipes = (child.stdin.take(), child.stdout.take(), child.stderr.take());
        let mut process = Process(child);
        let (Some(mut stdin), Some(stdout), Some(stderr)) = pipes else {
            return Err(failed(&io::ErrorKind::BrokenPipe.into()));
        };
        // Git need not read to the end.
        thread::spawn(move || stdin.write_all(&input));
        let (said, complained) = (gather(stdout, ANSWER_BYTES + 1), gather(stderr, COMPLAINT_BYTES));
        let said = within_patience(&said).map_err(|error| failed(&error))?;
        if said.len() as u64 > ANSWER_BYTES {
            return Err(RevisionError::Git {
                reason: format!("its answer is longer than {} MiB", ANSWER_BYTES >> 20),
            });
        }
        let complaint = within_patience(&complained).map_err(|error| failed(&error))?;
        let status = process.0.wait().map_err(|error| failed(&error))?;
        Ok(if status.success() {
            Answer::Said(said)
        } else {
            Answer::Refused(String::from_utf8_lossy(&complaint).trim().to_owned())
        })
    }

    /// Starts a command that answers one question after another.
    pub fn converse(&self, arguments: &[&str]) -> io::Result<(Process, ChildStdin, ChildStdout)> {
        let mut child = self
            .command(arguments)
            .stdin(Stdio::piped())
            .stdout(Stdio::piped())
            .stderr(Stdio::null())
            .spawn()?;
        let pipes = child.stdin.take().zip(child.stdout.take());
        let process = Process(child);
        let (questions, answers) = pipes.ok_or(io::ErrorKind::BrokenPipe)?;
        Ok((process, questions, answers))
    }

    fn command(&self, arguments: &[&str]) -> Command {
        let mut command = Command::new("git");
        let is_redirecting = |name: &str| name.starts_with("GIT_") && !KEPT.contains(&name);
        for (name, _) in std::env::vars_os() {
            if name.to_str().is_some_and(is_redirecting) {
                command.env_remove(name);
            }
        }
        command.envs(SURROUNDINGS);
        if let Some(tree) = self.attributes {
            command.env("GIT_ATTR_SOURCE", tree);
        }
        command.arg("-C").arg(&self.folder).args(["--no-pager", "--no-optional-locks"]);
        if self.is_repository {
            command.arg("--git-dir=.");
        }
        for setting in SETTINGS {
            command.args(["-c", setting]);
        }
        command.args(arguments);
        command
    }
}

/// Reads to the end, or to the limit, on a thread of its own.
fn gather(pipe: impl Read + Send + 'static, limit: u64) -> Receiver<io::Result<Vec<u8>>> {
    let (done, gathered) = mpsc::channel();
    thread::spawn(move || {
        let mut bytes = Vec::new();
        let read = pipe.take(limit).read_to_end(&mut bytes);
        // The caller may have stopped waiting.
        let _ = done.send(read.map(|_| bytes));
    });
    gathered
}

/// Git's answer, if it comes in time.
pub(super) fn within_patience(answer: &Receiver<io::Result<Vec<u8>>>) -> io::Result<Vec<u8>> {
    answer.recv_timeout(PATIENCE).unwrap_or_else(|_| {
        let reason = format!("it did not answer within {} s", PATIENCE.as_secs());
        Err(io::Error::new(io::ErrorKind::TimedOut, reason))
    })
}

fn failed(error: &io::Error) -> RevisionError {
    RevisionError::Git { reason: error.to_string() }
}
