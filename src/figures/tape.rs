//! The recording number: a value that remembers every error source it came from.
//!
//! The formulas of `physics` run over it as over `f64`. The tape then gives the exact derivative of a result to
//! each of its sources in one backward sweep, however many sources there are. What a source is, and how
//! uncertain, is not known here.
//!
//! Reverse accumulation: A. Griewank and A. Walther, *Evaluating Derivatives* (2nd ed. 2008), ch. 3.

use std::cell::{Cell, Ref, RefCell};
use std::fmt;
use std::ops::{Add, Div, Mul, Neg, Sub};

use crate::physics::Number;

/// The operations of a calculation, in the order they were made.
#[derive(Default)]
pub struct Tape {
    nodes: RefCell<Vec<Node>>,
    sources: Cell<usize>,
}

/// How many operations are made room for at first: a day's figures have some hundreds.
const USUAL: usize = 256;

/// Place of a node on its tape.
type Place = u32;

#[derive(Clone, Copy)]
enum Node {
    /// The source of this number.
    Source(usize),
    /// Made from one number: where it is, and the derivative to it.
    One(Place, f64),
    /// Made from two.
    Two((Place, f64), (Place, f64)),
}

/// A number on a tape; or an exact one, which is on no tape.
#[derive(Clone, Copy)]
pub struct Var<'tape> {
    value: f64,
    history: Option<(&'tape Tape, Place)>,
}

impl Tape {
    pub fn new() -> Self {
        Self::default()
    }

    /// A new source of error with this value. Sources are numbered from 0 in the order in which they are made.
    pub fn source(&self, value: f64) -> Var<'_> {
        let number = self.sources.get();
        self.sources.set(number + 1);
        self.record(value, Node::Source(number))
    }

    /// The derivative of `result` to each source that it depends on: the source's number and the derivative, in
    /// rising order.
    ///
    /// A source is left out where its derivative is zero, as for a bias in a difference.
    ///
    /// **Shape** empty for an exact number. **Domain** a number of this tape.
    pub fn gradient(&self, result: Var<'_>) -> Vec<(usize, f64)> {
        let Some((tape, place)) = result.history else {
            return Vec::new();
        };
        debug_assert!(std::ptr::eq(tape, self), "the number is on another tape");
        let nodes = self.before(place);
        let mut weights = vec![0.0; nodes.len()];
        if let Some(last) = weights.last_mut() {
            *last = 1.0;
        }
        let mut gradient = Vec::new();
        // Parents come before their children, so the last node is always finished.
        for node in nodes.iter().rev() {
            let weight = weights.pop().unwrap_or(0.0);
            if weight == 0.0 {
                continue;
            }
            let mut pass = |(parent, derivative): (Place, f64)| {
                if let Some(sum) = weights.get_mut(parent as usize) {
                    *sum += weight * derivative;
                }
            };
            match *node {
                Node::Source(number) => gradient.push((number, weight)),
                Node::One(parent, derivative) => pass((parent, derivative)),
                Node::Two(first, second) => {
                    pass(first);
                    pass(second);
                }
            }
        }
        gradient.reverse();
        gradient
    }

    /// The nodes up to and including `place`.
    fn before(&self, place: Place) -> Ref<'_, [Node]> {
        Ref::map(self.nodes.borrow(), |nodes| nodes.get(..=place as usize).unwrap_or(nodes))
    }

    /// Past four thousand million operations, more than memory holds, a number would lose its history. It
    /// becomes not-a-number instead.
    fn record(&self, value: f64, node: Node) -> Var<'_> {
        let mut nodes = self.nodes.borrow_mut();
        if nodes.capacity() == 0 {
            nodes.reserve(USUAL);
        }
        match Place::try_from(nodes.len()) {
            Ok(place) => {
                nodes.push(node);
                Var { value, history: Some((self, place)) }
            }
            Err(_) => Var { value: f64::NAN, history: None },
        }
    }
}

impl<'tape> Var<'tape> {
    /// Whether both are at one place of the tape, or exact.
    pub fn is_at(self, other: Self) -> bool {
        self.history.map(|(_, place)| place) == other.history.map(|(_, place)| place)
    }

