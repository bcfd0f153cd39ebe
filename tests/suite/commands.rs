//! The real program, run in temporary books.
