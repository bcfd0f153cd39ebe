//! The book on a telephone: what the page asks of the library while a day is written, and the door through which a
//! browser asks it.
//!
//! The page is one file, with our own script and this library compiled for the browser, so that its checks and figures
//! are the program's. Nothing here opens a file, starts a thread or lays anything out.

mod desk;
#[cfg(target_family = "wasm")]
mod door;

pub use desk::Desk;
