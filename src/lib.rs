//! A compiler for the set-up notebooks of off-road motorcycles.
//!
//! Users of the library hand texts to a [`Session`] and ask what it [`Compiled`]. All types that these two are made of are named
//! here at the top. [`Session`] has a worked example.
//!
//! The rooms are public for the project's own tests and benches, and promise nothing. From the top down, each knows only those
//! above it. `DEVELOPERS.md` says what each is for and which test keeps the order.

// In a browser nobody calls what only paper, terminals and the command line need.
#![cfg_attr(target_family = "wasm", allow(dead_code, unused_imports))]

mod shown;

pub use shown::*;

#[doc(hidden)]
pub mod source;

#[doc(hidden)]
pub mod speech;

#[doc(hidden)]
pub mod finding;

#[doc(hidden)]
pub mod notebook;

#[doc(hidden)]
pub mod quantity;

#[doc(hidden)]
pub mod vocabulary;

#[doc(hidden)]
pub mod book;

#[doc(hidden)]
pub mod season;

#[doc(hidden)]
pub mod physics;

#[doc(hidden)]
pub mod figures;

#[doc(hidden)]
pub mod checks;

#[doc(hidden)]
pub mod advice;

#[doc(hidden)]
pub mod session;

#[doc(hidden)]
pub mod pages;

#[cfg(not(target_family = "wasm"))]
#[doc(hidden)]
pub mod document;

#[doc(hidden)]
pub mod render;

#[doc(hidden)]
pub mod pocket;

#[cfg(not(target_family = "wasm"))]
#[doc(hidden)]
pub mod editor;

#[cfg(not(target_family = "wasm"))]
#[doc(hidden)]
pub mod cli;
