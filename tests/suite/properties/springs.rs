//! Springs, leverage, forks and air.

use loambook::physics::air::{self, Chamber, Side, Surroundings};
use loambook::physics::fork::Coil;
use loambook::physics::springs::{self, Shock};
use loambook::physics::{Fork, Leverage, Number, Rest, Unsettled};
use proptest::prelude::*;

use super::{Dual, by_differences, close, derivative};

const ATMOSPHERE: f64 = 101_325.0;
const TRAVEL: f64 = 0.3;

prop_compose! {
    /// Linkages that rise in rate, as rows or as two leverages.
    fn leverages()(extended in 2.5..3.2_f64, fall in 0.0..0.6_f64, rows in 2..9_u32) -> Leverage {
        let linear = Leverage::Linear { extended, bottomed: extended - fall, travel: TRAVEL };
        if rows < 5 {
            return linear;
        }
        let place = |row: u32| TRAVEL * f64::from(row) / f64::from(rows);
        let table: Vec<_> = (0..=rows).map(|row| (place(row), linear.stroke(place(row)))).collect();
        Leverage::table(&table).unwrap()
    }
}

prop_compose! {
    fn chambers()(
        positive in any::<bool>(),
        area in 3e-4..1.5e-3_f64,
        spare in 5e-5..4e-4_f64,
        pressure in 0.0..1.3e6_f64,
    ) -> Chamber<f64> {
        let side = if positive { Side::Positive } else { Side::Negative };
        Chamber { side, area, volume: area * TRAVEL + spare, pressure }
    }
}

prop_compose! {
    fn forks()(
        chambers in prop::collection::vec(chambers(), 1..4),
        rate in 0.0..12e3_f64,
        preload in 0.0..0.02_f64,
    ) -> Fork<f64> {
        Fork::new(TRAVEL, Some(Coil { rate, preload }), chambers, ATMOSPHERE).unwrap()
    }
}

fn shock(leverage: &Leverage, rate: f64, preload: f64) -> Shock<'_, f64> {
    Shock { leverage, travel: TRAVEL, rate, preload, gas_force: 120.0 }
}

