//! Everything that the tool can work out, by name.

use crate::quantity::Kind;

use super::names::opened;
use super::sags::Load;

/// One row of the table: a figure.
#[derive(Debug)]
pub struct FigureRow {
    pub pattern: &'static str,
    pub value: FigureValue,
    /// As it stands on a sheet.
    pub label: &'static str,
    pub help: &'static str,
}

/// What a figure's value is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum FigureValue {
    Quantity(Kind),
    Text,
}

macro_rules! figures {
    ($($constant:ident $pattern:literal, $value:expr, $label:literal, $help:literal;)*) => {
        $(pub const $constant: &str = $pattern;)*

        /// Every figure, in the order in which they are listed.
        pub static FIGURES: &[FigureRow] = &[
            $(FigureRow { pattern: $pattern, value: $value, label: $label, help: $help },)*
        ];
    };
}

const LENGTH: FigureValue = FigureValue::Quantity(Kind::Length);
const SHARE: FigureValue = FigureValue::Quantity(Kind::Share);
const FORCE: FigureValue = FigureValue::Quantity(Kind::Force);
const RATE: FigureValue = FigureValue::Quantity(Kind::Rate);
const PRESSURE: FigureValue = FigureValue::Quantity(Kind::GaugePressure);
const ANGLE: FigureValue = FigureValue::Quantity(Kind::Angle);
const NUMBER: FigureValue = FigureValue::Quantity(Kind::Number);
const TIME: FigureValue = FigureValue::Quantity(Kind::Time);

