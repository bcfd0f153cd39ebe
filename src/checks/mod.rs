//! The rules, one a file, over everything above.
