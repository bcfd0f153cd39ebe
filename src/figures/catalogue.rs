//! Which part of the bench gives which figure, and by which formula.

use crate::quantity::Kind;
use crate::vocabulary::figures::{self as names, FigureRow};
use crate::vocabulary::names::{PERCENTS, fill, opened};
use crate::vocabulary::{End, Load, figures};

use super::bench::{Bench, Got, NO_NUMBER, cannot};
use super::figure::{Figure, Number, Outcome};
use super::formula::{self, Formula};
use super::geometry::{Geometry, Stance};
use super::recorder::Recorder;
use crate::physics::Number as _;

impl<R: Recorder> Bench<'_, R> {
    /// A figure by its name; a name that is none gives a figure that cannot be had.
    pub fn figure(&self, name: &str) -> Figure {
        let Some(row) = figures::row(name) else {
            let outcome = Outcome::Absent(cannot(format!("there is no figure `{name}`")));
            return Figure {
                id: name.to_owned(),
                outcome,
                assumed: Vec::new(),
                from: Vec::new(),
                formula: &formula::NONE,
                days: None,
            };
        };
        let ((got, formula), assumed, from) = self.observed(|bench| bench.work(row, name));
        let outcome = match got {
            Ok(number) => Outcome::Number(Number {
                kind: row.kind().unwrap_or(Kind::Number),
                value: number.value(),
                sources: self.sources_of(number),
            }),
            Err(absent) => Outcome::Absent(absent),
        };
        let days = opened(names::LEAK_CHAMBER, name).and_then(|chamber| self.leak_days(chamber));
        Figure { id: name.to_owned(), outcome, assumed, from, formula, days }
    }

    /// A figure that has no name of its own in the vocabulary: one of several that are held side by side.
    pub(super) fn told(
        &self,
        id: String,
        kind: Kind,
        formula: &'static Formula,
        work: impl FnOnce(&Self) -> Got<R::Number>,
    ) -> Figure {
        let (got, assumed, from) = self.observed(work);
        let outcome = match got {
            Ok(number) if number.value().is_finite() => {
                Outcome::Number(Number { kind, value: number.value(), sources: self.sources_of(number) })
            }
            Ok(_) => Outcome::Absent(cannot(NO_NUMBER)),
            Err(absent) => Outcome::Absent(self.explained(absent)),
        };
        Figure { id, outcome, assumed, from, formula, days: None }
    }

    /// The plain value of a figure, in the SI base unit; `None` where it cannot be had.
    pub fn value(&self, name: &str) -> Option<f64> {
        let row = figures::row(name)?;
        let (got, _) = self.work(row, name);
        got.ok().map(|number| number.value())
    }

    /// Works a figure out, with the formula that it goes by.
    fn work(&self, row: &FigureRow, name: &str) -> (Got<R::Number>, &'static Formula) {
        let (got, formula) = self.compute(row, opened(row.pattern, name).unwrap_or_default());
        // Not a number anywhere means that a model was asked for something it does not have.
        let got = got.and_then(
            |number| {
                if number.value().is_finite() { Ok(number) } else { Err(cannot(NO_NUMBER)) }
            },
        );
        (got.map_err(|absent| self.explained(absent)), formula)
    }

    fn compute(&self, row: &FigureRow, open: &str) -> (Got<R::Number>, &'static Formula) {
        let end = End::from_word(open).unwrap_or(End::Front);
        macro_rules! by {
            ($formula:ident, $work:expr) => {
                ($work, &formula::$formula)
            };
        }
        macro_rules! geometry {
            ($formula:ident, $which:ident) => {
                by!($formula, self.geometry(Geometry::$which, Stance::AsSet))
            };
        }
        macro_rules! change {
            ($which:ident) => {
                by!(AGAINST_STANDARD, self.geometry_change(Geometry::$which))
            };
        }
        macro_rules! step {
            ($which:ident) => {
                by!(LAST_CHANGE, self.geometry_step(Geometry::$which))
            };
        }
        match row.pattern {
            names::SAG_STATIC => by!(SAG, self.sag(end, Load::Static)),
            names::SAG_RIDER => by!(SAG, self.sag(end, Load::Rider)),
            names::SAG_STATIC_SHARE => by!(SHARE, self.sag_share(end, Load::Static)),
            names::SAG_RIDER_SHARE => by!(SHARE, self.sag_share(end, Load::Rider)),
            names::SAG_STICTION => by!(STICTION, self.stiction(end)),
            names::SAG_RIDER_EXPECTED => by!(EXPECTED, self.expected_rider_sag(end)),
            names::SPRING_RATE_FITTED => by!(FITTED, self.fitted_rate(end)),
            names::SPRING_PRELOAD_FITTED => by!(FITTED, self.fitted_preload(end)),
            names::SPRING_PRELOAD_WANTED => by!(PRELOAD, self.preload_wanted(end)),
            names::SPRING_COLLAR_TURNS => by!(TURNS, self.collar_turns(end)),
            names::SPRING_STATIC_THEN => by!(STATIC_THEN, self.static_then(end)),
            names::SPRING_BEST_RATE => by!(BEST_RATE, self.best_rate(end)),
            names::WHEEL_RATE => by!(WHEEL_RATE, self.wheel_rate(end)),
            names::WHEEL_FREQUENCY => by!(FREQUENCY, self.frequency(end)),
            names::BALANCE_FREQUENCY => by!(RATIO, self.frequency_ratio()),
            names::BALANCE_SAG => by!(RATIO, self.sag_ratio()),
            names::RAKE => geometry!(RAKE, Rake),
            names::TRAIL => geometry!(TRAIL, Trail),
            names::NORMAL_TRAIL => geometry!(NORMAL_TRAIL, NormalTrail),
            names::OFFSET => geometry!(OFFSET, Offset),
            names::WHEELBASE => geometry!(WHEELBASE, Wheelbase),
            names::PITCH => geometry!(PITCH, Pitch),
            names::DROOP => geometry!(DROOP, Droop),
            names::PIVOT_HEIGHT => geometry!(PIVOT_HEIGHT, PivotHeight),
            names::ANTI_SQUAT => geometry!(ANTI_SQUAT, AntiSquat),
            names::FRONT_SHARE => geometry!(FRONT_SHARE, FrontShare),
            names::FLOP => geometry!(FLOP, Flop),
            names::CHANGE_RAKE => change!(Rake),
            names::CHANGE_TRAIL => change!(Trail),
            names::CHANGE_NORMAL_TRAIL => change!(NormalTrail),
            names::CHANGE_OFFSET => change!(Offset),
            names::CHANGE_WHEELBASE => change!(Wheelbase),
            names::CHANGE_PITCH => change!(Pitch),
            names::CHANGE_DROOP => change!(Droop),
            names::CHANGE_PIVOT_HEIGHT => change!(PivotHeight),
            names::CHANGE_ANTI_SQUAT => change!(AntiSquat),
            names::CHANGE_FRONT_SHARE => change!(FrontShare),
            names::CHANGE_FLOP => change!(Flop),
            names::STEP_RAKE => step!(Rake),
            names::STEP_TRAIL => step!(Trail),
            names::STEP_NORMAL_TRAIL => step!(NormalTrail),
            names::STEP_OFFSET => step!(Offset),
            names::STEP_WHEELBASE => step!(Wheelbase),
            names::STEP_PITCH => step!(Pitch),
            names::STEP_DROOP => step!(Droop),
            names::STEP_PIVOT_HEIGHT => step!(PivotHeight),
            names::STEP_ANTI_SQUAT => step!(AntiSquat),
            names::STEP_FRONT_SHARE => step!(FrontShare),
            names::STEP_FLOP => step!(Flop),
            names::GATE_CHAMBER => by!(GATE, self.gate_chamber(open)),
            names::GATE_TYRE => by!(GATE, self.gate_tyre(end)),
            names::BENCH_CHAMBER => by!(GATE, self.bench_chamber(open)),
            names::BENCH_TYRE => by!(GATE, self.bench_tyre(end)),
            names::FULL_CHAMBER => by!(FULL_TRAVEL, self.full_chamber(open)),
            names::LEAK_CHAMBER => by!(LEAK, self.leak(open)),
            names::FORK_FORCE => by!(FORK_FORCE, self.fork_force(share_of(open), true)),
            names::FORK_SAG_FORCE => by!(FORK_FORCE, self.fork_force(share_of(open), false)),
            names::FORK_STIFFNESS => by!(FORK_STIFFNESS, self.fork_stiffness(share_of(open))),
            names::FORK_ENERGY => by!(FORK_ENERGY, self.fork_energy()),
            names::AIR_DENSITY => by!(AIR_DENSITY, self.air_density()),
            names::AIR_RELATIVE_DENSITY => by!(RELATIVE_DENSITY, self.relative_density()),
            names::AIR_DENSITY_ALTITUDE => by!(DENSITY_ALTITUDE, self.density_altitude()),
            names::AIR_POWER_SAE => by!(SAE_J1349, self.power_sae()),
            names::AIR_POWER_ISO => by!(ISO_1585, self.power_iso()),
            names::JET_MAIN_FOR_AIR => by!(JET, self.jet_for_air()),
            names::JET_MAIN_ON_HAND => by!(JET_ON_HAND, self.jet_on_hand()),
            names::DRIVE_RATIO => by!(DRIVE_RATIO, self.drive_ratio()),
            names::DRIVE_LINKS_NEEDED => by!(LINKS, self.links_needed()),
            names::DRIVE_AXLE_MOVE => by!(AXLE, self.axle_move()),
            names::DRIVE_SPEED => by!(SPEED, self.speed(open)),
            names::BARS_TORQUE_CHANGE => by!(BARS, self.bars_torque_change()),
            names::STEERING_BREAKAWAY => by!(BREAKAWAY, self.breakaway()),
            names::LAPS_BEST => by!(LAPS, self.best_lap()),
            names::LAPS_MEDIAN => by!(LAPS, self.median_lap()),
            names::LAPS_SPREAD => by!(LAPS, self.lap_spread()),
            names::RADIUS => by!(RADIUS, self.radius(end)),
            names::TRAVEL_USED_SHARE => by!(SHARE, self.travel_used(end)),
            other => by!(NONE, Err(cannot(format!("nothing works `{other}` out")))),
        }
    }

    /// The names of all figures that the machine could have, in the order of the vocabulary: one for each end,
    /// chamber, gear and place in the travel.
    pub fn names(&self) -> Vec<String> {
        let chambers: Vec<&str> =
            self.here.machine.iter().flat_map(|machine| machine.chambers()).map(|(name, _)| name).collect();
        let gears: Vec<String> = (1..=self.gear_count()).map(|gear| gear.to_string()).collect();
        let mut all = Vec::new();
        for row in figures::FIGURES {
            let open = row.pattern.split('.').find(|part| matches!(*part, "END" | "NAME" | "P" | "GEAR"));
            match open {
                None => all.push(row.pattern.to_owned()),
                Some("END") => all.extend(End::BOTH.iter().map(|end| fill(row.pattern, end.word()))),
                Some("NAME") => all.extend(chambers.iter().map(|name| fill(row.pattern, name))),
                Some("P") => all.extend(PERCENTS.iter().map(|percent| fill(row.pattern, percent))),
                Some(_) => all.extend(gears.iter().map(|gear| fill(row.pattern, gear))),
            }
        }
        all
    }
}

/// A place in the travel, named in percent, as a share.
fn share_of(percent: &str) -> f64 {
    percent.parse::<f64>().unwrap_or(0.0) / 100.0
}