figures! {
    SAG_STATIC "sag.END.static", LENGTH, "END static sag", "hanging less alone";
    SAG_RIDER "sag.END.rider", LENGTH, "END rider sag", "hanging less aboard";
    SAG_STATIC_SHARE "sag.END.static_share", SHARE, "END static share", "static sag over travel";
    SAG_RIDER_SHARE "sag.END.rider_share", SHARE, "END rider share", "rider sag over travel";
    SAG_STICTION "sag.END.stiction", FORCE, "END stiction", "half the gap between the readings after a push and after a lift, times the wheel rate";
    SAG_RIDER_EXPECTED "sag.END.rider_expected", LENGTH, "END rider sag expected", "the last reading and what was changed since, by the model";
    SPRING_RATE_FITTED "spring.END.rate_fitted", RATE, "END spring, by the readings", "the rate that two loads and two sags ask for";
    SPRING_PRELOAD_FITTED "spring.END.preload_fitted", LENGTH, "END preload, by the readings", "the preload that two loads and two sags ask for";
    SPRING_PRELOAD_WANTED "spring.END.preload_wanted", LENGTH, "END preload wanted", "the preload that brings the rider sag to its aim";
    SPRING_COLLAR_TURNS "spring.END.collar_turns", FigureValue::Quantity(Kind::Turns), "END collar", "turns of the collar that bring the rider sag to its aim; more preload is positive";
    SPRING_STATIC_THEN "spring.END.static_then", LENGTH, "END static sag then", "the static sag once the preload wanted is set";
    SPRING_BEST_RATE "spring.END.best_rate", RATE, "END spring to fit", "of the rates on hand, the one whose static sag comes nearest the middle of its band";
    WHEEL_RATE "wheel.END.rate", RATE, "END wheel rate", "vertical force for each length of wheel travel, at rider sag";
    WHEEL_FREQUENCY "wheel.END.frequency", FigureValue::Quantity(Kind::Frequency), "END natural frequency", "of the sprung mass on its wheel rate";
    BALANCE_FREQUENCY "balance.frequency_ratio", NUMBER, "frequency ratio", "natural frequencies, front over rear";
    BALANCE_SAG "balance.sag_ratio", NUMBER, "sag, front : rear", "rider shares of travel, front over rear";
    RAKE "geometry.rake", ANGLE, "rake", "steering axis from the vertical";
    TRAIL "geometry.trail", LENGTH, "trail", "on the ground, steering axis to front contact";
    NORMAL_TRAIL "geometry.normal_trail", LENGTH, "normal trail", "square to the steering axis";
    OFFSET "geometry.offset", LENGTH, "total offset", "steering axis to front axle";
    WHEELBASE "geometry.wheelbase", LENGTH, "wheelbase", "contact to contact";
    PITCH "geometry.pitch", ANGLE, "pitch", "of the chassis against the attitude in which the frame was measured; nose up is positive";
    DROOP "geometry.droop", ANGLE, "swingarm droop", "swingarm below the horizontal, seen from the pivot";
    PIVOT_HEIGHT "geometry.pivot_height", LENGTH, "pivot height", "swingarm pivot over the ground";
    ANTI_SQUAT "geometry.anti_squat", SHARE, "anti-squat", "share of the squat that the chain holds up";
    FRONT_SHARE "geometry.front_share", SHARE, "load on the front", "share of the weight on the front wheel, from the centre of gravity";
    FLOP "geometry.flop", LENGTH, "wheel flop", "how far the front drops, for each steer angle squared, twice over";
    CHANGE_RAKE "change.geometry.rake", ANGLE, "rake against standard", "";
    CHANGE_TRAIL "change.geometry.trail", LENGTH, "trail against standard", "";
    CHANGE_NORMAL_TRAIL "change.geometry.normal_trail", LENGTH, "normal trail against standard", "";
    CHANGE_OFFSET "change.geometry.offset", LENGTH, "total offset against standard", "";
    CHANGE_WHEELBASE "change.geometry.wheelbase", LENGTH, "wheelbase against standard", "";
    CHANGE_PITCH "change.geometry.pitch", ANGLE, "pitch against standard", "";
    CHANGE_DROOP "change.geometry.droop", ANGLE, "swingarm droop against standard", "";
    CHANGE_PIVOT_HEIGHT "change.geometry.pivot_height", LENGTH, "pivot height against standard", "";
    CHANGE_ANTI_SQUAT "change.geometry.anti_squat", SHARE, "anti-squat against standard", "";
    CHANGE_FRONT_SHARE "change.geometry.front_share", SHARE, "load on the front against standard", "";
    CHANGE_FLOP "change.geometry.flop", LENGTH, "wheel flop against standard", "";
    STEP_RAKE "step.geometry.rake", ANGLE, "rake by the last change", "what the last `change` above did by itself, at the same sags";
    STEP_TRAIL "step.geometry.trail", LENGTH, "trail by the last change", "what the last `change` above did by itself, at the same sags";
    STEP_NORMAL_TRAIL "step.geometry.normal_trail", LENGTH, "normal trail by the last change", "what the last `change` above did by itself, at the same sags";
    STEP_OFFSET "step.geometry.offset", LENGTH, "total offset by the last change", "what the last `change` above did by itself, at the same sags";
    STEP_WHEELBASE "step.geometry.wheelbase", LENGTH, "wheelbase by the last change", "what the last `change` above did by itself, at the same sags";
    STEP_PITCH "step.geometry.pitch", ANGLE, "pitch by the last change", "what the last `change` above did by itself, at the same sags";
    STEP_DROOP "step.geometry.droop", ANGLE, "swingarm droop by the last change", "what the last `change` above did by itself, at the same sags";
    STEP_PIVOT_HEIGHT "step.geometry.pivot_height", LENGTH, "pivot height by the last change", "what the last `change` above did by itself, at the same sags";
    STEP_ANTI_SQUAT "step.geometry.anti_squat", SHARE, "anti-squat by the last change", "what the last `change` above did by itself, at the same sags";
    STEP_FRONT_SHARE "step.geometry.front_share", SHARE, "load on the front by the last change", "what the last `change` above did by itself, at the same sags";
    STEP_FLOP "step.geometry.flop", LENGTH, "wheel flop by the last change", "what the last `change` above did by itself, at the same sags";
    GATE_CHAMBER "gate.chamber.NAME", PRESSURE, "NAME chamber at the track", "what counts, brought to the day's temperature and height: what is in it, else the aim";
    GATE_TYRE "gate.tyre.END", PRESSURE, "END tyre at the track", "what counts, brought to the day's temperature and height: what is in it, else the aim";
    BENCH_CHAMBER "bench.chamber.NAME", PRESSURE, "NAME chamber on the bench", "what to set on the bench (`conditions` `bench`, else where it was read) for the aim to hold at the track, cold";
    BENCH_TYRE "bench.tyre.END", PRESSURE, "END tyre on the bench", "what to set on the bench (`conditions` `bench`, else where it was read) for the aim to hold at the track, cold";
    FULL_CHAMBER "full.chamber.NAME", PRESSURE, "NAME chamber at full travel", "with the riding exponent, from the pressure at the gate";
    LEAK_CHAMBER "leak.chamber.NAME", PRESSURE, "NAME chamber lost", "up to the last find, since it was last known; at one temperature";
    FORK_FORCE "fork.force.P", FORCE, "fork force at P %, fast", "along the fork, riding";
    FORK_SAG_FORCE "fork.sag_force.P", FORCE, "fork force at P %, slow", "along the fork, at one temperature";
    FORK_STIFFNESS "fork.stiffness.P", RATE, "fork stiffness at P %", "along the fork, riding";
    FORK_ENERGY "fork.energy", FigureValue::Quantity(Kind::Energy), "fork energy", "taken up over the whole travel";
    AIR_DENSITY "air.density", FigureValue::Quantity(Kind::Density), "air density", "of the moist air of the day";
    AIR_RELATIVE_DENSITY "air.relative_density", SHARE, "relative air density", "against 1.225 kg/m³";
    AIR_DENSITY_ALTITUDE "air.density_altitude", LENGTH, "density altitude", "where the standard atmosphere is as thin";
    AIR_POWER_SAE "air.power_sae", NUMBER, "power factor, SAE J1349", "brings a power measured in this air to standard air";
    AIR_POWER_ISO "air.power_iso", NUMBER, "power factor, ISO 1585", "brings a power measured in this air to standard air";
    JET_MAIN_FOR_AIR "jet.main_for_air", NUMBER, "main jet for this air", "the ideal number";
    JET_MAIN_ON_HAND "jet.main_on_hand", NUMBER, "main jet to fit", "the nearest on hand that is not leaner";
    DRIVE_RATIO "drive.ratio", NUMBER, "final ratio", "rear teeth over front teeth";
    DRIVE_LINKS_NEEDED "drive.links_needed", FigureValue::Quantity(Kind::Links), "links needed", "with the axle at its standard place";
    DRIVE_AXLE_MOVE "drive.axle_move", LENGTH, "axle moved", "backwards along the swingarm, against the standard gearing";
    DRIVE_SPEED "drive.speed.GEAR", FigureValue::Quantity(Kind::Speed), "speed in gear GEAR", "at the rev limit";
    BARS_TORQUE_CHANGE "bars.torque_change", SHARE, "steering torque", "for the same force of the hands, against the standard bar";
    STEERING_BREAKAWAY "steering.breakaway", FigureValue::Quantity(Kind::Torque), "steering breakaway", "pull times radius";
    LAPS_BEST "laps.best", TIME, "best lap", "of the last stint";
    LAPS_MEDIAN "laps.median", TIME, "median lap", "of the last stint";
    LAPS_SPREAD "laps.spread", TIME, "lap spread", "median absolute deviation";
    RADIUS "radius.END", LENGTH, "END tyre radius", "loaded radius, or rollout over 2π, or from the tyre code";
    TRAVEL_USED_SHARE "travel.END.used_share", SHARE, "END travel used", "O-ring over travel";
}

