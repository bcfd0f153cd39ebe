//! Uncertainty of readings and of results from them, by the GUM (JCGM 100:2008).
//!
//! First order: a component is an error source's standard uncertainty times the sensitivity to it. Where the
//! sensitivities come from, and which sources are the same one, is the caller's concern.

use super::statistics::student_for_normal;

/// Coverage factor of a value with a normal error; also of what people write behind `±`.
pub const COVERAGE: f64 = 2.0;

/// A standard uncertainty, and how well it is known.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Component {
    /// Its part of the result's uncertainty, in the result's unit; its sign does not matter.
    pub u: f64,
    /// Degrees of freedom, above zero; infinite where it counts as known exactly.
    pub freedom: f64,
}

impl Component {
    /// Known exactly.
    pub fn known(u: f64) -> Self {
        Component { u, freedom: f64::INFINITY }
    }

    /// Of an error that is anywhere within ± `half_width`, each place alike.
    ///
    /// **Source** JCGM 100:2008, 4.3.7: `a/√3`.
    pub fn of_half_width(half_width: f64) -> Self {
        Component::known(half_width / 3.0_f64.sqrt())
    }

    /// Of an expanded uncertainty as people write it, k = 2.
    ///
    /// **Source** JCGM 100:2008, 4.3.3.
    pub fn of_expanded(expanded: f64) -> Self {
        Component::known(expanded / COVERAGE)
    }

    /// Of the mean of `count` readings, where this is of one.
    ///
    /// **Source** JCGM 100:2008, 4.2.3: `s/√n`.
    #[must_use]
    pub fn of_mean(self, count: usize) -> Self {
        Component { u: self.u / (count.max(1) as f64).sqrt(), ..self }
    }

    /// Expanded uncertainty for 95.45 %.
    ///
    /// **Source** JCGM 100:2008, 6.2.1 and G.3: `k u`.
    pub fn expanded(&self) -> f64 {
        coverage_factor(self.freedom) * self.u
    }
}

/// Standard deviation of one reading, pooled over sets of repeats together with what was known before.
///
/// `squares` is `Σ (x − mean of its set)²` and `freedom` is `Σ (n − 1)`, both over all sets. Without repeats
/// the result is `before` itself.
///
/// **Source** JCGM 100:2008, H.3.6 and ISO 5725-2: `s² = Σ νᵢ sᵢ² / Σ νᵢ`, with what was known beforehand as one more
/// set, of its own degrees of freedom (as a conjugate prior has it).
pub fn pooled(before: Component, squares: f64, freedom: f64) -> Component {
    let together = before.freedom + freedom;
    Component { u: ((before.freedom * before.u * before.u + squares) / together).sqrt(), freedom: together }
}

/// Contributions whose uncertainties all come from one pooled standard deviation: one component, known as well as
/// that.
///
/// **Source** JCGM 100:2008, G.4.1: each `uᵢ` of the Welch–Satterthwaite sum is an estimate of its own; these are one.
pub fn of_one_pool(contributions: &[f64], freedom: f64) -> Component {
    Component { u: contributions.iter().map(|u| u * u).sum::<f64>().sqrt(), freedom }
}

/// Combined standard uncertainty of independent components, with its effective degrees of freedom.
///
/// A combined component combines again as its parts would. For none, or for zeros, it is zero, known exactly.
///
/// **Source** JCGM 100:2008, 5.1.2: `u² = Σ uᵢ²`; G.4.1 (Welch–Satterthwaite), not truncated:
/// `ν = u⁴ / Σ (uᵢ⁴/νᵢ)`.
pub fn combine(components: &[Component]) -> Component {
    let u = components.iter().map(|component| component.u * component.u).sum::<f64>().sqrt();
    // By shares of u²: the fourth power of a small uncertainty would vanish.
    let doubt = |component: &Component| {
        let share = share(component, u);
        share * share / component.freedom
    };
    let doubt: f64 = components.iter().map(doubt).sum();
    let freedom = if doubt > 0.0 { 1.0 / doubt } else { f64::INFINITY };
    Component { u, freedom }
}

/// The share of each component in the combined variance; zeros where all are zero.
///
/// **Shape** as long as `components`, in their order; the sum is one.
///
/// **Source** JCGM 100:2008, 5.1.2: `uᵢ²/u²`.
pub fn shares(components: &[Component]) -> Vec<f64> {
    let u = combine(components).u;
    components.iter().map(|component| share(component, u)).collect()
}

fn share(component: &Component, combined: f64) -> f64 {
    let ratio = component.u / combined;
    if combined > 0.0 { ratio * ratio } else { 0.0 }
}

