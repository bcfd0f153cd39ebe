//! Quantities: parse, show, errors.

mod faults;
mod parsing;
mod round_trip;
mod showing;
