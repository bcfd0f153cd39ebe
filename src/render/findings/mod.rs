//! Findings for people, for scripts and for other tools: how they look, never what they say.

mod json;
mod sarif;
mod text;

pub use json::{json, json_in};
pub use sarif::{sarif, sarif_in};
pub use text::{Look, brief, brief_in, text, text_in};
