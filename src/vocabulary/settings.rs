//! Everything on a machine that can be set.

use crate::quantity::{Kind, Way};
use crate::speech::{Message, say};

use super::blocks::{AIR_GAP, FRONT_TEETH, LINKS, REAR_TEETH};
use super::name::{Name, name_table};
use super::names::End;
use super::spec::Possible;
use super::{Care, Damper};

/// The name of a setting: its row, and the end, chamber or word.
pub type Setting = Name<SettingId>;

/// The words that may follow a relative change, and which way each goes.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Turning {
    /// Only `+` and `-`.
    Plain,
    /// Counted out from closed: *in* is less.
    Adjuster,
    /// A collar or cap that squeezes a spring: *in* is more.
    Collar,
    /// *up* is more.
    Height,
}

/// Whether a setting belongs to the machine or the rider.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Owner {
    /// It stays on the machine, whoever rides.
    Machine,
    /// It is set for one rider on one machine.
    Rider,
}

/// Settings that are changed together and count as one change.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Together {
    RearSpring,
    FrontSpring,
    Gearing,
    Jetting,
    Bars,
}

/// The form of a setting's value.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum SettingValue {
    /// A quantity of one of these kinds; a bare number means the first.
    Quantity(&'static [Kind]),
    Text,
    /// One of these words.
    Word(&'static [&'static str]),
}

/// One row of the table: a setting.
#[derive(Debug)]
pub struct SettingRow {
    pub pattern: &'static str,
    pub value: SettingValue,
    pub possible: Possible,
    pub turning: Turning,
    pub owner: Owner,
    pub together: Option<Together>,
    /// Its label on a sheet.
    pub label: &'static str,
    pub help: &'static str,
    on_sheet: OnSheet,
    /// The damper whose clicks it counts.
    pub damper: Option<Damper>,
    model: Model,
    /// The danger of setting it.
    pub care: Option<Care>,
}

/// Whether a figure can rest on it: clickers, words and torques have no model.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Model {
    Modelled,
    Unmodelled,
}

/// Whether a sheet may leave it out.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum OnSheet {
    /// Left out where nothing changed and room is short.
    Shown,
    /// Springs, preload, clickers, pressures.
    Kept,
}

macro_rules! settings {
    ($($constant:ident $([$of:ident])? $pattern:literal, $value:expr, $possible:expr, $turning:ident, $owner:ident, $together:expr, $label:literal, $help:literal, $on_sheet:ident, $damper:expr, $model:ident, $care:expr;)*) => {
        name_table! {
            /// A row of the settings.
            SettingId; $($constant $($of)? = $pattern;)*
        }

        impl SettingId {
            /// Its row in the table.
            pub const fn info(self) -> &'static SettingRow {
                match self {
                    $(Self::$constant => &SettingRow {
                        pattern: $pattern,
                        value: $value,
                        possible: $possible,
                        turning: Turning::$turning,
                        owner: Owner::$owner,
                        together: $together,
                        label: $label,
                        help: $help,
                        on_sheet: OnSheet::$on_sheet,
                        damper: $damper,
                        model: Model::$model,
                        care: $care,
                    },)*
                }
            }
        }

        /// Every setting, in the order of the work and of a sheet: gearing, springs, heights, bars, clickers, engine,
        /// tyres, chambers.
        pub static SETTINGS: &[&SettingRow] = &[$(SettingId::$constant.info(),)*];
    };
}

const LENGTH: SettingValue = SettingValue::Quantity(&[Kind::Length]);
const CLICKS: SettingValue = SettingValue::Quantity(&[Kind::Clicks, Kind::Turns]);
const TURNS: SettingValue = SettingValue::Quantity(&[Kind::Turns, Kind::Clicks]);
const RATE: SettingValue = SettingValue::Quantity(&[Kind::Rate]);
const PRESSURE: SettingValue = SettingValue::Quantity(&[Kind::GaugePressure]);
const NUMBER: SettingValue = SettingValue::Quantity(&[Kind::Number]);
const TEXT: SettingValue = SettingValue::Text;

/// The words of `insert.END`: a mousse has no pressure to ask for.
pub const TUBE: &str = "tube";
pub const MOUSSE: &str = "mousse";
pub const TWO_CHAMBER: &str = "two-chamber";
/// The words of `exhaust`.
pub const STANDARD_EXHAUST: &str = "standard";
pub const AFTERMARKET_EXHAUST: &str = "aftermarket";

