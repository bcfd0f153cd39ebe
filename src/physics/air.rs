//! Air that acts as a spring, and what its pressure becomes elsewhere.
//!
//! An ideal gas. Against real nitrogen and air from −10 to 60 °C it is within 1.3 % at constant volume and 1.0
//! % when compressed, as long as the pressure stays below [`IDEAL_TO`]. Beyond that it is up to
//! [`IDEAL_SPREAD`] off (reference library CoolProp 8.0.0).
//!
//! Pressures are gauge unless they are called atmosphere.

use std::f64::consts::PI;

use super::Number;

/// Pressure up to which the ideal gas is within about one per cent, Pa.
pub const IDEAL_TO: f64 = 2e6;
/// How far off it may be beyond that, as a share of the absolute pressure.
pub const IDEAL_SPREAD: f64 = 0.05;

/// What a chamber's pressure does to the fork.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Side {
    /// Resists compression; its air shrinks as the fork goes in.
    Positive,
    /// Resists extension; its air grows as the fork goes in.
    Negative,
}

impl Side {
    /// Sign of its force on the fork: resisting compression is positive.
    pub fn sign(self) -> f64 {
        match self {
            Side::Positive => 1.0,
            Side::Negative => -1.0,
        }
    }
}

/// Air behind a piston.
///
/// **Domain** area and volume above zero, pressure above −atmosphere.
#[derive(Clone, Copy, Debug)]
pub struct Chamber<N> {
    pub side: Side,
    /// Of the piston, m².
    pub area: N,
    /// At full extension, m³.
    pub volume: N,
    /// Gauge pressure set at full extension, Pa.
    pub pressure: N,
}

/// The share of its room that a chamber can be compressed by. With less than a twentieth of its volume left, pressures
/// come from the arithmetic and not from a fork. This project's own judgement.
pub const SQUEEZED_TO: f64 = 0.95;

/// Area of a round piston.
///
/// **Units** m; m². **Source** `π d² / 4`.
pub fn bore_area<N: Number>(bore: N) -> N {
    bore.squared() * (PI / 4.0)
}

/// Force of a damper's gas on its rod.
///
/// **Units** gauge Pa, m; N. **Source** definition of pressure: the atmosphere acts on the rod as well.
pub fn gas_force<N: Number>(pressure: N, rod: N) -> N {
    pressure * bore_area(rod)
}

impl<N: Number> Chamber<N> {
    /// The air over the oil of a fork that was bled at full extension.
    ///
    /// The air gap is measured fully compressed with the springs out. Areas are of all legs together; the
    /// volume of the springs is neglected.
    ///
    /// **Units** m², m. **Source** volumes: `A_gap · gap + A_swept · travel`.
    pub fn over_oil(gap_area: N, gap: N, swept_area: N, travel: N) -> Self {
        Chamber {
            side: Side::Positive,
            area: swept_area,
            volume: gap_area * gap + swept_area * travel,
            pressure: N::constant(0.0),
        }
    }

    pub(super) fn plain(&self) -> Chamber<f64> {
        Chamber {
            side: self.side,
            area: self.area.value(),
            volume: self.volume.value(),
            pressure: self.pressure.value(),
        }
    }

    /// Fork travel at which no room is left, m; `None` for a chamber that grows.
    pub fn room(&self) -> Option<N> {
        match self.side {
            Side::Positive => Some(self.volume / self.area),
            Side::Negative => None,
        }
    }

    fn volume_at(&self, travel: N) -> N {
        self.volume - self.area * travel * self.side.sign()
    }

    /// Gauge pressure at a fork travel.
    ///
    /// **Units** m, Pa; Pa. **Domain** travel short of [`room`](Self::room); exponent 1 (slow) to 1.4
    /// (fast).
    ///
    /// **Source** polytropic change of an ideal gas: `P (V/(V ∓ A x))ⁿ − p_atm`, `P = p + p_atm`.
    pub fn pressure_at(&self, travel: N, exponent: N, atmosphere: N) -> N {
        self.absolute_at(travel, exponent, atmosphere) - atmosphere
    }

