//! What advice says: plain values, with a finished text for each number.

use serde::Serialize;

use crate::quantity::Units;
use crate::season::Changed;
use crate::speech::{Message, say};
use crate::vocabulary::{FigureName, Named};

use super::data::place_said;
use super::make::Ease;

/// What to do next on a machine, for its rider.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Next {
    /// The complaint that is dealt with, and where it comes from.
    pub complaint: Option<OnFile>,
    /// The other complaints of the same ride, strongest first.
    pub others: Vec<OnFile>,
    /// What comes before everything else, for a complaint that is not to be ridden.
    pub stop: Option<String>,
    /// What to look at first, in the trade's words; empty without a complaint.
    pub first: String,
    /// Looks that come before any change.
    pub looks: Vec<LookState>,
    /// The readings that decide about the complaint.
    pub readings: Vec<ReadingState>,
    /// What is outside its band and should be put right, though it is no cure.
    pub put_right: Vec<String>,
    /// What was tried before against this complaint, oldest first.
    pub tried: Vec<Tried>,
    pub answer: Answer,
    /// All steps, in the order in which they would be taken.
    pub steps: Vec<StepState>,
    pub cautions: Vec<String>,
}

/// The one next thing.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[serde(tag = "do", rename_all = "lowercase")]
pub enum Answer {
    Change(Box<Change>),
    /// A reading first, because everything else would rest on an old one.
    Measure(Measure),
    /// A change was made, and nobody has ridden it yet.
    Ride(Text),
    /// The last change made it worse.
    Undo(Undo),
    /// Words of injury are on file: nothing else is advised.
    Doctor(Text),
    /// Something to look at before anybody rides or changes anything: after a crash the rider's signs, then the machine;
    /// with a head that falls, its bearings.
    Check(Check),
    /// There is no complaint, or no step is left.
    Nothing(Text),
}

/// An answer that is only words.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Text {
    pub text: String,
}

/// What to look at first.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Check {
    /// Its word for `checked`.
    pub name: String,
    pub text: String,
    /// The block to write.
    pub write: String,
}

/// A complaint on file.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct OnFile {
    pub word: String,
    pub say: String,
    pub place: Option<String>,
    pub strength: Option<u8>,
    /// The rider's own words.
    pub words: String,
    pub date: String,
    pub at: Location,
    /// In one line, with its place.
    #[serde(skip)]
    pub(super) told: String,
}

/// Where something is written.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Location {
    pub file: String,
    pub line: u32,
    pub column: u32,
}

/// Whether a look was done.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct LookState {
    pub name: String,
    pub say: String,
    pub is_done: bool,
    /// When it was last done.
    pub last: Option<String>,
}

/// A reading that advice rests on.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct ReadingState {
    pub name: Named,
    pub label: String,
    /// With its unit; `None` where there is no reading.
    pub shown: Option<String>,
    /// The machine's band.
    pub band: Option<String>,
    pub is_in_band: Option<bool>,
    pub is_due: bool,
    /// Why it is due, or what it means outside its band.
    pub note: Option<String>,
}

/// A reading to take before anything is changed.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Measure {
    pub name: Named,
    pub label: String,
    pub why: String,
    pub how: String,
    pub text: String,
}

/// A change tried: what changed between two rides, and what came of it.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Tried {
    pub date: String,
    pub settings: Vec<Moved>,
    pub verdict: Option<Verdict>,
    /// Whether the rider wrote the verdict; else it follows from the strength of the complaint.
    pub is_written: bool,
    /// Why it shows nothing about the settings: several changed at once, or a damper was rebuilt since.
    pub is_void: Option<String>,
    pub text: String,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "lowercase")]
pub enum Verdict {
    Better,
    Worse,
    Same,
}

/// A setting before and after.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Moved {
    pub name: Changed,
    pub label: String,
    pub from: Option<String>,
    pub to: Option<String>,
}

/// A change that made it worse, to undo.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Undo {
    pub settings: Vec<Moved>,
    pub text: String,
    /// The block to write.
    pub write: String,
}

/// One next change.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Change {
    /// What to do, in one line.
    pub text: String,
    /// The settings that it moves; none where no setting records it.
    pub settings: Vec<Moved>,
    /// How far, in the words of a `change`.
    pub by: Option<String>,
    /// The usual step, in the trade's words.
    pub usual: Option<String>,
    /// How much of the day's total it uses.
    pub total: Option<String>,
    pub predictions: Vec<Prediction>,
    /// Why less is predicted than could be.
    pub unpredicted: Option<String>,
    pub costs: String,
    /// What the rider feels if it worked.
    pub better: String,
    pub undo: String,
    /// The source of the step itself; predictions come from the model.
    pub source: String,
    /// What this book shows about it; `None` where it moves no setting.
    pub worth: Option<Worth>,
    /// Whether it is tried and can be undone; else it puts something right.
    pub is_trial: bool,
    pub ease: Ease,
    /// What else must be done with it.
    pub also: Vec<String>,
    /// The block to write.
    pub write: String,
}