/// m. Below flush the clamp does not hold all of the tube; more than this above it, and the wheel would meet the lower clamp:
/// common practice, no source.
const HIGHEST_FORK: f64 = 0.05;

use Possible::{Any, Between, NotNegative, Positive};

/// What they measure as a rule, in m: a child's bar has 600 mm. Common practice, no source.
const BARS: Possible = Possible::Usually(0.4, 1.0);
const BARS_CUT: Possible = Possible::Usually(0.0, 0.15);

settings! {
    DRIVE_FRONT "drive.front", SettingValue::Quantity(&[Kind::Teeth]), FRONT_TEETH.possible, Plain, Machine, Some(Together::Gearing), "countershaft sprocket", "teeth of the countershaft sprocket", Shown, None, Modelled, Some(Care::Chain);
    DRIVE_REAR "drive.rear", SettingValue::Quantity(&[Kind::Teeth]), REAR_TEETH.possible, Plain, Machine, Some(Together::Gearing), "rear sprocket", "teeth of the rear sprocket", Shown, None, Modelled, Some(Care::Chain);
    DRIVE_LINKS "drive.links", SettingValue::Quantity(&[Kind::Links]), LINKS.possible, Plain, Machine, Some(Together::Gearing), "chain links", "links of the chain", Shown, None, Modelled, Some(Care::Chain);
    FORK_SPRING "fork.spring", RATE, Positive, Plain, Rider, Some(Together::FrontSpring), "fork spring", "rate of each fork spring", Kept, None, Modelled, Some(Care::Spring);
    FORK_PRELOAD "fork.preload", LENGTH, NotNegative, Collar, Rider, Some(Together::FrontSpring), "fork preload", "how far each fork spring is squeezed at full extension", Kept, None, Modelled, Some(Care::Preload);
    FORK_AIR_GAP "fork.air_gap", LENGTH, AIR_GAP.possible, Plain, Rider, None, "fork air gap", "from the top of the tube to the oil, fully compressed, springs out", Shown, None, Modelled, None;
    FORK_OIL "fork.oil", SettingValue::Quantity(&[Kind::Volume]), Positive, Plain, Rider, None, "fork oil a leg", "oil in each leg", Shown, None, Unmodelled, None;
    SHOCK_SPRING "shock.spring", RATE, Positive, Plain, Rider, Some(Together::RearSpring), "shock spring", "rate of the shock's spring", Kept, None, Modelled, Some(Care::Spring);
    SHOCK_PRELOAD "shock.preload", LENGTH, NotNegative, Collar, Rider, Some(Together::RearSpring), "shock preload", "how far the spring is squeezed at full extension; turns go by the collar's thread pitch", Kept, None, Modelled, Some(Care::Preload);
    SHOCK_LINK "shock.link", TEXT, Any, Plain, Rider, Some(Together::RearSpring), "shock link", "the name of a `link` block, or `standard`", Shown, None, Unmodelled, Some(Care::Spring);
    FORK_HEIGHT "fork.height", LENGTH, Between(0.0, HIGHEST_FORK), Height, Rider, None, "fork height", "top of the tube above the upper clamp's top face, both legs alike", Kept, None, Modelled, Some(Care::ForkHeight);
    CLAMP_OFFSET "clamp.offset", LENGTH, Any, Plain, Machine, None, "clamp offset", "of the clamps; only its change enters the geometry", Shown, None, Modelled, Some(Care::ForkHeight);
    STEERING_TORQUE "steering.torque", SettingValue::Quantity(&[Kind::Torque]), NotNegative, Plain, Machine, None, "steering head nut", "by the manual", Shown, None, Unmodelled, Some(Care::Steering);
    DAMPER "damper", CLICKS, NotNegative, Adjuster, Rider, None, "steering damper", "out from closed", Kept, None, Unmodelled, None;
    BARS_WIDTH "bars.width", LENGTH, BARS, Plain, Rider, Some(Together::Bars), "bar width", "overall, end to end", Shown, None, Modelled, None;
    BARS_CUT "bars.cut_per_side", LENGTH, BARS_CUT, Plain, Rider, Some(Together::Bars), "bars cut per side", "taken off each end of the standard bar", Shown, None, Modelled, None;
    BARS_MOUNT "bars.mount", LENGTH, Any, Plain, Rider, Some(Together::Bars), "bar mount", "forward of the standard place", Shown, None, Modelled, None;
    BARS_RISE "bars.rise", LENGTH, Any, Height, Rider, Some(Together::Bars), "bar rise", "height of the bar over its mount", Shown, None, Modelled, None;
    LEVER_REACH "lever.reach", LENGTH, Any, Plain, Rider, None, "lever reach", "from the grip to the lever", Shown, None, Modelled, None;
    LEVER_ANGLE "lever.angle", SettingValue::Quantity(&[Kind::Angle]), Any, Plain, Rider, None, "lever angle", "below the horizontal", Shown, None, Modelled, None;
    SEAT_HEIGHT "seat.height", LENGTH, Any, Height, Rider, None, "seat height", "over the standard seat, or from the ground: the same way each time", Shown, None, Modelled, None;
    PEGS "pegs", TEXT, Any, Plain, Rider, None, "pegs", "which place or which pegs", Shown, None, Unmodelled, None;
    FORK_COMPRESSION "fork.compression", CLICKS, NotNegative, Adjuster, Rider, None, "fork compression", "out from closed", Kept, Some(Damper::Fork), Unmodelled, None;
    FORK_REBOUND "fork.rebound", CLICKS, NotNegative, Adjuster, Rider, None, "fork rebound", "out from closed", Kept, Some(Damper::Fork), Unmodelled, None;
    SHOCK_LOW_COMPRESSION "shock.low_compression", CLICKS, NotNegative, Adjuster, Rider, None, "shock low-speed compression", "out from closed", Kept, Some(Damper::Shock), Unmodelled, None;
    SHOCK_HIGH_COMPRESSION "shock.high_compression", TURNS, NotNegative, Adjuster, Rider, None, "shock high-speed compression", "out from closed", Kept, Some(Damper::Shock), Unmodelled, None;
    SHOCK_REBOUND "shock.rebound", CLICKS, NotNegative, Adjuster, Rider, None, "shock rebound", "out from closed", Kept, Some(Damper::Shock), Unmodelled, None;
    FUELLING "fuelling", TEXT, Any, Plain, Rider, None, "fuelling", "one of the choices of the machine's `fuelling` block", Shown, None, Unmodelled, Some(Care::Fuelling);
    EXHAUST "exhaust", SettingValue::Word(&[STANDARD_EXHAUST, AFTERMARKET_EXHAUST]), Any, Plain, Machine, None, "exhaust", "which exhaust is on", Shown, None, Unmodelled, Some(Care::Fuelling);
    JET_MAIN "jet.main", NUMBER, Positive, Plain, Machine, Some(Together::Jetting), "main jet", "number of the main jet", Shown, None, Modelled, Some(Care::Fuelling);
    JET_PILOT "jet.pilot", NUMBER, Positive, Plain, Machine, Some(Together::Jetting), "pilot jet", "number of the pilot jet", Shown, None, Modelled, Some(Care::Fuelling);
    NEEDLE_CLIP "needle.clip", SettingValue::Quantity(&[Kind::Count]), Positive, Plain, Machine, Some(Together::Jetting), "needle clip", "groove from the top; 1 is the leanest", Shown, None, Modelled, Some(Care::Fuelling);
    AIR_SCREW "air_screw", TURNS, NotNegative, Adjuster, Machine, Some(Together::Jetting), "air screw", "turns out from closed", Kept, None, Unmodelled, Some(Care::Fuelling);
    TYRE_NAME [OfEnd] "tyre_name.END", TEXT, Any, Plain, Machine, None, "END tyre fitted", "which tyre is on", Shown, None, Unmodelled, None;
    INSERT [OfEnd] "insert.END", SettingValue::Word(&[TUBE, MOUSSE, TWO_CHAMBER]), Any, Plain, Machine, None, "END insert", "what is inside the tyre", Shown, None, Unmodelled, None;
    TYRE [OfEnd] "tyre.END", PRESSURE, NotNegative, Plain, Rider, None, "END tyre", "gauge pressure at the track, cold; a mousse asks for none", Kept, None, Modelled, None;
    CHAMBER [OfWord] "chamber.NAME", PRESSURE, NotNegative, Plain, Rider, None, "NAME chamber", "gauge pressure of an air chamber at the track, cold; wheel off the ground, fork fully out", Kept, None, Modelled, Some(Care::Air);
    OTHER [OfWord] "other.ANYTHING", TEXT, Any, Plain, Rider, None, "ANYTHING", "anything else worth keeping, in words", Shown, None, Unmodelled, None;
}

