//! The commands, one a file; the clock; the one module that writes files.
