//! Cases of `tests/reference/` about what notebooks say: units, shown numbers, declared uncertainty.
