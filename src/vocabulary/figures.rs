//! Everything that the program can work out, by name.

use std::fmt;

use crate::quantity::Kind;
use crate::speech::{Message, Part};

use super::Care;
use super::name::{Name, name_table};
use super::names::End;
use super::sags::Load;
use super::settings::Setting;

/// The name of a figure: its row, and the end, chamber, gear or place in the travel.
pub type FigureName = Name<FigureId>;

/// One row of the table: a figure.
#[derive(Debug)]
pub struct FigureRow {
    pub pattern: &'static str,
    pub value: FigureValue,
    /// Its label on a sheet.
    pub label: &'static str,
    pub help: &'static str,
    traits: &'static [Trait],
    moved: Moved,
}

/// The form of a figure's value.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum FigureValue {
    Quantity(Kind),
    Text,
}

/// What else the rooms below ask of a figure.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Trait {
    /// A difference from the standard setting.
    AgainstStandard,
    /// What the last `change` did.
    LastChange,
    /// How far something moved.
    Change,
    /// A pressure in a chamber or tyre, present or planned.
    OfPressure,
    OfAir,
    OfLaps,
    AlongFork,
    First,
    /// Names a part on hand.
    OnHand,
    /// The number of a jet.
    OfJet,
    /// Read with the machine on a stand.
    OnStand,
    OfSteering,
    /// Of machine and rider together, not of the machine alone.
    OfRider,
}

/// What to set in order to move a figure. Common practice, no source.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Moved {
    Nothing,
    Setting(Setting),
    /// The pressure of the figure's own chamber.
    OwnChamber,
    /// The spring of the figure's own end.
    SpringOfEnd,
    ForkSpring,
}

/// What to set first in order to move a figure: a setting, or a part of the fork that depends on the machine.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum MovedBy {
    Setting(Setting),
    /// The fork's springs: the preload of coils, else the strongest of the chambers that push out.
    ForkSpring,
}

macro_rules! figures {
    ($($constant:ident $([$of:ident])? $pattern:literal, $value:expr, $label:literal, $help:literal, [$($trait:ident),*], $moved:expr;)*) => {
        name_table! {
            /// A row of the figures.
            FigureId; $($constant $($of)? = $pattern;)*
        }

        impl FigureId {
            /// Its row in the table.
            pub const fn info(self) -> &'static FigureRow {
                match self {
                    $(Self::$constant => &FigureRow {
                        pattern: $pattern,
                        value: $value,
                        label: $label,
                        help: $help,
                        traits: &[$(Trait::$trait),*],
                        moved: $moved,
                    },)*
                }
            }
        }

        /// Every figure, in the order of lists.
        pub static FIGURES: &[&FigureRow] = &[$(FigureId::$constant.info(),)*];
    };
}

use Moved::{ForkSpring, Nothing, OwnChamber, SpringOfEnd};

const LENGTH: FigureValue = FigureValue::Quantity(Kind::Length);
const SHARE: FigureValue = FigureValue::Quantity(Kind::Share);
const FORCE: FigureValue = FigureValue::Quantity(Kind::Force);
const RATE: FigureValue = FigureValue::Quantity(Kind::Rate);
const PRESSURE: FigureValue = FigureValue::Quantity(Kind::GaugePressure);
const ANGLE: FigureValue = FigureValue::Quantity(Kind::Angle);
const NUMBER: FigureValue = FigureValue::Quantity(Kind::Number);
const TIME: FigureValue = FigureValue::Quantity(Kind::Time);

