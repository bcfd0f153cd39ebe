//! Where a function crosses zero, and what the crossing depends on.
//!
//! A search runs on plain numbers: a recording of every step would be of no use. One Newton step in recording
//! numbers afterwards gives the exact derivative of the root.

use super::Number;

/// Steps after which a bracket of doubles cannot be narrowed further, with a margin.
const STEPS: usize = 200;

/// The place between `low` and `high` where `function` is zero, to the last bit or so.
///
/// **Domain** continuous, with values of different sign (or zero) at the two ends; `None` otherwise,
/// and where the function is not a number on the way.
///
/// **Source** R. P. Brent, *Algorithms for Minimization without Derivatives* (1973), ch. 4, `zero`.
pub fn root(function: impl Fn(f64) -> f64, low: f64, high: f64) -> Option<f64> {
    let (mut a, mut b) = (low, high);
    let (mut at_a, mut at_b) = (function(a), function(b));
    if at_a == 0.0 {
        return Some(a);
    }
    if at_b == 0.0 {
        return Some(b);
    }
    let brackets = at_a * at_b < 0.0;
    if !brackets {
        return None;
    }
    // `b` is the best place so far, `a` the one before, `c` the other end of the bracket.
    let (mut c, mut at_c) = (a, at_a);
    let (mut step, mut step_before) = (b - a, b - a);
    for _ in 0..STEPS {
        if at_b.is_nan() {
            return None;
        }
        if (at_b > 0.0) == (at_c > 0.0) {
            (c, at_c) = (a, at_a);
            step = b - a;
            step_before = step;
        }
        if at_c.abs() < at_b.abs() {
            (a, b, c) = (b, c, b);
            (at_a, at_b, at_c) = (at_b, at_c, at_b);
        }
        let tolerance = 2.0 * f64::EPSILON * b.abs() + f64::MIN_POSITIVE;
        let half = 0.5 * (c - b);
        if half.abs() <= tolerance || at_b == 0.0 {
            return Some(b);
        }
        let interpolated = interpolate((a, at_a), (b, at_b), (c, at_c));
        match interpolated {
            Some(short)
                if step_before.abs() >= tolerance
                    && at_a.abs() > at_b.abs()
                    && short * half > 0.0
                    && short.abs() < 1.5 * half.abs()
                    && short.abs() < 0.5 * step_before.abs() =>
            {
                step_before = step;
                step = short;
            }
            _ => {
                step = half;
                step_before = half;
            }
        }
        (a, at_a) = (b, at_b);
        b += if step.abs() > tolerance { step } else { tolerance.copysign(half) };
        at_b = function(b);
    }
    Some(b)
}

/// The step from `b` by the secant, or by the inverse parabola when there are three places.
fn interpolate((a, at_a): (f64, f64), (b, at_b): (f64, f64), (c, at_c): (f64, f64)) -> Option<f64> {
    let s = at_b / at_a;
    let (p, q) = if a == c {
        ((c - b) * s, 1.0 - s)
    } else {
        let (q, r) = (at_a / at_c, at_b / at_c);
        (s * ((c - b) * q * (q - r) - (b - a) * (r - 1.0)), (q - 1.0) * (r - 1.0) * (s - 1.0))
    };
    let step = -p / q;
    step.is_finite().then_some(step)
}

/// A root with its history: the implicit function theorem, as one Newton step.
///
/// `residual` is the function at the constant `root`, worked out in recording numbers; `slope` its
/// derivative there with respect to the unknown, not zero.
///
/// **Source** implicit function theorem: `dx/dp = −(∂F/∂p)/(∂F/∂x)`.
pub fn implicit<N: Number>(root: f64, residual: N, slope: f64) -> N {
    N::constant(root) - residual / slope
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn roots_are_found_to_the_last_digits() {
        let wanted = 2.0_f64.sqrt();
        let found = root(|x| x * x - 2.0, 0.0, 2.0).unwrap();
        assert!((found - wanted).abs() <= 4.0 * f64::EPSILON, "{found}");
        let found = root(|x| libm::cos(x) - x, 0.0, 1.0).unwrap();
        // The Dottie number, OEIS A003957.
        assert!((found - 0.739_085_133_215_160_6).abs() < 1e-15, "{found}");
    }

    #[test]
    fn hard_shapes_converge() {
        let flat = root(|x| (x - 0.3) * (x - 0.3) * (x - 0.3), -4.0, 5.0).unwrap();
        assert!((flat - 0.3).abs() < 1e-5, "{flat}");
        let steep = root(|x| 1.0 / (1.0 - x) - 1e6, 0.0, 1.0 - 1e-12).unwrap();
        assert!((steep - (1.0 - 1e-6)).abs() < 1e-14, "{steep}");
    }

    #[test]
    fn few_steps_are_enough() {
        let count = std::cell::Cell::new(0);
        let found = root(
            |x| {
                count.set(count.get() + 1);
                libm::exp(x) - 5.0
            },
            0.0,
            10.0,
        );
        assert!((found.unwrap() - libm::log(5.0)).abs() < 1e-15);
        assert!(count.get() < 20, "{} evaluations", count.get());
    }

    #[test]
    fn no_change_of_sign_is_no_root() {
        assert_eq!(root(|x| x * x + 1.0, -1.0, 1.0), None);
        assert_eq!(root(|_| f64::NAN, -1.0, 1.0), None);
        assert_eq!(root(|x| x, 0.0, 1.0), Some(0.0));
    }
}
