//! `loambook language-server`: findings, figures and words for an editor, over standard input and output.

use std::io::{self, Write};
use std::sync::mpsc;
use std::thread;

use clap::Args;

use crate::editor::{Frame, Server, Standing, read};

use super::Verdict;
use super::clock;
use super::failure::Failure;

/// Speaks the Language Server Protocol over standard input and output; started by an editor, not by hand.
///
/// The book of a file is the nearest folder upward with a `book.toml`. Nothing is written but answers.
#[derive(Debug, Args)]
#[command(after_help = "Example: loambook language-server    # begun by an editor, in no terminal")]
pub(super) struct LanguageServer {
    /// Said by some editors; it speaks over standard input and output with or without.
    #[arg(long)]
    stdio: bool,
}

impl LanguageServer {
    pub fn run(&self) -> Result<Verdict, Failure> {
        let (said, heard) = mpsc::channel();
        // What comes while something is worked out is waiting together when that is done, and is taken as one.
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
        while let Ok(first) = heard.recv() {
            let frames: Vec<Frame> = std::iter::once(first).chain(heard.try_iter()).collect();
            let is_over = frames.last() == Some(&Frame::End);
            let mut output = io::stdout().lock();
            for message in server.take(frames, clock::today()) {
                message.write(&mut output).map_err(|error| unheard(&error))?;
            }
            output.flush().map_err(|error| unheard(&error))?;
            if let Standing::Left { was_stopped } = server.standing() {
                return Ok(if was_stopped { Verdict::Clean } else { Verdict::Faulty });
            }
            if is_over {
                break;
            }
        }
        // The editor has gone without a word.
        Ok(Verdict::Faulty)
    }
}

fn unheard(error: &io::Error) -> Failure {
    Failure::new(format!("the editor does not listen: {error}"))
}
