//! Coil springs, the rear suspension, and what two sags show about a spring.
//!
//! Sag is vertical wheel travel from full extension. Which readings go in, and what was assumed, is the
//! caller's concern.

use std::f64::consts::PI;

use super::Number;
use super::leverage::Leverage;
use super::rest::{Rest, Unsettled, settle};

/// How finely a travel is searched for falling force: the pieces of a table are much longer.
const SEARCH_STEPS: u32 = 256;

/// Rate of a bare helical compression spring.
///
/// **Units** shear modulus in Pa, lengths in m; N/m. **Domain** lengths and coils above zero.
///
/// **Source** Shigley, *Mechanical Engineering Design*, helical compression springs:
/// `G d⁴ / (8 D³ N_a)`.
pub fn coil_rate<N: Number>(shear_modulus: N, wire: N, mean_diameter: N, active_coils: N) -> N {
    shear_modulus * wire.squared().squared() / (mean_diameter.squared() * mean_diameter * active_coils * 8.0)
}

/// A rear suspension: one spring behind a linkage.
#[derive(Clone, Copy, Debug)]
pub struct Shock<'a, N> {
    pub leverage: &'a Leverage,
    /// Vertical wheel travel, m.
    pub travel: N,
    /// Of the spring, N/m.
    pub rate: N,
    /// Length by which the spring is squeezed at full extension, m.
    pub preload: N,
    /// Of the damper's gas on its rod, N.
    pub gas_force: N,
}

impl<N: Number> Shock<'_, N> {
    fn plain(&self) -> Shock<'_, f64> {
        Shock {
            leverage: self.leverage,
            travel: self.travel.value(),
            rate: self.rate.value(),
            preload: self.preload.value(),
            gas_force: self.gas_force.value(),
        }
    }

    /// Force along the shock at a wheel travel.
    ///
    /// **Units** m; N. **Source** Hooke: `k (s + q) + Fg`.
    pub fn shock_force(&self, wheel: N) -> N {
        self.rate * (self.leverage.stroke(wheel) + self.preload) + self.gas_force
    }

    /// Vertical force at the wheel at a wheel travel.
    ///
    /// **Units** m; N. **Source** virtual work: `Fs ds/dz`.
    pub fn wheel_force(&self, wheel: N) -> N {
        self.shock_force(wheel) * self.leverage.motion_ratio(wheel)
    }

    /// Rate at the wheel, vertical.
    ///
    /// **Units** m; N/m. **Source** derivative of [`wheel_force`](Self::wheel_force): `k s′² + Fs s″`.
    pub fn wheel_rate(&self, wheel: N) -> N {
        self.rate * self.leverage.motion_ratio(wheel).squared()
            + self.shock_force(wheel) * self.leverage.curvature(wheel)
    }

    /// The first wheel travel from which the wheel force does not rise, m.
    ///
    /// Found to 1/256 of the travel.
    pub fn falls_at(&self) -> Option<f64> {
        let plain = self.plain();
        let mut places =
            (0..=SEARCH_STEPS).map(|step| plain.travel * f64::from(step) / f64::from(SEARCH_STEPS));
        places.find(|place| plain.plain_rate(*place) <= 0.0)
    }

    /// Where it comes to rest under the sprung weight at the wheel.
    ///
    /// **Units** N. **Errors** [`Unsettled`].
    ///
    /// **Source** equilibrium: `Fw(z) = W`.
    pub fn rest(&self, load: N) -> Result<Rest<N>, Unsettled> {
        if let Some(at) = self.falls_at() {
            return Err(Unsettled::Falls { at });
        }
        let plain = self.plain();
        settle(
            load,
            self.travel,
            |place| plain.wheel_force(place),
            |place| plain.wheel_rate(place),
            |place| self.wheel_force(place),
        )
    }

    /// The preload with which this spring carries `load` at wheel travel `wheel`.
    ///
    /// Below zero where the spring is too stiff.
    ///
    /// **Units** N, m; m. **Source** [`rest`](Self::rest) turned round: `(W/s′ − Fg)/k − s`.
    pub fn preload_for(&self, load: N, wheel: N) -> N {
        let force = load / self.leverage.motion_ratio(wheel);
        (force - self.gas_force) / self.rate - self.leverage.stroke(wheel)
    }
}