figures! {
    SAG_STATIC [OfEnd] "sag.END.static", LENGTH, "END static sag", "hanging less alone", [First, OnStand, OfRider], Nothing;
    SAG_RIDER [OfEnd] "sag.END.rider", LENGTH, "END rider sag", "hanging less aboard", [First, OnStand, OfRider], SpringOfEnd;
    SAG_STATIC_SHARE [OfEnd] "sag.END.static_share", SHARE, "END static share", "static sag over travel", [OfRider], Nothing;
    SAG_RIDER_SHARE [OfEnd] "sag.END.rider_share", SHARE, "END rider share", "rider sag over travel", [OfRider], SpringOfEnd;
    SAG_STICTION [OfEnd] "sag.END.stiction", FORCE, "END stiction", "half the gap between the readings after a push and after a lift, times the wheel rate", [OfRider], Nothing;
    SAG_RIDER_EXPECTED [OfEnd] "sag.END.rider_expected", LENGTH, "END rider sag expected", "from the last reading and what was changed since, by the model", [OfRider], SpringOfEnd;
    SPRING_RATE_FITTED [OfEnd] "spring.END.rate_fitted", RATE, "END spring, by the readings", "the rate that two loads and two sags ask for", [], Nothing;
    SPRING_PRELOAD_FITTED [OfEnd] "spring.END.preload_fitted", LENGTH, "END preload, by the readings", "the preload that two loads and two sags ask for", [], Nothing;
    SPRING_PRELOAD_WANTED [OfEnd] "spring.END.preload_wanted", LENGTH, "END preload wanted", "the preload that brings the rider sag to its aim", [], Nothing;
    SPRING_COLLAR_TURNS [OfEnd] "spring.END.collar_turns", FigureValue::Quantity(Kind::Turns), "END collar", "turns of the collar that bring the rider sag to its aim; more preload is positive", [First], Nothing;
    SPRING_STATIC_THEN [OfEnd] "spring.END.static_then", LENGTH, "END static sag then", "the static sag once the preload wanted is set", [], Nothing;
    SPRING_BEST_RATE [OfEnd] "spring.END.best_rate", RATE, "END spring to fit", "of the rates on hand, the one whose static sag comes nearest the middle of its band", [OnHand], Nothing;
    WHEEL_RATE [OfEnd] "wheel.END.rate", RATE, "END wheel rate", "vertical force for each length of wheel travel, at rider sag", [], SpringOfEnd;
    WHEEL_FREQUENCY [OfEnd] "wheel.END.frequency", FigureValue::Quantity(Kind::Frequency), "END natural frequency", "of the sprung mass on its wheel rate", [], SpringOfEnd;
    BALANCE_FREQUENCY "balance.frequency_ratio", NUMBER, "frequency ratio", "natural frequencies, front over rear", [], Moved::Setting(Setting::SHOCK_PRELOAD);
    BALANCE_SAG "balance.sag_ratio", NUMBER, "sag, front : rear", "rider shares of travel, front over rear", [], Moved::Setting(Setting::SHOCK_PRELOAD);
    RAKE "geometry.rake", ANGLE, "rake", "steering axis from the vertical", [], Moved::Setting(Setting::FORK_HEIGHT);
    TRAIL "geometry.trail", LENGTH, "trail", "on the ground, steering axis to front contact", [First], Moved::Setting(Setting::FORK_HEIGHT);
    NORMAL_TRAIL "geometry.normal_trail", LENGTH, "normal trail", "square to the steering axis", [], Moved::Setting(Setting::FORK_HEIGHT);
    OFFSET "geometry.offset", LENGTH, "total offset", "steering axis to front axle", [], Nothing;
    WHEELBASE "geometry.wheelbase", LENGTH, "wheelbase", "contact to contact", [], Moved::Setting(Setting::FORK_HEIGHT);
    PITCH "geometry.pitch", ANGLE, "pitch", "of the chassis against the attitude in which the frame was measured; nose up is positive", [], Moved::Setting(Setting::FORK_HEIGHT);
    DROOP "geometry.droop", ANGLE, "swingarm droop", "swingarm below the horizontal, seen from the pivot", [], Moved::Setting(Setting::SHOCK_PRELOAD);
    PIVOT_HEIGHT "geometry.pivot_height", LENGTH, "pivot height", "swingarm pivot above the ground", [], Moved::Setting(Setting::SHOCK_PRELOAD);
    ANTI_SQUAT "geometry.anti_squat", SHARE, "anti-squat", "share of the squat that the chain's pull holds up", [], Moved::Setting(Setting::SHOCK_PRELOAD);
    FRONT_SHARE "geometry.front_share", SHARE, "load on the front", "share of the weight on the front wheel, from the centre of gravity", [], Moved::Setting(Setting::FORK_HEIGHT);
    FLOP "geometry.flop", LENGTH, "wheel flop", "the front drops by half of this times the steer angle squared (in rad)", [], Moved::Setting(Setting::FORK_HEIGHT);
    CHANGE_RAKE "change.geometry.rake", ANGLE, "rake against standard", "", [AgainstStandard], Moved::Setting(Setting::FORK_HEIGHT);
    CHANGE_TRAIL "change.geometry.trail", LENGTH, "trail against standard", "", [AgainstStandard], Moved::Setting(Setting::FORK_HEIGHT);
    CHANGE_NORMAL_TRAIL "change.geometry.normal_trail", LENGTH, "normal trail against standard", "", [AgainstStandard], Moved::Setting(Setting::FORK_HEIGHT);
    CHANGE_OFFSET "change.geometry.offset", LENGTH, "total offset against standard", "", [AgainstStandard], Nothing;
    CHANGE_WHEELBASE "change.geometry.wheelbase", LENGTH, "wheelbase against standard", "", [AgainstStandard], Moved::Setting(Setting::FORK_HEIGHT);
    CHANGE_PITCH "change.geometry.pitch", ANGLE, "pitch against standard", "", [AgainstStandard], Moved::Setting(Setting::FORK_HEIGHT);
    CHANGE_DROOP "change.geometry.droop", ANGLE, "swingarm droop against standard", "", [AgainstStandard], Moved::Setting(Setting::SHOCK_PRELOAD);
    CHANGE_PIVOT_HEIGHT "change.geometry.pivot_height", LENGTH, "pivot height against standard", "", [AgainstStandard], Moved::Setting(Setting::SHOCK_PRELOAD);
    CHANGE_ANTI_SQUAT "change.geometry.anti_squat", SHARE, "anti-squat against standard", "", [AgainstStandard], Moved::Setting(Setting::SHOCK_PRELOAD);
    CHANGE_FRONT_SHARE "change.geometry.front_share", SHARE, "load on the front against standard", "", [AgainstStandard], Moved::Setting(Setting::FORK_HEIGHT);
    CHANGE_FLOP "change.geometry.flop", LENGTH, "wheel flop against standard", "", [AgainstStandard], Moved::Setting(Setting::FORK_HEIGHT);
    STEP_RAKE "step.geometry.rake", ANGLE, "rake by the last change", "what the last `change` above did by itself, at the same sags", [LastChange], Nothing;
    STEP_TRAIL "step.geometry.trail", LENGTH, "trail by the last change", "what the last `change` above did by itself, at the same sags", [LastChange], Nothing;
    STEP_NORMAL_TRAIL "step.geometry.normal_trail", LENGTH, "normal trail by the last change", "what the last `change` above did by itself, at the same sags", [LastChange], Nothing;
    STEP_OFFSET "step.geometry.offset", LENGTH, "total offset by the last change", "what the last `change` above did by itself, at the same sags", [LastChange], Nothing;
    STEP_WHEELBASE "step.geometry.wheelbase", LENGTH, "wheelbase by the last change", "what the last `change` above did by itself, at the same sags", [LastChange], Nothing;
    STEP_PITCH "step.geometry.pitch", ANGLE, "pitch by the last change", "what the last `change` above did by itself, at the same sags", [LastChange], Nothing;
    STEP_DROOP "step.geometry.droop", ANGLE, "swingarm droop by the last change", "what the last `change` above did by itself, at the same sags", [LastChange], Nothing;
    STEP_PIVOT_HEIGHT "step.geometry.pivot_height", LENGTH, "pivot height by the last change", "what the last `change` above did by itself, at the same sags", [LastChange], Nothing;
    STEP_ANTI_SQUAT "step.geometry.anti_squat", SHARE, "anti-squat by the last change", "what the last `change` above did by itself, at the same sags", [LastChange], Nothing;
    STEP_FRONT_SHARE "step.geometry.front_share", SHARE, "load on the front by the last change", "what the last `change` above did by itself, at the same sags", [LastChange], Nothing;
    STEP_FLOP "step.geometry.flop", LENGTH, "wheel flop by the last change", "what the last `change` above did by itself, at the same sags", [LastChange], Nothing;
    GATE_CHAMBER [OfWord] "gate.chamber.NAME", PRESSURE, "NAME chamber at the track", "what is in it, else the aim, brought to the day's temperature and height", [First, OfPressure], OwnChamber;
    GATE_TYRE [OfEnd] "gate.tyre.END", PRESSURE, "END tyre at the track", "what is in it, else the aim, brought to the day's temperature and height", [First, OfPressure], Nothing;
    BENCH_CHAMBER [OfWord] "bench.chamber.NAME", PRESSURE, "NAME chamber on the bench", "what to set on the bench (`conditions` `bench`, else where it was read) for the aim to hold at the track, cold", [First, OfPressure], Nothing;
    BENCH_TYRE [OfEnd] "bench.tyre.END", PRESSURE, "END tyre on the bench", "what to set on the bench (`conditions` `bench`, else where it was read) for the aim to hold at the track, cold", [First, OfPressure], Nothing;
    FULL_CHAMBER [OfWord] "full.chamber.NAME", PRESSURE, "NAME chamber at full travel", "with the riding exponent, from the pressure at the gate", [OfPressure], OwnChamber;
    LEAK_CHAMBER [OfWord] "leak.chamber.NAME", PRESSURE, "NAME chamber since last set", "gained, or lost with a minus, up to the last find, since it was last known; at one temperature", [Change], Nothing;
    FORK_FORCE [OfPercent] "fork.force.P", FORCE, "fork force at P %, fast", "along the fork, riding", [AlongFork], ForkSpring;
    FORK_SAG_FORCE [OfPercent] "fork.sag_force.P", FORCE, "fork force at P %, slow", "along the fork, at one temperature", [AlongFork], ForkSpring;
    FORK_STIFFNESS [OfPercent] "fork.stiffness.P", RATE, "fork stiffness at P %", "along the fork, riding", [AlongFork], ForkSpring;
    FORK_ENERGY "fork.energy", FigureValue::Quantity(Kind::Energy), "fork energy", "absorbed over the whole travel", [], ForkSpring;
    AIR_DENSITY "air.density", FigureValue::Quantity(Kind::Density), "air density", "of the moist air of the day", [OfAir], Nothing;
    AIR_RELATIVE_DENSITY "air.relative_density", SHARE, "relative air density", "against 1.225 kg/m³", [OfAir], Nothing;
    AIR_DENSITY_ALTITUDE "air.density_altitude", LENGTH, "density altitude", "height at which the standard atmosphere is as thin", [OfAir], Nothing;
    AIR_POWER_SAE "air.power_sae", NUMBER, "power factor, SAE J1349", "factor that brings power measured in this air to standard air", [OfAir], Nothing;
    AIR_POWER_ISO "air.power_iso", NUMBER, "power factor, ISO 1585", "factor that brings power measured in this air to standard air", [OfAir], Nothing;
    JET_MAIN_FOR_AIR "jet.main_for_air", NUMBER, "main jet for this air", "the ideal number", [OfAir, OfJet], Nothing;
    JET_MAIN_ON_HAND "jet.main_on_hand", NUMBER, "main jet to fit", "the nearest on hand that is not leaner", [OfAir, OnHand], Nothing;
    DRIVE_RATIO "drive.ratio", NUMBER, "final ratio", "rear teeth over front teeth", [], Moved::Setting(Setting::DRIVE_REAR);
    DRIVE_LINKS_NEEDED "drive.links_needed", FigureValue::Quantity(Kind::Links), "links needed", "with the axle at its standard place", [], Moved::Setting(Setting::DRIVE_REAR);
    DRIVE_AXLE_MOVE "drive.axle_move", LENGTH, "axle moved", "backwards along the swingarm, against the standard gearing", [Change], Moved::Setting(Setting::DRIVE_LINKS);
    DRIVE_SPEED [OfGear] "drive.speed.GEAR", FigureValue::Quantity(Kind::Speed), "speed in gear GEAR", "at the rev limit", [], Moved::Setting(Setting::DRIVE_REAR);
    BARS_TORQUE_CHANGE "bars.torque_change", SHARE, "steering torque", "for the same force of the hands, against the standard bar", [Change], Moved::Setting(Setting::BARS_WIDTH);
    STEERING_BREAKAWAY "steering.breakaway", FigureValue::Quantity(Kind::Torque), "steering breakaway", "pull times radius", [OfSteering], Nothing;
    LAPS_BEST "laps.best", TIME, "best lap", "of the last stint", [OfLaps], Nothing;
    LAPS_MEDIAN "laps.median", TIME, "median lap", "of the last stint", [OfLaps], Nothing;
    LAPS_SPREAD "laps.spread", TIME, "lap spread", "median absolute deviation", [OfLaps], Nothing;
    RADIUS [OfEnd] "radius.END", LENGTH, "END tyre radius", "loaded radius, or rollout over 2π, or from the tyre code", [], Nothing;
    TRAVEL_USED_SHARE [OfEnd] "travel.END.used_share", SHARE, "END travel used", "O-ring over travel", [], Nothing;
}

