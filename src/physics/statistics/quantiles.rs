//! Quantiles of the normal and of Student's distribution.

use std::f64::consts::SQRT_2;

use crate::physics::solve;

/// Degrees of freedom from which Student's quantile is expanded about the normal one: there the terms left out
/// are below 1e-13, and gamma functions lose more.
const MANY: f64 = 1000.0;

/// Terms after which the continued fraction below has settled by a wide margin.
const TERMS: u32 = 10_000;

/// The value that a standard normal variable stays below with this probability.
///
/// **Domain** above 0 and below 1; `None` otherwise.
///
/// **Source** definition: `erfc(−z/√2)/2 = P`, solved.
pub fn normal_quantile(probability: f64) -> Option<f64> {
    let tail = probability.min(1.0 - probability);
    if tail.is_nan() || tail <= 0.0 {
        return None;
    }
    // No double is so small that its quantile is beyond 38.6.
    let size = solve::root(|z| 0.5 * libm::erfc(z / SQRT_2) - tail, 0.0, 39.0)?;
    Some(if probability < 0.5 { -size } else { size })
}

/// The value that a variable of Student's distribution stays below with this probability.
///
/// **Domain** probability above 0 and below 1, degrees of freedom above 0 (whole or not, or infinite);
/// `None` otherwise.
///
/// **Source** the incomplete beta function (DLMF 8.17) solved; for many degrees of freedom the expansion
/// about the normal quantile of Abramowitz and Stegun 26.7.5.
pub fn student_quantile(probability: f64, freedom: f64) -> Option<f64> {
    student_for_normal(normal_quantile(probability)?, freedom)
}

/// The value that a variable of Student's distribution stays below with the same probability as a standard normal one
/// stays below `normal`.
///
/// **Domain** degrees of freedom above 0 (whole or not, or infinite), and a normal value that has a tail; `None` otherwise.
///
/// **Source** as [`student_quantile`].
pub fn student_for_normal(normal: f64, freedom: f64) -> Option<f64> {
    if normal.is_nan() || freedom.is_nan() || freedom <= 0.0 {
        return None;
    }
    if freedom >= MANY {
        return Some(expanded(normal, freedom));
    }
    let tail = 0.5 * libm::erfc(normal.abs() / SQRT_2);
    let distribution = Student::of(freedom);
    let size = distribution.beyond(tail, expanded(normal.abs(), freedom))?;
    Some(if normal < 0.0 { -size } else { size })
}

/// Student's distribution, with the part that does not depend on the place.
struct Student {
    freedom: f64,
    /// `−ln B(ν/2, ½)`.
    scale: f64,
}

/// Newton steps after which the guess was too far off.
const STEPS: usize = 12;
/// A step that is this small a share of the place is the last: each doubles the number of correct digits.
const LAST: f64 = 1e-9;

impl Student {
    fn of(freedom: f64) -> Self {
        let half = freedom / 2.0;
        Self { freedom, scale: libm::lgamma(half + 0.5) - libm::lgamma(half) - libm::lgamma(0.5) }
    }

    /// The place, not below zero, exceeded with a probability below a half; searched from a place near it.
    fn beyond(&self, tail: f64, near: f64) -> Option<f64> {
        if tail.is_nan() || tail <= 0.0 {
            return None;
        }
        // The tail falls ever more slowly: from below, Newton's steps never overshoot, and the first from above goes below.
        let mut place = near;
        for _ in 0..STEPS {
            let step = (self.upper_tail(place) - tail) / self.density(place);
            let next = place + step;
            if !(next.is_finite() && next >= 0.0) {
                break;
            }
            place = next;
            if step.abs() <= LAST * place {
                return Some(place);
            }
        }
        self.searched(tail)
    }

    /// The same where the first guess was far off.
    fn searched(&self, tail: f64) -> Option<f64> {
        let excess = |t: f64| self.upper_tail(t) - tail;
        let mut far = 1.0;
        while excess(far) > 0.0 {
            far *= 2.0;
        }
        solve::root(excess, 0.0, far)
    }

    fn density(&self, t: f64) -> f64 {
        let log = self.scale
            - 0.5 * libm::log(self.freedom)
            - 0.5 * (self.freedom + 1.0) * libm::log1p(t * t / self.freedom);
        libm::exp(log)
    }

    /// The probability of exceeding `t`, which is not below zero: `I_x(ν/2, ½)/2`, `x = ν/(ν + t²)`.
    fn upper_tail(&self, t: f64) -> f64 {
        let whole = self.freedom + t * t;
        if whole.is_infinite() {
            return 0.0;
        }
        let (x, rest) = (self.freedom / whole, t * t / whole);
        0.5 * incomplete_beta((x, self.freedom / 2.0), (rest, 0.5), self.scale)
    }
}

/// Abramowitz and Stegun 26.7.5.
fn expanded(z: f64, freedom: f64) -> f64 {
    let square = z * z;
    let first = (square + 1.0) / 4.0;
    let second = ((5.0 * square + 16.0) * square + 3.0) / 96.0;
    let third = (((3.0 * square + 19.0) * square + 17.0) * square - 15.0) / 384.0;
    let fourth =
        ((((79.0 * square + 776.0) * square + 1482.0) * square - 1920.0) * square - 945.0) / 92_160.0;
    z * (1.0 + (first + (second + (third + fourth / freedom) / freedom) / freedom) / freedom)
}

