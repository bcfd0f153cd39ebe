//! `loambook language-server`: findings, figures and words for an editor, over standard input and output.

use std::io::{self, Write};
use std::sync::{Mutex, PoisonError, mpsc};
use std::thread;

use clap::Args;

use crate::editor::{Frame, Server, Standing, read};

use super::Verdict;
use super::clock;
use super::failure::Failure;

/// Answers an editor over the Language Server Protocol; an editor starts it.
///
/// It speaks over standard input and output. The book of a file is the nearest folder upward with a
/// `book.toml`. Nothing but answers is written.
#[derive(Debug, Args)]
#[command(after_help = "Example: loambook language-server    # started by an editor, not by hand")]
pub(super) struct LanguageServer {
    /// Accepted because some editors pass it; nothing changes.
    #[arg(long)]
    stdio: bool,
}

impl LanguageServer {
    pub fn run(&self) -> Result<Verdict, Failure> {
        let (said, heard) = mpsc::channel();
        // What comes in while something is worked out is looked at straight away: it may make that work stale.
        thread::spawn(move || {
            let mut input = io::stdin().lock();
            loop {
                let frame = read(&mut input).unwrap_or(Frame::End);
                let is_end = frame == Frame::End;
                if said.send(frame).is_err() || is_end {
                    break;
                }
            }
        });
        let mut server = Server::new();
        let heard = Mutex::new(heard);
        let heard = || heard.lock().unwrap_or_else(PoisonError::into_inner);
        let ahead = || heard().try_iter().collect();
        loop {
            let Ok(first) = heard().recv() else { break };
            let mut output = io::stdout().lock();
            let mut said = Ok(());
            server.take_with(vec![first], clock::today(), &ahead, &mut |message| {
                if said.is_ok() {
                    said = message.write(&mut output).and_then(|()| output.flush());
                }
            });
            said.map_err(|error| unheard(&error))?;
            if let Standing::Left { was_stopped } = server.standing() {
                return Ok(if was_stopped { Verdict::Clean } else { Verdict::Faulty });
            }
            if server.is_alone() {
                break;
            }
        }
        // The editor has gone without saying so.
        Ok(Verdict::Faulty)
    }
}

fn unheard(error: &io::Error) -> Failure {
    Failure::new(format!("the editor does not listen: {error}"))
}