impl Setting {
    pub const fn info(self) -> &'static SettingRow {
        self.row.info()
    }

    /// Its label on a sheet.
    pub fn label(self) -> Message {
        Message::filled(self.info().label, self.open.said())
    }

    /// The spring of an end.
    pub const fn spring_of(end: End) -> Self {
        match end {
            End::Front => Self::FORK_SPRING,
            End::Rear => Self::SHOCK_SPRING,
        }
    }

    /// The preload of that spring.
    pub const fn preload_of(end: End) -> Self {
        match end {
            End::Front => Self::FORK_PRELOAD,
            End::Rear => Self::SHOCK_PRELOAD,
        }
    }

    /// Whether it is the pressure of a chamber or tyre.
    pub fn is_pressure(self) -> bool {
        matches!(self.row, SettingId::CHAMBER | SettingId::TYRE)
    }
}

impl SettingRow {
    /// A word that it is set to, as pages say it; notebooks keep theirs. What a book calls a thing stays as it is.
    pub fn say_word(&self, word: &str) -> Message {
        let is_own = matches!(self.value, SettingValue::Word(words) if words.contains(&word));
        match word {
            TUBE if is_own => say!("tube" in "inside"),
            MOUSSE if is_own => say!("mousse" in "inside"),
            TWO_CHAMBER if is_own => say!("two-chamber" in "inside"),
            STANDARD_EXHAUST if is_own => say!("standard" in "exhaust"),
            AFTERMARKET_EXHAUST if is_own => say!("aftermarket" in "exhaust"),
            _ => Message::text(word),
        }
    }

