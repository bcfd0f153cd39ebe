//! The language server: what an editor asks while somebody writes, and the answers.
//!
//! Messages of the Language Server Protocol go in and come out as values ([`Server`]). Nothing here reads or writes a
//! stream, and the clock is the caller's. Each book with an open file is a [`Desk`]: a session with the texts in the
//! editor. The session knows the notebooks. This room finds the place that is asked about and puts the answer into the
//! protocol's form.

mod address;
mod completion;
mod definition;
mod desk;
mod findings;
mod fixes;
mod format;
mod frame;
mod hints;
mod hover;
mod inbox;
mod introduction;
mod names;
mod page;
mod place;
mod rename;
mod server;
mod symbols;
mod text;
mod tokens;
mod words;

pub use frame::{Frame, read};
pub use inbox::Ahead;
pub use server::{Server, Standing};