/// Readings that are words, not quantities of a figure; a band may want one.
pub const STEERING_DROP: &str = "steering.drop";
/// The pull at the bars that starts to turn them.
pub const STEERING_PULL: &str = "steering.pull";

/// Readings that a band, a limit or an expectation may name.
pub static READINGS: &[FigureRow] = &[
    FigureRow {
        pattern: STEERING_DROP,
        value: FigureValue::Text,
        label: "steering drop test",
        help: "stays or falls",
    },
    FigureRow { pattern: STEERING_PULL, value: FORCE, label: "steering pull", help: "at a known radius" },
];

/// The figure of a sag under a load.
pub fn sag(load: Load) -> &'static str {
    match load {
        Load::Static => SAG_STATIC,
        Load::Rider => SAG_RIDER,
    }
}

/// The row that a figure's name belongs to.
pub fn row(name: &str) -> Option<&'static FigureRow> {
    FIGURES.iter().find(|row| opened(row.pattern, name).is_some())
}

/// The row that a reading's name belongs to.
pub fn reading(name: &str) -> Option<&'static FigureRow> {
    READINGS.iter().find(|row| row.pattern == name)
}

impl FigureRow {
    /// The label with the open part filled in from a name.
    pub fn label_for(&self, name: &str) -> String {
        self.label_with(opened(self.pattern, name).unwrap_or_default())
    }

