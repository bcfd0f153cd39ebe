//! Checks and services that are overdue.

use jiff::civil::Date;

use crate::book::{Book, Day, Notebook};
use crate::checks::code;
use crate::checks::due::{Due, HOUR, Last, counted, schedule};
use crate::finding::{Code, Finding, Severity};
use crate::season::{Season, State};
use crate::vocabulary::values::IntervalLength;

pub(super) static CODE: Code = code(
    "check/overdue",
    Severity::Warning,
    r#"Something that should have been looked at or serviced by now.

A band's `recheck` and a service's `every` count in days, or in hours ridden, from the last reading, the last `checked`
or the `last` of the service. It is said on the first day on which it was overdue, and for the date of asking on the
last day of the machine and rider. What was never looked at has no date to count from.

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
    for (index, (day, replay)) in book.days.iter().zip(&season.days).enumerate() {
        let Some(machine) = book.machine(day).filter(|_| day.is_dated) else { continue };
        let before =
            replay.previous.and_then(|before| Some((book.days.get(before)?, season.days.get(before)?)));
        let told = before.map(|(day, replay)| late(machine, replay.end(), day.date)).unwrap_or_default();
        let now = late(machine, replay.end(), day.date);
        // An episode is told once, on its first day.
        let is_new = |late: &&Late| !told.iter().any(|before| before.is_same_as(late));
        findings.extend(now.iter().filter(is_new).map(|late| late.finding(day, None)));
        let is_last = !season.days.iter().any(|later| later.previous == Some(index));
        let Some(on) = on.filter(|on| is_last && *on > day.date) else { continue };
        let asked = late(machine, replay.end(), on);
        let is_new = |late: &&Late| !now.iter().any(|before| before.is_same_as(late));
        findings.extend(asked.iter().filter(is_new).map(|late| late.finding(day, Some(on))));
    }
}

/// Something overdue, and how long it was not looked at.
struct Late {
    due: Due,
    last: Last,
    ago: String,
}

/// What is overdue on a date. What was never looked at has nothing to count from, and is only on the sheet.
fn late(machine: &Notebook, state: &State, date: Date) -> Vec<Late> {
    let overdue = schedule(machine, state, date).into_iter().filter(|due| due.is_overdue);
    overdue
        .filter_map(|due| {
            let last = due.last?;
            let ago = match due.interval {
                IntervalLength::Days(_) => counted(f64::from(date.since(last.date?).ok()?.get_days()), "day"),
                IntervalLength::Ridden(_) => {
                    counted((due.ridden? - last.ridden.unwrap_or(0.0)) / HOUR, "hour")
                }
            };
            Some(Late { due, last, ago })
        })
        .collect()
}

impl Late {
    fn is_same_as(&self, other: &Self) -> bool {
        self.due.name == other.due.name && self.last.span == other.last.span
    }

    fn finding(&self, day: &Day, on: Option<Date>) -> Finding {
        let Self { due, last, ago } = self;
        let (every, ridden) = match due.interval {
            IntervalLength::Days(days) => (counted(days, "day"), ""),
            IntervalLength::Ridden(seconds) => (counted(seconds / HOUR, "hour"), " of riding"),
        };
        let label = due.label();
        let asked = on.map_or_else(String::new, |on| format!(" by {on}"));
        Finding::new(
            &CODE,
            day.date_span,
            format!("{label} is overdue{asked}: last looked at {ago}{ridden} ago, due every {every}"),
        )
        .see(last.span, "last looked at")
        .see(due.span, "how often")
        .help(format!("once it is done, write `done = [\"{}\"]` in a `checked` block", due.name))
    }
}
