//! Laps left out that were never ridden.

use crate::checks::code;
use crate::checks::place::OfDay;
use crate::figures::Recording;
use crate::finding::{Code, Finding, Severity};
use crate::speech::say;
use crate::vocabulary::blocks::Stint;

pub(super) static CODE: Code = code(
    "stint/no-such-lap",
    Severity::Warning,
    r#"A number in `skip` that no lap of the stint has.

Laps are counted from 1. The lap that was meant still counts.

````
```stint
laps = "2:31.0 2:06.3 2:06.1"
skip = [9]
```
````

Better: `skip = [1]`.
"#,
);

pub(super) fn check(place: &OfDay<'_, '_, impl Recording>, findings: &mut Vec<Finding>) {
    for stint in place.day.notebook.all::<Stint>() {
        let Some(skip) = &stint.skip else { continue };
        let numbers: Vec<u32> = place.book.all_laps(stint).iter().map(|lap| lap.number).collect();
        // A file that could not be read was reported.
        let Some(last) = numbers.iter().max() else { continue };
        for given in &skip.values {
            if numbers.iter().any(|number| f64::from(*number) == given.value()) {
                continue;
            }
            let headline = say!("there is no lap {number} to skip", number = given.value().to_string());
            findings.push(Finding::new(&CODE, given.span, headline).help(say!(
                "the stint has laps 1 to {last}: write the one you mean",
                last = last.to_string()
            )));
        }
    }
}
