//! Messages on a stream: a head with the length, and that many bytes.
//!
//! After anything broken the reader goes on: it looks for the next head. A length beyond any message is skipped without
//! a buffer of that size.

use std::io::{self, BufRead, Read};

use crate::source::limits;

/// What was read.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Frame {
    /// A message's text, as it was sent.
    Text(String),
    /// Anything that is not a message, in words.
    Broken(String),
    /// Nothing more comes.
    End,
}

const LENGTH: &str = "content-length:";

/// The longest message: a text at its limit, with each of its bytes escaped.
const LONGEST: u64 = 8 * limits::TEXT_BYTES;

/// A longer line is not a head.
const HEAD_BYTES: u64 = 4096;

/// Reads the next message.
///
/// # Errors
/// Where the stream cannot be read.
pub fn read(stream: &mut impl BufRead) -> io::Result<Frame> {
    let mut length = None;
    loop {
        let mut line = Vec::new();
        if stream.by_ref().take(HEAD_BYTES).read_until(b'\n', &mut line)? == 0 {
            return Ok(Frame::End);
        }
        let line = String::from_utf8_lossy(&line).to_ascii_lowercase();
        match (line.rfind(LENGTH), length) {
            // What is left of something broken may come before it.
            (Some(at), _) => {
                let told = line.get(at + LENGTH.len()..).unwrap_or("").trim();
                match told.parse::<u64>() {
                    Ok(told) => length = Some(told),
                    Err(_) => return Ok(Frame::Broken(format!("`{told}` is not a message's length"))),
                }
            }
            (None, Some(length)) if line.trim().is_empty() => return body(stream, length),
            (None, _) => {}
        }
    }
}

fn body(stream: &mut impl BufRead, length: u64) -> io::Result<Frame> {
    if length > LONGEST {
        io::copy(&mut stream.by_ref().take(length), &mut io::sink())?;
        return Ok(Frame::Broken(format!("a message of {length} bytes; {LONGEST} is the most")));
    }
    let mut bytes = Vec::new();
    let read = stream.by_ref().take(length).read_to_end(&mut bytes)?;
    if (read as u64) < length {
        return Ok(Frame::End);
    }
    Ok(String::from_utf8(bytes)
        .map_or_else(|_| Frame::Broken("a message that is not UTF-8 text".to_owned()), Frame::Text))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn all(mut stream: &[u8]) -> Vec<Frame> {
        let frames = std::iter::from_fn(|| Some(read(&mut stream).unwrap()));
        frames.take_while(|frame| *frame != Frame::End).collect()
    }

    #[test]
    fn what_is_broken_does_not_take_the_next_message_along() {
        let good = "Content-Length: 2\r\nContent-Type: x\r\n\r\n{}";
        let text = Frame::Text("{}".to_owned());
        for broken in ["", "\r\n\r\n", "rubbish", "rubbish\n\n", "{\"a\": 1}", "Content-Length: 0\r\n\r\n"] {
            let read = all(format!("{broken}{good}{good}").as_bytes());
            assert_eq!(read.iter().filter(|frame| **frame == text).count(), 2, "{broken}: {read:?}");
        }
        let told = all(format!("Content-Length: many\r\n{good}").as_bytes());
        assert!(matches!(told.as_slice(), [Frame::Broken(_), last] if *last == text), "{told:?}");
        let bytes = [b"Content-Length: 2\r\n\r\n\xff\xfe", good.as_bytes()].concat();
        assert!(matches!(all(&bytes).as_slice(), [Frame::Broken(_), last] if *last == text));
    }

    #[test]
    fn a_length_beyond_all_bounds_asks_for_no_memory() {
        assert!(matches!(
            all(format!("Content-Length: {}\r\n\r\nx", u64::MAX).as_bytes()).as_slice(),
            [Frame::Broken(_)]
        ));
        assert_eq!(all(b"Content-Length: 9\r\n\r\n{}"), []);
    }
}
