//! A compiler for the set-up notebooks of off-road motorcycles.
//!
//! Whoever uses the library hands texts to a [`Session`] and asks what it [`Compiled`]; all that these two are made of is named here at
//! the top. [`Session`] has a worked example.
//!
//! The rooms are shown to the project's own tests and benches, and promise nothing. From the top down, each knows only those above it;
//! `DEVELOPERS.md` tells what each is for and which test keeps the order.

// What only paper, terminals and the command line ask for is asked for by nobody in a browser.
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