/// Regularised incomplete beta function of `x` with its exponent `a`; `rest` is `1 − x` without its rounding, with `b`;
/// `scale` is `−ln B(a, b)`.
///
/// **Source** DLMF 8.17.22 on the side where it converges fast, 8.17.4 to get there.
fn incomplete_beta((x, a): (f64, f64), (rest, b): (f64, f64), scale: f64) -> f64 {
    if x > (a + 1.0) / (a + b + 2.0) {
        return 1.0 - incomplete_beta((rest, b), (x, a), scale);
    }
    if x == 0.0 {
        return 0.0;
    }
    let front = libm::exp(scale + a * libm::log(x) + b * libm::log(rest)) / a;
    front / continued_fraction(x, a, b)
}

/// `1 + d1/(1 + d2/(1 + …))` of DLMF 8.17.23, by the modified method of Lentz (Thompson and Barnett 1986).
fn continued_fraction(x: f64, a: f64, b: f64) -> f64 {
    let off_zero = |value: f64| if value == 0.0 { f64::MIN_POSITIVE } else { value };
    let (mut fraction, mut numerator, mut denominator) = (1.0, 1.0, 0.0);
    for term in 1..=TERMS {
        let m = f64::from(term / 2);
        let part = if term % 2 == 0 {
            m * (b - m) * x / ((a + 2.0 * m - 1.0) * (a + 2.0 * m))
        } else {
            -(a + m) * (a + b + m) * x / ((a + 2.0 * m) * (a + 2.0 * m + 1.0))
        };
        denominator = 1.0 / off_zero(1.0 + part * denominator);
        numerator = off_zero(1.0 + part / numerator);
        let step = numerator * denominator;
        fraction *= step;
        if (step - 1.0).abs() < f64::EPSILON {
            break;
        }
    }
    fraction
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn normal_quantiles_of_the_tables() {
        // NIST/SEMATECH e-Handbook of Statistical Methods, 1.3.6.7.1 and common tables (from memory).
        for (probability, wanted) in [
            (0.5, 0.0),
            (0.975, 1.959_963_984_540_054),
            (0.025, -1.959_963_984_540_054),
            (0.995, 2.575_829_303_548_901),
            (0.9, 1.281_551_565_544_600_4),
        ] {
            let found = normal_quantile(probability).unwrap();
            assert!((found - wanted).abs() < 1e-14, "{probability}: {found}");
        }
        // Two standard deviations, by definition of the error function.
        let two = normal_quantile(0.5 + 0.5 * libm::erf(SQRT_2)).unwrap();
        assert!((two - 2.0).abs() < 1e-14, "{two}");
    }

    #[test]
    fn far_tails_and_nonsense() {
        assert!(normal_quantile(1e-300).unwrap() < -37.0);
        for nothing in [0.0, 1.0, -0.1, 1.1, f64::NAN] {
            assert_eq!(normal_quantile(nothing), None);
            assert_eq!(student_quantile(nothing, 5.0), None);
        }
        for nothing in [0.0, -1.0, f64::NAN] {
            assert_eq!(student_quantile(0.9, nothing), None);
        }
    }

    #[test]
    fn student_quantiles_of_closed_forms() {
        for probability in [0.001, 0.1, 0.4, 0.6, 0.975, 0.999_5] {
            let one = -1.0 / libm::tan(std::f64::consts::PI * probability);
            let found = student_quantile(probability, 1.0).unwrap();
            assert!((found / one - 1.0).abs() < 1e-11, "{probability}: {found} {one}");
            let middle = 2.0 * probability - 1.0;
            let two = middle * (2.0 / (1.0 - middle * middle)).sqrt();
            let found = student_quantile(probability, 2.0).unwrap();
            assert!((found / two - 1.0).abs() < 1e-11, "{probability}: {found} {two}");
        }
        assert_eq!(student_quantile(0.5, 3.0), Some(0.0));
        assert_eq!(student_quantile(0.975, f64::INFINITY), normal_quantile(0.975));
    }

    #[test]
    fn student_quantiles_of_the_tables() {
        // NIST/SEMATECH e-Handbook of Statistical Methods, 1.3.6.7.2 (from memory): 0.975 and 0.995.
        for (freedom, wanted, wide) in [
            (3.0, 3.182, 5.841),
            (5.0, 2.571, 4.032),
            (10.0, 2.228, 3.169),
            (30.0, 2.042, 2.750),
            (100.0, 1.984, 2.626),
        ] {
            let found = |probability| student_quantile(probability, freedom).unwrap();
            assert!((found(0.975) - wanted).abs() < 5.1e-4, "{freedom}: {}", found(0.975));
            assert!((found(0.995) - wide).abs() < 5.1e-4, "{freedom}: {}", found(0.995));
        }
    }

    #[test]
    fn the_two_ways_to_student_meet() {
        for probability in [0.6, 0.975, 0.999] {
            let z = normal_quantile(probability).unwrap();
            let solved = student_quantile(probability, MANY - 1e-9).unwrap();
            assert!((solved - expanded(z, MANY)).abs() < 1e-11, "{probability}");
        }
    }
}
