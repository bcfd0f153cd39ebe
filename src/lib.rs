//! A compiler for the set-up notebooks of off-road motorcycles.
//!
//! The rooms, from the top down; each knows only those above it. `DEVELOPERS.md` tells what each is
//! for and which test keeps the order.

pub mod source;

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

pub mod document;

pub mod render;

pub mod editor;

pub mod cli;