proptest! {
    #[test]
    fn the_force_of_a_chamber_rises_along_the_stroke(
        chamber in chambers(),
        exponent in 1.0..1.4_f64,
        place in 0.0..0.29_f64,
    ) {
        let force = |place: f64| chamber.force(place, exponent, ATMOSPHERE);
        prop_assert!(force(place + 0.005) > force(place));
        let stiffness = chamber.stiffness(place, exponent, ATMOSPHERE);
        prop_assert!(stiffness > 0.0);
        prop_assert!(close(stiffness, by_differences(force, place, 1e-4), 1e-6, 1.0));
        // Settled and then moved at n = 1 is the same curve.
        let riding = chamber.riding_stiffness(place, 1.0, ATMOSPHERE);
        prop_assert!(close(riding, chamber.stiffness(place, 1.0, ATMOSPHERE), 1e-14, 1.0));
    }

    #[test]
    fn energy_is_the_area_under_the_force(
        fork in forks(),
        exponent in prop_oneof![Just(1.0), 1.0..1.000_01_f64, 1.0..1.4_f64],
        place in 0.01..0.3_f64,
    ) {
        // Simpson's rule over many strips against the closed form.
        let strips = 400;
        let width = place / f64::from(strips);
        let force = |index: u32, half: f64| fork.force(width * (f64::from(index) + half), exponent);
        let strip = |index: u32| force(index, 0.0) + 4.0 * force(index, 0.5) + force(index, 1.0);
        let area: f64 = (0..strips).map(strip).sum::<f64>() * width / 6.0;
        prop_assert!(close(fork.energy(place, exponent), area, 1e-8, 1.0));
    }

    /// The exponent is assumed with a spread, so the derivative to it is used.
    #[test]
    fn energy_and_force_know_their_exponent(
        chamber in chambers(),
        exponent in prop_oneof![Just(1.0), 1.0..1.4_f64],
        place in 0.01..0.29_f64,
    ) {
        let recorded = dual(&chamber);
        let (travel, atmosphere) = (Dual::constant(place), Dual::constant(ATMOSPHERE));
        let exact = derivative(|n| recorded.energy(travel, n, atmosphere), exponent);
        let numeric = by_differences(|n| chamber.energy(place, n, ATMOSPHERE), exponent, 1e-3);
        prop_assert!(close(exact, numeric, 1e-6, 1e-3), "{exact} {numeric}");
        let exact = derivative(|n| recorded.force(travel, n, atmosphere), exponent);
        let numeric = by_differences(|n| chamber.force(place, n, ATMOSPHERE), exponent, 1e-3);
        prop_assert!(close(exact, numeric, 1e-6, 1.0), "{exact} {numeric}");
    }

    #[test]
    fn a_fork_rests_where_it_carries_its_load(fork in forks(), load in 0.0..4000.0_f64) {
        match fork.rest(load).unwrap() {
            Rest::ToppedOut => prop_assert!(fork.force(0.0, 1.0) >= load),
            Rest::Floating(place) => {
                prop_assert!(place > 0.0 && place < TRAVEL);
                prop_assert!(close(fork.force(place, 1.0), load, 1e-10, 10.0));
            }
            Rest::Bottomed => prop_assert!(fork.force(TRAVEL, 1.0) <= load),
        }
    }

    /// The derivative of the place of rest, through the solver, to load and pressure.
    #[test]
    fn the_place_of_rest_knows_what_it_rests_on(
        chambers in prop::collection::vec(chambers(), 1..4),
        place in 0.02..0.28_f64,
    ) {
        let fork = Fork::new(TRAVEL, None, chambers.clone(), ATMOSPHERE).unwrap();
        let load = fork.force(place, 1.0);
        let found = fork.rest(load).unwrap().floating().unwrap();
        prop_assert!(close(found, place, 1e-10, 1.0));

        let rest = |load: Dual, pressure: Option<Dual>| {
            let mut parts: Vec<Chamber<Dual>> = chambers.iter().map(dual).collect();
            if let Some(pressure) = pressure {
                parts[0].pressure = pressure;
            }
            let constant = Dual::constant;
            let fork = Fork::new(constant(TRAVEL), None, parts, constant(ATMOSPHERE)).unwrap();
            fork.rest(load).unwrap().floating().unwrap()
        };
        let to_load = derivative(|load| rest(load, None), load);
        prop_assert!(close(to_load, 1.0 / fork.stiffness(place, 1.0), 1e-9, 0.0));

        let first = chambers[0];
        let to_pressure = derivative(|pressure| rest(Dual::constant(load), Some(pressure)), first.pressure);
        let force = |pressure: f64| Chamber { pressure, ..first }.force(place, 1.0, ATMOSPHERE);
        let expected = -by_differences(force, first.pressure, 1e3) / fork.stiffness(place, 1.0);
        prop_assert!(close(to_pressure, expected, 1e-8, 0.0));
    }

    #[test]
    fn a_fork_hangs_extended_unless_it_is_held_down(fork in forks(), unsprung in 0.0..200.0_f64) {
        match fork.hang(unsprung).unwrap() {
            Rest::ToppedOut => prop_assert!(fork.force(0.0, 1.0) >= -unsprung),
            Rest::Floating(place) => {
                prop_assert!(fork.force(0.0, 1.0) < -unsprung);
                prop_assert!((fork.force(place, 1.0) + unsprung).abs() < 1e-6);
            }
            Rest::Bottomed => prop_assert!(fork.force(TRAVEL, 1.0) <= -unsprung),
        }
    }

    #[test]
    fn forks_differ_nowhere_more_than_where_they_differ_most(
        one in forks(),
        other in forks(),
        exponent in 1.0..1.4_f64,
    ) {
        let gap = |place: f64| (other.force(place, exponent) - one.force(place, exponent)).abs();
        let most = gap(one.largest_difference(&other, exponent, TRAVEL));
        for step in 0..=300_u32 {
            prop_assert!(gap(TRAVEL * f64::from(step) / 300.0) <= most * (1.0 + 1e-9) + 1e-9);
        }
        let itself = one.largest_difference(&one, exponent, TRAVEL);
        prop_assert_eq!(one.force(itself, exponent) - one.force(itself, exponent), 0.0);
    }

    #[test]
    fn a_chamber_too_small_is_refused(chamber in chambers(), share in 0.1..1.0_f64) {
        let at = TRAVEL * share;
        let small = Chamber { volume: chamber.area * at, side: Side::Positive, ..chamber };
        let refused = Fork::new(TRAVEL, None, vec![chamber, small], ATMOSPHERE).unwrap_err();
        prop_assert_eq!(refused.chamber, 1);
        prop_assert!(close(refused.at, at, 1e-12, 1.0));
    }

    #[test]
    fn there_and_back_is_the_same_pressure(
        pressure in 0.0..1.5e6_f64,
        cold in 260.0..300.0_f64,
        warm in 280.0..330.0_f64,
        high in 7e4..1.02e5_f64,
    ) {
        let bench = Surroundings { temperature: cold, atmosphere: ATMOSPHERE };
        let gate = Surroundings { temperature: warm, atmosphere: high };
        let back = air::taken_to(air::taken_to(pressure, bench, gate), gate, bench);
        prop_assert!(close(back, pressure, 1e-12, ATMOSPHERE));
    }

    /// One lever and one coil need no solver: `z = ℓ (W ℓ/k − q)`.
    #[test]
    fn a_constant_leverage_agrees_with_its_closed_form(
        lever in 2.3..3.2_f64,
        rate in 35e3..70e3_f64,
        preload in 0.0..0.02_f64,
        load in 50.0..1500.0_f64,
    ) {
        let leverage = Leverage::Constant(lever);
        let shock = Shock { gas_force: 0.0, ..shock(&leverage, rate, preload) };
        let closed = lever * (load * lever / rate - preload);
        let found = shock.rest(load).unwrap().used(TRAVEL);
        prop_assert!(close(found, closed.clamp(0.0, TRAVEL), 1e-12, 1.0));
    }

    #[test]
    fn a_linear_leverage_that_does_not_change_is_constant(lever in 2.3..3.2_f64, place in 0.0..0.3_f64) {
        let constant = Leverage::Constant(lever);
        for hair in [0.0, 1e-13, 1e-9] {
            let linear = Leverage::Linear { extended: lever, bottomed: lever - hair, travel: TRAVEL };
            prop_assert!(close(linear.stroke(place), constant.stroke(place), 1e-9, 1e-3));
            prop_assert!(close(linear.motion_ratio(place), constant.motion_ratio(place), 1e-9, 0.0));
        }
    }

    #[test]
    fn strokes_ratios_and_rates_are_each_others_derivatives(
        leverage in leverages(),
        place in 0.02..0.28_f64,
        rate in 35e3..70e3_f64,
    ) {
        let ratio = by_differences(|place| leverage.stroke(place), place, 1e-4);
        prop_assert!(close(leverage.motion_ratio(place), ratio, 1e-6, 0.0));
        let exact = derivative(|place| leverage.motion_ratio(place), place);
        prop_assert!(close(leverage.curvature(place), exact, 1e-14, 0.0));
        let shock = shock(&leverage, rate, 0.008);
        let numeric = by_differences(|place| shock.wheel_force(place), place, 1e-4);
        prop_assert!(close(shock.wheel_rate(place), numeric, 1e-5, 0.0));
    }

    #[test]
    fn a_table_rises_between_its_rows_however_uneven(
        steps in prop::collection::vec((5e-3..0.08_f64, 1e-4..0.04_f64), 1..9),
    ) {
        let mut rows = vec![(0.0, 0.0)];
        for (wheel, stroke) in steps {
            let &(before, used) = rows.last().unwrap();
            rows.push((before + wheel, used + stroke));
        }
        let leverage = Leverage::table(&rows).unwrap();
        for &(wheel, stroke) in &rows {
            prop_assert!(close(leverage.stroke(wheel), stroke, 1e-12, 1e-2));
        }
        let end = leverage.measured_to().unwrap();
        let strokes: Vec<f64> =
            (0..=500).map(|step| leverage.stroke(end * f64::from(step) / 500.0)).collect();
        prop_assert!(strokes.windows(2).all(|pair| pair[1] > pair[0]));
    }

    #[test]
    fn more_load_more_sag_more_preload_less(
        leverage in leverages(),
        rate in 35e3..70e3_f64,
        preload in 0.002..0.015_f64,
        load in 200.0..900.0_f64,
    ) {
        let sag = |rate: f64, preload: f64, load: f64| {
            shock(&leverage, rate, preload).rest(load).unwrap().floating()
        };
        let Some(here) = sag(rate, preload, load) else { return Ok(()) };
        for (other, less) in [
            (sag(rate, preload, load * 1.02), false),
            (sag(rate, preload + 0.001, load), true),
            (sag(rate * 1.03, preload, load), true),
        ] {
            if let Some(other) = other {
                prop_assert_eq!(other < here, less);
            }
        }
        let back = shock(&leverage, rate, preload).preload_for(load, here);
        prop_assert!(close(back, preload, 1e-9, 1e-3));
    }

    #[test]
    fn two_sags_give_back_the_spring_that_made_them(
        leverage in leverages(),
        rate in 35e3..70e3_f64,
        preload in 0.0..0.015_f64,
        one in 0.02..0.05_f64,
        other in 0.08..0.13_f64,
    ) {
        let shock = shock(&leverage, rate, preload);
        let seen = |wheel: f64| (shock.wheel_force(wheel), wheel);
        let fitted = springs::fitted(&leverage, shock.gas_force, seen(one), seen(other)).unwrap();
        prop_assert!(close(fitted.rate, rate, 1e-10, 0.0));
        prop_assert!(close(fitted.preload, preload, 1e-9, 1e-2));
    }

    /// The sag's derivative to rate, preload and load, through the solver.
    #[test]
    fn the_sag_knows_what_it_rests_on(
        leverage in leverages(),
        rate in 35e3..70e3_f64,
        preload in 0.0..0.015_f64,
        place in 0.03..0.25_f64,
        way in 0..3_usize,
    ) {
        let load = shock(&leverage, rate, preload).wheel_force(place);
        let inputs = [rate, preload, load];
        let exact = derivative(
            |value| {
                let mut numbers = inputs.map(Dual::constant);
                numbers[way] = value;
                let [rate, preload, load] = numbers;
                let (travel, gas_force) = (Dual::constant(TRAVEL), Dual::constant(120.0));
                let shock = Shock { leverage: &leverage, travel, rate, preload, gas_force };
                shock.rest(load).unwrap().floating().unwrap()
            },
            inputs[way],
        );
        let numeric = by_differences(
            |value| {
                let mut numbers = inputs;
                numbers[way] = value;
                let [rate, preload, load] = numbers;
                shock(&leverage, rate, preload).rest(load).unwrap().floating().unwrap()
            },
            inputs[way],
            [20.0, 1e-5, 0.5][way],
        );
        prop_assert!(close(exact, numeric, 1e-5, 0.0), "{exact} {numeric}");
    }
}

