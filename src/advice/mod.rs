//! From a complaint to one next change, by data.
