//! The one next change to try, short enough for its corner of the sheet.

use jiff::civil::Date;
use serde::Serialize;

use crate::advice::{self, Advice, Answer, Asking, OnFile, Prediction, place_said};
use crate::speech::say;
use crate::vocabulary::Setting;

use super::super::say::Say;
use super::Desk;

/// How many predictions have room.
const PREDICTIONS: usize = 3;

/// What advice says, in a few lines.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct NextChange {
    /// What is complained of.
    pub complaint: String,
    /// What to do, in one line.
    pub what: String,
    /// The models' predictions, and the costs.
    pub lines: Vec<String>,
    /// How to undo it; `None` where there is nothing to undo.
    pub undo: Option<String>,
    /// What to look at before anything else, by its word: others may not be shown why.
    #[serde(skip)]
    pub check: Option<String>,
    /// Whether it is only to ride what was changed already.
    #[serde(skip)]
    pub is_ride: bool,
    /// The settings that it moves.
    #[serde(skip)]
    pub moves: Vec<Setting>,
}

/// The next change for the last ride's complaint; `None` where there was none.
pub(super) fn next(desk: &Desk<'_>, advice: &Advice, on: Option<Date>) -> Option<NextChange> {
    let asking = Asking { day: desk.index, points: None, on, is_of_book: desk.options.is_of_book };
    let next = advice::next(desk.book, desk.season, asking, advice)?;
    let complaint = match (next.complaint, &next.answer) {
        (Some(OnFile { say, place: Some(place), .. }), _) => {
            desk.say.text(&say!("{complaint}, {place}", complaint = say, place = place_said(&place)))
        }
        (Some(complaint), _) => complaint.say,
        // Looked at before any complaint, or without one.
        (None, Answer::Check(_) | Answer::Measure(_) | Answer::Change(_)) => {
            desk.say.text(&say!("before riding"))
        }
        (None, _) => return None,
    };
    let stop = next.stop;
    let check = match &next.answer {
        Answer::Check(check) => Some(check.name.clone()),
        _ => None,
    };
    let is_ride = matches!(next.answer, Answer::Ride(_));
    let mut moves = Vec::new();
    let (what, lines, undo) = match next.answer {
        Answer::Change(change) => {
            moves.extend(change.settings.iter().filter_map(|moved| moved.name.setting()));
            let told = change.predictions.iter().filter(|prediction| prediction.is_beyond_measurement);
            let mut lines: Vec<String> =
                told.take(PREDICTIONS).map(|told| foretold(desk.say, told)).collect();
            lines.extend(change.unpredicted);
            // What can seize an engine is said beside the jet.
            if moves.iter().any(|name| name.info().is_of_engine()) {
                lines.splice(0..0, change.also);
            }
            lines.push(desk.say.text(&say!("trade-off: {what}", what = change.costs)));
            lines.push(desk.say.text(&say!("better if: {what}", what = change.better)));
            lines.push(desk.say.text(&say!("basis: {what}", what = change.source)));
            // On paper there is no block to write it in.
            let words = change.undo.split_once('`').and_then(|(words, _)| words.rsplit_once(": "));
            let undo = Some(words.map_or(change.undo.as_str(), |(words, _)| words).to_owned());
            (change.text, lines, undo)
        }
        Answer::Measure(measure) => (measure.text, Vec::new(), None),
        Answer::Undo(undo) => (undo.text, Vec::new(), None),
        Answer::Check(check) => (check.text, Vec::new(), None),
        Answer::Ride(words) | Answer::Doctor(words) | Answer::Nothing(words) => {
            (words.text, Vec::new(), None)
        }
    };
    let lines = stop.into_iter().chain(lines).collect();
    Some(NextChange { complaint, what, lines, undo, check, is_ride, moves })
}

fn foretold(say: Say<'_>, prediction: &Prediction) -> String {
    // The uncertainty belongs to both, and is shown once.
    let before = prediction.before.split(" ± ").next().unwrap_or(&prediction.before);
    let (label, after) = (&prediction.label, &prediction.after);
    say.text(&say!("{label} {before} to {after}", label, before, after))
}