/// What this book shows about a step against a complaint.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Worth {
    /// How often it was tried and ridden, by this rider or on this machine.
    pub taken: usize,
    pub better: usize,
    pub same: usize,
    pub worse: usize,
    /// What the laps showed, where there were enough to compare, oldest first.
    pub by_laps: Vec<String>,
    pub text: String,
}

/// A figure before and after a change, by the model.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Prediction {
    pub figure: FigureName,
    pub label: String,
    pub before: String,
    pub after: String,
    pub change: String,
    /// In the SI base unit.
    pub value_before: f64,
    pub value_after: f64,
    /// Expanded uncertainty of the change, in the SI base unit; `None` where none is known.
    pub expanded: Option<f64>,
    pub unit: String,
    /// Whether the change exceeds its own uncertainty.
    pub is_beyond_measurement: bool,
    /// Whether the figure would leave the machine's band.
    pub leaves_band: bool,
}

/// One step, and whether it is taken.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct StepState {
    pub text: String,
    pub ease: Ease,
    /// That it was tried and did not help, or what it would undo.
    pub note: Option<String>,
    /// What this book shows about it; `None` for a step that is left out.
    pub worth: Option<Worth>,
    pub standing: Standing,
}

/// Whether a step is next, waits its turn, or is left out.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[serde(tag = "is", rename_all = "lowercase")]
pub enum Standing {
    Next,
    Later,
    Skipped(Skip),
}

/// Why a step is left out.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Skip {
    pub why: Why,
    pub text: String,
}

/// The reasons for which a step is left out.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Why {
    /// The maker's limit, or a limit for every machine.
    Limit,
    /// It would leave the machine's band.
    Band,
    /// The end of the adjuster.
    Adjuster,
    /// It has moved from where the day began as far as makes sense.
    Total,
    /// Not for this machine, or not as things are.
    NotApplicable,
    /// The setting is not on file.
    Unknown,
    /// It is where it should be.
    InBand,
    /// The part is not on hand.
    OnHand,
    /// The maker's limit is not on file.
    NoLimit,
    /// By the model it does nothing for this, or the opposite.
    NoGain,
}

impl OnFile {
    /// In one line, with its place.
    pub fn told(&self) -> String {
        self.told.clone()
    }

    /// The same, for a reader.
    pub(super) fn tell(mut self, units: &Units) -> Self {
        let mut text = self.say.clone();
        let place = self.place.as_ref().map(|place| units.say(&place_said(place)));
        if let Some(place) = place.filter(|place| !text.contains(place)) {
            text = units.say(&say!("{complaint} ({place})", complaint = text, place));
        }
        if let Some(strength) = self.strength {
            text = units.say(&say!("{complaint}, {strength} of 5", complaint = text, strength));
        }
        if !self.words.is_empty() {
            text.push_str(&format!(" - {}", self.words));
        }
        self.told = format!("{text} ({}, {}:{})", self.date, self.at.file, self.at.line);
        self
    }
}

impl Next {
    /// The steps that are left out, with their reasons.
    pub fn skipped(&self) -> impl Iterator<Item = (&StepState, &Skip)> {
        self.steps.iter().filter_map(|step| match &step.standing {
            Standing::Skipped(skip) => Some((step, skip)),
            _ => None,
        })
    }
}

impl Verdict {
    pub fn said(self) -> Message {
        match self {
            Self::Better => say!("better"),
            Self::Worse => say!("worse"),
            Self::Same => say!("same"),
        }
    }

    /// The word in notebooks and JSON.
    pub fn word(self) -> &'static str {
        match self {
            Self::Better => "better",
            Self::Worse => "worse",
            Self::Same => "same",
        }
    }
}

impl Why {
    /// Whether a step is left out because it can go no further.
    pub(super) fn is_end(self) -> bool {
        matches!(self, Self::Limit | Self::Band | Self::Adjuster | Self::Total)
    }

    /// The word in JSON.
    pub fn word(self) -> &'static str {
        match self {
            Self::Limit => "limit",
            Self::Band => "band",
            Self::Adjuster => "adjuster",
            Self::Total => "total",
            Self::NotApplicable => "not-applicable",
            Self::Unknown => "unknown",
            Self::InBand => "in-band",
            Self::OnHand => "on-hand",
            Self::NoLimit => "no-limit",
            Self::NoGain => "no-gain",
        }
    }
}
