//! Published and worked values: every case of `tests/reference/` that needs formulas alone.
