//! Findings for people, for scripts and for other tools. Decides how they look, never what they say.

mod json;
mod sarif;
mod text;

pub use json::json;
pub use sarif::sarif;
pub use text::{Look, brief, tally, text};

use crate::finding::Severity;

/// The word for a severity, the same in every format.
fn word(severity: Severity) -> &'static str {
    match severity {
        Severity::Error => "error",
        Severity::Warning => "warning",
        Severity::Note => "note",
    }
}
