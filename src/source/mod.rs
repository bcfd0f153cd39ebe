//! Bytes, paths and places.
//!
//! The only room that opens files for reading. It hands out texts under a [`FileId`] and turns byte
//! offsets into lines and columns; what the texts mean is not its business.

mod span;

pub use span::{FileId, Position, Span};
