//! The rides of a machine and rider: each stint with its settings.

use jiff::civil::Date;

use crate::book::Notebook;
use crate::physics::statistics::{median, median_absolute_deviation};
use crate::quantity::Kind;
use crate::season::{Difference, State};
use crate::speech::{Message, say};
use crate::vocabulary::Setting;
use crate::vocabulary::blocks::{AnyBlock, Stint};

use super::super::say::Say;
use super::Desk;

/// One stint.
pub(super) struct Ride<'a> {
    /// The day's place in the book.
    pub day: usize,
    pub date: Date,
    /// Counted from 1, on its day.
    pub number: usize,
    pub state: &'a State,
    pub stint: &'a Stint,
    /// Lap times that count, in s.
    pub laps: Vec<f64>,
    /// Why settings were changed since the stint before, or since the day began.
    pub because: Vec<&'a str>,
}

/// All stints of the span, oldest first.
pub(super) fn rides<'a>(desk: &Desk<'a>) -> Vec<Ride<'a>> {
    let mut rides = Vec::new();
    for &index in &desk.days {
        let (Some(day), Some(replay)) = (desk.book.days.get(index), desk.season.days.get(index)) else {
            continue;
        };
        let mut number = 0;
        let mut because = Vec::new();
        for point in &replay.points {
            match day.notebook.blocks.get(point.block) {
                Some(AnyBlock::Change(change)) => {
                    because.extend(change.because.as_ref().map(|why| why.text.as_str()));
                }
                Some(AnyBlock::Stint(stint)) => {
                    number += 1;
                    rides.push(Ride {
                        day: index,
                        date: day.date,
                        number,
                        state: &point.state,
                        stint,
                        laps: desk.book.laps(stint),
                        because: std::mem::take(&mut because),
                    });
                }
                _ => {}
            }
        }
    }
    rides
}

impl Ride<'_> {
    /// The rider's own word, compared with the stint before.
    pub fn verdict_told(&self) -> Option<Message> {
        self.stint.verdict.as_ref().map(|verdict| Message::word(verdict.text.clone()))
    }

    /// The middle lap, in s.
    pub fn median(&self) -> Option<f64> {
        median(&self.laps)
    }

    pub fn best(&self) -> Option<f64> {
        self.laps.iter().copied().reduce(f64::min)
    }

    /// The median distance from the middle lap, in s.
    pub fn spread(&self) -> Option<f64> {
        median_absolute_deviation(&self.laps)
    }
}

/// What was changed, in the trade's words: `fork height 2 mm down, rear tyre −1 psi`; in the order of the work, and
/// chambers in that of the machine's notebook.
pub(in crate::pages) fn changed(
    say: Say<'_>,
    machine: Option<&Notebook>,
    differences: &[Difference<'_>],
) -> String {
    let mut sorted: Vec<&Difference<'_>> = differences.iter().collect();
    sorted.sort_by_key(|difference| order_of_work(machine, difference.name.setting()));
    let all = sorted.into_iter().filter_map(|difference| {
        let label = difference.name.label();
        if difference.name.valving().is_some() {
            return Some(say!("{label}: {what}", label, what = difference.after?.value.word()?));
        }
        let row = difference.name.setting()?.info();
        Some(match (difference.before, difference.after) {
            (Some(before), Some(after)) => {
                let change = say.change(row, &before.value, &after.value)?;
                match after.value.word() {
                    Some(word) => say!("{label} {word}, {change}", label, word = row.say_word(word), change),
                    None => say!("{label} {change}", label, change),
                }
            }
            (None, Some(after)) => {
                say!("{label} {change}", label, change = say.setting(row, &after.value).told)
            }
            (_, None) => say!("{label} as before", label),
        })
    });
    say.text(&Message::joined(all, ", "))
}

/// The place of a name in the order of the work: chambers in the order of the machine's notebook, names that are not
/// settings last.
pub(in crate::pages) fn order_of_work(machine: Option<&Notebook>, name: Option<Setting>) -> impl Ord + use<> {
    (name.is_none(), name.map(|name| name.row), name.and_then(|name| machine?.chamber_order(name)))
}

/// `1 lap`, `5 laps`.
pub(in crate::pages) fn laps_told(count: usize) -> Message {
    match count {
        1 => say!("1 lap"),
        count => say!("{count} laps", count),
    }
}

impl Desk<'_> {
    /// What was changed, chambers in the order of the machine's notebook.
    pub(super) fn changed(&self, differences: &[Difference<'_>]) -> String {
        changed(self.say, Some(self.machine), differences)
    }
}

/// A time, as laps are shown.
pub(super) fn time(say: Say<'_>, seconds: f64) -> String {
    say.value(Kind::Time, seconds).to_string()
}
