//! Checks and services that are overdue.

use std::collections::{BTreeMap, BTreeSet};

use jiff::civil::Date;

use crate::book::{Book, Day, Notebook};
use crate::checks::code;
use crate::checks::due::{Due, HOUR, Last, counted, schedule};
use crate::finding::{Code, Finding, Severity};
use crate::season::{Season, State};
use crate::vocabulary::figures;
use crate::vocabulary::names::opened;
use crate::vocabulary::values::IntervalLength;

pub(super) static CODE: Code = code(
    "check/overdue",
    Severity::Warning,
    r#"Something that should have been looked at or serviced by now.

A band's `recheck` and a service's `every` count in days, or in hours ridden, from the last reading, the last `checked`
or the `last` of the service. It is said on the first day on which it was overdue, and for the date of asking on the
last day of the machine and rider. What was never looked at has no date to count from. What is wanted `"before each ride"`
is a box on the day's sheet and never overdue.

````
```band
sag.rear.rider = { aim = "105 mm", recheck = "30 days" }
```
````

Better: measure it, or look at it and tick it off.

````
```checked
done = ["chain", "linkage grease"]
```
````
"#,
);

pub(super) fn check(book: &Book, season: &Season, on: Option<Date>, findings: &mut Vec<Finding>) {
    // The day before on the machine, whoever rode, and the last day of each.
    let mut of_machine: BTreeMap<&str, usize> = BTreeMap::new();
    let mut before_on_machine = Vec::with_capacity(book.days.len());
    for (index, day) in book.days.iter().enumerate() {
        before_on_machine.push(day.machine.as_deref().and_then(|machine| of_machine.insert(machine, index)));
    }
    let followed: BTreeSet<usize> = season.days.iter().filter_map(|replay| replay.previous).collect();
    let days = book.days.iter().zip(&season.days).zip(before_on_machine);
    for (index, ((day, replay), before_on_machine)) in days.enumerate() {
        let Some(machine) = book.machine(day).filter(|_| day.is_dated) else { continue };
        let is_last_of_pair = !followed.contains(&index);
        let is_last_of_machine = of_machine.get(machine.name.as_str()) == Some(&index);
        let at = |before: Option<usize>| {
            let (day, replay) =
                before.and_then(|before| Some((book.days.get(before)?, season.days.get(before)?)))?;
            Some(late(machine, replay.end(), day.date))
        };
        let now = late(machine, replay.end(), day.date);
        // An episode is told once, on its first day.
        let told_of_pair = at(replay.previous).unwrap_or_default();
        let told_of_machine = at(before_on_machine).unwrap_or_default();
        for late in &now {
            let told = if late.is_of_pair() { &told_of_pair } else { &told_of_machine };
            if !told.iter().any(|before| before.is_same_as(late)) {
                findings.push(late.finding(day, None));
            }
        }
        let Some(on) = on.filter(|on| *on > day.date) else { continue };
        for late in late(machine, replay.end(), on) {
            let is_last = if late.is_of_pair() { is_last_of_pair } else { is_last_of_machine };
            if is_last && !now.iter().any(|before| before.is_same_as(&late)) {
                findings.push(late.finding(day, Some(on)));
            }
        }
    }
}

/// Something overdue, how long it was not looked at, and how often it should be.
struct Late {
    due: Due,
    last: Last,
    ago: String,
    every: String,
}

/// What is overdue on a date. What was never looked at has nothing to count from, and is only on the sheet.
fn late(machine: &Notebook, state: &State, date: Date) -> Vec<Late> {
    let overdue = schedule(machine, state, date).into_iter().filter(|due| due.is_overdue);
    overdue
        .filter_map(|due| {
            let last = due.last?;
            let (ago, every) = match due.interval {
                IntervalLength::Days(days) => {
                    let ago = f64::from(date.since(last.date?).ok()?.get_days());
                    (counted(ago, "day"), counted(days, "day"))
                }
                IntervalLength::Ridden(seconds) => {
                    let ago = (due.ridden? - last.ridden.unwrap_or(0.0)) / HOUR;
                    (format!("{} of riding", counted(ago, "hour")), counted(seconds / HOUR, "hour"))
                }
                IntervalLength::EachRide => return None,
            };
            Some(Late { due, last, ago, every })
        })
        .collect()
}

impl Late {
    fn is_same_as(&self, other: &Self) -> bool {
        self.due.name == other.due.name && self.last.span == other.last.span
    }

    /// Whether it belongs to the machine and rider together, as sags do; all else is the machine's.
    fn is_of_pair(&self) -> bool {
        let sags = [figures::SAG_STATIC, figures::SAG_RIDER];
        sags.into_iter().any(|pattern| opened(pattern, &self.due.name).is_some())
    }

    fn finding(&self, day: &Day, on: Option<Date>) -> Finding {
        let Self { due, last, ago, every } = self;
        let label = due.label();
        let asked = on.map_or_else(String::new, |on| format!(" on {on}"));
        Finding::new(
            &CODE,
            day.date_span,
            format!("{label} is overdue{asked}: last looked at {ago} ago, due every {every}"),
        )
        .see(last.span, "last looked at")
        .see(due.span, "how often")
        .help(format!("once it is done, write `done = [\"{}\"]` in a `checked` block", due.name))
    }
}
