//! How likely two stints of laps are to show a difference, before anybody rides them.

use std::f64::consts::SQRT_2;

use super::normal_quantile;
use super::spread::median;
use super::stints::{FEWEST_LAPS, chances, most_that_shows};

/// How likely a test must be to show the difference that it is for, to be worth riding. **Source** J. Cohen, *Statistical Power
/// Analysis for the Behavioral Sciences* (1988), 2.4: the usual choice.
const ENOUGH_POWER: f64 = 0.8;

/// More laps a stint are never asked for: nobody rides so many alike.
const MOST_LAPS: usize = 20;

/// How many parts the axis of lap times is cut into; laps in one part come in any order. It is done again with
/// twice as many.
const PARTS: u16 = 24;

/// More laps than this in one part happen in one part of a hundred thousand.
const MOST_AT_ONCE: usize = 14;

/// How far the parts reach beyond either mean, in standard deviations: one lap in a hundred thousand is outside, and counts in
/// the last part.
const REACH: f64 = 4.5;

/// A draw less probable than this is left out.
const NEVER: f64 = 1e-8;

/// A number of pairs less probable than this is left out at either end: all of them together would not move the sixth digit.
const UNSEEN: f64 = 1e-13;

/// The standard deviation of the laps, from the differences within stints. Differences between stints do not count, and one bad
/// lap changes little.
///
/// `None` without two laps in one stint.
///
/// **Units** those of the laps. **Source** M. I. Shamos (1976), from memory: the median of all pairs' distances, over
/// `√2 Φ⁻¹(3/4)`, which is exact for normal laps in stints of any length.
pub fn deviation(stints: &[Vec<f64>]) -> Option<f64> {
    let distances: Vec<f64> = stints
        .iter()
        .flat_map(|laps| {
            let pairs = laps.iter().enumerate();
            pairs.flat_map(|(index, from)| laps.iter().skip(index + 1).map(move |to| (to - from).abs()))
        })
        .collect();
    Some(median(&distances)? / (SQRT_2 * normal_quantile(0.75)?))
}

/// The probability that the comparison of two stints shows a difference between them.
///
/// **Units** the difference of the means in standard deviations of a lap. **Domain** stints that [`super::compare`] takes, and not so
/// long that counting them would take minutes; `None` otherwise. **Source** the distribution of U (Mann and Whitney, 1947) where
/// the laps are normal and the second stint's mean is another, counted over every order in which the laps can come, by parts
/// of the time axis; the critical U is that of [`super::compare`].
pub fn power(first: usize, second: usize, difference: f64) -> Option<f64> {
    if first.min(second) < FEWEST_LAPS || first.max(second) > 2 * MOST_LAPS || !difference.is_finite() {
        return None;
    }
    let Some(most) = most_that_shows(first, second) else { return Some(0.0) };
    let by = |parts: u16| {
        tail((first, second), difference, most, parts) + tail((first, second), -difference, most, parts)
    };
    // Taking laps of one part in any order is off by the square of its width; half the width shows by how much.
    let (coarse, fine) = (by(PARTS), by(2 * PARTS));
    Some((fine + (fine - coarse) / 3.0).clamp(0.0, 1.0))
}

/// The fewest laps for each stint that show a difference with enough power, up to the most that are ridden. Two stints on the
/// old setting are compared with one on the new; `None` where it takes more.
///
/// **Units** the difference in standard deviations of a lap.
pub fn laps_to_show(difference: f64, most: usize) -> Option<usize> {
    let shows = |laps: usize| power(2 * laps, laps, difference).is_some_and(|power| power >= ENOUGH_POWER);
    let most = most.min(MOST_LAPS);
    // Short stints take no time to count; long ones do.
    let (mut few, mut enough) = (FEWEST_LAPS - 1, FEWEST_LAPS);
    if most < enough {
        return None;
    }
    while !shows(enough) {
        if enough == most {
            return None;
        }
        (few, enough) = (enough, (2 * enough).min(most));
    }
    while enough - few > 1 {
        let middle = few.midpoint(enough);
        if shows(middle) { enough = middle } else { few = middle }
    }
    Some(enough)
}

