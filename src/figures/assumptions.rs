//! What is assumed when nobody wrote it, and how far it may be off (k = 2): one table.

use crate::book::readings::Tool;
use crate::quantity::Kind;
use crate::speech::{Message, say};

/// A value assumed where none was written.
#[derive(Debug)]
pub struct Assumption {
    /// The id of its error source.
    pub id: &'static str,
    /// In the SI base unit.
    pub value: f64,
    /// Expanded (k = 2), in the same unit.
    pub spread: f64,
    pub kind: Kind,
    /// Its name wherever a figure rests on it.
    pub text: &'static str,
}

macro_rules! assumptions {
    ($($name:ident $id:literal, $value:expr, $spread:expr, $kind:ident, $text:literal;)*) => {
        $(pub static $name: Assumption =
            Assumption { id: $id, value: $value, spread: $spread, kind: Kind::$kind, text: $text };)*

        /// All of them, for the reference.
        pub static ASSUMPTIONS: &[&Assumption] = &[$(&$name,)*];
    };
}

// Common practice, no source; the spreads are this project's own judgement.
assumptions! {
    UNSPRUNG_FRONT_SHARE "assumed/unsprung front share", 0.18, 0.036, Share, "front unsprung mass 18 ± 3.6 % of the machine's";
    UNSPRUNG_REAR_SHARE "assumed/unsprung rear share", 0.23, 0.046, Share, "rear unsprung mass 23 ± 4.6 % of the machine's";
    UNSPRUNG_FRONT "assumed/unsprung front", 20.0, 4.0, Mass, "front unsprung mass 20 ± 4 kg";
    UNSPRUNG_REAR "assumed/unsprung rear", 25.0, 5.0, Mass, "rear unsprung mass 25 ± 5 kg";
    RIDER_REAR_SHARE "assumed/rider rear share", 0.6, 0.05, Share, "rider's rear share 60 ± 5 %";
    STANDARD_PRESSURE "assumed/air pressure", 101_325.0, 2_000.0, AbsolutePressure, "standard air pressure 1013 ± 20 hPa";
    LEGS "assumed/legs", 0.0, 5.0, TemperatureDifference, "legs in the day's air, ± 5 K";
    RIDE_EXPONENT "assumed/ride exponent", 1.3, 0.1, Number, "riding exponent 1.3 ± 0.1";
    MEASURED_FORK_HEIGHT "assumed/measured at fork height", 0.0, 0.005, Length, "frame measured at the standard fork height ± 5 mm";
    MEASURED_FRONT_SAG "assumed/measured at front sag", 0.0, 0.005, Length, "frame measured with no front sag ± 5 mm";
    MEASURED_REAR_SAG "assumed/measured at rear sag", 0.0, 0.005, Length, "frame measured with no rear sag ± 5 mm";
}

/// Says that a sag comes from the model, because something changed since it was read.
pub fn predicted() -> Message {
    say!("predicted from the last reading")
}

/// Says that a sag comes from the model, because it was never read.
pub fn predicted_unread() -> Message {
    say!("predicted: no rider sag was measured")
}

/// Springs in a fork, where the machine's notebook does not say.
pub const FORK_SPRINGS: f64 = 2.0;

/// An undeclared instrument: an ordinary one of its kind.
#[derive(Debug, PartialEq)]
pub struct Ordinary {
    pub tool: Tool,
    /// Its name.
    pub word: &'static str,
    /// Standard deviation of one reading, worth as much as [`PRIOR_FREEDOM`] repeats: in the SI base unit, for a pull
    /// as a share.
    pub scatter: f64,
    /// Smallest division and half-width of the bias, in the SI base unit; `None` where neither is assumed.
    pub form: Option<(f64, f64)>,
    /// Names the scatter until repeats have shown it.
    pub scatter_text: &'static str,
    /// Names the rest.
    pub text: &'static str,
}

/// In Pa.
const PSI: f64 = 6_894.757_293_168;

macro_rules! ordinary {
    ($($name:ident $tool:ident $word:literal, $scatter:expr, $form:expr, $scatter_text:literal, $text:literal;)*) => {
        $(static $name: Ordinary = Ordinary {
            tool: Tool::$tool, word: $word, scatter: $scatter, form: $form, scatter_text: $scatter_text, text: $text,
        };)*

        /// All of them, for the reference.
        pub static ORDINARY: &[&Ordinary] = &[$(&$name,)*];
    };
}

// Common practice, no source. The scatter of a tape and its weight were chosen by simulation
// (`tests/suite/coverage.rs`).
ordinary! {
    TAPE Tape "tape", 0.001, Some((0.001, 0.001)), "readings with the tape scatter by 1 mm", "an ordinary tape: 1 mm divisions, ± 1 mm";
    GAUGE Gauge "gauge", 0.5 * PSI, Some((0.5 * PSI, PSI)), "readings with the gauge scatter by 0.5 psi", "an ordinary gauge: 0.5 psi divisions, ± 1 psi";
    SCALE Scale "scale", 0.2, Some((0.1, 0.3)), "readings with the scale scatter by 0.2 kg", "an ordinary scale: 0.1 kg divisions, ± 0.3 kg";
    PULL_SCALE PullScale "pull", 0.03, None, "pulls scatter by 3 %", "";
}

/// Degrees of freedom that the assumed scatter is worth.
pub const PRIOR_FREEDOM: f64 = 4.0;
/// Degrees of freedom from which it is no longer named: the book's own repeats then outweigh it four to one.
pub const WELL_KNOWN: f64 = 20.0;

impl Ordinary {
    /// The row of a tool.
    pub fn of(tool: Tool) -> &'static Self {
        match tool {
            Tool::Tape => &TAPE,
            Tool::Gauge => &GAUGE,
            Tool::Scale => &SCALE,
            Tool::PullScale => &PULL_SCALE,
        }
    }
}
