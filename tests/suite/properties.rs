//! Properties of the formulas.
