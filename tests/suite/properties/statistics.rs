//! Drift, stints and uncertainty.

use loambook::physics::statistics::{compare, drift, median, normal_quantile, student_quantile};
use loambook::physics::uncertainty::{Component, combine, coverage_factor, shares};
use proptest::collection::vec;
use proptest::prelude::*;

use super::close;

prop_compose! {
    fn components()(parts in vec((0.01..3.0_f64, 1.0..40.0_f64), 1..6)) -> Vec<Component> {
        parts.into_iter().map(|(u, freedom)| Component { u, freedom }).collect()
    }
}

/// Times in tenths, so that ties are common.
fn laps() -> impl Strategy<Value = Vec<f64>> {
    vec((1_200_u32..1_260).prop_map(|tenths| f64::from(tenths) / 10.0), 4..9)
}

proptest! {
    #[test]
    fn a_straight_line_is_found(
        slope in -2.0..2.0_f64, at_zero in -50.0..50.0_f64, times in vec(0.0..300.0_f64, 3..20),
    ) {
        let points: Vec<_> = times.iter().map(|time| (*time, at_zero + slope * time)).collect();
        let line = drift(&points).unwrap();
        prop_assert!(close(line.slope, slope, 1e-6, 1.0) && close(line.at_zero, at_zero, 1e-4, 1.0));
        if let Some((low, high)) = line.interval {
            prop_assert!(low <= line.slope && line.slope <= high);
        }
    }

    #[test]
    fn a_line_at_the_edge_of_its_band_leaves_it(
        values in vec(90.0..110.0_f64, 5..30), low in 80.0..99.0_f64,
    ) {
        let points: Vec<_> = values.iter().enumerate().map(|(day, value)| (day as f64, *value)).collect();
        let line = drift(&points).unwrap();
        if let Some(day) = line.leaves((low, low + 10.0)) {
            let edge = if line.slope > 0.0 { low + 10.0 } else { low };
            prop_assert!(close(line.at(day), edge, 1e-9, 1.0));
        }
    }

    #[test]
    fn faster_laps_shift_by_as_much(first in laps(), second in laps(), faster in 0.1..9.0_f64) {
        let before = compare(&first, &second).unwrap();
        let quicker: Vec<f64> = second.iter().map(|lap| lap - faster).collect();
        let after = compare(&first, &quicker).unwrap();
        prop_assert!(close(after.shift, before.shift - faster, 1e-9, 1.0));
        prop_assert!(after.count <= before.count);
        let interval = before.interval.unwrap();
        prop_assert!(interval.low <= before.shift && before.shift <= interval.high);
        prop_assert!(interval.confidence >= 0.95 && interval.confidence < 1.0);
        prop_assert!(before.p > 0.0 && before.p <= 1.0);
    }

    #[test]
    fn a_stint_against_itself_shows_nothing(laps in laps()) {
        let itself = compare(&laps, &laps).unwrap();
        prop_assert!(itself.shift == 0.0 && close(itself.p, 1.0, 1e-12, 0.0));
    }

    #[test]
    fn a_median_parts_a_list(values in vec(-9.0..9.0_f64, 1..30)) {
        let middle = median(&values).unwrap();
        let below = values.iter().filter(|value| **value < middle).count();
        let above = values.iter().filter(|value| **value > middle).count();
        prop_assert!(2 * below <= values.len() && 2 * above <= values.len());
    }

    #[test]
    fn quantiles_are_symmetric_and_tails_thin_out(
        probability in 0.501..0.999_9_f64, freedom in 1.0..2_000.0_f64,
    ) {
        let student = |freedom: f64| student_quantile(probability, freedom).unwrap();
        let other = student_quantile(1.0 - probability, freedom).unwrap();
        prop_assert!(close(student(freedom), -other, 1e-10, 1.0));
        prop_assert!(student(freedom) > student(freedom * 1.01));
        prop_assert!(student(freedom) > normal_quantile(probability).unwrap());
    }

    #[test]
    fn the_whole_is_more_than_its_parts_and_better_known_than_the_worst(parts in components()) {
        let whole = combine(&parts);
        let sum: f64 = parts.iter().map(|part| part.u).sum();
        let worst = parts.iter().map(|part| part.freedom).fold(f64::INFINITY, f64::min);
        let most: f64 = parts.iter().map(|part| part.freedom).sum();
        prop_assert!(parts.iter().all(|part| whole.u >= part.u) && whole.u <= sum * (1.0 + 1e-12));
        prop_assert!(whole.freedom >= worst * (1.0 - 1e-12) && whole.freedom <= most * (1.0 + 1e-12));
        prop_assert!(whole.expanded() > 2.0 * whole.u && coverage_factor(whole.freedom) < 14.0);
        prop_assert!(close(shares(&parts).iter().sum(), 1.0, 1e-12, 0.0));
    }
}
