//! Checks and services that are overdue.

use std::collections::BTreeMap;

use jiff::civil::Date;

use crate::book::{Book, Day, Notebook};
use crate::checks::code;
use crate::checks::due::{Due, Last, counted_days, counted_hours, schedule};
use crate::finding::{Code, Finding, Severity};
use crate::season::{Season, State};
use crate::speech::{Message, say};
use crate::vocabulary::values::IntervalLength;

pub(super) static CODE: Code = code(
    "check/overdue",
    Severity::Warning,
    r#"Something that should have been checked or serviced by now.

A band's `recheck` and a service's `every` count in days, or in hours ridden.
They count from the last reading, the last `checked`, or the `last` of the
service. What was never checked has no date to count from. The finding comes
once for a machine and rider, on their last day, judged on the date of asking;
`loambook due` has the whole list. What is wanted `"before each ride"` is a box
on the day's sheet, and never overdue.

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
    // A coming day has the boxes on its own sheet.
    let has_come = |day: &Day| day.is_dated && on.is_none_or(|on| day.date <= on);
    let mut of_machine: BTreeMap<&str, usize> = BTreeMap::new();
    let mut of_pair: BTreeMap<(&str, Option<&str>), usize> = BTreeMap::new();
    for (index, day) in book.days.iter().enumerate().filter(|(_, day)| has_come(day)) {
        let Some(machine) = day.machine.as_deref() else { continue };
        of_machine.insert(machine, index);
        of_pair.insert((machine, day.rider.as_deref()), index);
    }
    for ((name, _), index) in of_pair {
        let (Some(day), Some(replay)) = (book.days.get(index), season.days.get(index)) else { continue };
        let Some(machine) = book.machine(day) else { continue };
        // What belongs to the machine, whoever rides, is reported on its last day.
        let is_last_of_machine = of_machine.get(name) == Some(&index);
        let late = late(machine, replay.end(), on.unwrap_or(day.date));
        let late: Vec<Late> =
            late.into_iter().filter(|late| is_last_of_machine || late.due.is_of_rider()).collect();
        let asked = on.filter(|on| *on > day.date);
        match late.as_slice() {
            [] => {}
            [late] => findings.push(late.finding(day, asked)),
            late => findings.push(together(late, machine, day, asked)),
        }
    }
}

/// Several overdue things, each with its place.
fn together(late: &[Late], machine: &Notebook, day: &Day, on: Option<Date>) -> Finding {
    let (count, machine) = (late.len(), &machine.name);
    let headline = match on {
        Some(on) => {
            say!("{count} things are due on {machine} on {on}; `loambook due` lists them", count, machine, on)
        }
        None => say!("{count} things are due on {machine}; `loambook due` lists them", count, machine),
    };
    let finding = Finding::new(&CODE, day.date_span, headline);
    late.iter().fold(finding, |finding, Late { due, last, ago, every }| {
        finding.see(
            last.span,
            say!("{label}: last checked {ago} ago, due every {every}", label = due.label(), ago, every),
        )
    })
}

/// Something overdue, how long ago it was done, and how often it should be.
struct Late {
    due: Due,
    last: Last,
    ago: Message,
    every: Message,
}

/// What is overdue on a date. What was never done has no date to count from, and is only on the sheet.
fn late(machine: &Notebook, state: &State, date: Date) -> Vec<Late> {
    let overdue = schedule(machine, state, date).into_iter().filter(|due| due.is_overdue);
    overdue
        .filter_map(|due| {
            let last = due.last?;
            let (ago, every) = match due.interval {
                IntervalLength::Days(days) => {
                    let ago = f64::from(date.since(last.date?).ok()?.get_days());
                    (days_ago(ago), counted_days(days))
                }
                IntervalLength::Ridden(seconds) => {
                    let ago = due.ridden? - last.ridden.unwrap_or(0.0);
                    (say!("{ago} of riding", ago = counted_hours(ago)), counted_hours(seconds))
                }
                IntervalLength::EachRide => return None,
            };
            Some(Late { due, last, ago, every })
        })
        .collect()
}

fn days_ago(days: f64) -> Message {
    match days {
        1.0 => say!("1 day" in "ago"),
        days => say!("{days} days" in "ago", days),
    }
}

impl Late {
    fn finding(&self, day: &Day, on: Option<Date>) -> Finding {
        let Self { due, last, ago, every } = self;
        let label = due.label();
        let headline = match on {
            Some(on) => say!(
                "{label} is overdue on {on}: last checked {ago} ago, due every {every}",
                label,
                on,
                ago,
                every
            ),
            None => say!("{label} is overdue: last checked {ago} ago, due every {every}", label, ago, every),
        };
        Finding::new(&CODE, day.date_span, headline)
            .see(last.span, say!("last checked"))
            .see(due.span, say!("how often"))
            .help(say!("once it is done, write `done = [\"{due}\"]` in a `checked` block", due = due.name))
    }
}