    /// A result of `self` alone.
    fn one(self, value: f64, derivative: f64) -> Self {
        match self.history {
            None => Var::constant(value),
            Some((tape, place)) => tape.record(value, Node::One(place, derivative)),
        }
    }

    /// A result of `self` and `other`, with the derivative to each.
    fn two(self, other: Self, value: f64, derivatives: (f64, f64)) -> Self {
        match (self.history, other.history) {
            (Some((tape, first)), Some((second_tape, second))) => {
                debug_assert!(std::ptr::eq(tape, second_tape), "the numbers are on two tapes");
                tape.record(value, Node::Two((first, derivatives.0), (second, derivatives.1)))
            }
            (_, None) => self.one(value, derivatives.0),
            (None, _) => other.one(value, derivatives.1),
        }
    }
}

impl Number for Var<'_> {
    fn constant(value: f64) -> Self {
        Var { value, history: None }
    }
    fn value(self) -> f64 {
        self.value
    }
    fn chain(self, value: f64, derivative: f64) -> Self {
        self.one(value, derivative)
    }

    // One node in place of the two or three that the general forms make.
    fn squared(self) -> Self {
        self.one(self.value * self.value, 2.0 * self.value)
    }
    fn atan2(self, x: Self) -> Self {
        let square = x.value * x.value + self.value * self.value;
        let angle = libm::atan2(self.value, x.value);
        self.two(x, angle, (x.value / square, -self.value / square))
    }
    fn pow(self, exponent: Self) -> Self {
        let power = libm::pow(self.value, exponent.value);
        let to_base = exponent.value * libm::pow(self.value, exponent.value - 1.0);
        self.two(exponent, power, (to_base, power * libm::log(self.value)))
    }
}

impl Add for Var<'_> {
    type Output = Self;
    fn add(self, other: Self) -> Self {
        self.two(other, self.value + other.value, (1.0, 1.0))
    }
}

impl Sub for Var<'_> {
    type Output = Self;
    fn sub(self, other: Self) -> Self {
        self.two(other, self.value - other.value, (1.0, -1.0))
    }
}

impl Mul for Var<'_> {
    type Output = Self;
    fn mul(self, other: Self) -> Self {
        self.two(other, self.value * other.value, (other.value, self.value))
    }
}

impl Div for Var<'_> {
    type Output = Self;
    fn div(self, other: Self) -> Self {
        let quotient = self.value / other.value;
        self.two(other, quotient, (1.0 / other.value, -quotient / other.value))
    }
}

impl Neg for Var<'_> {
    type Output = Self;
    fn neg(self) -> Self {
        self.one(-self.value, -1.0)
    }
}

impl Add<f64> for Var<'_> {
    type Output = Self;
    fn add(self, other: f64) -> Self {
        self.one(self.value + other, 1.0)
    }
}

impl Sub<f64> for Var<'_> {
    type Output = Self;
    fn sub(self, other: f64) -> Self {
        self.one(self.value - other, 1.0)
    }
}

impl Mul<f64> for Var<'_> {
    type Output = Self;
    fn mul(self, other: f64) -> Self {
        self.one(self.value * other, other)
    }
}

impl Div<f64> for Var<'_> {
    type Output = Self;
    fn div(self, other: f64) -> Self {
        self.one(self.value / other, 1.0 / other)
    }
}

impl fmt::Debug for Tape {
    fn fmt(&self, formatter: &mut fmt::Formatter<'_>) -> fmt::Result {
        formatter.debug_struct("Tape").field("nodes", &self.nodes.borrow().len()).finish()
    }
}

