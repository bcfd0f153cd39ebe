//! Stints whose starts are in another order than they are written.

use jiff::SignedDuration;
use jiff::civil::Time;

use crate::checks::code;
use crate::checks::place::OfDay;
use crate::figures::Recording;
use crate::finding::{Code, Finding, Severity};
use crate::source::Span;
use crate::speech::say;
use crate::vocabulary::blocks::Stint;

/// A start is written to the minute, and read off a watch other than the stopwatch.
const SLACK: SignedDuration = SignedDuration::from_mins(2);

/// An event that goes on over midnight has starts after the one and before the other.
const EVENING: Time = Time::constant(18, 0, 0, 0);
const MORNING: Time = Time::constant(9, 0, 0, 0);

pub(super) static CODE: Code = code(
    "stint/order",
    Severity::Warning,
    r#"A stint that starts before the one above it has ended.

A notebook is read from the top: settings hold for the stints below them, and a
verdict compares a stint with the one before. In another order laps and feel go
to settings that they were not ridden on.

````
```stint
start = "11:00"
laps = "2:04.5 2:04.1"
```

```stint
start = "9:40"
laps = "2:06.0 2:05.2"
```
````

Better: put the stints, and the changes between them, in the order in which they
were ridden. Or mend the time: `start = "11:40"`.
"#,
);

pub(super) fn check(place: &OfDay<'_, '_, impl Recording>, findings: &mut Vec<Finding>) {
    let mut before: Option<(Time, Time, Span)> = None;
    for stint in place.day.notebook.all::<Stint>() {
        let Some(start) = stint.start else { continue };
        if let Some((began, ended, span)) = before {
            let is_over_midnight = began >= EVENING && start.time < MORNING;
            let headline = match start.time {
                _ if is_over_midnight => None,
                time if time < began => Some(say!("this stint starts before the one above it")),
                time if time < ended => {
                    Some(say!("this stint starts before the laps of the one above it can be over"))
                }
                _ => None,
            };
            findings.extend(headline.map(|headline| {
                Finding::new(&CODE, start.span, headline).see(span, say!("the one above")).help(say!(
                    "put stints and changes in the order in which they were ridden, or mend the time"
                ))
            }));
        }
        let ridden: f64 = place.book.counted_laps(stint).map(|lap| lap.time).sum();
        let ridden = SignedDuration::try_from_secs_f64(ridden).unwrap_or_default();
        before = Some((start.time, start.time.saturating_add(ridden - SLACK), start.span));
    }
}
