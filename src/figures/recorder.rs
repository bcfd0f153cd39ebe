//! What the bench computes with: numbers with or without a memory.

use crate::physics::Number;

use super::tape::{Tape, Var};

/// Makes numbers for the bench: plain ones, or ones that remember their error sources.
pub trait Recorder {
    type Number: Number;

    /// Whether the numbers remember their error sources.
    const REMEMBERS: bool;

    /// An error source; sources are numbered from 0 in the order in which they are made.
    fn source(&self, value: f64) -> Self::Number;

    /// How a number moves with each source: the source's number and the derivative. Empty where nothing was
    /// recorded.
    fn gradient(&self, of: Self::Number) -> Vec<(usize, f64)>;

    /// Whether two numbers are the same one, errors included.
    fn is_one(&self, one: Self::Number, other: Self::Number) -> bool {
        one.value() == other.value() && self.gradient(one) == self.gradient(other)
    }
}

/// Whether figures carry their uncertainty. It lends each bench a recorder.
pub trait Recording: Default + 'static {
    type Recorder<'t>: Recorder;

    fn recorder(&self) -> Self::Recorder<'_>;
}

impl Recording for Tape {
    type Recorder<'t> = &'t Tape;

    fn recorder(&self) -> &Tape {
        self
    }
}

impl Recording for Plain {
    type Recorder<'t> = Plain;

    fn recorder(&self) -> Plain {
        *self
    }
}

impl<'t> Recorder for &'t Tape {
    type Number = Var<'t>;
    const REMEMBERS: bool = true;

    fn source(&self, value: f64) -> Var<'t> {
        Tape::source(self, value)
    }

    fn gradient(&self, of: Var<'t>) -> Vec<(usize, f64)> {
        Tape::gradient(self, of)
    }

    fn is_one(&self, one: Var<'t>, other: Var<'t>) -> bool {
        one.value() == other.value()
            && (one.is_at(other) || Tape::gradient(self, one) == Tape::gradient(self, other))
    }
}

/// Plain numbers: values without their uncertainty, for draws of a Monte Carlo and for measuring what recording
/// costs.
#[derive(Debug, Clone, Copy, Default)]
pub struct Plain;

impl Recorder for Plain {
    type Number = f64;
    const REMEMBERS: bool = false;

    fn source(&self, value: f64) -> f64 {
        value
    }

    fn gradient(&self, _of: f64) -> Vec<(usize, f64)> {
        Vec::new()
    }
}