/// The value and the place: a whole tape would fill pages.
impl fmt::Debug for Var<'_> {
    fn fmt(&self, formatter: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self.history {
            None => write!(formatter, "{} exactly", self.value),
            Some((_, place)) => write!(formatter, "{} at {place}", self.value),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// An operation on plain and on recording numbers.
    type Formula = (&'static str, fn(f64, f64) -> f64, for<'t> fn(Var<'t>, Var<'t>) -> Var<'t>);

    macro_rules! formulas {
        ($($name:literal: |$x:ident, $y:ident| $formula:expr;)*) => {
            vec![$(($name, |$x, $y| $formula, |$x, $y| $formula)),*]
        };
    }

    fn operations() -> Vec<Formula> {
        formulas! {
            "add": |x, y| x + y;
            "sub": |x, y| x - y;
            "mul": |x, y| x * y;
            "div": |x, y| x / y;
            "neg": |x, y| -x * y;
            "add a constant": |x, y| (x + 1.7) * y;
            "sub a constant": |x, y| (x - 1.7) * y;
            "mul a constant": |x, y| x * 1.7 + y;
            "div by a constant": |x, y| x / 1.7 + y;
            "squared": |x, y| x.squared() + y;
            "sqrt": |x, y| Number::sqrt(x) * y;
            "sin": |x, y| Number::sin(x) * y;
            "cos": |x, y| Number::cos(x) * y;
            "asin": |x, y| Number::asin(x) * y;
            "atan": |x, y| Number::atan(x) * y;
            "atan2": |x, y| Number::atan2(x, y);
            "exp": |x, y| Number::exp(x) * y;
            "ln": |x, y| Number::ln(x) * y;
            "powf": |x, y| Number::powf(x, 1.3) * y;
            "pow": |x, y| Number::pow(x, y);
            "a source used often": |x, y| x * x * x / (x + y) - x * y;
            "deep": |x, y| Number::exp(Number::sin(x * y) + Number::ln(x / y)) * Number::sqrt(x + y);
        }
    }

    fn by_differences(formula: impl Fn(f64) -> f64, place: f64) -> f64 {
        let central = |step: f64| (formula(place + step) - formula(place - step)) / (2.0 * step);
        (4.0 * central(5e-4) - central(1e-3)) / 3.0
    }

    #[test]
    fn every_operation_agrees_with_central_differences() {
        for (name, plain, recorded) in operations() {
            for (x, y) in [(0.3, 0.8), (0.62, 1.9), (0.11, 0.07)] {
                let tape = Tape::new();
                let (first, second) = (tape.source(x), tape.source(y));
                let result = recorded(first, second);
                assert!((result.value() - plain(x, y)).abs() <= 1e-15 * plain(x, y).abs(), "{name}");
                let gradient = tape.gradient(result);
                let wanted = [by_differences(|x| plain(x, y), x), by_differences(|y| plain(x, y), y)];
                for (source, wanted) in wanted.into_iter().enumerate() {
                    let found = gradient.iter().find(|(number, _)| *number == source);
                    let found = found.map_or(0.0, |(_, derivative)| *derivative);
                    let close = (found - wanted).abs() <= 1e-6 * wanted.abs().max(1.0);
                    assert!(close, "{name} at {x}, {y}: {found} {wanted}");
                }
            }
        }
    }

    #[test]
    fn constants_leave_no_trace() {
        let tape = Tape::new();
        let two = Var::constant(2.0);
        let sum = (two + two * 3.0 - 1.0) / two.sqrt() + -two.pow(two).atan2(two);
        assert!(tape.gradient(sum).is_empty());
        assert!(tape.nodes.borrow().is_empty());
        let source = tape.source(5.0);
        let mixed = two * source - source / two + source.chain(1.0, 4.0);
        assert_eq!(tape.gradient(mixed), [(0, 2.0 - 0.5 + 4.0)]);
    }

    #[test]
    fn only_sources_that_lead_to_the_result_are_named() {
        let tape = Tape::new();
        let [first, unused, bias] = [3.0, 4.0, 0.0].map(|value| tape.source(value));
        let difference = (first + bias) - (unused * 0.0 + bias);
        // A bias in both readings cancels in their difference.
        assert_eq!(tape.gradient(difference), [(0, 1.0)]);
        assert_eq!(tape.gradient(bias), [(2, 1.0)]);
        let later = tape.source(1.0);
        assert_eq!(tape.gradient(difference * 2.0), [(0, 2.0)]);
        assert_eq!(tape.gradient(later / difference), [(0, -1.0 / 9.0), (3, 1.0 / 3.0)]);
    }

    #[test]
    fn a_long_calculation_takes_its_length_in_time() {
        let tape = Tape::new();
        let source = tape.source(1.0);
        let mut sum = Var::constant(0.0);
        for _ in 0..200_000 {
            sum = sum + source;
        }
        assert_eq!(tape.gradient(sum), [(0, 200_000.0)]);
    }
}