/// Readings that are words, not quantities; a band may want one.
pub const STEERING_DROP: &str = "steering.drop";
/// The pull at the bars at which they begin to turn.
pub const STEERING_PULL: &str = "steering.pull";

/// A reading of the steering that a band, a limit or an expectation may name.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum ReadingName {
    SteeringDrop,
    SteeringPull,
}

impl ReadingName {
    pub const ALL: [Self; 2] = [Self::SteeringDrop, Self::SteeringPull];

    pub fn parse(text: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|name| name.as_str() == text)
    }

    pub const fn as_str(self) -> &'static str {
        match self {
            Self::SteeringDrop => STEERING_DROP,
            Self::SteeringPull => STEERING_PULL,
        }
    }

    pub fn info(self) -> &'static FigureRow {
        let [drop, pull] = READINGS;
        match self {
            Self::SteeringDrop => drop,
            Self::SteeringPull => pull,
        }
    }
}

/// Written as in a notebook.
impl Part for ReadingName {
    fn part(&self) -> Message {
        Message::text(self.as_str())
    }
}

impl fmt::Display for ReadingName {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.pad(self.as_str())
    }
}

/// Readings that a band, a limit or an expectation may name.
pub static READINGS: &[&FigureRow; 2] = &[
    &FigureRow {
        pattern: STEERING_DROP,
        value: FigureValue::Text,
        label: "steering drop test",
        help: "stays or falls",
        traits: &[Trait::OfSteering],
        moved: Moved::Nothing,
    },
    &FigureRow {
        pattern: STEERING_PULL,
        value: FORCE,
        label: "steering pull",
        help: "at a known radius",
        traits: &[Trait::OfSteering],
        moved: Moved::Nothing,
    },
];

