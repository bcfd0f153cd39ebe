//! Findings for people, for scripts and for other tools. Decides how they look, never what they say.

mod json;
mod sarif;
mod text;

pub use json::json;
pub use sarif::sarif;
pub use text::{Look, brief, text};
