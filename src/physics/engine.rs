//! What the air does to an engine: power corrected to a standard day, and the main jet for the air.
//!
//! Only the main jet, which counts from about three quarters of the throttle up; pilot jet, needle and air
//! screw are separate.

use std::ops::RangeInclusive;

use super::Number;

/// Dry air pressure that both corrections refer to, Pa. **Source** SAE J1349, ISO 1585.
const REFERENCE_PRESSURE: f64 = 99e3;
/// Inlet temperature that both corrections refer to, K. **Source** SAE J1349, ISO 1585.
const REFERENCE_TEMPERATURE: f64 = 298.0;

/// Dry air pressures for which SAE J1349 is stated, Pa. From memory.
const SAE_PRESSURES: RangeInclusive<f64> = 90e3..=105e3;
/// Inlet temperatures for which SAE J1349 is stated, K: 15 to 35 °C. From memory.
const SAE_TEMPERATURES: RangeInclusive<f64> = 288.15..=308.15;

/// Dry air pressures for which ISO 1585 is stated, Pa. From memory.
const ISO_PRESSURES: RangeInclusive<f64> = 80e3..=110e3;
/// Inlet temperatures for which ISO 1585 is stated, K. From memory.
const ISO_TEMPERATURES: RangeInclusive<f64> = 288.0..=308.0;
/// Corrections that ISO 1585 permits. From memory.
const ISO_FACTORS: RangeInclusive<f64> = 0.93..=1.07;

/// Share by which a jet may differ from the ideal one and still count as that: far below what a drill can do,
/// far above rounding errors.
const SAME_JET: f64 = 1e-9;

/// Factor from power measured in this air to power on the standard day of SAE J1349.
///
/// Above one in thin or warm air. It allows for mechanical losses of 15 % of the power.
///
/// **Units** Pa of dry air, K; a ratio. **Domain** both above zero; stated for [`sae_j1349_covers`].
///
/// **Source** SAE J1349: `1.180 (99/p) √((t + 273)/298) − 0.18`, p in kPa, t in °C, which is 273.15 below
/// the temperature in K.
pub fn sae_j1349<N: Number>(dry_pressure: N, temperature: N) -> N {
    let warmth = (temperature - 0.15) / REFERENCE_TEMPERATURE;
    N::constant(1.18 * REFERENCE_PRESSURE) / dry_pressure * warmth.sqrt() - 0.18
}

/// Whether SAE J1349 covers this air.
///
/// **Units** Pa of dry air, K. **Source** SAE J1349, from memory: 90 to 105 kPa, 15 to 35 °C.
pub fn sae_j1349_covers(dry_pressure: f64, temperature: f64) -> bool {
    SAE_PRESSURES.contains(&dry_pressure) && SAE_TEMPERATURES.contains(&temperature)
}

/// Factor from power measured in this air to power on the standard day of ISO 1585 (spark ignition, no
/// supercharger).
///
/// **Units** Pa of dry air, K; a ratio. **Domain** both above zero; stated for [`iso_1585_covers`].
///
/// **Source** ISO 1585: `(99/p)^1.2 (T/298)^0.6`, p in kPa.
pub fn iso_1585<N: Number>(dry_pressure: N, temperature: N) -> N {
    let thinness = N::constant(REFERENCE_PRESSURE) / dry_pressure;
    thinness.powf(1.2) * (temperature / REFERENCE_TEMPERATURE).powf(0.6)
}

/// Whether ISO 1585 covers this air, and permits its correction.
///
/// **Units** Pa of dry air, K. **Source** ISO 1585:1992, from memory: 80 to 110 kPa, 288 to 308 K, factors
/// from 0.93 to 1.07.
pub fn iso_1585_covers(dry_pressure: f64, temperature: f64) -> bool {
    ISO_PRESSURES.contains(&dry_pressure)
        && ISO_TEMPERATURES.contains(&temperature)
        && ISO_FACTORS.contains(&iso_1585(dry_pressure, temperature))
}

/// What the number on a jet means.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Numbering {
    /// Its bore.
    Diameter,
    /// The flow through it, and so its area.
    Flow,
}

/// The number of the main jet that gives the same mixture in other air.
///
/// **Units** the maker's number; `density_ratio`: the air's density over that of the air it was tuned in.
/// **Domain** above zero.
///
/// **Source** continuity and Bernoulli: the engine draws air as ρ, the jet gives fuel as `A √ρ`, so `A` goes
/// as `√ρ` and the bore as `ρ^¼`.
pub fn jet_for_air<N: Number>(tuned: N, density_ratio: N, numbering: Numbering) -> N {
    let exponent = match numbering {
        Numbering::Diameter => 0.25,
        Numbering::Flow => 0.5,
    };
    tuned * density_ratio.powf(exponent)
}

/// The nearest jet on hand that is not leaner than the ideal one: a lean two-stroke seizes.
///
/// `None` where all are leaner.
///
/// **Units** the maker's numbers, larger is richer. **Source** common practice, no source.
pub fn jet_on_hand(ideal: f64, on_hand: &[f64]) -> Option<f64> {
    let enough = ideal * (1.0 - SAME_JET);
    on_hand.iter().copied().filter(|jet| *jet >= enough).min_by(f64::total_cmp)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_leaner_jet_is_never_taken() {
        assert_eq!(jet_on_hand(164.3, &[175.0, 160.0, 165.0]), Some(165.0));
        assert_eq!(jet_on_hand(170.1, &[160.0, 170.0]), None);
        assert_eq!(jet_on_hand(170.1, &[]), None);
        assert_eq!(jet_on_hand(f64::NAN, &[170.0]), None);
        // Back in the air it was tuned in, rounding must not ask for the next richer one.
        let back = 170.0 * Number::powf(1.07_f64, 0.25) * Number::powf(1.0 / 1.07, 0.25);
        assert_eq!(jet_on_hand(back * (1.0 + 1e-15), &[168.0, 170.0, 172.0]), Some(170.0));
    }

    #[test]
    fn ranges_include_their_ends() {
        assert!(sae_j1349_covers(90e3, 288.15) && sae_j1349_covers(105e3, 308.15));
        assert!(!sae_j1349_covers(89.9e3, 298.0) && !sae_j1349_covers(99e3, 308.2));
        assert!(iso_1585_covers(99e3, 288.0) && iso_1585_covers(99e3, 308.0));
        assert!(!iso_1585_covers(99e3, 287.9));
        // Within both ranges, yet a correction of 1.29.
        assert!(!iso_1585_covers(80e3, 298.0));
    }
}