impl FigureName {
    /// The figure of a sag under a load.
    pub const fn sag(load: Load, end: End) -> Self {
        match load {
            Load::Static => Self::SAG_STATIC.of(end),
            Load::Rider => Self::SAG_RIDER.of(end),
        }
    }

    pub const fn info(self) -> &'static FigureRow {
        self.row.info()
    }

    /// The figure that moves with the settings: for a sag that was read, the expected one.
    pub fn answering(self) -> Self {
        Self::SAG_RIDER.end_of(self).map_or(self, |end| Self::SAG_RIDER_EXPECTED.of(end))
    }

    /// The figure whose band judges it: for an expected sag, the one that is read.
    pub fn judged_as(self) -> Self {
        Self::SAG_RIDER_EXPECTED.end_of(self).map_or(self, |end| Self::SAG_RIDER.of(end))
    }

    /// Its label on a sheet.
    pub fn label(self) -> Message {
        self.info().label_with(self.open.said())
    }

    /// What to set in order to move it; `None` where no single setting does.
    pub fn moved_by(self) -> Option<MovedBy> {
        match self.info().moved {
            Moved::Nothing => None,
            Moved::Setting(setting) => Some(MovedBy::Setting(setting)),
            Moved::OwnChamber => Some(MovedBy::Setting(Setting::CHAMBER.of(self.word()?))),
            Moved::SpringOfEnd => Some(match self.end()? {
                End::Rear => MovedBy::Setting(Setting::SHOCK_PRELOAD),
                End::Front => MovedBy::ForkSpring,
            }),
            Moved::ForkSpring => Some(MovedBy::ForkSpring),
        }
    }
}

