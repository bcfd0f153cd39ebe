//! One test program, so that the crate is linked once, with a module for each subject.

// A helper of a test may panic, as a test does.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, clippy::indexing_slicing)]
#![allow(clippy::disallowed_methods, reason = "tests look at the program from outside")]

mod advice;
mod books;
mod checks;
mod chromium;
mod commands;
mod compare;
mod coverage;
mod desk;
mod diary;
mod editor;
mod everyday;
mod export;
mod findings;
mod formulas;
mod found;
mod frozen;
mod guide;
mod guided;
mod heard;
mod history;
mod hostile;
mod house;
mod mixing;
mod notebook;
mod paper;
mod pocket;
mod pressures;
mod properties;
mod quantity;
#[cfg(unix)]
mod readme;
mod reference;
mod reference_notebook;
mod rejected;
mod render;
mod season;
mod session;
mod shell;
mod show;
mod snapshots;
mod source;
mod speech;
mod take;
mod tools;
mod trade_facts;
mod uncertainty;
mod watch;
mod ways_out;
