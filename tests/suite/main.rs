//! One test program, so that the crate is linked once; a module for each subject.

mod commands;
mod findings;
mod house;
mod notebook;
mod properties;
mod quantity;
mod reference;
mod reference_notebook;
mod render;