impl FigureRow {
    /// The label, with words for the open part, such as several names at once: `fork force at 0, 25 and 50 %`.
    pub fn label_with(&self, open: Message) -> Message {
        Message::filled(self.label, open)
    }

    fn has(&self, asked: Trait) -> bool {
        self.traits.contains(&asked)
    }

    /// Whether it is a change. Nothing is shown of a change smaller than its uncertainty.
    pub fn is_change(&self) -> bool {
        self.has(Trait::Change) || self.is_against_standard()
    }

    /// Whether it is a difference from the standard setting.
    pub fn is_against_standard(&self) -> bool {
        self.has(Trait::AgainstStandard)
    }

    /// Whether it repeats another figure. Pressures do, and so do differences from the standard setting and by the last change.
    pub fn says_again(&self) -> bool {
        self.is_against_standard() || self.has(Trait::LastChange) || self.has(Trait::OfPressure)
    }

    /// Whether it is about the day's air, which nobody sets.
    pub fn is_of_air(&self) -> bool {
        self.has(Trait::OfAir)
    }

    /// Whether it is about lap times, which mean nothing on another track.
    pub fn is_of_laps(&self) -> bool {
        self.has(Trait::OfLaps)
    }

    /// Whether it is one of several along the fork's travel, which a curve shows better.
    pub fn is_along_fork(&self) -> bool {
        self.has(Trait::AlongFork)
    }

