//! Atmosphere, moist air, power and jet corrections.

use loambook::physics::engine::{self, Numbering};
use loambook::physics::weather::{self, standard};

use super::case::{Inputs, Outputs};

pub fn compute(computation: &str, inputs: &Inputs) -> Option<Outputs> {
    match computation {
        "isa" => Some(standard_atmosphere(inputs)),
        "station_pressure" => Some(Outputs::new().number("pressure", station_pressure(inputs))),
        "air" => Some(air(inputs)),
        "power" => Some(power(inputs.number("dry_pressure"), inputs.number("air"), ["sae", "iso"])),
        "jet" => Some(jet(inputs)),
        _ => None,
    }
}

fn standard_atmosphere(inputs: &Inputs) -> Outputs {
    let elevation = inputs.number("elevation");
    Outputs::new()
        .number("temperature", standard::temperature(elevation))
        .number("pressure", standard::pressure(elevation))
        .number("density", standard::density(elevation))
}

fn station_pressure(inputs: &Inputs) -> f64 {
    weather::station_pressure(inputs.number("sea_level_pressure"), inputs.number("elevation"))
}

fn air(inputs: &Inputs) -> Outputs {
    let pressure = inputs.maybe("pressure").unwrap_or_else(|| station_pressure(inputs));
    let (temperature, humidity) = (inputs.number("air"), inputs.number("humidity"));
    let density = weather::air_density(pressure, temperature, humidity);
    let vapour = weather::vapour_fraction(pressure, temperature, humidity);
    let dry = weather::dry_pressure(pressure, temperature, humidity);
    power(dry, temperature, ["power_sae", "power_iso"])
        .number("station_pressure", pressure)
        .number("dry_pressure", dry)
        .number("density", density)
        .number("vapour_fraction", vapour)
        .number("compressibility", weather::compressibility(pressure, temperature, vapour))
        .number("relative_density", weather::relative_density(density))
        .maybe("density_altitude", weather::density_altitude(density))
}

fn power(dry: f64, temperature: f64, [sae, iso]: [&str; 2]) -> Outputs {
    Outputs::new()
        .number(sae, engine::sae_j1349(dry, temperature))
        .number(iso, engine::iso_1585(dry, temperature))
}

fn jet(inputs: &Inputs) -> Outputs {
    let numbering = match inputs.text("numbering") {
        "diameter" => Numbering::Diameter,
        "flow" => Numbering::Flow,
        other => panic!("jets are not numbered by `{other}`"),
    };
    let ratio = inputs.number("density") / inputs.number("tuned_density");
    let ideal = engine::jet_for_air(inputs.number("jet"), ratio, numbering);
    Outputs::new()
        .number("ideal", ideal)
        .maybe("fitted", engine::jet_on_hand(ideal, &inputs.numbers("on_hand")))
}
