//! Two notebooks for one day.

use std::collections::BTreeMap;

use jiff::civil::Date;

use crate::book::{Book, Day};
use crate::checks::code;
use crate::finding::{Code, Finding, Severity};
use crate::season::Season;
use crate::speech::say;

pub(super) static CODE: Code = code(
    "day/twice",
    Severity::Error,
    r#"Two notebooks for the same machine, rider and date.

These three are what a day is known by. Nobody can tell which of the two came
first, so settings may be carried the wrong way. Often a file was copied, and
its date left as it was.

````days/2026-04-12.md
+++
kind = "day"
date = 2026-04-11
machine = "corrie-450"
rider = "senior"
+++
````

Better: correct the date, here `date = 2026-04-12`, or bring the two into one
notebook.
"#,
);

pub(super) fn check(book: &Book, _season: &Season, _on: Option<Date>, findings: &mut Vec<Finding>) {
    // Days are in the order of their dates.
    for of_date in book.days.chunk_by(|one, other| one.date == other.date).filter(|days| days.len() > 1) {
        let mut first: BTreeMap<(&str, Option<&str>), &Day> = BTreeMap::new();
        for day in of_date.iter().filter(|day| day.is_dated) {
            let Some(machine) = day.machine.as_deref() else { continue };
            let first = *first.entry((machine, day.rider.as_deref())).or_insert(day);
            if !std::ptr::eq(first, day) {
                findings.push(twice(machine, day, first));
            }
        }
    }
}

fn twice(machine: &str, day: &Day, first: &Day) -> Finding {
    let date = day.date;
    let headline = match day.rider.as_deref() {
        Some(rider) => {
            say!("there is another notebook of `{machine}` with `{rider}` on {date}", machine, rider, date)
        }
        None => say!("there is another notebook of `{machine}` on {date}", machine, date),
    };
    Finding::new(&CODE, day.date_span, headline)
        .see(first.date_span, say!("the first"))
        .help(say!("mend the date, or bring the two into one notebook"))
}
