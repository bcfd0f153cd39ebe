//! The test that would settle whether the one next change is worth it: A, B and A again, as a notebook to fill in.

use std::fmt::Write;

use jiff::civil::Date;
use serde::Serialize;

use crate::advice::answer::{Answer, Change};
use crate::advice::data::Advice;
use crate::book::Book;
use crate::physics::statistics::{deviation, laps_to_show, least_shown, median};
use crate::quantity::Kind;
use crate::season::Season;

use super::{Adviser, Asking, asked};

/// The difference of a lap that a rider is taken to notice who never said, in s. Judgement.
const NOTICEABLE: f64 = 0.5;

/// How it stands with the laps that a test asks for.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Telling {
    /// They show the difference that matters.
    Enough,
    /// The rider's usual stint is too short for it: the laps cannot tell, and it goes by feel.
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
    /// What the laps can tell, in words.
    pub why: String,
    /// The day's notebook.
    pub notebook: String,
}

/// The test of the one next change on a date; the error says why there is none.
///
/// # Errors
/// Where nothing is to be tried: words of injury, a reading first, a thing that is put right and not tried.
pub fn plan(
    book: &Book,
    season: &Season,
    asking: Asking,
    advice: &Advice,
    date: Date,
) -> Result<Plan, String> {
    let day = book.days.get(asking.day).ok_or("there is no such day")?;
    asked(book, season, asking, advice, |adviser| {
        let next = adviser.next();
        let change = match &next.answer {
            Answer::Change(change) if change.is_trial => change,
            Answer::Change(change) => {
                return Err(format!("this is put right, and not tried: {}", change.text));
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
            Some(place) => format!("{} at {place}", it.say),
            None => it.say.clone(),
        });
        let notebook = head + &body(change, about.as_deref(), laps, &why, &next.cautions);
        Ok(Plan { what: change.text.clone(), telling, laps, why, notebook })
    })
    .ok_or("there is no such day")?
}

impl Adviser<'_, '_> {
    /// How many laps each outing asks for, never more than the rider's usual stint has; and what they can tell.
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
            let why = "no laps on file tell how this rider's laps spread: too few to tell, go by feel";
            return (Telling::NoLaps, usual, why.to_owned());
        };
        let said = self.scene.state.rider().and_then(|rider| rider.noticeable);
        let wanted = said.map_or(NOTICEABLE, |said| said.value());
        let shown = |seconds: f64| self.scene.shown(Kind::Time, seconds);
        let whose = if said.is_some() { "the rider's own word" } else { "taken as nobody said" };
        let known = format!(
            "laps of {} stints spread by {} (standard deviation); the difference that matters is {} a lap ({whose})",
            stints.len(),
            shown(spread),
            shown(wanted)
        );
        if let Some(laps) = laps_to_show(wanted / spread, usual) {
            let why = format!(
                "{known}; {laps} laps each show it four times in five, if the laps spread as they did"
            );
            return (Telling::Enough, Some(laps), why);
        }
        let least = least_shown(usual).map(|least| shown(least * spread));
        let least = least.map(|least| format!("; they would show {least} and more")).unwrap_or_default();
        let why = format!(
            "{known}; a usual stint of {usual} laps does not show it: too few to tell, go by feel{least}"
        );
        (Telling::TooFew, Some(usual), why)
    }
}

fn body(change: &Change, about: Option<&str>, laps: Option<usize>, why: &str, cautions: &[String]) -> String {
    let outing = match laps {
        Some(1) => "1 lap".to_owned(),
        Some(laps) => format!("{laps} laps"),
        None => "as many laps as always".to_owned(),
    };
    let mut text = format!("\n# A test: {}\n", change.text);
    if let Some(about) = about {
        let _ =
            writeln!(text, "\nFor: {about}. It worked if: {}. It costs: {}.", change.better, change.costs);
    }
    let _ = writeln!(text, "\n{}.", capital(why));
    let _ = writeln!(
        text,
        "\nThe same stretch, the same fuel and tyres; whoever rides is told as little as can be. Nobody rides to fill a test: stop when tired, or when it feels unsafe."
    );
    for caution in cautions {
        let _ = writeln!(text, "\n- {caution}");
    }
    let stint = "```stint\n# laps = \"2:02.0 2:01.7\"\n# feel = \"\"\n# verdict = \"better\"            # or \"worse\", \"same\"\n```\n";
    let first = stint.replace("# verdict = \"better\"            # or \"worse\", \"same\"\n", "");
    let _ = write!(text, "\n## A, as it is: {outing}\n\n{first}");
    let _ = write!(text, "\n## B: {outing}\n\n{}\n{stint}", change.write);
    let _ = write!(
        text,
        "\n## A again: {outing}\n\n{}\n{stint}",
        super::block(&["back = true".to_owned()], "A again")
    );
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