/// The least difference that this many laps each show with enough power, in standard deviations of a lap; `None` where they are
/// too few for any.
pub fn least_shown(laps: usize) -> Option<f64> {
    let shows =
        |difference: f64| power(2 * laps, laps, difference).is_some_and(|power| power >= ENOUGH_POWER);
    let (mut low, mut high) = (0.0, REACH);
    if !shows(high) {
        return None;
    }
    while high - low > 0.02 {
        let middle = 0.5 * (low + high);
        if shows(middle) { high = middle } else { low = middle }
    }
    Some(high)
}

/// The probability that U is not above `most`. U counts the pairs in which the second stint's lap is the longer one; its mean is
/// larger by `shift`.
fn tail((first, second): (usize, usize), shift: f64, most: usize, parts: u16) -> f64 {
    let below = |at: f64| 0.5 * libm::erfc(-at / SQRT_2);
    let (low, high) = (shift.min(0.0) - REACH, shift.max(0.0) + REACH);
    let edge = |part: u16| low + (high - low) * f64::from(part) / f64::from(parts);
    let orders: Vec<Vec<Vec<f64>>> = (0..=first)
        .map(|a| {
            (0..=second).map(|b| if a + b <= MOST_AT_ONCE { chances(a, b) } else { Vec::new() }).collect()
        })
        .collect();
    let mut states = Table::new(first, second, most);
    let (mut gone_first, mut gone_second) = (0.0, 0.0);
    for part in 0..parts {
        // Of those still to come, the share in this part.
        let share = |gone: &mut f64, shift: f64| {
            let until = if part + 1 == parts { 1.0 } else { below(edge(part + 1) - shift) };
            let share = ((until - *gone) / (1.0 - *gone)).clamp(0.0, 1.0);
            *gone = until;
            share
        };
        let shares = (share(&mut gone_first, 0.0), share(&mut gone_second, shift));
        states.step(shares, &orders);
    }
    states.of(first, second).iter().sum()
}

/// The probability of each number of laps so far and each U so far.
struct Table {
    first: usize,
    second: usize,
    /// U from 0 to the largest that matters, for each pair of numbers.
    cells: Vec<Vec<f64>>,
}

impl Table {
    fn new(first: usize, second: usize, most: usize) -> Self {
        let mut cells = vec![vec![0.0; most + 1]; (first + 1) * (second + 1)];
        if let Some(start) = cells.first_mut().and_then(|cell| cell.first_mut()) {
            *start = 1.0;
        }
        Self { first, second, cells }
    }

    fn place(&self, a: usize, b: usize) -> usize {
        a * (self.second + 1) + b
    }

    fn of(&self, a: usize, b: usize) -> &[f64] {
        self.cells.get(self.place(a, b)).map(Vec::as_slice).unwrap_or_default()
    }

