//! Chassis, chain line and chain.

use std::f64::consts::PI;

use loambook::physics::chain::Chain;
use loambook::physics::geometry::{Reference, Setup};
use loambook::physics::{Attitude, ChainLine, Number, Point, solve};
use proptest::prelude::*;

use super::{Dual, by_differences, close, derivative};

prop_compose! {
    /// Machines from a child's to the tallest, in m and rad.
    fn machines()(
        rake in 0.38..0.52_f64,
        wheelbase in 1.1..1.55_f64,
        front_radius in 0.24..0.36_f64,
        rear_radius in 0.24..0.36_f64,
        offset in 0.0..0.06_f64,
        swingarm in 0.42..0.62_f64,
        rise in 0.02..0.15_f64,
    ) -> Reference<f64> {
        Reference {
            rake, wheelbase, front_radius, rear_radius, offset, swingarm,
            fork_height: 0.005,
            front_sag: 0.0,
            rear_sag: 0.0,
            pivot_height: rear_radius + rise,
        }
    }
}

prop_compose! {
    fn set_machines()(
        reference in machines(),
        fork_height in 0.0..0.02_f64,
        front_sag in 0.0..0.12_f64,
        rear_sag in -0.02..0.15_f64,
        axle_move in -0.02..0.04_f64,
        offset_change in -0.004..0.004_f64,
    ) -> (Reference<f64>, Setup<f64>) {
        let setup = Setup {
            fork_height, front_sag, rear_sag, axle_move,
            offset: reference.offset + offset_change,
            ..reference.setup()
        };
        (reference, setup)
    }
}

fn stands(reference: &Reference<f64>, setup: &Setup<f64>) -> Attitude<f64> {
    Attitude::of(reference, setup).unwrap()
}

fn dual(reference: &Reference<f64>) -> Reference<Dual> {
    let constant = Dual::constant;
    Reference {
        rake: constant(reference.rake),
        wheelbase: constant(reference.wheelbase),
        front_radius: constant(reference.front_radius),
        rear_radius: constant(reference.rear_radius),
        offset: constant(reference.offset),
        fork_height: constant(reference.fork_height),
        front_sag: constant(reference.front_sag),
        rear_sag: constant(reference.rear_sag),
        swingarm: constant(reference.swingarm),
        pivot_height: constant(reference.pivot_height),
    }
}

