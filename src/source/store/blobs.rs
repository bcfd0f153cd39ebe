//! The contents of files in a repository's history.

use std::io::{self, BufRead, BufReader, Read, Write};
use std::process::{ChildStdin, ChildStdout};
use std::sync::mpsc::{self, Receiver, Sender};
use std::thread;

use super::git::{Git, Process, within_patience};

/// A file's content, as git knows it.
#[derive(Debug, Clone)]
pub(super) struct Blob {
    pub id: String,
    pub bytes: u64,
}

/// A `git cat-file --batch`, asked for one file after another.
pub(super) struct Blobs {
    asked: Sender<Blob>,
    read: Receiver<io::Result<Vec<u8>>>,
    _process: Process,
}

impl Blobs {
    pub fn of(git: &Git) -> io::Result<Self> {
        let (process, mut questions, answers) = git.converse(&["cat-file", "--batch"])?;
        let (asked, to_read) = mpsc::channel::<Blob>();
        let (done, read) = mpsc::channel();
        // In a thread of its own, so that the caller can stop waiting.
        thread::spawn(move || {
            let mut answers = BufReader::new(answers);
            for blob in to_read {
                if done.send(ask(&mut questions, &mut answers, &blob)).is_err() {
                    return;
                }
            }
        });
        Ok(Self { asked, read, _process: process })
    }

    /// # Errors
    ///
    /// Where git does not have this content, or does not answer in time; its next answer may then belong to
    /// this question.
    pub fn read(&self, blob: &Blob) -> io::Result<Vec<u8>> {
        self.asked.send(blob.clone()).map_err(|_| io::ErrorKind::BrokenPipe)?;
        within_patience(&self.read)
    }
}

fn ask(questions: &mut ChildStdin, answers: &mut BufReader<ChildStdout>, blob: &Blob) -> io::Result<Vec<u8>> {
    writeln!(questions, "{}", blob.id)?;
    questions.flush()?;
    // `id type size`, the bytes, a line feed; or `id missing`.
    let mut header = String::new();
    answers.by_ref().take(256).read_line(&mut header)?;
    if header.trim_end() != format!("{} blob {}", blob.id, blob.bytes) {
        return Err(io::Error::other(format!("git cat-file: {}", header.trim_end())));
    }
    let mut bytes = Vec::new();
    answers.by_ref().take(blob.bytes).read_to_end(&mut bytes)?;
    let mut end = [0];
    answers.read_exact(&mut end)?;
    Ok(bytes)
}
