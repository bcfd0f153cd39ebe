//! Air: its density, and the [`standard`] atmosphere that pressures and heights refer to.
//!
//! Pressures are absolute, temperatures in K, humidity a share of one. Where a formula is valid is the caller's
//! concern.

use super::Number;

pub mod standard;

pub use standard::{
    STANDARD_DENSITY, STANDARD_PRESSURE, density_altitude, relative_density, sea_level_pressure,
    station_pressure,
};

/// 0 °C, K. Exact.
const ICE_POINT: f64 = 273.15;

// CIPM-2007: A. Picard et al., Metrologia 45 (2008) 149, Appendix A.

/// Molar mass of dry air with 400 µmol/mol of carbon dioxide over the gas constant, kg K/J.
const DRY_AIR: f64 = 3.483_740e-3;
/// By how much lighter water vapour is than dry air, as a share.
const LIGHTER: f64 = 0.3780;

/// Share of the molecules of moist air that are water.
///
/// **Units** Pa, K, a share of one; a share of one. **Domain** all above zero, humidity up to one.
///
/// **Source** CIPM-2007: `h f p_sv / p`.
pub fn vapour_fraction<N: Number>(pressure: N, temperature: N, humidity: N) -> N {
    let celsius = temperature - ICE_POINT;
    let saturated = (temperature.squared() * 1.237_884_7e-5 - temperature * 1.912_131_6e-2 + 33.937_110_47
        - N::constant(6.343_164_5e3) / temperature)
        .exp();
    let enhancement = pressure * 3.14e-8 + celsius.squared() * 5.6e-7 + 1.000_62;
    humidity * enhancement * saturated / pressure
}

/// Compressibility of moist air, by how much its volume differs from an ideal gas's.
///
/// **Units** Pa, K, a share of one; a ratio. **Domain** above zero.
///
/// **Source** CIPM-2007: `1 − p/T (a0 + a1 t + a2 t² + (b0 + b1 t) x + (c0 + c1 t) x²) + p²/T² (d + e x²)`.
pub fn compressibility<N: Number>(pressure: N, temperature: N, vapour: N) -> N {
    let celsius = temperature - ICE_POINT;
    let ratio = pressure / temperature;
    let first = celsius.squared() * 1.1043e-10 - celsius * 2.9331e-8
        + 1.581_23e-6
        + (celsius * -2.051e-8 + 5.707e-6) * vapour
        + (celsius * -2.376e-6 + 1.9898e-4) * vapour.squared();
    let second = vapour.squared() * -0.765e-8 + 1.83e-11;
    ratio.squared() * second - ratio * first + 1.0
}

/// Density of moist air at a station's pressure.
///
/// **Units** Pa, K, a share of one; kg/m³. **Domain** pressure and temperature above zero, humidity 0 to 1.
///
/// **Source** CIPM-2007 in its own rounded numbers: `3.483740e-3 p / (Z T) (1 − 0.3780 x)`, carbon
/// dioxide 0.0004.
pub fn air_density<N: Number>(pressure: N, temperature: N, humidity: N) -> N {
    let vapour = vapour_fraction(pressure, temperature, humidity);
    let compressibility = compressibility(pressure, temperature, vapour);
    pressure * DRY_AIR * (N::constant(1.0) - vapour * LIGHTER) / (compressibility * temperature)
}

/// Pressure of the air without its water.
///
/// **Units** Pa, K, a share of one; Pa. **Source** Dalton, with CIPM-2007's vapour: `p (1 − x)`.
pub fn dry_pressure<N: Number>(pressure: N, temperature: N, humidity: N) -> N {
    pressure - pressure * vapour_fraction(pressure, temperature, humidity)
}
