//! The blocks of riders', tracks' and days' notebooks.

use crate::quantity::Kind::{AbsolutePressure, Force, GaugePressure, Length, Mass, Share, Temperature, Time};
use crate::vocabulary::End;
use crate::vocabulary::spec::{Argument, NotebookKind, Open, Possible, Shape, ValueSpec};
use crate::vocabulary::values::{Dated, Given, Laps, Readings, Texts, TimeOfDay, Truth, Written};

use super::block;

const DAY: &[NotebookKind] = &[NotebookKind::Day];
const RIDER_OR_DAY: &[NotebookKind] = &[NotebookKind::Rider, NotebookKind::Day];
const TRACK: &[NotebookKind] = &[NotebookKind::Track];
const SET: &[NotebookKind] = &[NotebookKind::Machine, NotebookKind::Rider, NotebookKind::Day];

/// Air to ride in, −60 to 52 °C: the records at the ground are near −89 and 57 °C, from memory, and nobody rides in those. What
/// is warmer was read in other degrees.
pub(super) const AIR_TEMPERATURE: ValueSpec = ValueSpec::between(&[Temperature], 213.15, 325.15);
/// A leg, cold or ridden: from the coldest air to boiling water. At absolute zero there is no pressure.
const LEG_TEMPERATURE: ValueSpec = ValueSpec::between(&[Temperature], 213.15, 373.15);
/// Air pressure where somebody rides, 300 to 1100 hPa: from the highest summit to below the lowest shore. From
/// memory.
pub(super) const AIR_PRESSURE: ValueSpec = ValueSpec::between(&[AbsolutePressure], 30_000.0, 110_000.0);

/// Heights above the sea where somebody rides, −500 to 6000 m: the lowest shore is near −430 m. From memory. A bare
/// number is refused: the book's lengths are those of a machine, in millimetres or inches.
const ABOVE_THE_SEA: ValueSpec = ValueSpec::between(&[Length], -500.0, 6000.0).with_unit();
/// A rider in gear, 15 to 160 kg, and a lap, 50 m to 200 km. Common practice, no source.
const RIDER_MASS: ValueSpec = ValueSpec::usually(&[Mass], 15.0, 160.0);
const LAP_LENGTH: ValueSpec = ValueSpec::usually(&[Length], 50.0, 200e3).with_unit();
/// A bar from the steering axis to its end: a child's has 300 mm, the widest 500. Common practice, no source.
const PULL_RADIUS: ValueSpec = ValueSpec::usually(&[Length], 0.05, 0.6);

/// The words of a rider's `level`.
pub const LEVELS: &[&str] = &["novice", "steady", "expert"];
/// The words of `traction`.
pub const LOW: &str = "low";
pub const MEDIUM: &str = "medium";
pub const HIGH: &str = "high";
/// The words of `posture`.
pub const STANDING: &str = "standing";
pub const SEATED: &str = "seated";
/// The words of the steering's `drop`.
pub const STAYS: &str = "stays";
pub const FALLS: &str = "falls";
/// The words behind `stint`.
pub const STINT_WORDS: &[&str] = &["practice", "qualifying", "race"];
/// The words of a stint's `verdict`.
pub const BETTER: &str = "better";
pub const WORSE: &str = "worse";
pub const SAME: &str = "same";
/// The words behind `valving`.
pub const FORK_DAMPER: &str = "fork";
pub const SHOCK_DAMPER: &str = "shock";
/// Something to look at before riding: its word in `checked`, and the question on a sheet.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct LookRow {
    pub word: &'static str,
    pub ask: &'static str,
}

/// The look for a changed sprocket or chain.
pub const LOOK_CHAIN: &str = "chain";

/// The look for bled legs: only for a fork with bleed screws.
pub const LOOK_BLED: &str = "bled";

/// Looks that `checked` may name besides figures, readings and services. Common practice, no source.
pub static LOOKS: &[LookRow] = &[
    LookRow { word: "tyres", ask: "tyre pressures, front tyre wear" },
    LookRow { word: "spokes", ask: "spokes and rim locks" },
    LookRow { word: "axles", ask: "axles and their pinch bolts" },
    LookRow { word: "alignment", ask: "wheels in line" },
    LookRow { word: LOOK_CHAIN, ask: "chain not tight, by the manual" },
    LookRow { word: "bearings", ask: "steering, swingarm and wheel bearings: free, no play" },
    LookRow { word: "links", ask: "link bearings: free, no play" },
    LookRow { word: "fork-legs", ask: "fork legs not twisted, lower clamps not over-tightened" },
    LookRow { word: LOOK_BLED, ask: "forks bled, wheel off the ground" },
    LookRow { word: "leaks", ask: "nothing leaking" },
    LookRow { word: "filter", ask: "air filter clean" },
    LookRow { word: "bolts", ask: "bolts tight" },
];

