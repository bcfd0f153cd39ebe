//! Two stints of laps compared: the difference, and whether it could be chance.

use super::spread::median_of_sorted;
use super::{CONFIDENCE, normal_quantile};

/// Laps of a stint below which nothing is said: three against four cannot reach a p of five per cent.
pub const FEWEST_LAPS: usize = 4;

/// Size up to which probabilities are counted exactly: the laps of the shorter stint times all laps, fifty
/// against fifty. The work grows with its square. Beyond it the normal approximation is within a few
/// thousandths.
const COUNTED_SIZE: usize = 5_000;

/// Pairs beyond which memory and time would be wasted.
const MOST_PAIRS: usize = 1_000_000;

/// Two stints compared. Differences are second minus first: below zero the second is faster.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Comparison {
    /// The Hodges–Lehmann shift, s.
    pub shift: f64,
    /// Of the shift; `None` where no pair of differences reaches 95 %.
    pub interval: Option<Interval>,
    /// The Mann–Whitney count: pairs in which the second is the larger, ties as a half.
    pub count: f64,
    /// The two-sided share of all ways to divide the laps into two stints that are at least as lopsided.
    pub p: f64,
    /// Whether p and confidence are counted exactly, and not approximated for many laps.
    pub exact: bool,
}

/// The two shifts at its ends, and its confidence.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Interval {
    pub low: f64,
    pub high: f64,
    /// The confidence of the interval: 0.95 or the next step above.
    pub confidence: f64,
}

/// Why two stints are not compared.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Uncompared {
    /// Fewer than [`FEWEST_LAPS`] in one of them.
    TooFew,
    /// More than a million pairs.
    TooMany,
}

/// Compares two stints of laps.
///
/// **Units** s. **Shape** any order. **Domain** numbers. **Errors** [`Uncompared`].
///
/// **Source** J. L. Hodges and E. L. Lehmann, *Ann. Math. Stat.* 34 (1963) 598: the median of all differences, its
/// interval from the k-th of either end, k the largest with `P(U ≤ k − 1) ≤ 2.5 %`; H. B. Mann and D. R. Whitney,
/// *Ann. Math. Stat.* 18 (1947) 50: U, with mid-ranks and exact over all assignments of them.
pub fn compare(first: &[f64], second: &[f64]) -> Result<Comparison, Uncompared> {
    if first.len().min(second.len()) < FEWEST_LAPS {
        return Err(Uncompared::TooFew);
    }
    let pairs = first.len().saturating_mul(second.len());
    if pairs > MOST_PAIRS {
        return Err(Uncompared::TooMany);
    }
    let mut differences: Vec<f64> =
        first.iter().flat_map(|from| second.iter().map(move |to| to - from)).collect();
    differences.sort_unstable_by(f64::total_cmp);
    let shorter = first.len().min(second.len());
    let exact = shorter * (first.len() + second.len()) <= COUNTED_SIZE;
    let twice_count = twice_count(first, second);
    let p =
        if exact { exact_p(first, second, twice_count) } else { approximate_p(first, second, twice_count) };
    let step = if exact {
        exact_step(first.len(), second.len())
    } else {
        approximate_step(first.len(), second.len())
    };
    Ok(Comparison {
        shift: median_of_sorted(&differences).ok_or(Uncompared::TooFew)?,
        interval: step.and_then(|step| step.interval(&differences)),
        count: 0.5 * twice_count as f64,
        p,
        exact,
    })
}

/// How far from either end of the sorted differences the interval reaches, counted from 1.
struct Step {
    place: usize,
    confidence: f64,
}

impl Step {
    fn interval(&self, differences: &[f64]) -> Option<Interval> {
        let low = *differences.get(self.place.checked_sub(1)?)?;
        let high = *differences.get(differences.len().checked_sub(self.place)?)?;
        Some(Interval { low, high, confidence: self.confidence })
    }
}

/// Twice U of the second over the first, which is whole.
fn twice_count(first: &[f64], second: &[f64]) -> usize {
    let pairs = first.iter().flat_map(|from| second.iter().map(move |to| (from, to)));
    pairs.map(|(from, to)| usize::from(to > from) + usize::from(to >= from)).sum()
}

/// Twice the mid-rank of each lap, in rising order. Ranks count from 1.
fn twice_ranks(first: &[f64], second: &[f64]) -> Vec<usize> {
    let mut all: Vec<f64> = first.iter().chain(second).copied().collect();
    all.sort_unstable_by(f64::total_cmp);
    let mut before = 0;
    let groups = all.chunk_by(|one, next| one == next).flat_map(|group| {
        let rank = 2 * before + group.len() + 1;
        before += group.len();
        std::iter::repeat_n(rank, group.len())
    });
    groups.collect()
}

