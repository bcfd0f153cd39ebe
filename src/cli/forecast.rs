//! A forecast on the command line.

use clap::Args;

use crate::pages::prepare::FORECAST_KEYS;

/// The air and ground expected at the gate, and the bench before it.
#[derive(Debug, Args)]
pub(super) struct Forecast {
    /// Air temperature: `24°C`.
    #[arg(long, allow_hyphen_values = true)]
    air: Option<String>,

    /// Relative humidity: `40%`.
    #[arg(long)]
    humidity: Option<String>,

    /// Pressure of the air at the place itself.
    #[arg(long)]
    pressure: Option<String>,

    /// Pressure as forecasts give it.
    #[arg(long, conflicts_with = "pressure")]
    sea_level_pressure: Option<String>,

    /// Height over the sea; the track's when not given.
    #[arg(long, allow_hyphen_values = true)]
    elevation: Option<String>,

    /// What the ground is made of; the track's when not given.
    #[arg(long)]
    soil: Option<String>,

    /// How the ground is.
    #[arg(long)]
    surface: Option<String>,

    /// `low`, `medium` or `high`.
    #[arg(long)]
    traction: Option<String>,

    /// The temperature where pressures will be set.
    #[arg(long, value_name = "TEMPERATURE", allow_hyphen_values = true)]
    bench: Option<String>,

    /// The height over the sea where pressures will be set; the gate's when not given.
    #[arg(long, value_name = "LENGTH", requires = "bench", allow_hyphen_values = true)]
    bench_elevation: Option<String>,
}

impl Forecast {
    /// Keys of `conditions` with what was typed for them.
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
