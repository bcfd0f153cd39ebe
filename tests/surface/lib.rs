//! The library with its rooms private: what `lib.rs` shows at its top, what only tests use, and nothing else. So the compiler
//! names what nobody calls; `cargo clippy --all-features --all-targets` asks it.

// A room names types for others to name, also where none does yet.
#![allow(unused_imports, clippy::all)]

#[path = "../../src/advice/mod.rs"]
mod advice;
#[path = "../../src/book/mod.rs"]
mod book;
#[path = "../../src/checks/mod.rs"]
mod checks;
#[path = "../../src/cli/mod.rs"]
mod cli;
#[path = "../../src/document/mod.rs"]
mod document;
#[path = "../../src/editor/mod.rs"]
mod editor;
#[path = "../../src/figures/mod.rs"]
mod figures;
#[path = "../../src/finding/mod.rs"]
mod finding;
#[path = "../../src/notebook/mod.rs"]
mod notebook;
#[path = "../../src/pages/mod.rs"]
mod pages;
#[path = "../../src/physics/mod.rs"]
mod physics;
#[path = "../../src/pocket/mod.rs"]
mod pocket;
#[path = "../../src/quantity/mod.rs"]
mod quantity;
#[path = "../../src/render/mod.rs"]
mod render;
#[path = "../../src/season/mod.rs"]
mod season;
#[path = "../../src/session/mod.rs"]
mod session;
#[path = "../../src/source/mod.rs"]
mod source;
#[path = "../../src/speech/mod.rs"]
mod speech;
#[path = "../../src/vocabulary/mod.rs"]
mod vocabulary;

#[path = "../../src/shown.rs"]
mod shown;

pub use cli::run;
pub use shown::*;

/// What only tests and benches use, and nothing of the program.
pub mod tested {
    /// Formulas are compared with published tables, each by itself.
    pub use crate::physics::*;

    pub use crate::advice::LIMITS;
    pub use crate::checks::check_recording;
    pub use crate::document::{Templates, compose};
    pub use crate::editor::Server;
    pub use crate::figures::{Bench, Plain};
    pub use crate::notebook::prose_events;
    pub use crate::pages::compare::Comparison;
    pub use crate::quantity::{Shown, unit_words};
    pub use crate::render::findings::{brief, sarif, text};
    pub use crate::source::{Revision, read_book};
}
