//! The annotated notebooks of `tests/findings/`.