    /// Absolute pressure at a fork travel.
    ///
    /// **Units**, **Domain**, **Source** as [`pressure_at`](Self::pressure_at).
    pub fn absolute_at(&self, travel: N, exponent: N, atmosphere: N) -> N {
        let squeezed = self.volume / self.volume_at(travel);
        (self.pressure + atmosphere) * squeezed.pow(exponent)
    }

    /// Force on the fork at a fork travel, resisting compression positive.
    ///
    /// **Units** m, Pa; N. **Domain**, **Source** as [`pressure_at`](Self::pressure_at), times the area.
    pub fn force(&self, travel: N, exponent: N, atmosphere: N) -> N {
        self.pressure_at(travel, exponent, atmosphere) * self.area * self.side.sign()
    }

    /// Stiffness at a fork travel: above zero for either side.
    ///
    /// **Units** m, Pa; N/m. **Source** derivative of [`force`](Self::force):
    /// `n A² P Vⁿ / (V ∓ A x)ⁿ⁺¹`.
    pub fn stiffness(&self, travel: N, exponent: N, atmosphere: N) -> N {
        self.stiffness_of(self.absolute_at(travel, exponent, atmosphere), travel, exponent)
    }

    /// Stiffness for quick strokes about a travel where the air has settled slowly.
    ///
    /// **Units** m, Pa; N/m. **Source** as [`stiffness`](Self::stiffness), from the pressure of n = 1:
    /// `n A² P V / (V ∓ A x)²`.
    pub fn riding_stiffness(&self, travel: N, exponent: N, atmosphere: N) -> N {
        let settled = self.absolute_at(travel, N::constant(1.0), atmosphere);
        self.stiffness_of(settled, travel, exponent)
    }

    fn stiffness_of(&self, absolute: N, travel: N, exponent: N) -> N {
        exponent * self.area.squared() * absolute / self.volume_at(travel)
    }

    /// Energy absorbed from full extension to a fork travel.
    ///
    /// **Units** m, Pa; J. **Source** the integral of [`force`](Self::force):
    /// `P V (rⁿ⁻¹ − 1)/(n − 1) ∓ p_atm A x`, `r = V/(V ∓ A x)`; at n = 1 the logarithm of r.
    pub fn energy(&self, travel: N, exponent: N, atmosphere: N) -> N {
        self.work(travel, exponent, atmosphere) - atmosphere * self.area * travel * self.side.sign()
    }

    /// Work on the air alone, without what the atmosphere gives back.
    fn work(&self, travel: N, exponent: N, atmosphere: N) -> N {
        let squeezed = (self.volume / self.volume_at(travel)).ln();
        (self.pressure + atmosphere) * self.volume * growth(squeezed, exponent - 1.0)
    }

    /// Work on the air, up to a fork travel, in that part of the stroke where its absolute pressure is above `bound`.
    ///
    /// **Units** m, Pa; J. **Domain** as [`pressure_at`](Self::pressure_at), the bound above zero.
    ///
    /// **Source** [`energy`](Self::energy) between the ends of that part: `P (V/V_b)ⁿ = bound` where it begins or,
    /// with a chamber that grows, ends.
    pub fn work_above(&self, bound: f64, travel: N, exponent: N, atmosphere: N) -> N {
        let plain = self.plain();
        let absolute = plain.pressure + atmosphere.value();
        let volume = plain.volume * libm::pow(absolute / bound, 1.0 / exponent.value());
        let crossing = (plain.volume - volume) / plain.area * self.side.sign();
        // Beyond either end of the stroke there is no crossing: all of it is above, or nothing is.
        let crossing = N::constant(crossing.max(0.0).min(travel.value()));
        let (from, to) = match self.side {
            Side::Positive => (crossing, travel),
            Side::Negative => (N::constant(0.0), crossing),
        };
        self.work(to, exponent, atmosphere) - self.work(from, exponent, atmosphere)
    }
}