/// The look for signs of an injury after a crash; another person asks the rider.
pub const LOOK_SIGNS: &str = "signs";
/// The look at a machine after a crash.
pub const LOOK_AFTER_CRASH: &str = "after-crash";

/// Looks that `checked` may name, and that no sheet asks for of its own accord. Common practice, no source.
pub static FURTHER_LOOKS: &[&str] =
    &[LOOK_SIGNS, LOOK_AFTER_CRASH, "brakes", "throttle", "kill-switch", "bars", "helmet"];

/// Whether this is the word of a look in `checked`.
pub fn is_look(word: &str) -> bool {
    LOOKS.iter().any(|look| look.word == word) || FURTHER_LOOKS.contains(&word)
}

block! {
    /// Who rides.
    RiderBlock "rider", Argument::None, RIDER_OR_DAY, Open::No, "Who rides; in a day's notebook it holds from there on." {
        mass: Given = "mass", RIDER_MASS, Some("loads with the rider aboard"), None, "in gear";
        number: Written = "number", ValueSpec::text(), None, None, "race number";
        rear_share: Given = "rear_share", ValueSpec::between(&[Share], 0.0, 1.0), None, None, "share of the rider's mass on the rear wheel, standing; 60 % when not given";
        level: Written = "level", ValueSpec::word(LEVELS), None, None, "`novice`, `steady` or `expert`";
        noticeable: Given = "noticeable", ValueSpec::positive(&[Time]), None, None, "the difference in lap time that matters; 0.5 s when not given";
    }
}

block! {
    /// The track.
    TrackBlock "track", Argument::None, TRACK, Open::No, "The track." {
        soil: Written = "soil", ValueSpec::text(), None, None, "what it is made of";
        elevation: Given = "elevation", ABOVE_THE_SEA, None, None, "above sea level";
        length: Given = "length", LAP_LENGTH, None, None, "of a lap";
        sections: Texts = "sections", ValueSpec::texts(), None, None, "names of its parts";
    }
}

block! {
    /// The day's air and ground.
    Conditions "conditions", Argument::None, DAY, Open::No, "The day's air and ground." {
        air: Given = "air", AIR_TEMPERATURE, None, None, "air temperature";
        pressure: Given = "pressure", AIR_PRESSURE, None, Some("sea_level_pressure"), "of the air at the gate, as a barometer there shows it, absolute";
        sea_level_pressure: Given = "sea_level_pressure", ValueSpec::between(&[AbsolutePressure], 85_000.0, 110_000.0), None, Some("pressure"), "as forecasts give it, absolute";
        humidity: Given = "humidity", ValueSpec::between(&[Share], 0.0, 1.0), None, None, "relative humidity";
        elevation: Given = "elevation", ABOVE_THE_SEA, None, None, "above sea level; the track's when not given";
        thermometer: Written = "thermometer", ValueSpec::text(), None, None, "an instrument from `book.toml`";
        barometer: Written = "barometer", ValueSpec::text(), None, None, "an instrument from `book.toml`: of `pressure`, not of a forecast";
        hygrometer: Written = "hygrometer", ValueSpec::text(), None, None, "an instrument from `book.toml`";
        altimeter: Written = "altimeter", ValueSpec::text(), None, None, "an instrument from `book.toml`";
        bench: Given = "bench", AIR_TEMPERATURE, None, None, "where pressures will be set; where they were read that day when not given";
        bench_elevation: Given = "bench_elevation", ABOVE_THE_SEA, None, None, "of the bench, above sea level; the gate's when not given";
        soil: Written = "soil", ValueSpec::text(), None, None, "what it is made of";
        surface: Written = "surface", ValueSpec::text(), None, None, "how it is today";
        traction: Written = "traction", ValueSpec::word(&[LOW, MEDIUM, HIGH]), None, None, "`low`, `medium` or `high`";
        wind: Written = "wind", ValueSpec::text(), None, None, "in words";
        rain: Written = "rain", ValueSpec::text(), None, None, "in words";
        fuel: Written = "fuel", ValueSpec::text(), None, None, "what is in the tank";
        premix: Written = "premix", ValueSpec::text(), None, None, "how much oil is in it, such as `40:1`, and which";
    }
}

