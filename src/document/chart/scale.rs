//! Values along a length of paper, and the numbers beside it.

use super::{Axis, Tick};

/// Ticks are never closer than this, in points.
const CLOSEST: f64 = 14.0;

/// A range of values along a length of paper, ending on round numbers.
pub(super) struct Scale {
    pub from: f64,
    pub to: f64,
    pub start: f64,
    pub end: f64,
    pub ticks: Vec<Tick>,
}

impl Scale {
    /// `start` and `end` are the ends of the range on the paper; there is about one tick every `every` points.
    pub fn new(axis: &Axis, values: impl Iterator<Item = f64>, start: f64, end: f64, every: f64) -> Self {
        let (mut low, mut high) = values
            .fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), value| (low.min(value), high.max(value)));
        if low > high {
            (low, high) = (0.0, 1.0);
        }
        low = axis.from.unwrap_or(low);
        high = axis.to.unwrap_or(high);
        if high - low <= low.abs().max(high.abs()) * 1e-9 {
            let margin = if low == 0.0 { 1.0 } else { low.abs() * 0.1 };
            (low, high) = (low - margin, low + margin);
        }
        if !axis.ticks.is_empty() {
            return Self { from: low, to: high, start, end, ticks: axis.ticks.clone() };
        }
        let wanted = ((end - start).abs() / every).floor().clamp(3.0, 10.0);
        let mut step = round_step((high - low) / wanted);
        let overshoot = |step: f64| (high / step - 1e-9).ceil() * step - high;
        // Better more ticks than an axis that runs far beyond the last reading, as long as they have room.
        let finer = round_step(step * 0.4);
        let apart = (end - start).abs() * finer / (high - low + 2.0 * finer);
        if overshoot(step) > (high - low) * 0.2 && apart >= CLOSEST.min(every) {
            step = finer;
        }
        // A small margin, so that 0.3 / 0.1 counts as the three steps it is.
        let first = (low / step + 1e-9).floor();
        let last = (high / step - 1e-9).ceil();
        let decimals = step_decimals(step);
        let count = (last - first).clamp(0.0, 40.0) as u32;
        let ticks = (0..=count)
            .map(|at| {
                let at = (first + f64::from(at)) * step;
                Tick { at, text: shown(at, decimals) }
            })
            .collect();
        Self { from: first * step, to: last * step, start, end, ticks }
    }

    /// Where a value is on the paper; beyond an end, at that end.
    pub fn place(&self, value: f64) -> f64 {
        let part = ((value - self.from) / (self.to - self.from)).clamp(0.0, 1.0);
        self.start + part * (self.end - self.start)
    }
}

/// The smallest step of 1, 2 or 5 times a power of ten that is not smaller.
fn round_step(raw: f64) -> f64 {
    let power = libm::pow(10.0, libm::floor(libm::log10(raw)));
    let times = [1.0, 2.0, 5.0].into_iter().find(|times| raw <= times * power * (1.0 + 1e-9));
    times.unwrap_or(10.0) * power
}

fn step_decimals(step: f64) -> usize {
    let places = -libm::floor(libm::log10(step) + 1e-9);
    places.clamp(0.0, 9.0) as usize
}

/// The fewest decimals, up to three, that show all of these numbers.
pub(super) fn decimals_of(numbers: &[f64]) -> usize {
    (0..3)
        .find(|decimals| {
            let scale = [1.0, 10.0, 100.0].get(*decimals).copied().unwrap_or(1.0);
            numbers.iter().all(|number| ((number * scale).round() - number * scale).abs() < 1e-6 * scale)
        })
        .unwrap_or(3)
}

/// A number of a scale, with a true minus sign, and none before zero.
pub(super) fn shown(number: f64, decimals: usize) -> String {
    let text = format!("{number:.decimals$}");
    match text.strip_prefix('-') {
        Some(digits) if digits.chars().all(|letter| matches!(letter, '0' | '.')) => digits.to_owned(),
        Some(digits) => format!("−{digits}"),
        None => text,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn axis() -> Axis {
        Axis { name: "a".to_owned(), unit: None, from: None, to: None, ticks: Vec::new() }
    }

    #[test]
    fn axes_end_on_round_numbers() {
        let scale = Scale::new(&axis(), [3.2, 287.0].into_iter(), 0.0, 250.0, 42.0);
        let texts: Vec<&str> = scale.ticks.iter().map(|tick| tick.text.as_str()).collect();
        assert_eq!(texts, ["0", "100", "200", "300"]);
        // A step of 100 would reach 400.
        let scale = Scale::new(&axis(), [0.0, 302.0].into_iter(), 0.0, 180.0, 42.0);
        assert_eq!((scale.from, scale.to), (0.0, 350.0));
        let scale = Scale::new(&axis(), [-0.11, 0.3].into_iter(), 0.0, 250.0, 42.0);
        let texts: Vec<&str> = scale.ticks.iter().map(|tick| tick.text.as_str()).collect();
        assert_eq!(texts, ["−0.2", "−0.1", "0.0", "0.1", "0.2", "0.3"]);
        let scale = Scale::new(&axis(), std::iter::repeat_n(7.0, 3), 0.0, 250.0, 42.0);
        assert!(scale.from < 7.0 && scale.to > 7.0);
    }
}