impl Shock<'_, f64> {
    /// As [`wheel_rate`](Self::wheel_rate), by one look at the leverage.
    fn plain_rate(&self, wheel: f64) -> f64 {
        let [stroke, ratio, curvature, _] = self.leverage.derivatives(wheel);
        let force = self.rate * (stroke + self.preload) + self.gas_force;
        self.rate * (ratio * ratio) + force * curvature
    }
}

/// A spring as it really is in the machine.
#[derive(Clone, Copy, Debug)]
pub struct Fitted<N> {
    /// N/m.
    pub rate: N,
    /// m.
    pub preload: N,
}

/// Rate and preload from two loads and the wheel travels at which they floated.
///
/// `None` where the two travels are the same. Topped-out or bottomed readings show nothing and must not be
/// given.
///
/// **Units** N, m. **Source** two equations `Fs_i = W_i / s′(z_i)` for `k` and `q`.
pub fn fitted<N: Number>(leverage: &Leverage, gas_force: N, one: (N, N), other: (N, N)) -> Option<Fitted<N>> {
    let at_shock =
        |(load, wheel): (N, N)| (load / leverage.motion_ratio(wheel) - gas_force, leverage.stroke(wheel));
    fitted_directly(at_shock(one), at_shock(other))
}

/// The same for a spring without leverage: the load, and how far it went in from full extension.
///
/// **Units** N, m. **Source** Hooke: two equations `F_i = k (x_i + q)`.
pub fn fitted_directly<N: Number>(one: (N, N), other: (N, N)) -> Option<Fitted<N>> {
    let ((light, first), (heavy, second)) = (one, other);
    if first.value() == second.value() {
        return None;
    }
    let rate = (heavy - light) / (second - first);
    Some(Fitted { rate, preload: light / rate - first })
}

/// A spring on hand, set for the wanted rider sag.
#[derive(Clone, Copy, Debug)]
pub struct Candidate<N> {
    /// N/m.
    pub rate: N,
    /// The preload that gives the wanted rider sag, m.
    pub preload: N,
    /// How the machine alone then rests.
    pub alone: Rest<N>,
}

/// Which of the springs on hand suits best, among those that the collar can preload and that let the machine alone
/// float: the one whose static sag is nearest the middle of its band.
///
/// `None` where there are none.
///
/// **Units** m. **Source** common practice, no source.
pub fn best<N: Number>(
    candidates: &[Candidate<N>],
    static_band: (f64, f64),
    preload_limits: (f64, f64),
) -> Option<usize> {
    let middle = 0.5 * (static_band.0 + static_band.1);
    let able = candidates.iter().enumerate().filter_map(|(index, candidate)| {
        let preload = candidate.preload.value();
        let sag = candidate.alone.floating()?.value();
        (preload >= preload_limits.0 && preload <= preload_limits.1).then(|| (index, (sag - middle).abs()))
    });
    able.min_by(|(_, one), (_, other)| one.total_cmp(other)).map(|(index, _)| index)
}

/// The reading free of friction: the mean of one settled after a push and one after a lift.
///
/// **Units** any, the same for both. **Source** common practice, no source: friction acts both ways alike.
pub fn without_friction<N: Number>(after_push: N, after_lift: N) -> N {
    (after_push + after_lift) * 0.5
}

/// Friction as a force: half of how much more the spring carries after a push than after a lift.
///
/// Below zero when the readings are the wrong way round.
///
/// **Units** N, along whichever way the two are. **Source** common practice, no source: friction holds a pushed machine
/// low, and a lifted one high.
pub fn stiction<N: Number>(after_push: N, after_lift: N) -> N {
    (after_push - after_lift) * 0.5
}

/// Natural frequency of a mass on a spring.
///
/// **Units** N/m, kg; Hz. **Domain** both above zero. **Source** harmonic oscillator: `√(K/m)/2π`.
pub fn natural_frequency<N: Number>(rate: N, mass: N) -> N {
    (rate / mass).sqrt() / (2.0 * PI)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn two_loads_tell_a_spring_without_leverage() {
        // Hooke, by hand: 4.6 N/mm with 12 mm of preload carries 225.4 N at 37 mm and 379.5 N at 70.5 mm.
        let spring = fitted_directly((225.4, 0.037), (379.5, 0.0705)).unwrap();
        assert!((spring.rate - 4600.0).abs() < 1e-9 && (spring.preload - 0.012).abs() < 1e-12, "{spring:?}");
        assert!(fitted_directly((225.4, 0.037), (379.5, 0.037)).is_none());
    }
}
