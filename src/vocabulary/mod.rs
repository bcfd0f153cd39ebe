//! The one table of words: every block, key, setting and figure.