    /// Adds the laps of one part: a share of each stint's remaining ones.
    fn step(&mut self, shares: (f64, f64), orders: &[Vec<Vec<f64>>]) {
        // The fullest first, so that a state is read before this part adds to it.
        for a in (0..=self.first).rev() {
            let draws_a = draws(self.first - a, shares.0);
            for b in (0..=self.second).rev() {
                let at = self.place(a, b);
                let Some(cell) = self.cells.get_mut(at) else { continue };
                let seen = |chance: &f64| *chance > UNSEEN;
                let (Some(least), Some(most)) = (cell.iter().position(seen), cell.iter().rposition(seen))
                else {
                    continue;
                };
                let from = std::mem::replace(cell, vec![0.0; cell.len()]);
                let from = from.get(least..=most).unwrap_or_default();
                let draws_b = draws(self.second - b, shares.1);
                for (more_a, chance_a) in &draws_a {
                    for (more_b, chance_b) in &draws_b {
                        let place = self.place(a + more_a, b + more_b);
                        let order = orders.get(*more_a).and_then(|orders| orders.get(*more_b));
                        let (Some(to), Some(order)) = (self.cells.get_mut(place), order) else { continue };
                        let chance = chance_a * chance_b;
                        if chance < NEVER {
                            continue;
                        }
                        for (within, of_order) in order.iter().enumerate() {
                            // Each lap of the second stint that comes now is longer than all of the first that came
                            // before.
                            let passed = more_b * a + within + least;
                            let weight = chance * of_order;
                            for (cell, before) in
                                to.get_mut(passed..).unwrap_or_default().iter_mut().zip(from)
                            {
                                *cell += before * weight;
                            }
                        }
                    }
                }
            }
        }
    }
}

/// How many of the remaining laps come now: each number with its probability.
fn draws(left: usize, share: f64) -> Vec<(usize, f64)> {
    let mut all = Vec::new();
    if share >= 1.0 {
        return vec![(left, 1.0)];
    }
    let mut chance = libm::pow(1.0 - share, left as f64);
    for count in 0..=left {
        if chance >= NEVER {
            all.push((count, chance));
        } else if count as f64 > share * left as f64 {
            break;
        }
        chance *= (left - count) as f64 / (count + 1) as f64 * share / (1.0 - share);
    }
    all
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn without_a_difference_it_is_what_chance_shows() {
        // The two tails of the distribution that the comparison's p is counted from.
        for (first, second) in [(8, 4), (12, 6), (6, 6)] {
            let most = most_that_shows(first, second).unwrap();
            let tail: f64 = chances(first, second).iter().take(most + 1).sum();
            let found = power(first, second, 0.0).unwrap();
            assert!((found - 2.0 * tail).abs() < 1e-5, "{first} {second}: {found} {tail}");
        }
    }

    #[test]
    fn more_laps_and_larger_differences_show_more_surely() {
        let of = |laps: usize, difference: f64| power(2 * laps, laps, difference).unwrap();
        assert!(of(4, 1.0) < of(6, 1.0) && of(6, 1.0) < of(8, 1.0));
        assert!(of(6, 0.5) < of(6, 1.0) && of(6, 1.0) < of(6, 2.0));
        assert!((of(6, 1.0) - of(6, -1.0)).abs() < 1e-12);
    }

    #[test]
    fn what_is_asked_for_is_the_fewest_that_do() {
        let laps = laps_to_show(1.5, 12).unwrap();
        let of = |laps: usize| power(2 * laps, laps, 1.5).unwrap();
        assert!(of(laps) >= ENOUGH_POWER && of(laps - 1) < ENOUGH_POWER, "{laps}");
        assert_eq!((laps_to_show(1.5, laps - 1), laps_to_show(9.0, 3)), (None, None));
        let least = least_shown(6).unwrap();
        assert!(power(12, 6, least).unwrap() >= ENOUGH_POWER);
        assert!(power(12, 6, least - 0.03).unwrap() < ENOUGH_POWER);
    }

    #[test]
    fn what_cannot_be_compared_has_no_power() {
        assert_eq!(power(3, 9, 1.0), None);
        assert_eq!(power(8, 4, f64::NAN), None);
        assert_eq!(power(500, 500, 1.0), None);
    }

    #[test]
    fn the_spread_is_that_within_stints() {
        let level = |at: f64| [0.0, 0.4, 1.1, -0.3, 0.6].map(|lap| at + lap).to_vec();
        let (near, far) = (deviation(&[level(120.0)]), deviation(&[level(120.0), level(160.0)]));
        assert_eq!(near.map(|it| (it * 1e9).round()), far.map(|it| (it * 1e9).round()));
        assert_eq!(deviation(&[vec![1.0], Vec::new()]), None);
    }
}
