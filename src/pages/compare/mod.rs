//! The comparison: what differs between two places of a diary, and what the difference does.
//!
//! The two places may be in two books, as when one is a revision of the other. A comparison is a plain value:
//! every difference in it is the second place less the first, and how it is shown is decided elsewhere. A
//! comparison of two seasons is a value of its own, [`SeasonComparison`].

mod figures;
mod fork;
mod head;
mod pressures;
mod seasons;
mod settings;
mod side;
mod themselves;
mod written;

use serde::Serialize;

use crate::figures::tape::Tape;
use crate::figures::{Bench, Number};
use crate::quantity::{Kind, Units, Way, show_change, show_measured_change};
use crate::speech::{Message, Tongue, say};
use crate::vocabulary::figures::FigureRow;

use super::say::Say;

pub use figures::FigureChange;
pub use fork::{ForkComparison, ForkCurve};
pub use head::{InBoth, SideHead};
pub use pressures::Pressures;
pub use seasons::{Drift, Lived, Season, SeasonComparison, SeasonLine, compare_seasons};
pub use settings::SettingChange;
pub use side::{Side, Subject};
pub use themselves::{ByThemselves, Moved};
pub use written::EntryChange;

/// The version of this format; a reader that knows another one should stop.
const SCHEMA: u32 = 1;

/// What differs between two places, the second less the first.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Comparison {
    pub schema: u32,
    /// The reader's language.
    #[serde(skip)]
    pub tongue: Tongue,
    /// For bookmarks and windows.
    pub title: String,
    /// What both sides were compiled from, in one line.
    pub foot: String,
    pub a: SideHead,
    pub b: SideHead,
    /// What both have alike: the rider, the machine, …
    pub in_both: Vec<InBoth>,
    /// Whether nothing differs.
    pub is_empty: bool,
    /// In the order of the sheet.
    pub settings: Vec<SettingChange>,
    /// What the differing settings do by themselves, with the first place's readings and air; `None` where there are
    /// none, and between two machines.
    pub by_themselves: Option<ByThemselves>,
    /// In the order of the vocabulary; pressures have a part of their own.
    pub figures: Vec<FigureChange>,
    /// Whether any figure has a line of its own: first of those that are not about the air, then of those that
    /// are.
    pub has_lines: bool,
    pub has_air: bool,
    /// Labels of the figures whose difference is within the measurement, in one line; `None` where there are none,
    /// or where every figure is shown anyway.
    pub within: Option<String>,
    pub pressures: Pressures,
    pub fork: Option<ForkComparison>,
    /// What is written differently in a machine's, rider's or track's notebook.
    pub written: Vec<EntryChange>,
    /// Whether the prose of the two notebooks differs; its contents are not compared.
    pub is_text_changed: bool,
    /// How to read a change with its uncertainty, or with the mark for an unknown one; `None` where there is
    /// none.
    pub legend: Option<String>,
    /// The assumptions of the figures that differ, each once.
    pub assumed: Vec<String>,
    /// Whether lines that are the same on both sides are kept.
    pub is_complete: bool,
}

/// A value in two pieces, so that the unit can be set lighter.
pub use super::say::Said;

/// How a difference is judged.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "lowercase")]
pub enum Verdict {
    /// There is none.
    Same,
    /// Larger than its uncertainty.
    Beyond,
    /// Smaller than its uncertainty: not seen.
    Within,
    /// Its uncertainty is unknown.
    Unknown,
    /// Only the first place has it.
    Gone,
    /// Only the second place has it.
    New,
    /// Both have it, and the difference means nothing, as for laps on two tracks.
    Apart,
}

impl Comparison {
    fn holds_nothing(&self) -> bool {
        self.settings.iter().all(|line| line.change.is_none())
            && self.lines().all(|line| matches!(line.verdict, Verdict::Same | Verdict::Apart))
            && self.fork.is_none()
            && self.written.is_empty()
            && !self.is_text_changed
    }

    /// Every figure that has a line, pressures among them.
    pub fn lines(&self) -> impl Iterator<Item = &FigureChange> {
        self.figures.iter().chain(&self.pressures.lines)
    }

    /// Settings that differ.
    pub fn changed_settings(&self) -> impl Iterator<Item = &SettingChange> {
        self.settings.iter().filter(|line| line.change.is_some())
    }
}