block! {
    /// Sag readings at one end.
    Sag "sag", Argument::End, DAY, Open::No, "Sag readings at one end, from the axle to the same mark." {
        tape: Written = "tape", ValueSpec::text(), None, None, "an instrument from `book.toml`";
        hanging: Readings = "hanging", ValueSpec::repeats(&[Length], Possible::Positive), Some("any sag"), None, "wheel off the ground";
        alone: Readings = "alone", ValueSpec::repeats(&[Length], Possible::Positive), None, None, "machine on its wheels, no rider";
        aboard: Readings = "aboard", ValueSpec::repeats(&[Length], Possible::Positive), None, None, "rider aboard, in gear";
        alone_after_push: Readings = "alone_after_push", ValueSpec::repeats(&[Length], Possible::Positive), None, None, "pushed down and let come up slowly";
        alone_after_lift: Readings = "alone_after_lift", ValueSpec::repeats(&[Length], Possible::Positive), None, None, "lifted and let settle slowly";
        aboard_after_push: Readings = "aboard_after_push", ValueSpec::repeats(&[Length], Possible::Positive), None, None, "pushed down and let come up slowly";
        aboard_after_lift: Readings = "aboard_after_lift", ValueSpec::repeats(&[Length], Possible::Positive), None, None, "lifted and let settle slowly";
        posture: Written = "posture", ValueSpec::word(&[STANDING, SEATED]), None, None, "`standing` or `seated`";
        accepted: Written = "accepted", ValueSpec::text(), None, None, "why what stands here may lie outside its band";
    }
}

block! {
    /// Pressures as left, and as found.
    Pressures "pressures", Argument::None, DAY, Open::Pressures, "Pressures as left, and as found before topping up; wheel off the ground, fork fully out." {
        gauge: Written = "gauge", ValueSpec::text(), None, None, "an instrument from `book.toml`";
        thermometer: Written = "thermometer", ValueSpec::text(), None, None, "an instrument from `book.toml`, for `at`";
        altimeter: Written = "altimeter", ValueSpec::text(), None, None, "an instrument from `book.toml`, for `elevation`";
        at: Given = "at", LEG_TEMPERATURE, None, None, "of the leg, after standing in the shade; the day's air when not given";
        elevation: Given = "elevation", ABOVE_THE_SEA, None, None, "where it was measured; the track's when not given";
        accepted: Written = "accepted", ValueSpec::text(), None, None, "why what stands here may lie outside its band";
    }
}

block! {
    /// Masses on wheel scales.
    Scales "scales", Argument::None, DAY, Open::No, "Masses on wheel scales." {
        scale: Written = "scale", ValueSpec::text(), None, None, "an instrument from `book.toml`";
        front_alone: Readings = "front_alone", ValueSpec::repeats(&[Mass], Possible::Positive), None, None, "front wheel, no rider";
        rear_alone: Readings = "rear_alone", ValueSpec::repeats(&[Mass], Possible::Positive), None, None, "rear wheel, no rider";
        front_aboard: Readings = "front_aboard", ValueSpec::repeats(&[Mass], Possible::Positive), None, None, "front wheel, rider aboard";
        rear_aboard: Readings = "rear_aboard", ValueSpec::repeats(&[Mass], Possible::Positive), None, None, "rear wheel, rider aboard";
        accepted: Written = "accepted", ValueSpec::text(), None, None, "why what stands here may lie outside its band";
    }
}

block! {
    /// How the steering turns.
    Steering "steering", Argument::None, DAY, Open::No, "How the steering turns, front wheel off the ground." {
        drop: Written = "drop", ValueSpec::word(&[STAYS, FALLS]), None, None, "bars let go from straight ahead: `stays` or `falls`";
        pull: Readings = "pull", ValueSpec::repeats(&[Force], Possible::NotNegative), None, None, "pull at the bars at which they begin to turn";
        radius: Given = "radius", PULL_RADIUS, None, None, "from the steering axis to where it was pulled";
        accepted: Written = "accepted", ValueSpec::text(), None, None, "why what stands here may lie outside its band";
    }
}

block! {
    /// Hours ridden.
    Hours "hours", Argument::None, DAY, Open::No, "Hours ridden." {
        meter: Given = "meter", ValueSpec::hours(), None, Some("ridden"), "what the meter shows";
        ridden: Given = "ridden", ValueSpec::hours(), None, Some("meter"), "since the last notebook";
    }
}