    /// The kinds of quantity that it may have; none for words.
    pub const fn kinds(&self) -> &'static [Kind] {
        match self.value {
            SettingValue::Quantity(kinds) => kinds,
            SettingValue::Text | SettingValue::Word(_) => &[],
        }
    }

    /// Whether a sheet never leaves it out: springs, preload, clickers, pressures.
    pub fn is_kept(&self) -> bool {
        self.on_sheet == OnSheet::Kept
    }

    /// Whether it is about the engine alone, and holds nothing up and steers nothing.
    pub fn is_of_engine(&self) -> bool {
        self.care == Some(Care::Fuelling)
    }

    /// Whether a figure can rest on it.
    pub fn is_modelled(&self) -> bool {
        self.model == Model::Modelled
    }

    /// Whether it is a collar's, so that turns are a length.
    pub fn has_collar(&self) -> bool {
        self.turning == Turning::Collar
    }

    /// Whether it counts clicks or turns out from closed.
    pub fn is_adjuster(&self) -> bool {
        self.turning == Turning::Adjuster
    }

    /// Whether a change this way makes the number larger (1) or smaller (−1); `None` where the setting does not
    /// have the direction.
    pub fn direction(&self, way: Way) -> Option<f64> {
        match (self.turning, way) {
            (_, Way::Plus) => Some(1.0),
            (_, Way::Minus) => Some(-1.0),
            (Turning::Adjuster, Way::In) | (Turning::Collar, Way::Out) => Some(-1.0),
            (Turning::Adjuster, Way::Out) | (Turning::Collar, Way::In) => Some(1.0),
            (Turning::Height, Way::Up) => Some(1.0),
            (Turning::Height, Way::Down) => Some(-1.0),
            _ => None,
        }
    }

    /// The trade's word for a change of this sign.
    pub fn way(&self, positive: bool) -> Way {
        match (self.turning, positive) {
            (Turning::Plain, true) => Way::Plus,
            (Turning::Plain, false) => Way::Minus,
            (Turning::Adjuster, true) | (Turning::Collar, false) => Way::Out,
            (Turning::Adjuster, false) | (Turning::Collar, true) => Way::In,
            (Turning::Height, true) => Way::Up,
            (Turning::Height, false) => Way::Down,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn in_is_less_on_an_adjuster_and_more_on_a_collar() {
        assert_eq!(Setting::FORK_COMPRESSION.info().direction(Way::In), Some(-1.0));
        assert_eq!(Setting::SHOCK_PRELOAD.info().direction(Way::In), Some(1.0));
        assert_eq!(Setting::FORK_HEIGHT.info().direction(Way::In), None);
    }

    #[test]
    fn a_label_names_the_chamber() {
        assert_eq!(Setting::CHAMBER.named("main").label().to_string(), "main chamber");
    }
}
