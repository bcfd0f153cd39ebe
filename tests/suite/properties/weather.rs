//! Air, power and jets.

use loambook::physics::engine::{self, Numbering};
use loambook::physics::weather::{self, standard};
use proptest::prelude::*;

use super::close;

prop_compose! {
    /// Pressure, temperature and humidity of days that people ride on.
    fn days()(pressure in 70e3..105e3_f64, temperature in 268.15..313.15_f64, humidity in 0.0..1.0_f64)
        -> (f64, f64, f64) {
        (pressure, temperature, humidity)
    }
}

proptest! {
    #[test]
    fn thin_warm_and_damp_air_is_lighter((pressure, temperature, humidity) in days()) {
        let density = weather::air_density(pressure, temperature, humidity);
        prop_assert!(weather::air_density(pressure * 0.99, temperature, humidity) < density);
        prop_assert!(weather::air_density(pressure, temperature + 1.0, humidity) < density);
        prop_assert!(weather::air_density(pressure, temperature, humidity + 0.1) < density);
        // Never far from an ideal gas without water: at 40 °C and 70 kPa water makes up to 4 %.
        let ideal = pressure / (287.05 * temperature);
        prop_assert!(close(density, ideal, 0.045, 0.0));
    }

    #[test]
    fn the_day_of_a_density_altitude_has_that_density((pressure, temperature, humidity) in days()) {
        let density = weather::air_density(pressure, temperature, humidity);
        let altitude = weather::density_altitude(density).unwrap();
        prop_assert!(close(standard::density(altitude), density, 1e-12, 0.0));
    }

    #[test]
    fn pressure_falls_with_height_and_comes_back(sea_level in 95e3..105e3_f64, height in -300.0..4_000.0_f64) {
        let station = weather::station_pressure(sea_level, height);
        prop_assert!(weather::station_pressure(sea_level, height + 10.0) < station);
        prop_assert!(close(weather::sea_level_pressure(station, height), sea_level, 1e-12, 0.0));
        prop_assert!(close(standard::geometric(standard::geopotential(height)), height, 1e-12, 1.0));
    }

    #[test]
    fn thinner_air_asks_for_more_correction_and_a_smaller_jet(
        (pressure, temperature, humidity) in days(), tuned in 1.0..1.3_f64,
    ) {
        let dry = |pressure: f64| weather::dry_pressure(pressure, temperature, humidity);
        prop_assert!(dry(pressure) <= pressure);
        let (here, higher) = (dry(pressure), dry(pressure * 0.98));
        prop_assert!(engine::sae_j1349(higher, temperature) > engine::sae_j1349(here, temperature));
        prop_assert!(engine::iso_1585(higher, temperature) > engine::iso_1585(here, temperature));
        let ratio = weather::air_density(pressure, temperature, humidity) / tuned;
        let by_flow = engine::jet_for_air(100.0, ratio, Numbering::Flow);
        let by_diameter = engine::jet_for_air(100.0, ratio, Numbering::Diameter);
        // One jet in two numberings: the area goes with the square of the bore.
        prop_assert!(close(by_flow / 100.0, by_diameter * by_diameter / 1e4, 1e-12, 0.0));
        prop_assert!((ratio < 1.0) == (by_flow < 100.0));
    }

    #[test]
    fn a_jet_on_hand_is_not_leaner(ideal in 90.0..200.0_f64, jets in prop::collection::vec(80_u32..210, 0..12)) {
        let jets: Vec<f64> = jets.into_iter().map(f64::from).collect();
        match engine::jet_on_hand(ideal, &jets) {
            Some(jet) => {
                prop_assert!(jet >= ideal * (1.0 - 1e-9) && jets.contains(&jet));
                prop_assert!(!jets.iter().any(|other| *other >= ideal && *other < jet));
            }
            None => prop_assert!(jets.iter().all(|jet| *jet < ideal)),
        }
    }
}
