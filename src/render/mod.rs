//! Trees, charts and findings into PDF, HTML and text: the only room that knows fonts and colours.

pub mod findings;