/// The probability of each sum of `chosen` of the `parts` when they are drawn blindly; by sum, from zero.
///
/// Probabilities rather than numbers of ways, which overflow: each part is drawn with the share of what is
/// still to be drawn in what is left.
fn sums(parts: &[usize], chosen: usize) -> Vec<f64> {
    let largest: usize = parts.iter().rev().take(chosen).sum();
    // By how many are drawn, then by their sum.
    let mut states = vec![vec![0.0; largest + 1]; chosen + 1];
    if let Some(start) = states.first_mut().and_then(|sums| sums.first_mut()) {
        *start = 1.0;
    }
    for (index, part) in parts.iter().enumerate() {
        let left = (parts.len() - index) as f64;
        // The fullest first, so that a state is read before this part changes it.
        for drawn in (0..=chosen).rev() {
            let share = (chosen - drawn) as f64 / left;
            let (below, above) = states.split_at_mut(drawn + 1);
            let Some(from) = below.last_mut() else { continue };
            if let Some(to) = above.first_mut() {
                for (sum, chance) in to.iter_mut().skip(*part).zip(from.iter()) {
                    *sum += chance * share;
                }
            }
            for chance in from {
                *chance *= 1.0 - share;
            }
        }
    }
    states.pop().unwrap_or_default()
}

/// Counted from the shorter stint: that does not change how lopsided a count is, and saves much work.
fn exact_p(first: &[f64], second: &[f64], twice_count: usize) -> f64 {
    let ranks = twice_ranks(first, second);
    let pairs = first.len() * second.len();
    let shorter = first.len().min(second.len());
    // U is the sum of the ranks less what the stint's ranks among themselves would sum to.
    let least = shorter * (shorter + 1);
    let lopsided = |twice: usize| twice.abs_diff(pairs);
    let chances = sums(&ranks, shorter).into_iter().enumerate().skip(least);
    let as_lopsided = chances.filter(|(sum, _)| lopsided(sum - least) >= lopsided(twice_count));
    as_lopsided.map(|(_, chance)| chance).sum::<f64>().min(1.0)
}

/// The probability of each U of the second stint over the first where laps come in any order, from zero.
pub(super) fn chances(first: usize, second: usize) -> Vec<f64> {
    let ranks: Vec<usize> = (1..=first + second).collect();
    let least = second * (second + 1) / 2;
    sums(&ranks, second).into_iter().skip(least).collect()
}

/// The largest U of either tail that shows a difference between stints without ties; `None` where none does.
pub(super) fn most_that_shows(first: usize, second: usize) -> Option<usize> {
    exact_step(first, second)?.place.checked_sub(1)
}

/// The interval's place from the distribution of U without ties.
fn exact_step(first: usize, second: usize) -> Option<Step> {
    let allowed = 0.5 * (1.0 - CONFIDENCE);
    let mut step = None;
    let mut tail = 0.0;
    for (place, chance) in chances(first.max(second), first.min(second)).iter().enumerate() {
        tail += chance;
        // A margin for rounding of a tail that is exactly 2.5 %.
        if tail > allowed * (1.0 + 1e-12) {
            break;
        }
        step = Some(Step { place: place + 1, confidence: 1.0 - 2.0 * tail });
    }
    step
}

/// Mean and standard deviation of U: M. Hollander and D. A. Wolfe, *Nonparametric Statistical Methods*, ch. 4.
fn moments(first: usize, second: usize, tied: f64) -> (f64, f64) {
    let (m, n) = (first as f64, second as f64);
    let all = m + n;
    let variance = m * n / 12.0 * (all + 1.0 - tied / (all * (all - 1.0)));
    (0.5 * m * n, variance.max(0.0).sqrt())
}

/// By the normal distribution with the correction for ties and half a step for continuity.
fn approximate_p(first: &[f64], second: &[f64], twice_count: usize) -> f64 {
    let ranks = twice_ranks(first, second);
    let groups = ranks.chunk_by(|one, next| one == next).map(|group| group.len() as f64);
    let tied: f64 = groups.map(|count| count * count * count - count).sum();
    let (mean, deviation) = moments(first.len(), second.len(), tied);
    let away = (0.5 * twice_count as f64 - mean).abs() - 0.5;
    if deviation == 0.0 || away <= 0.0 {
        return 1.0;
    }
    libm::erfc(away / deviation / std::f64::consts::SQRT_2)
}

