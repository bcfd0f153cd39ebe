//! The test of whether the next change is worth it: A, B and A again, as a notebook to fill in.

use std::fmt::Write;

use jiff::civil::Date;
use serde::Serialize;

use crate::advice::answer::{Answer, Change};
use crate::advice::parts::Advice;
use crate::book::Book;
use crate::physics::statistics::{deviation, laps_to_show, least_shown, median};
use crate::quantity::{Kind, Units};
use crate::season::Season;
use crate::speech::say;

use super::super::place_said;
use super::{Adviser, Asking, asked};

/// s. The difference in lap time that matters, for a rider who never said. Judgement.
const NOTICEABLE: f64 = 0.5;

/// What the laps of a test can show.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Telling {
    /// They show the difference that matters.
    Enough,
    /// The rider's usual stint is too short: the laps cannot show it, and the rider's feel decides.
    TooFew,
    /// There are no laps on file to go by.
    NoLaps,
}

/// A test to ride.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Plan {
    /// What is tried, in one line.
    pub what: String,
    pub telling: Telling,
    /// Laps of each outing; `None` where nobody knows how many the rider rides.
    pub laps: Option<usize>,
    /// What the laps can show, in words.
    pub why: String,
    /// The day's notebook.
    pub notebook: String,
}

/// The test of the next change on a date.
///
/// # Errors
///
/// Where there is nothing to try: words of injury, a reading first, something to put right. The message says
/// why.
pub fn plan(
    book: &Book,
    season: &Season,
    asking: Asking,
    advice: &Advice,
    date: Date,
) -> Result<Plan, String> {
    let day = book.days.get(asking.day).ok_or_else(|| none(book))?;
    asked(book, season, asking, advice, |adviser| {
        let next = adviser.next();
        let change = match &next.answer {
            Answer::Change(change) if change.is_trial => change,
            Answer::Change(change) => {
                return Err(adviser
                    .scene
                    .say(&say!("this is put right, and not tried: {change}", change = change.text)));
            }
            Answer::Measure(measure) => return Err(measure.text.clone()),
            Answer::Undo(undo) => return Err(undo.text.clone()),
            Answer::Check(check) => return Err(check.text.clone()),
            Answer::Ride(text) | Answer::Doctor(text) | Answer::Nothing(text) => {
                return Err(text.text.clone());
            }
        };
        let (telling, laps, why) = adviser.laps_for_test();
        let links = [("machine", &day.machine), ("rider", &day.rider), ("track", &day.track)];
        let mut head = format!("+++\nkind = \"day\"\ndate = {date}\n");
        for (what, name) in links {
            if let Some(name) = name {
                let _ = writeln!(head, "{what} = {}", quoted(name));
            }
        }
        head.push_str("+++\n");
        let about = next.complaint.as_ref().map(|it| match &it.place {
            Some(place) => {
                let place = place_said(place);
                adviser.scene.say(&say!("{complaint} ({place})", complaint = it.say, place))
            }
            None => it.say.clone(),
        });
        let notebook =
            head + &body(&adviser.scene.units, change, about.as_deref(), laps, &why, &next.cautions);
        Ok(Plan { what: change.text.clone(), telling, laps, why, notebook })
    })
    .ok_or_else(|| none(book))?
}

fn none(book: &Book) -> String {
    book.about.units.say(&say!("there is no such day"))
}

impl Adviser<'_, '_> {
    /// How many laps each outing needs, never more than the rider's usual stint, and what they can show.
    fn laps_for_test(&self) -> (Telling, Option<usize>, String) {
        let stints: Vec<Vec<f64>> = self
            .rides
            .iter()
            .map(|ride| self.scene.book.laps(ride.stint))
            .filter(|laps| !laps.is_empty())
            .collect();
        let counts: Vec<f64> = stints.iter().map(|laps| laps.len() as f64).collect();
        let usual = median(&counts).map(|usual| usual.floor() as usize);
        let (Some(usual), Some(spread)) = (usual, deviation(&stints).filter(|spread| *spread > 0.0)) else {
            let why = say!("too few laps on file to know how this rider's laps spread: go by feel");
            return (Telling::NoLaps, usual, self.scene.say(&why));
        };
        let said = self.scene.state.rider().and_then(|rider| rider.noticeable);
        let wanted = said.map_or(NOTICEABLE, |said| said.value());
        let shown = |seconds: f64| self.scene.shown(Kind::Time, seconds);
        let whose = match said {
            Some(_) => say!("the rider's own word"),
            None => say!("assumed, since nobody wrote it"),
        };
        let known = say!(
            "laps of {stints} stints spread by {spread} (standard deviation); the difference that matters is {wanted} a lap ({whose})",
            stints = stints.len(),
            spread = shown(spread),
            wanted = shown(wanted),
            whose
        );
        if let Some(laps) = laps_to_show(wanted / spread, usual) {
            let why = say!(
                "{known}; {laps} laps each show it four times in five, if the laps spread as they did",
                known,
                laps
            );
            return (Telling::Enough, Some(laps), self.scene.say(&why));
        }
        let why = match least_shown(usual).map(|least| shown(least * spread)) {
            Some(least) => say!(
                "{known}; a usual stint of {usual} laps is too short to show it: go by feel; it would show {least} and more",
                known,
                usual,
                least
            ),
            None => say!(
                "{known}; a usual stint of {usual} laps is too short to show it: go by feel",
                known,
                usual
            ),
        };
        (Telling::TooFew, Some(usual), self.scene.say(&why))
    }
}

fn body(
    units: &Units,
    change: &Change,
    about: Option<&str>,
    laps: Option<usize>,
    why: &str,
    cautions: &[String],
) -> String {
    let outing = units.say(&match laps {
        Some(1) => say!("1 lap"),
        Some(laps) => say!("{laps} laps", laps),
        None => say!("as many laps as always"),
    });
    let mut text = format!("\n# {}\n", units.say(&say!("A test: {change}", change = change.text)));
    if let Some(about) = about {
        let (better, costs) = (&change.better, &change.costs);
        let told = say!("For: {about}. Better if: {better}. Trade-off: {costs}.", about, better, costs);
        let _ = writeln!(text, "\n{}", units.say(&told));
    }
    let _ = writeln!(text, "\n{}.", capital(why));
    let fair = say!(
        "The same stretch, the same fuel and tyres; whoever rides is told as little as can be. Nobody rides to fill a test: stop when tired, or when it feels unsafe."
    );
    let _ = writeln!(text, "\n{}", units.say(&fair));
    for caution in cautions {
        let _ = writeln!(text, "\n- {caution}");
    }
    let stint = "```stint\n# laps = \"2:02.0 2:01.7\"\n# feel = \"\"\n# verdict = \"better\"            # or \"worse\", \"same\"\n```\n";
    let first = stint.replace("# verdict = \"better\"            # or \"worse\", \"same\"\n", "");
    let before = units.say(&say!("A, as it is: {outing}", outing));
    let again = units.say(&say!("A again: {outing}", outing));
    let _ = write!(text, "\n## {before}\n\n{first}");
    let _ = write!(text, "\n## B: {outing}\n\n{}\n{stint}", change.write);
    let back = super::block(&["back = true".to_owned()], "A again");
    let _ = write!(text, "\n## {again}\n\n{back}\n{stint}");
    text
}

fn capital(text: &str) -> String {
    let mut letters = text.chars();
    letters.next().map(|first| first.to_uppercase().chain(letters).collect()).unwrap_or_default()
}

/// A TOML string; JSON's escapes are among TOML's.
fn quoted(text: &str) -> String {
    serde_json::Value::from(text).to_string()
}
