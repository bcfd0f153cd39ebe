//! The laws of the house that a compiler does not keep.