/// `(exp(m l) − 1)/m`, which is l at m = 0.
fn growth<N: Number>(l: N, m: N) -> N {
    let (length, rate) = (l.value(), m.value());
    let y = length * rate;
    // Near zero the two quotients, of the value and of its derivative with m, lose digits: use series there.
    let (mean, bend) = if y.abs() < 1e-3 {
        (1.0 + y / 2.0 + y * y / 6.0 + y * y * y / 24.0, 0.5 + y / 3.0 + y * y / 8.0 + y * y * y / 30.0)
    } else {
        let mean = libm::expm1(y) / y;
        (mean, (libm::exp(y) - mean) / y)
    };
    l.chain(length * mean, libm::exp(y)) + m.chain(0.0, length * length * bend)
}

/// The pressure in a chamber before a gauge was connected and its hose filled from it.
///
/// **Units** gauge Pa, m³; gauge Pa. **Domain** volumes above zero.
///
/// **Source** isothermal mixing with a hose at the atmosphere: `p (1 + h/V)`.
pub fn before_gauge<N: Number>(reading: N, hose: N, volume: N) -> N {
    reading + reading * hose / volume
}

/// Temperature and pressure of the air around.
#[derive(Clone, Copy, Debug)]
pub struct Surroundings<N> {
    /// K.
    pub temperature: N,
    /// Absolute, Pa.
    pub atmosphere: N,
}

/// What a gauge shows on a chamber or a tyre that was set at one place and taken to another.
///
/// The inverse, what to set here for a wanted pressure there, is the same from there to here.
///
/// **Units** gauge Pa. **Domain** temperatures above zero.
///
/// **Source** ideal gas at constant volume: `(p1 + p_atm1) T2/T1 − p_atm2`.
pub fn taken_to<N: Number>(pressure: N, from: Surroundings<N>, to: Surroundings<N>) -> N {
    (pressure + from.atmosphere) * to.temperature / from.temperature - to.atmosphere
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn growth_joins_its_series() {
        for length in [-0.7, 0.3, 1.4] {
            for rate in [0.9e-3 / length, 1.1e-3 / length, 1e-9, 0.4] {
                let direct = libm::expm1(length * rate) / rate;
                assert!((growth(length, rate) - direct).abs() < 1e-14, "{length} {rate}");
            }
            assert_eq!(growth(length, 0.0), length);
        }
    }

    #[test]
    fn work_above_a_pressure_is_the_sum_of_small_steps() {
        // By hand, as a sum over the stroke: the forces where the pressure is above the bound.
        let (exponent, atmosphere, travel) = (1.3, 1e5, 0.3);
        for side in [Side::Positive, Side::Negative] {
            let chamber = Chamber { side, area: 8e-4, volume: 340e-6, pressure: 13e5 };
            for bound in [1e5, 9e5, 14.5e5, 20e5, 90e5] {
                const STEPS: u32 = 30_000;
                let sum: f64 = (0..STEPS)
                    .map(|step| travel * (f64::from(step) + 0.5) / f64::from(STEPS))
                    .map(|place| chamber.absolute_at(place, exponent, atmosphere))
                    .filter(|absolute| *absolute > bound)
                    .map(|absolute| absolute * chamber.area * side.sign() * travel / f64::from(STEPS))
                    .sum();
                let found = chamber.work_above(bound, travel, exponent, atmosphere);
                assert!((found - sum).abs() < 0.05, "{side:?} {bound}: {found} {sum}");
            }
        }
    }

    #[test]
    fn a_gauge_takes_its_hose_full() {
        // By hand: 10 cm³ of hose on 50 cm³ at 10 bar gauge held 12 bar before.
        assert!((before_gauge(10e5, 10e-6, 50e-6) - 12e5_f64).abs() < 1e-6);
    }
}
