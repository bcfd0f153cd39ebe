//! A forecast on the command line.

use clap::Args;

use crate::pages::prepare::FORECAST_KEYS;

/// The air and the ground expected at the gate, and the air on the bench.
#[derive(Debug, Args)]
pub(super) struct Forecast {
    /// Air temperature at the gate, such as `24°C`.
    #[arg(long, allow_hyphen_values = true)]
    air: Option<String>,

    /// Relative humidity, such as `40%`.
    #[arg(long)]
    humidity: Option<String>,

    /// Air pressure at the gate, as a barometer there shows it.
    #[arg(long)]
    pressure: Option<String>,

    /// Air pressure at sea level, as forecasts give it.
    #[arg(long, conflicts_with = "pressure")]
    sea_level_pressure: Option<String>,

    /// Height of the gate above sea level; the track's when not given.
    #[arg(long, allow_hyphen_values = true)]
    elevation: Option<String>,

    /// The soil; the track's when not given.
    #[arg(long)]
    soil: Option<String>,

    /// The state of the ground, in your own words.
    #[arg(long)]
    surface: Option<String>,

    /// `low`, `medium` or `high`.
    #[arg(long)]
    traction: Option<String>,

    /// Temperature of the place where pressures will be set.
    #[arg(long, value_name = "TEMPERATURE", allow_hyphen_values = true)]
    bench: Option<String>,

    /// Height above sea level of that place; the gate's when not given.
    #[arg(long, value_name = "LENGTH", requires = "bench", allow_hyphen_values = true)]
    bench_elevation: Option<String>,
}

impl Forecast {
    /// The keys of `conditions`, with what was typed for each.
    pub fn given(&self) -> Vec<(&'static str, String)> {
        let texts = [
            &self.air,
            &self.humidity,
            &self.pressure,
            &self.sea_level_pressure,
            &self.elevation,
            &self.soil,
            &self.surface,
            &self.traction,
            &self.bench,
            &self.bench_elevation,
        ];
        let given = FORECAST_KEYS.into_iter().zip(texts);
        given.filter_map(|(key, text)| Some((key, text.clone()?))).collect()
    }
}
