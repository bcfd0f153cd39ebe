//! Bytes, paths and places.
//!
//! The only room that opens files for reading. It gives each text a [`FileId`] and turns byte offsets into
//! lines and columns; what texts mean is not its business. A book can be on disk, in memory or at a git
//! revision. All three are a [`Store`], and [`read_book`] reads any of them.

mod book;
mod fault;
mod letters;
pub mod limits;
pub mod named;
mod path;
mod patience;
pub(crate) mod side_by_side;
mod sources;
mod span;
mod store;

pub use book::{BOOK_FILE, BookFiles, STANDARD_INPUT, find_book, read_book};
pub(crate) use book::{read_again, read_text};
pub use fault::{Fault, FaultKind};
pub use letters::is_obeyed;
pub use path::{beside, down};
pub use patience::{ENDLESS, Patience};
pub use sources::Sources;
pub use span::{FileId, Position, Span};
pub use store::{
    BookFolder, Disk, Earlier, Listed, Listing, Located, Memory, ReadError, Repository, Revision,
    RevisionError, Stamps, Store, read_input, read_named,
};