fn approximate_step(first: usize, second: usize) -> Option<Step> {
    let (mean, deviation) = moments(first, second, 0.0);
    let z = normal_quantile(0.5 + 0.5 * CONFIDENCE)?;
    // P(U ≤ k − 1) is the normal tail below k − ½.
    let place = (mean + 0.5 - z * deviation).floor();
    let tail = 0.5 * libm::erfc((mean + 0.5 - place) / deviation / std::f64::consts::SQRT_2);
    (place >= 1.0).then_some(Step { place: place as usize, confidence: 1.0 - 2.0 * tail })
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Every way to choose, one after another.
    fn by_enumeration(first: &[f64], second: &[f64]) -> f64 {
        let all: Vec<f64> = first.iter().chain(second).copied().collect();
        let pairs = first.len() * second.len();
        let observed = twice_count(first, second).abs_diff(pairs);
        let (mut as_lopsided, mut ways) = (0_u32, 0_u32);
        for choice in 0..1_u32 << all.len() {
            if choice.count_ones() as usize == second.len() {
                let pick = |wanted: bool| -> Vec<f64> {
                    let chosen = |index: &usize| (choice >> index & 1 == 1) == wanted;
                    (0..all.len()).filter(chosen).map(|index| all[index]).collect()
                };
                let lopsided = twice_count(&pick(false), &pick(true)).abs_diff(pairs);
                as_lopsided += u32::from(lopsided >= observed);
                ways += 1;
            }
        }
        f64::from(as_lopsided) / f64::from(ways)
    }

    #[test]
    fn p_is_that_of_all_assignments() {
        let first = [122.0, 122.0, 123.0, 124.0, 122.5];
        for second in [
            vec![121.0, 122.0, 122.0, 121.0],
            vec![121.0, 122.0, 122.5, 121.0, 123.0, 125.0],
            vec![119.0, 118.0, 117.0, 116.0, 115.0],
            vec![122.0; 4],
        ] {
            let found = compare(&first, &second).unwrap().p;
            assert!((found - by_enumeration(&first, &second)).abs() < 1e-14, "{found}");
        }
    }

    #[test]
    fn which_is_first_only_turns_the_sign() {
        let first = [124.1, 122.8, 123.3, 122.9, 125.0];
        let second = [122.0, 123.0, 122.4, 123.1];
        let (one, other) = (compare(&first, &second).unwrap(), compare(&second, &first).unwrap());
        assert!((one.shift + other.shift).abs() < 1e-12 && (one.p - other.p).abs() < 1e-15);
        assert_eq!(one.count + other.count, 20.0);
        let (one, other) = (one.interval.unwrap(), other.interval.unwrap());
        assert!((one.low + other.high).abs() < 1e-12 && (one.high + other.low).abs() < 1e-12);
    }

    /// Laps without ties, the second stint a little faster.
    fn stints(laps: u32) -> (Vec<f64>, Vec<f64>) {
        let lap = |seed: u32| 120.0 + f64::from(seed * 7919 % 1009) / 100.0;
        ((0..laps).map(lap).collect(), (laps..2 * laps).map(|seed| lap(seed) - 1.0 + 1e-4).collect())
    }

    #[test]
    fn many_laps_are_approximated_closely() {
        let (first, second) = stints(50);
        let counted = compare(&first, &second).unwrap();
        assert!(counted.exact);
        let twice = twice_count(&first, &second);
        assert!((counted.p - approximate_p(&first, &second, twice)).abs() < 1e-3, "{}", counted.p);
        let (exact, near) = (exact_step(50, 50).unwrap(), approximate_step(50, 50).unwrap());
        assert!(exact.place.abs_diff(near.place) <= 1 && (exact.confidence - near.confidence).abs() < 1e-3);
        let (first, second) = stints(51);
        let approximated = compare(&first, &second).unwrap();
        assert!(!approximated.exact && approximated.interval.unwrap().confidence >= 0.95);
        let same = vec![120.0; 60];
        assert_eq!(compare(&same, &same).unwrap().p, 1.0);
    }

    #[test]
    fn a_short_stint_against_a_long_one_is_counted() {
        let long: Vec<f64> = (0..1_000).map(|lap| 120.0 + f64::from(lap) / 500.0).collect();
        let found = compare(&[119.0, 119.1, 119.2, 119.3], &long).unwrap();
        // All four below all the others, or above: two ways among C(1004, 4).
        let ways = 1004.0 * 1003.0 * 1002.0 * 1001.0 / 24.0;
        assert!(found.exact && (found.p * ways / 2.0 - 1.0).abs() < 1e-9, "{}", found.p);
    }

    #[test]
    fn too_few_and_too_many_are_not_compared() {
        let laps = vec![120.0; 1001];
        assert_eq!(compare(&laps[..3], &laps[..9]), Err(Uncompared::TooFew));
        assert_eq!(compare(&laps, &laps), Err(Uncompared::TooMany));
    }
}