    /// Whether it is among the first to set and look at: sags, the collar, pressures, trail.
    pub fn is_first(&self) -> bool {
        self.has(Trait::First)
    }

    /// Whether it names a part on hand: it is shown as stamped, not as a computed number.
    pub fn is_on_hand(&self) -> bool {
        self.has(Trait::OnHand)
    }

    /// Whether it is about a part that is made in steps, though the number may be between two of them.
    pub fn is_of_part(&self) -> bool {
        self.is_on_hand() || self.has(Trait::OfJet)
    }

    /// A value of its, no finer than a part is made: no drill is finer than a tenth of a jet's number.
    pub fn as_made(&self, value: f64) -> f64 {
        if self.has(Trait::OfJet) { (value * 10.0).round() / 10.0 } else { value }
    }

    /// Whether it is about machine and rider together.
    pub fn is_of_rider(&self) -> bool {
        self.has(Trait::OfRider)
    }

    /// The danger of reading it.
    pub fn care(&self) -> Option<Care> {
        match () {
            () if self.has(Trait::OnStand) => Some(Care::Stand),
            () if self.has(Trait::OfSteering) => Some(Care::Steering),
            () => None,
        }
    }

    pub fn kind(&self) -> Option<Kind> {
        match self.value {
            FigureValue::Quantity(kind) => Some(kind),
            FigureValue::Text => None,
        }
    }
}