    /// The label with the open part filled in by words, as for several names at once: `fork force at 0, 25 and 50 %`.
    pub fn label_with(&self, open: &str) -> String {
        let words: Vec<&str> = self
            .label
            .split(' ')
            .map(|word| if matches!(word, "NAME" | "END" | "P" | "GEAR") { open } else { word })
            .collect();
        words.join(" ")
    }

    /// Whether it tells how far something moved, so that nothing is to be told where that is smaller than its
    /// uncertainty.
    pub fn is_change(&self) -> bool {
        const CHANGES: [&str; 3] = [LEAK_CHAMBER, DRIVE_AXLE_MOVE, BARS_TORQUE_CHANGE];
        self.is_against_standard() || CHANGES.contains(&self.pattern)
    }

    /// Whether it is a change against the standard setting.
    pub fn is_against_standard(&self) -> bool {
        self.pattern.starts_with("change.")
    }

    /// Whether it is of the day's air and nothing that anybody set.
    pub fn is_of_air(&self) -> bool {
        const AIR: [&str; 7] = [
            AIR_DENSITY,
            AIR_RELATIVE_DENSITY,
            AIR_DENSITY_ALTITUDE,
            AIR_POWER_SAE,
            AIR_POWER_ISO,
            JET_MAIN_FOR_AIR,
            JET_MAIN_ON_HAND,
        ];
        AIR.contains(&self.pattern)
    }

    /// Whether it is of lap times, which tell nothing on another track.
    pub fn is_of_laps(&self) -> bool {
        [LAPS_BEST, LAPS_MEDIAN, LAPS_SPREAD].contains(&self.pattern)
    }

    /// Whether it is one of a row of places along the fork's travel, which a curve tells better.
    pub fn is_along_fork(&self) -> bool {
        [FORK_FORCE, FORK_SAG_FORCE, FORK_STIFFNESS].contains(&self.pattern)
    }

    /// Whether it is among those that are set or looked at before all others: sags, the collar, pressures, trail.
    pub fn is_first(&self) -> bool {
        const FIRST: [&str; 8] = [
            SAG_STATIC,
            SAG_RIDER,
            SPRING_COLLAR_TURNS,
            TRAIL,
            GATE_CHAMBER,
            GATE_TYRE,
            BENCH_CHAMBER,
            BENCH_TYRE,
        ];
        FIRST.contains(&self.pattern)
    }

    /// Whether it names one of the things on hand: it is said as it is stamped, and not as a computed number.
    pub fn is_on_hand(&self) -> bool {
        [SPRING_BEST_RATE, JET_MAIN_ON_HAND].contains(&self.pattern)
    }

    pub fn kind(&self) -> Option<Kind> {
        match self.value {
            FigureValue::Quantity(kind) => Some(kind),
            FigureValue::Text => None,
        }
    }
}
