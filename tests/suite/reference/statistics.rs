//! Drift and laps.

use loambook::physics::statistics::{self, Uncompared};

use super::case::{Inputs, Outputs};

pub fn compute(computation: &str, inputs: &Inputs) -> Option<Outputs> {
    match computation {
        "theil_sen" => Some(drift(inputs)),
        "two_stints" => Some(two_stints(inputs)),
        "power_of_two_stints" => Some(power(inputs)),
        "laps_to_show" => Some(laps_to_show(inputs)),
        _ => None,
    }
}

fn drift(inputs: &Inputs) -> Outputs {
    let points: Vec<_> = inputs.numbers("days").into_iter().zip(inputs.numbers("values")).collect();
    let drift = statistics::drift(&points).unwrap();
    let mut outputs =
        Outputs::new().number("slope_per_day", drift.slope).number("at_day_zero", drift.at_zero);
    outputs = match drift.interval {
        Some((low, high)) => {
            outputs.text("interval", "given").number("slope_low", low).number("slope_high", high)
        }
        None => outputs.text("interval", "none"),
    };
    match inputs.maybe_numbers("band") {
        Some(band) => outputs.maybe("leaves_band_on_day", drift.leaves((band[0], band[1]))),
        None => outputs,
    }
}

fn two_stints(inputs: &Inputs) -> Outputs {
    let (first, second) = (inputs.numbers("first"), inputs.numbers("second"));
    let mut outputs = Outputs::new();
    for (name, laps) in [("first", &first), ("second", &second)] {
        outputs = outputs
            .maybe(&format!("{name}_median"), statistics::median(laps))
            .maybe(&format!("{name}_mad"), statistics::median_absolute_deviation(laps));
    }
    let comparison = match statistics::compare(&first, &second) {
        Ok(comparison) => comparison,
        Err(Uncompared::TooFew) => return outputs.text("verdict", "too few"),
        Err(Uncompared::TooMany) => return outputs.text("verdict", "too many"),
    };
    assert!(comparison.exact);
    outputs = outputs
        .text("verdict", "compared")
        .number("U", comparison.count)
        .number("p", comparison.p)
        .number("shift", comparison.shift);
    match comparison.interval {
        Some(interval) => outputs
            .number("low", interval.low)
            .number("high", interval.high)
            .number("confidence", interval.confidence),
        None => outputs,
    }
}

/// For each difference, in standard deviations of a lap.
fn power(inputs: &Inputs) -> Outputs {
    let laps = inputs.numbers("laps");
    let (first, second) = (laps[0] as usize, laps[1] as usize);
    let differences = inputs.numbers("differences");
    let power = |difference: &f64| statistics::power(first, second, *difference).unwrap();
    Outputs::new().numbers("power", &differences.iter().map(power).collect::<Vec<f64>>())
}

/// Laps of the shorter side, twice as many on the other.
fn laps_to_show(inputs: &Inputs) -> Outputs {
    let laps = |difference: &f64| statistics::laps_to_show(*difference, 10).unwrap() as f64;
    Outputs::new().numbers("laps", &inputs.numbers("differences").iter().map(laps).collect::<Vec<f64>>())
}