block! {
    /// What was looked at.
    Checked "checked", Argument::None, DAY, Open::No, "What was looked at and found good." {
        done: Texts = "done", ValueSpec::texts(), Some("anything being ticked off"), Some("cleared"), "figures, readings, services, or looks";
        cleared: Written = "cleared", ValueSpec::text(), None, None, "by whom and when the rider was found fit to ride again, on a later day than the injury";
    }
}

block! {
    /// Settings as found or as set.
    Settings "settings", Argument::MaybeName, SET, Open::Settings, "Settings as found or as set; with a name, another plan (in a rider's notebook: for that machine)." {
        use_plan: Written = "use", ValueSpec::text(), None, None, "a named plan, in force from here";
        accepted: Written = "accepted", ValueSpec::text(), None, None, "why what stands here may lie outside its band, or far from what it was";
    }
}

block! {
    /// A change on purpose.
    Change "change", Argument::None, DAY, Open::Settings, "A change on purpose, absolute or by how much." {
        because: Written = "because", ValueSpec::text(), None, None, "why";
        back: Truth = "back", ValueSpec::of(Shape::Truth), None, None, "undo the last change";
        use_plan: Written = "use", ValueSpec::text(), None, None, "a named plan, in force from here";
        accepted: Written = "accepted", ValueSpec::text(), None, None, "why what stands here may lie outside its band, or far from what it was";
    }
}

block! {
    /// A ride.
    Stint "stint", Argument::MaybeOneOf(STINT_WORDS), DAY, Open::No, "A ride, on the settings in force at its place." {
        laps: Laps = "laps", ValueSpec { shape: Shape::Laps, kinds: &[Time], words: &[], possible: Possible::Positive }, None, None, "lap times, or the path of a CSV file in the book";
        column: Written = "column", ValueSpec::text(), None, None, "the column of the file that has the times";
        skip: Readings = "skip", ValueSpec::of(Shape::Counts), None, None, "numbers of laps that do not count";
        rode: Given = "rode", ValueSpec::not_negative(&[Time]), None, None, "time ridden; feeds the hours when there is no meter";
        start: TimeOfDay = "start", ValueSpec::of(Shape::TimeOfDay), None, None, "time of day";
        feel: Texts = "feel", ValueSpec::texts(), None, None, "complaint, where, how strong 1 to 5; then ` - ` and words of your own";
        verdict: Written = "verdict", ValueSpec::word(&[BETTER, WORSE, SAME]), None, None, "against the stint before: `better`, `worse` or `same`";
        result: Written = "result", ValueSpec::text(), None, None, "in words";
        travel_used_front: Given = "travel_used.front", ValueSpec::not_negative(&[Length]), None, None, "where the O-ring stood";
        travel_used_rear: Given = "travel_used.rear", ValueSpec::not_negative(&[Length]), None, None, "where the O-ring stood";
        note: Written = "note", ValueSpec::text(), None, None, "in words";
    }
}

impl Stint {
    /// Where an end's travel ring stood after it.
    pub fn travel_used(&self, end: End) -> Option<Given> {
        match end {
            End::Front => self.travel_used_front,
            End::Rear => self.travel_used_rear,
        }
    }

    /// Whether it says nothing yet: the stint is still to be ridden.
    pub fn is_blank(&self) -> bool {
        self.laps.is_none()
            && self.rode.is_none()
            && self.start.is_none()
            && self.feel.is_none()
            && self.verdict.is_none()
            && self.result.is_none()
            && self.travel_used_front.is_none()
            && self.travel_used_rear.is_none()
            && self.note.is_none()
    }
}

block! {
    /// A damper rebuilt.
    Valving "valving", Argument::OneOf(&[FORK_DAMPER, SHOCK_DAMPER]), SET, Open::No, "A damper rebuilt: clicks before and after it are not compared." {
        date: Dated = "date", ValueSpec::of(Shape::Date), None, None, "when; the day's own date when not given";
        by: Written = "by", ValueSpec::text(), None, None, "who did it";
        oil: Written = "oil", ValueSpec::text(), None, None, "which oil";
        note: Written = "note", ValueSpec::text(), None, None, "in words";
    }
}

block! {
    /// What must hold at the end of this notebook.
    Expect "expect", Argument::None, &NotebookKind::ALL, Open::Bands, "What must hold at the end of this notebook: an error when it does not." {}
}

/// Names the kind of open pressure keys once.
pub const PRESSURE: ValueSpec = ValueSpec::repeats(&[GaugePressure], Possible::NotNegative);
