//! The one module that listens: on the loopback address, for the browser of whoever started it.
//!
//! A connection is one question and one answer, within limits of bytes and time. No more are served at once than browsers
//! open. Nothing is recorded of who asked.

#![expect(clippy::disallowed_methods, reason = "the one module that listens")]

use std::io::{self, Read, Write};
use std::net::{Ipv4Addr, Shutdown, TcpListener, TcpStream};
use std::sync::{Condvar, Mutex, PoisonError};
use std::thread;
use std::time::Duration;

use super::super::clock::Deadline;
use super::request::{Asked, HEAD_BYTES, Refusal, read};

/// Connections that are open at one time: a browser opens six.
const AT_ONCE: usize = 32;
/// Longer than any browser takes: it asks within a few milliseconds.
const QUESTION_TIME: Duration = Duration::from_secs(5);
const ANSWER_TIME: Duration = Duration::from_secs(30);
/// How long the rest of a question is read and thrown away, since closing at once could lose the answer.
const END_TIME: Duration = Duration::from_millis(500);
/// How long to wait where the system has no connection left.
const PAUSE: Duration = Duration::from_millis(100);

/// Sent with every answer, against other sites' pages; what our own page may do stands in the page.
const GUARDS: &str = "Content-Security-Policy: frame-ancestors 'none'\r\n\
    X-Frame-Options: DENY\r\n\
    X-Content-Type-Options: nosniff\r\n\
    Cross-Origin-Resource-Policy: same-origin\r\n\
    Cross-Origin-Opener-Policy: same-origin\r\n\
    Referrer-Policy: no-referrer\r\n\
    Cache-Control: no-store\r\n\
    Connection: close\r\n";

/// An answer.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Answer {
    /// The media type; `None` where there is no such page.
    pub kind: Option<&'static str>,
    pub body: Vec<u8>,
}

/// A port of the loopback address.
pub(super) struct Listener {
    listener: TcpListener,
    port: u16,
}

impl Listener {
    /// Opens a port; 0 means any free one.
    ///
    /// # Errors
    ///
    /// Where another program has the port, or the system refuses it.
    pub fn open(port: u16) -> io::Result<Self> {
        let listener = TcpListener::bind((Ipv4Addr::LOCALHOST, port))?;
        let port = listener.local_addr()?.port();
        Ok(Self { listener, port })
    }

    /// The address for a browser.
    pub fn address(&self) -> String {
        format!("http://127.0.0.1:{}", self.port)
    }

    /// Answers for as long as the program runs. `answer` is called with targets, from several threads.
    pub fn serve(&self, answer: impl Fn(&str) -> Answer + Sync) {
        let (places, answer) = (Places::default(), &answer);
        thread::scope(|scope| {
            loop {
                // Whoever comes when all places are taken waits, and not for long: each connection has its time.
                let place = places.take();
                let Ok((stream, _)) = self.listener.accept() else {
                    thread::sleep(PAUSE);
                    continue;
                };
                let answered = move || {
                    let _place = place;
                    // A browser that has gone does not want the answer.
                    let _ = self.attend(&stream, answer);
                };
                // Without a thread the connection is dropped.
                let _ = thread::Builder::new().spawn_scoped(scope, answered);
            }
        })
    }

    fn attend(&self, stream: &TcpStream, answer: &(impl Fn(&str) -> Answer + Sync)) -> io::Result<()> {
        let until = Deadline::in_(QUESTION_TIME);
        let (head, body) = match self.question(stream, until)? {
            Err(refusal) => {
                let (code, words) = refusal.status();
                (head(code, words, "text/plain; charset=utf-8", words.len()), words.as_bytes().to_vec())
            }
            Ok(Asked { target, is_head }) => {
                let Answer { kind, mut body } = answer(&target);
                let (code, words) = if kind.is_some() { (200, "OK") } else { (404, "Not Found") };
                let head = head(code, words, kind.unwrap_or("text/html; charset=utf-8"), body.len());
                if is_head {
                    body.clear();
                }
                (head, body)
            }
        };
        let until = Deadline::in_(ANSWER_TIME);
        write(stream, head.as_bytes(), until)?;
        write(stream, &body, until)?;
        stream.shutdown(Shutdown::Write)?;
        let until = Deadline::in_(END_TIME);
        let mut rest = [0; 1024];
        while let Some(left) = until.left() {
            stream.set_read_timeout(Some(left))?;
            if (&*stream).read(&mut rest)? == 0 {
                break;
            }
        }
        Ok(())
    }

    /// Reads up to the end of a question's head.
    fn question(&self, mut stream: &TcpStream, until: Deadline) -> io::Result<Result<Asked, Refusal>> {
        let mut bytes = Vec::new();
        let mut some = [0; 1024];
        loop {
            match read(&bytes, self.port) {
                Ok(Some(asked)) => return Ok(Ok(asked)),
                Ok(None) => {}
                Err(refusal) => return Ok(Err(refusal)),
            }
            // A limit on each part alone could be drawn out for ever, a byte at a time.
            let Some(left) = until.left() else { return Ok(Err(Refusal::TooSlow)) };
            stream.set_read_timeout(Some(left))?;
            let count = match stream.read(&mut some) {
                Ok(0) => return Err(io::ErrorKind::UnexpectedEof.into()),
                Ok(count) => count,
                Err(error) if is_late(&error) => return Ok(Err(Refusal::TooSlow)),
                Err(error) => return Err(error),
            };
            let room = HEAD_BYTES.saturating_sub(bytes.len());
            bytes.extend(some.iter().take(count.min(room)));
        }
    }
}

/// How many connections are open.
#[derive(Default)]
struct Places {
    taken: Mutex<usize>,
    is_one_free: Condvar,
}

impl Places {
    /// Waits until fewer connections are open than the limit.
    fn take(&self) -> Place<'_> {
        let taken = self.taken.lock().unwrap_or_else(PoisonError::into_inner);
        let waited = self.is_one_free.wait_while(taken, |taken| *taken >= AT_ONCE);
        *waited.unwrap_or_else(PoisonError::into_inner) += 1;
        Place(self)
    }
}

/// A place among the open connections; free again when dropped.
struct Place<'p>(&'p Places);

impl Drop for Place<'_> {
    fn drop(&mut self) {
        let mut taken = self.0.taken.lock().unwrap_or_else(PoisonError::into_inner);
        *taken = taken.saturating_sub(1);
        self.0.is_one_free.notify_one();
    }
}

fn head(code: u16, words: &str, kind: &str, length: usize) -> String {
    format!("HTTP/1.1 {code} {words}\r\nContent-Type: {kind}\r\nContent-Length: {length}\r\n{GUARDS}\r\n")
}

/// Writes all bytes before a deadline.
fn write(mut stream: &TcpStream, mut bytes: &[u8], until: Deadline) -> io::Result<()> {
    while !bytes.is_empty() {
        let left = until.left().ok_or(io::ErrorKind::TimedOut)?;
        stream.set_write_timeout(Some(left))?;
        let count = stream.write(bytes)?;
        bytes = bytes.get(count..).unwrap_or_default();
    }
    Ok(())
}

fn is_late(error: &io::Error) -> bool {
    matches!(error.kind(), io::ErrorKind::WouldBlock | io::ErrorKind::TimedOut)
}
