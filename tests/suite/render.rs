//! Trees into PDF and HTML.

mod findings;