proptest! {
    #[test]
    fn the_reference_gives_its_own_numbers(reference in machines()) {
        let attitude = stands(&reference, &reference.setup());
        prop_assert!(close(attitude.rake, reference.rake, 1e-13, 1.0));
        prop_assert!(close(attitude.wheelbase, reference.wheelbase, 1e-13, 1.0));
        prop_assert!(close(attitude.pivot_height, reference.pivot_height, 1e-13, 1.0));
        prop_assert!(attitude.pitch.abs() < 1e-13);
    }

    #[test]
    fn raising_the_tubes_steepens((reference, setup) in set_machines(), more in 0.0005..0.015_f64) {
        let before = stands(&reference, &setup);
        let raised = Setup { fork_height: setup.fork_height + more, ..setup };
        let after = stands(&reference, &raised);
        prop_assert!(after.rake < before.rake);
        prop_assert!(after.trail < before.trail);
        prop_assert!(after.wheelbase < before.wheelbase);
        // And so does as much sag in front: it is the same length of fork.
        let sagged = Setup { front_sag: setup.front_sag + more, ..setup };
        prop_assert!(close(stands(&reference, &sagged).rake, after.rake, 1e-13, 1.0));
    }

    #[test]
    fn rear_sag_and_a_longer_swingarm_do_what_they_do(
        (reference, setup) in set_machines(),
        more in 0.001..0.03_f64,
    ) {
        let before = stands(&reference, &setup);
        let lower = stands(&reference, &Setup { rear_sag: setup.rear_sag + more, ..setup });
        prop_assert!(lower.rake > before.rake && lower.trail > before.trail);
        prop_assert!(lower.droop < before.droop);
        let longer = stands(&reference, &Setup { axle_move: setup.axle_move + more, ..setup });
        prop_assert!(longer.wheelbase > before.wheelbase);
    }

    /// The attitude is a rigid turn: lengths stay, and both tyres touch the ground.
    #[test]
    fn the_chassis_is_rigid_and_stands_on_both_wheels((reference, setup) in set_machines()) {
        let attitude = stands(&reference, &setup);
        let shorter = setup.fork_height - reference.fork_height + setup.front_sag - reference.front_sag;
        let across = setup.offset - reference.offset;
        let (sine, cosine) = (libm::sin(reference.rake), libm::cos(reference.rake));
        let front = Point {
            x: reference.wheelbase - shorter * sine + across * cosine,
            y: reference.front_radius + shorter * cosine + across * sine,
        };
        let on_ground = attitude.on_ground(front);
        prop_assert!(close(on_ground.x, attitude.wheelbase, 1e-12, 1.0));
        prop_assert!(close(on_ground.y, setup.front_radius, 1e-12, 1.0));
        let pivot = attitude.on_ground(attitude.pivot);
        prop_assert!(close(pivot.y, attitude.pivot_height, 1e-12, 1.0));
        let rear = attitude.on_ground(attitude.rear_axle);
        let length = reference.swingarm + setup.axle_move;
        prop_assert!(close(pivot.distance(rear), length, 1e-12, 1.0));
        prop_assert!(close(rear.distance(on_ground), attitude.rear_axle.distance(front), 1e-12, 1.0));
    }

    /// Anti-squat against the two lines drawn and crossed.
    #[test]
    fn anti_squat_is_where_the_lines_cross(
        reference in machines(),
        ahead in 0.06..0.09_f64,
        above in -0.01..0.03_f64,
        front in 0.02..0.04_f64,
        rear in 0.09..0.14_f64,
        sag in 0.0..0.1_f64,
        height in 0.6..1.1_f64,
    ) {
        let attitude = stands(&reference, &Setup { rear_sag: sag, ..reference.setup() });
        let line = ChainLine::of(&attitude, Point { x: ahead, y: above }, front, rear);
        let squat = line.anti_squat(height, attitude.wheelbase).unwrap();

        // The upper outer tangent, found as the line that leaves both circles below it.
        let (axle, shaft, pivot) = (line.rear_axle, line.countershaft, line.pivot);
        let lies_on_both = |angle: f64| {
            let normal = (-libm::sin(angle), libm::cos(angle));
            let touch = |centre: Point<f64>, radius: f64| centre.x * normal.0 + centre.y * normal.1 + radius;
            touch(axle, rear) - touch(shaft, front)
        };
        let run = solve::root(lies_on_both, -1.2, 1.2).unwrap();
        let start = (axle.x - rear * libm::sin(run), axle.y + rear * libm::cos(run));
        let swing = libm::atan2(pivot.y - axle.y, pivot.x - axle.x);
        prop_assume!((run - swing).abs() > 0.01);
        let along = ((axle.y - start.1) * libm::cos(swing) - (axle.x - start.0) * libm::sin(swing))
            / libm::sin(run - swing);
        let centre = (start.0 + along * libm::cos(run), start.1 + along * libm::sin(run));
        let tangent = centre.1 / (centre.0 - axle.x);
        prop_assert!(close(squat.share, tangent * attitude.wheelbase / height, 1e-9, 1.0));
    }

    #[test]
    fn derivatives_of_the_attitude_are_exact((reference, setup) in set_machines(), way in 0..4_usize) {
        let with = |value: f64| {
            let mut changed = (reference, setup);
            *[
                &mut changed.0.pivot_height,
                &mut changed.1.front_sag,
                &mut changed.1.rear_sag,
                &mut changed.0.rake,
            ][way] = value;
            changed
        };
        let place = [reference.pivot_height, setup.front_sag, setup.rear_sag, reference.rake][way];
        let exact = |pick: fn(&Attitude<Dual>) -> Dual| {
            derivative(
                |value| {
                    let (mut reference, mut setup) = (dual(&reference), dual_setup(&setup));
                    *[
                        &mut reference.pivot_height,
                        &mut setup.front_sag,
                        &mut setup.rear_sag,
                        &mut reference.rake,
                    ][way] = value;
                    pick(&Attitude::of(&reference, &setup).unwrap())
                },
                place,
            )
        };
        let differences = |pick: fn(&Attitude<f64>) -> f64| {
            by_differences(|value| { let (r, s) = with(value); pick(&stands(&r, &s)) }, place, 1e-3)
        };
        prop_assert!(close(exact(|a| a.rake), differences(|a| a.rake), 1e-6, 1.0));
        prop_assert!(close(exact(|a| a.trail), differences(|a| a.trail), 1e-6, 1.0));
        prop_assert!(close(exact(|a| a.wheelbase), differences(|a| a.wheelbase), 1e-6, 1.0));
        prop_assert!(close(exact(|a| a.droop), differences(|a| a.droop), 1e-6, 1.0));
    }

    #[test]
    fn a_chain_of_whole_links_is_taut_at_its_centres(
        front_teeth in 11..17_u32,
        rear_teeth in 36..56_u32,
        links in 104..130_u32,
    ) {
        let chain = Chain { pitch: 0.015_875, front_teeth, rear_teeth };
        let centres = chain.centres(links).unwrap();
        prop_assert!(close(chain.links(centres).unwrap(), f64::from(links), 1e-13, 1.0));
        // The handbook's approximation is the expansion for long chains: near, never the same.
        let (front, rear) = (f64::from(front_teeth), f64::from(rear_teeth));
        let taper = (rear - front) / (2.0 * PI);
        let handbook =
            2.0 * centres / chain.pitch + (front + rear) / 2.0 + taper * taper * chain.pitch / centres;
        prop_assert!((handbook - f64::from(links)).abs() < 0.02);
        prop_assert!(chain.centres(links + 2).unwrap() > centres);
        let bigger = Chain { rear_teeth: rear_teeth + 1, ..chain };
        prop_assert!(bigger.centres(links).unwrap() < centres);
    }
}

fn dual_setup(setup: &Setup<f64>) -> Setup<Dual> {
    let constant = Dual::constant;
    Setup {
        front_radius: constant(setup.front_radius),
        rear_radius: constant(setup.rear_radius),
        offset: constant(setup.offset),
        fork_height: constant(setup.fork_height),
        front_sag: constant(setup.front_sag),
        rear_sag: constant(setup.rear_sag),
        axle_move: constant(setup.axle_move),
    }
}
