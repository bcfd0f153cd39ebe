//! A compiler for the set-up notebooks of off-road motorcycles.
//!
//! The rooms, from the top down; each knows only those above it. `DEVELOPERS.md` tells what each is
//! for and which test keeps the order.

// What only paper, terminals and the command line ask for is asked for by nobody in a browser.
#![cfg_attr(target_family = "wasm", allow(dead_code, unused_imports))]

pub mod source;

pub mod speech;

pub mod finding;

pub mod notebook;

pub mod quantity;

pub mod vocabulary;

pub mod book;

pub mod season;

pub mod physics;

pub mod figures;

pub mod checks;

pub mod advice;

pub mod session;

pub mod pages;

#[cfg(not(target_family = "wasm"))]
pub mod document;

pub mod render;

pub mod pocket;

#[cfg(not(target_family = "wasm"))]
pub mod editor;

#[cfg(not(target_family = "wasm"))]
pub mod cli;
