//! Quantities: parse, show, errors.