/// Two-sided Student factor for 95.45 %, which is 2 for infinite degrees of freedom.
///
/// **Domain** above zero; not a number otherwise.
///
/// **Source** JCGM 100:2008, G.3 and Table G.2; the probability is exactly that of two standard deviations.
pub fn coverage_factor(freedom: f64) -> f64 {
    if freedom == f64::INFINITY {
        return COVERAGE;
    }
    student_for_normal(COVERAGE, freedom).unwrap_or(f64::NAN)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::physics::statistics::student_quantile;

    fn close(found: f64, wanted: f64, within: f64) {
        assert!((found - wanted).abs() <= within, "found {found}, wanted {wanted}");
    }

    #[test]
    fn coverage_factors_of_the_guide() {
        // JCGM 100:2008, Table G.2, column 95.45 % (from memory).
        for (freedom, wanted) in [
            (1.0, 13.97),
            (2.0, 4.53),
            (3.0, 3.31),
            (4.0, 2.87),
            (5.0, 2.65),
            (6.0, 2.52),
            (7.0, 2.43),
            (8.0, 2.37),
            (9.0, 2.32),
            (10.0, 2.28),
            (20.0, 2.13),
            (50.0, 2.05),
        ] {
            close(coverage_factor(freedom), wanted, 5.001e-3);
        }
        close(coverage_factor(100.0), 2.025, 5.001e-4);
        close(coverage_factor(1e12), 2.0, 1e-11);
        assert_eq!(coverage_factor(f64::INFINITY), 2.0);
    }

    /// JCGM 100:2008, H.1.3 to H.1.6 (from memory): the calibration of an end gauge, in nm.
    #[test]
    fn end_gauge_of_the_guide() {
        let part = |u: f64, freedom: f64| Component { u, freedom };
        let comparator = combine(&[part(5.8, 24.0), part(3.9, 5.0), part(6.7, 8.0)]);
        close(comparator.u, 9.7, 0.05);
        close(comparator.freedom, 25.6, 0.5);
        // Standard, comparator, difference of expansion coefficients, difference of temperatures.
        let gauge = combine(&[part(25.0, 18.0), comparator, part(2.9, 50.0), part(16.6, 2.0)]);
        close(gauge.u, 32.0, 0.5);
        close(gauge.freedom, 16.7, 0.1);
        // t for 99 % and 16 degrees of freedom is 2.92; the guide's expanded uncertainty 93 nm.
        let factor = student_quantile(0.995, 16.0).unwrap();
        close(factor, 2.92, 5e-3);
        close(factor * 32.0, 93.0, 0.5);
    }

    #[test]
    fn combining_in_two_steps_or_in_one_is_the_same() {
        let parts = [Component { u: 0.6, freedom: 2.0 }, Component { u: -0.3, freedom: 5.0 }];
        let rest = [Component::known(0.2), Component { u: 1.0, freedom: 30.0 }];
        let steps = combine(&[combine(&parts), combine(&rest)]);
        let once = combine(&[parts, rest].concat());
        close(steps.u, once.u, 1e-15);
        close(steps.freedom, once.freedom, 1e-10);
    }

    #[test]
    fn nothing_known_is_zero() {
        assert_eq!(combine(&[]), Component::known(0.0));
        assert_eq!(combine(&[Component { u: 0.0, freedom: 2.0 }]), Component::known(0.0));
        assert_eq!(shares(&[Component::known(0.0)]), [0.0]);
        assert_eq!(of_one_pool(&[], 4.0).u, 0.0);
    }

    #[test]
    fn tiny_uncertainties_keep_their_freedom() {
        let tiny = Component { u: 1e-120, freedom: 4.0 };
        assert_eq!(combine(&[tiny]).freedom, 4.0);
    }

    /// Two sets by hand: {506, 508, 507} has Σd² = 2 and ν = 2, {600, 603} has Σd² = 4.5 and ν = 1.
    #[test]
    fn a_pooled_deviation_by_hand() {
        let prior = Component { u: 1.0, freedom: 4.0 };
        assert_eq!(pooled(prior, 0.0, 0.0), prior);
        let one = pooled(prior, 2.0, 2.0);
        close(one.u, 1.0, 1e-15);
        let both = pooled(prior, 6.5, 3.0);
        close(both.u, (10.5_f64 / 7.0).sqrt(), 1e-15);
        assert_eq!(both.freedom, 7.0);
        // Without anything known beforehand it is the pooled deviation of ISO 5725-2 alone.
        let nothing = Component { u: 1.0, freedom: 0.0 };
        close(pooled(nothing, 6.5, 3.0).u, (6.5_f64 / 3.0).sqrt(), 1e-15);
        close(both.of_mean(4).u, both.u / 2.0, 1e-15);
    }

    #[test]
    fn what_rests_on_one_pool_is_as_well_known_as_the_pool() {
        let together = of_one_pool(&[0.6, -0.8], 4.0);
        assert_eq!(together, Component { u: 1.0, freedom: 4.0 });
        // As two estimates they would seem better known.
        let apart = combine(&[Component { u: 0.6, freedom: 4.0 }, Component { u: 0.8, freedom: 4.0 }]);
        assert!(apart.freedom > 7.0, "{apart:?}");
    }

    #[test]
    fn shares_make_one() {
        let shares = shares(&[Component::known(3.0), Component { u: -4.0, freedom: 2.0 }]);
        close(shares[0], 0.36, 1e-15);
        close(shares[1], 0.64, 1e-15);
    }
}
