//! The standard atmosphere up to 11 km, where its temperature falls in proportion to height.
//!
//! Heights are geometric unless they are called geopotential. Source: ISO 2533:1975 (constants and the
//! layer's lower end from memory).

use std::ops::RangeInclusive;

use crate::physics::Number;
use crate::physics::loads::GRAVITY;

/// Of the standard atmosphere at sea level, kg/m³. **Source** ISO 2533:1975, Table 1 (from memory).
pub const STANDARD_DENSITY: f64 = 1.225;
/// Of the standard atmosphere at sea level, Pa. **Source** ISO 2533:1975; exact.
pub const STANDARD_PRESSURE: f64 = 101_325.0;

/// At sea level, K.
const TEMPERATURE: f64 = 288.15;
/// Fall with geopotential height, K/m.
const LAPSE: f64 = 0.0065;
/// Of dry air, J/(kg K).
const GAS: f64 = 287.052_87;
/// Nominal radius of the earth, m.
const EARTH: f64 = 6_356_766.0;
/// The pressure goes with this power of the temperature: `g / (R β)`.
const EXPONENT: f64 = GRAVITY / (GAS * LAPSE);
/// Geopotential heights of the layer, m.
const LAYER: RangeInclusive<f64> = -5_000.0..=11_000.0;

/// Geopotential height of a geometric one.
///
/// **Units** m. **Source** `r h / (r + h)`.
pub fn geopotential<N: Number>(height: N) -> N {
    height * EARTH / (height + EARTH)
}

/// Geometric height of a geopotential one.
///
/// **Units** m. **Source** [`geopotential`] turned round: `r H / (r − H)`.
pub fn geometric<N: Number>(geopotential: N) -> N {
    geopotential * EARTH / (N::constant(EARTH) - geopotential)
}

/// Temperature at a height.
///
/// **Units** m; K. **Domain** −5 to 11 km. **Source** `T0 − β H`.
pub fn temperature<N: Number>(height: N) -> N {
    at_geopotential(geopotential(height))
}

/// Pressure at a height.
///
/// **Units** m; Pa. **Domain** −5 to 11 km. **Source** `p0 (T/T0)^(g/Rβ)`.
pub fn pressure<N: Number>(height: N) -> N {
    pressure_at_geopotential(geopotential(height))
}

/// Density at a height.
///
/// **Units** m; kg/m³. **Domain** −5 to 11 km. **Source** ideal gas: `p / (R T)`.
pub fn density<N: Number>(height: N) -> N {
    pressure(height) / (temperature(height) * GAS)
}

/// Density altitude: the height at which the standard atmosphere has this density.
///
/// `None` where it does not have it between −5 and 11 km.
///
/// **Units** kg/m³; m. **Source** [`density`] turned round: `T = T0 (ρ/ρ0)^(1/(g/Rβ − 1))`.
pub fn density_altitude<N: Number>(density: N) -> Option<N> {
    let at_sea = STANDARD_PRESSURE / (GAS * TEMPERATURE);
    let warmth = (density / at_sea).powf(1.0 / (EXPONENT - 1.0));
    let height = height_of_warmth(warmth);
    LAYER.contains(&height.value()).then(|| geometric(height))
}

/// Density against the standard atmosphere at sea level.
///
/// **Units** kg/m³; a ratio. **Source** definition, against 1.225 kg/m³.
pub fn relative_density<N: Number>(density: N) -> N {
    density / STANDARD_DENSITY
}

/// Pressure at a station, from the sea-level pressure of a forecast.
///
/// The forecast's pressure counts as an altimeter setting: an altimeter set to it shows the station's height.
///
/// **Units** Pa, m (geometric); Pa. **Domain** sea-level pressure above zero, −2 to 9 km.
///
/// **Source** ISO 2533:1975: its pressure at the geopotential height `H(h) + H_ISO(p0)`.
pub fn station_pressure<N: Number>(sea_level: N, elevation: N) -> N {
    let height = geopotential(elevation) + geopotential_of_pressure(sea_level);
    pressure_at_geopotential(height)
}

/// The altimeter setting for a station's pressure.
///
/// **Units** Pa, m (geometric); Pa. **Domain** as [`station_pressure`], which this turns round.
///
/// **Source** ISO 2533:1975: its pressure at the geopotential height `H_ISO(p) − H(h)`.
pub fn sea_level_pressure<N: Number>(station: N, elevation: N) -> N {
    let height = geopotential_of_pressure(station) - geopotential(elevation);
    pressure_at_geopotential(height)
}

fn at_geopotential<N: Number>(height: N) -> N {
    N::constant(TEMPERATURE) - height * LAPSE
}

fn pressure_at_geopotential<N: Number>(height: N) -> N {
    (at_geopotential(height) / TEMPERATURE).powf(EXPONENT) * STANDARD_PRESSURE
}

/// The geopotential height with this pressure.
fn geopotential_of_pressure<N: Number>(pressure: N) -> N {
    height_of_warmth((pressure / STANDARD_PRESSURE).powf(1.0 / EXPONENT))
}

/// The geopotential height where the temperature is this share of sea level's.
fn height_of_warmth<N: Number>(warmth: N) -> N {
    (N::constant(1.0) - warmth) * (TEMPERATURE / LAPSE)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn station_and_sea_level_are_each_other_turned_round() {
        for (sea_level, elevation) in [(101_325.0, 0.0), (98_500.0, 1600.0), (103_000.0, -350.0)] {
            let station = station_pressure(sea_level, elevation);
            assert!((sea_level_pressure(station, elevation) - sea_level).abs() < 1e-7);
        }
        assert!((station_pressure(STANDARD_PRESSURE, 850.0) - pressure(850.0)).abs() < 1e-9);
    }

    #[test]
    fn a_density_has_its_height_within_the_layer() {
        for height in [-4000.0, 0.0, 2500.0, 10_900.0] {
            let found = density_altitude(density(height)).unwrap();
            assert!((found - height).abs() < 1e-7, "{found}");
        }
        assert_eq!(density_altitude(0.3), None);
        assert_eq!(density_altitude(2.0), None);
        assert_eq!(density_altitude(f64::NAN), None);
    }
}
