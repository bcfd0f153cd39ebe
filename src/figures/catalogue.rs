//! Which part of the bench gives which figure, and by which formula.

use crate::quantity::Kind;
use crate::vocabulary::figures::FigureId;
use crate::vocabulary::name::{Open, Part, Row as _};
use crate::vocabulary::{End, FigureName, Load, Symbol};

use super::bench::{Bench, Got, no_number};
use super::figure::{Absent, Figure, Measure, Measured, Number, Outcome};
use super::formula::{self, Formula};
use super::geometry::{Geometry, Stance};
use super::recorder::Recorder;
use crate::physics::Number as _;

impl<R: Recorder> Bench<'_, R> {
    /// A figure with the error sources of its uncertainty.
    pub fn figure(&self, name: FigureName) -> Figure {
        let ((got, formula), assumed, from) = self.observed(|bench| bench.work(name));
        let outcome = match got {
            Ok(number) => Outcome::Number(Number {
                kind: name.info().kind().unwrap_or(Kind::Number),
                value: number.value(),
                sources: self.sources_of(number),
            }),
            Err(absent) => Outcome::Absent(absent),
        };
        let leaked = name.word().filter(|_| name.row == FigureId::LEAK_CHAMBER);
        let days = leaked.and_then(|chamber| self.leak_days(chamber));
        Figure { id: name, outcome, assumed, from, formula, days }
    }

    /// A figure without a name of its own in the vocabulary: one of several shown side by side.
    pub(super) fn told(
        &self,
        id: FigureName,
        kind: Kind,
        formula: &'static Formula,
        work: impl FnOnce(&Self) -> Got<R::Number>,
    ) -> Figure {
        let (got, assumed, from) = self.observed(work);
        let outcome = match got {
            Ok(number) if number.value().is_finite() => {
                Outcome::Number(Number { kind, value: number.value(), sources: self.sources_of(number) })
            }
            Ok(_) => Outcome::Absent(no_number()),
            Err(absent) => Outcome::Absent(self.explained(absent)),
        };
        Figure { id, outcome, assumed, from, formula, days: None }
    }

    /// A figure as rules judge it.
    pub fn measure(&self, name: FigureName) -> Measured {
        let ((got, _), assumed, from) = self.observed(|bench| bench.work(name));
        let outcome = got.map(|number| Measure {
            kind: name.info().kind().unwrap_or(Kind::Number),
            value: number.value(),
            expanded: self.expanded_by(number),
        });
        Measured { outcome, assumed, from }
    }

    /// Why a figure has no value; `None` where it has one.
    pub fn why_absent(&self, name: FigureName) -> Option<Absent> {
        self.work(name).0.err()
    }

    /// The plain value of a figure, in the SI base unit; `None` where it has none.
    pub fn value(&self, name: FigureName) -> Option<f64> {
        let (got, _) = self.work(name);
        got.ok().map(|number| number.value())
    }

    /// Works a figure out, with its formula.
    fn work(&self, name: FigureName) -> (Got<R::Number>, &'static Formula) {
        let (got, formula) = self.compute(name);
        // A result that is not a number means that the model cannot give one.
        let got =
            got.and_then(|number| if number.value().is_finite() { Ok(number) } else { Err(no_number()) });
        (got.map_err(|absent| self.explained(absent)), formula)
    }

    fn compute(&self, name: FigureName) -> (Got<R::Number>, &'static Formula) {
        let end = name.end().unwrap_or(End::Front);
        let chamber = name.word().unwrap_or_else(|| Symbol::of(""));
        let (share, gear) = match name.open {
            Open::Percent(percent) => (f64::from(percent) / 100.0, 0),
            Open::Gear(gear) => (0.0, gear),
            Open::Nothing | Open::End(_) | Open::Word(_) => (0.0, 0),
        };
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
        match name.row {
            FigureId::SAG_STATIC => by!(SAG, self.sag(end, Load::Static)),
            FigureId::SAG_RIDER => by!(SAG, self.sag(end, Load::Rider)),
            FigureId::SAG_STATIC_SHARE => by!(SHARE, self.sag_share(end, Load::Static)),
            FigureId::SAG_RIDER_SHARE => by!(SHARE, self.sag_share(end, Load::Rider)),
            FigureId::SAG_STICTION => by!(STICTION, self.stiction(end)),
            FigureId::SAG_RIDER_EXPECTED => by!(EXPECTED, self.expected_rider_sag(end)),
            FigureId::SPRING_RATE_FITTED => by!(FITTED, self.fitted_rate(end)),
            FigureId::SPRING_PRELOAD_FITTED => by!(FITTED, self.fitted_preload(end)),
            FigureId::SPRING_PRELOAD_WANTED => by!(PRELOAD, self.preload_wanted(end)),
            FigureId::SPRING_COLLAR_TURNS => by!(TURNS, self.collar_turns(end)),
            FigureId::SPRING_STATIC_THEN => by!(STATIC_THEN, self.static_then(end)),
            FigureId::SPRING_BEST_RATE => by!(BEST_RATE, self.best_rate(end)),
            FigureId::WHEEL_RATE => by!(WHEEL_RATE, self.wheel_rate(end)),
            FigureId::WHEEL_FREQUENCY => by!(FREQUENCY, self.frequency(end)),
            FigureId::BALANCE_FREQUENCY => by!(RATIO, self.frequency_ratio()),
            FigureId::BALANCE_SAG => by!(RATIO, self.sag_ratio()),
            FigureId::RAKE => geometry!(RAKE, Rake),
            FigureId::TRAIL => geometry!(TRAIL, Trail),
            FigureId::NORMAL_TRAIL => geometry!(NORMAL_TRAIL, NormalTrail),
            FigureId::OFFSET => geometry!(OFFSET, Offset),
            FigureId::WHEELBASE => geometry!(WHEELBASE, Wheelbase),
            FigureId::PITCH => geometry!(PITCH, Pitch),
            FigureId::DROOP => geometry!(DROOP, Droop),
            FigureId::PIVOT_HEIGHT => geometry!(PIVOT_HEIGHT, PivotHeight),
            FigureId::ANTI_SQUAT => geometry!(ANTI_SQUAT, AntiSquat),
            FigureId::FRONT_SHARE => geometry!(FRONT_SHARE, FrontShare),
            FigureId::FLOP => geometry!(FLOP, Flop),
            FigureId::CHANGE_RAKE => change!(Rake),
            FigureId::CHANGE_TRAIL => change!(Trail),
            FigureId::CHANGE_NORMAL_TRAIL => change!(NormalTrail),
            FigureId::CHANGE_OFFSET => change!(Offset),
            FigureId::CHANGE_WHEELBASE => change!(Wheelbase),
            FigureId::CHANGE_PITCH => change!(Pitch),
            FigureId::CHANGE_DROOP => change!(Droop),
            FigureId::CHANGE_PIVOT_HEIGHT => change!(PivotHeight),
            FigureId::CHANGE_ANTI_SQUAT => change!(AntiSquat),
            FigureId::CHANGE_FRONT_SHARE => change!(FrontShare),
            FigureId::CHANGE_FLOP => change!(Flop),
            FigureId::STEP_RAKE => step!(Rake),
            FigureId::STEP_TRAIL => step!(Trail),
            FigureId::STEP_NORMAL_TRAIL => step!(NormalTrail),
            FigureId::STEP_OFFSET => step!(Offset),
            FigureId::STEP_WHEELBASE => step!(Wheelbase),
            FigureId::STEP_PITCH => step!(Pitch),
            FigureId::STEP_DROOP => step!(Droop),
            FigureId::STEP_PIVOT_HEIGHT => step!(PivotHeight),
            FigureId::STEP_ANTI_SQUAT => step!(AntiSquat),
            FigureId::STEP_FRONT_SHARE => step!(FrontShare),
            FigureId::STEP_FLOP => step!(Flop),
            FigureId::GATE_CHAMBER => by!(GATE, self.gate_chamber(chamber)),
            FigureId::GATE_TYRE => by!(GATE, self.gate_tyre(end)),
            FigureId::BENCH_CHAMBER => by!(GATE, self.bench_chamber(chamber)),
            FigureId::BENCH_TYRE => by!(GATE, self.bench_tyre(end)),
            FigureId::FULL_CHAMBER => by!(FULL_TRAVEL, self.full_chamber(chamber)),
            FigureId::LEAK_CHAMBER => by!(LEAK, self.leak(chamber)),
            FigureId::FORK_FORCE => by!(FORK_FORCE, self.fork_force(share, true)),
            FigureId::FORK_SAG_FORCE => by!(FORK_FORCE, self.fork_force(share, false)),
            FigureId::FORK_STIFFNESS => by!(FORK_STIFFNESS, self.fork_stiffness(share)),
            FigureId::FORK_ENERGY => by!(FORK_ENERGY, self.fork_energy()),
            FigureId::AIR_DENSITY => by!(AIR_DENSITY, self.air_density()),
            FigureId::AIR_RELATIVE_DENSITY => by!(RELATIVE_DENSITY, self.relative_density()),
            FigureId::AIR_DENSITY_ALTITUDE => by!(DENSITY_ALTITUDE, self.density_altitude()),
            FigureId::AIR_POWER_SAE => by!(SAE_J1349, self.power_sae()),
            FigureId::AIR_POWER_ISO => by!(ISO_1585, self.power_iso()),
            FigureId::JET_MAIN_FOR_AIR => by!(JET, self.jet_for_air()),
            FigureId::JET_MAIN_ON_HAND => by!(JET_ON_HAND, self.jet_on_hand()),
            FigureId::DRIVE_RATIO => by!(DRIVE_RATIO, self.drive_ratio()),
            FigureId::DRIVE_LINKS_NEEDED => by!(LINKS, self.links_needed()),
            FigureId::DRIVE_AXLE_MOVE => by!(AXLE, self.axle_move()),
            FigureId::DRIVE_SPEED => by!(SPEED, self.speed(gear)),
            FigureId::BARS_TORQUE_CHANGE => by!(BARS, self.bars_torque_change()),
            FigureId::STEERING_BREAKAWAY => by!(BREAKAWAY, self.breakaway()),
            FigureId::LAPS_BEST => by!(LAPS, self.best_lap()),
            FigureId::LAPS_MEDIAN => by!(LAPS, self.median_lap()),
            FigureId::LAPS_SPREAD => by!(LAPS, self.lap_spread()),
            FigureId::RADIUS => by!(RADIUS, self.radius(end)),
            FigureId::TRAVEL_USED_SHARE => by!(SHARE, self.travel_used(end)),
        }
    }

    /// The names of all figures that the machine can have, in the order of the vocabulary: one for each end,
    /// chamber, gear and place in the travel.
    pub fn names(&self) -> Vec<FigureName> {
        let chambers = self.here.machine.iter().flat_map(|machine| machine.chambers());
        let chambers: Vec<Symbol> = chambers.map(|(name, _)| Symbol::of(name)).collect();
        let gears = u8::try_from(self.gear_count()).unwrap_or(u8::MAX);
        let opened = |row: FigureId| -> Vec<Open> {
            match row.part() {
                Part::Gear => (1..=gears).map(Open::Gear).collect(),
                Part::Word => chambers.iter().copied().map(Open::Word).collect(),
                known => known.all(),
            }
        };
        let rows = FigureId::ALL.iter();
        rows.flat_map(|row| opened(*row).into_iter().map(|open| FigureName { row: *row, open })).collect()
    }
}
