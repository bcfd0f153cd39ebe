//! The one place that runs `git`.
//!
//! A repository may be a stranger's, and its configuration can name programs for git to run. So git is asked by
//! plumbing commands alone, which run none of them but two: `core.fsmonitor`, where the index is read, and a fetch of
//! what a partial clone lacks. Both are put off here, with all else that could reach a program, on every call.
//! One command writes, into the clone's own configuration, where the user asked for that; `git config` runs no program.
//! What the user has set up for all repositories, such as which folders are safe, still holds.

#![expect(clippy::disallowed_methods, reason = "git is started here, and nothing else anywhere")]

use std::io::{self, Read, Write};
use std::path::{Path, PathBuf};
use std::process::{Child, ChildStdin, ChildStdout, Command, Stdio};
use std::sync::mpsc::{self, Receiver};
use std::thread;
use std::time::Duration;

use super::revision::RevisionError;

/// How long git may take over one answer. A whole history is searched for renames in a tenth of it.
pub(super) const PATIENCE: Duration = Duration::from_secs(10);
/// What one answer may come to, in bytes: the names of a million files.
const ANSWER_BYTES: u64 = 64 << 20;
/// What is kept of a complaint, in bytes.
const COMPLAINT_BYTES: u64 = 16 << 10;

/// Said on the command line, these go before any configuration, wherever it is included from.
const SETTINGS: [&str; 9] = [
    "core.fsmonitor=false",
    "core.hooksPath=/dev/null",
    // A folder of a book that is itself a git directory is none to be found; one has to be named.
    "safe.bareRepository=explicit",
    "core.attributesFile=/dev/null",
    // Read with the index, though nothing here asks what is ignored.
    "core.excludesFile=/dev/null",
    "protocol.allow=never",
    "core.sshCommand=false",
    "credential.helper=",
    "gc.auto=0",
];

/// Where the user's own configuration lies, how far upward a repository is looked for, and where git keeps its
/// own programs. Everything else that begins with `GIT_` would turn git to another repository, or to other programs.
const KEPT: [&str; 6] = [
    "GIT_CONFIG_GLOBAL",
    "GIT_CONFIG_SYSTEM",
    "GIT_CONFIG_NOSYSTEM",
    "GIT_CEILING_DIRECTORIES",
    "GIT_DISCOVERY_ACROSS_FILESYSTEM",
    "GIT_EXEC_PATH",
];

/// What stands in the place of the variables that are taken away.
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
    /// Whether the folder is the repository, and not one that it is looked for from.
    is_repository: bool,
    /// The tree that attributes are read from; git's usual places where it is not known.
    attributes: Option<&'static str>,
}

/// What came of a question.
pub(super) enum Answer {
    Said(Vec<u8>),
    Refused(String),
}

/// A git that is running; it is ended with this.
pub(super) struct Process(Child);

impl Drop for Process {
    fn drop(&mut self) {
        // It reads, or writes one file that comes in whole, so that it can be ended anywhere; where it has ended already there is nothing to end.
        let _ = self.0.kill();
        let _ = self.0.wait();
    }
}

impl Git {
    /// Git in the repository that a folder lies in.
    pub fn around(folder: &Path) -> Self {
        Self { folder: folder.to_owned(), is_repository: false, attributes: None }
    }

    /// Git in a bare repository.
    pub fn of(repository: &Path) -> Self {
        Self { is_repository: true, ..Self::around(repository) }
    }

    /// Whether the folder is the repository, and not one that it is looked for from.
    pub fn is_of_repository(&self) -> bool {
        self.is_repository
    }

    /// The same with attributes from that tree, and from no file of the repository's folder.
    pub fn with_attributes_of(self, tree: Option<&'static str>) -> Self {
        Self { attributes: tree, ..self }
    }

    /// Puts a question.
    pub fn ask(&self, arguments: &[&str]) -> Result<Answer, RevisionError> {
        self.tell(arguments, Vec::new())
    }

    /// Puts a question with something to read.
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
        // What git does not read to its end it does not want.
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

/// Reads to the end, or to the limit, while something else is done.
fn gather(pipe: impl Read + Send + 'static, limit: u64) -> Receiver<io::Result<Vec<u8>>> {
    let (done, gathered) = mpsc::channel();
    thread::spawn(move || {
        let mut bytes = Vec::new();
        let read = pipe.take(limit).read_to_end(&mut bytes);
        // Whoever waited may have lost patience.
        let _ = done.send(read.map(|_| bytes));
    });
    gathered
}

/// What git has to say, where it says it in time.
pub(super) fn within_patience(answer: &Receiver<io::Result<Vec<u8>>>) -> io::Result<Vec<u8>> {
    answer.recv_timeout(PATIENCE).unwrap_or_else(|_| {
        let reason = format!("it did not answer within {} s", PATIENCE.as_secs());
        Err(io::Error::new(io::ErrorKind::TimedOut, reason))
    })
}

fn failed(error: &io::Error) -> RevisionError {
    RevisionError::Git { reason: error.to_string() }
}