/// Compares two places, the second with the first. With `complete`, also shows what is the same.
///
/// Units are those of the first place's rider or book.
pub fn compare(a: &Side<'_>, b: &Side<'_>, complete: bool) -> Comparison {
    let units = a.units();
    let say = Say::new(&units);
    let tapes = (Tape::new(), Tape::new());
    let places = match (a.here(), b.here()) {
        (Some(first), Some(second)) => {
            let (first, second) = first.side_by_side(second);
            (Some(first), Some(second))
        }
        apart => apart,
    };
    let benches =
        (places.0.map(|here| Bench::new(here, &tapes.0)), places.1.map(|here| Bench::new(here, &tapes.1)));
    let (first, second, in_both) = head::heads(a, b, say);
    let settings = settings::settings(a, b, say, complete);
    let mut comparison = Comparison {
        schema: SCHEMA,
        tongue: units.tongue().clone(),
        title: units.say(&say!("{second} against {first}", second = second.label, first = first.label)),
        foot: units.say(&say!(
            "{second} against {first}",
            second = format!("{} · {}", second.notebook, second.blob),
            first = format!("{} · {}", first.notebook, first.blob),
        )),
        a: first,
        b: second,
        in_both,
        is_empty: false,
        by_themselves: themselves::by_themselves(a, b, &settings, &units, complete),
        settings,
        figures: Vec::new(),
        has_lines: false,
        has_air: false,
        within: None,
        pressures: Pressures::default(),
        fork: None,
        written: written::written(a, b),
        is_text_changed: a.prose() != b.prose(),
        legend: None,
        assumed: Vec::new(),
        is_complete: complete,
    };
    if let (Some(first), Some(second)) = &benches {
        let names = (a, b);
        let (mut lines, mut assumed) = figures::figures(names, (first, second), &units, complete);
        // A change that follows from settings alone was not measured, and is listed above already.
        let above = comparison.by_themselves.iter().flat_map(|found| &found.lines);
        let above: Vec<_> = above.map(|moved| (moved.id, &moved.change)).collect();
        for line in lines.iter_mut().filter(|line| !complete && line.verdict == Verdict::Unknown) {
            line.is_shown &= !line.change.as_ref().is_some_and(|change| above.contains(&(line.id, change)));
        }
        comparison.within = figures::within(&lines, &units).filter(|_| !complete);
        comparison.has_air = lines.iter().any(|line| line.is_of_air && line.is_shown);
        comparison.has_lines = lines.iter().any(|line| !line.is_of_air && line.is_shown);
        comparison.figures = lines;
        comparison.pressures = pressures::pressures(names, (first, second), &units, complete, &mut assumed);
        let labels = (comparison.a.label.as_str(), comparison.b.label.as_str());
        comparison.fork = fork::fork(names, (first, second), labels, &units);
        comparison.assumed = assumed;
    }
    let legend = legend(&comparison, &units);
    comparison.legend = legend;
    comparison.is_empty = comparison.holds_nothing();
    comparison
}

fn legend(comparison: &Comparison, units: &Units) -> Option<String> {
    let has = |verdict| comparison.lines().any(|line| line.verdict == verdict);
    let beyond =
        has(Verdict::Beyond).then(|| say!("a change with its ± is more than the readings may be off by"));
    let unknown = has(Verdict::Unknown).then(|| say!("spread unknown: nobody wrote how exact it is"));
    let parts: Vec<Message> = beyond.into_iter().chain(unknown).collect();
    (!parts.is_empty()).then(|| units.say(&Message::joined(parts, "; ")))
}

/// A difference of two numbers, shown and judged.
struct Difference {
    /// In the SI base unit.
    by: f64,
    expanded: Option<f64>,
    change: Option<String>,
    verdict: Verdict,
}

/// A difference below this share of the values comes from the arithmetic.
const SAME: f64 = 1e-9;

impl Difference {
    fn of(a: &Number, b: &Number, kind: Kind, units: &Units) -> Self {
        let difference = b.minus(a);
        let scale = a.value.abs().max(b.value.abs());
        if difference.value.abs() <= SAME * scale {
            return Self { by: 0.0, expanded: None, change: None, verdict: Verdict::Same };
        }
        let expanded = difference.expanded();
        let shown = show_measured_change(kind, difference.value, expanded, units, Way::Plus);
        let verdict = match expanded {
            _ if shown.is_within_measurement => Verdict::Within,
            Some(_) => Verdict::Beyond,
            // Nothing of it would be left in print.
            None if shown.way.is_none() => Verdict::Same,
            None => Verdict::Unknown,
        };
        let change = (verdict != Verdict::Same).then(|| shown.to_string());
        Self { by: difference.value, expanded, change, verdict }
    }

    /// The same of a figure that names a part: two parts are as far apart as their numbers say.
    fn between_parts(self, row: &FigureRow, a: &Number, b: &Number, units: &Units) -> Self {
        let is_between_parts = self.expanded.is_some() && !row.is_on_hand();
        if self.verdict == Verdict::Same || !row.is_of_part() || is_between_parts {
            return self;
        }
        let by = row.as_made(b.value) - row.as_made(a.value);
        let shown = show_change(a.kind, by, units, Way::Plus);
        let verdict = match shown.way {
            None => Verdict::Same,
            Some(_) if row.is_on_hand() => Verdict::Beyond,
            Some(_) => Verdict::Unknown,
        };
        Self { change: shown.way.map(|_| shown.to_string()), verdict, ..self }
    }
}
