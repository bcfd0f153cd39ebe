//! A compiler for the set-up notebooks of off-road motorcycles.
//!
//! The rooms, from the top down; each knows only those above it. `DEVELOPERS.md` tells what each is
//! for and which test keeps the order.

pub mod source;

pub mod finding;

pub mod notebook;

pub mod quantity;

pub mod physics;
