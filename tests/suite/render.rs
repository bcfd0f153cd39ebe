//! Trees into PDF and HTML.
