//! Typed notebooks, found and linked to each other.