/// A linkage whose ratio collapses pushes less the further it goes.
#[test]
fn a_linkage_that_falls_is_unstable_and_says_where() {
    let leverage = Leverage::table(&[(0.0, 0.0), (0.1, 0.06), (0.2, 0.09), (0.3, 0.1)]).unwrap();
    let shock = shock(&leverage, 40e3, 0.05);
    let Err(Unsettled::Falls { at }) = shock.rest(1500.0) else { panic!("it must not settle") };
    assert!(shock.wheel_rate(at) <= 0.0);
    assert_eq!(shock.falls_at(), Some(at));
}

/// A value that is not a number must not come to rest anywhere.
#[test]
fn a_load_that_is_no_number_does_not_settle() {
    let leverage = Leverage::Constant(2.6);
    assert_eq!(shock(&leverage, 50e3, 0.0).rest(f64::NAN), Err(Unsettled::NotANumber));
    let coil = Coil { rate: 9600.0, preload: 0.0 };
    let fork = Fork::new(TRAVEL, Some(coil), Vec::new(), ATMOSPHERE).unwrap();
    assert_eq!(fork.rest(f64::NAN), Err(Unsettled::NotANumber));
}

fn dual(chamber: &Chamber<f64>) -> Chamber<Dual> {
    Chamber {
        side: chamber.side,
        area: Dual::constant(chamber.area),
        volume: Dual::constant(chamber.volume),
        pressure: Dual::constant(chamber.pressure),
    }
}
