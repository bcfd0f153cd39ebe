//! A travel ring beyond the travel.

use crate::checks::place::OfDay;
use crate::checks::{code, shown};
use crate::figures::Recording;
use crate::finding::{Code, Finding, Severity};
use crate::speech::say;
use crate::vocabulary::End;
use crate::vocabulary::blocks::Stint;

pub(super) static CODE: Code = code(
    "travel/past-its-end",
    Severity::Warning,
    r#"A travel ring that stands beyond the travel of its end.

The wheel cannot have moved so far: a digit was misread, the ring was measured
from another place, or the travel in the machine's notebook is another
machine's. What is advised about bottoming rests on it.

````
```stint
travel_used.front = "362 mm"
```
````

Better: measure it again; here it was `travel_used.front = "262 mm"`.
"#,
);

/// Beyond the travel by this much, a ring may have been pushed on by its seal. Common practice, no source.
const PUSHED_ON: f64 = 1.02;

pub(super) fn check(place: &OfDay<'_, '_, impl Recording>, findings: &mut Vec<Finding>) {
    let Some(machine) = place.machine else { return };
    for stint in place.day.notebook.all::<Stint>() {
        for end in End::BOTH {
            let travel = match end {
                End::Front => machine.fork().and_then(|fork| fork.travel),
                End::Rear => machine.shock().and_then(|shock| shock.travel),
            };
            let Some((used, travel)) = stint.travel_used(end).zip(travel) else { continue };
            if used.value() <= travel.value() * PUSHED_ON + shown::doubt(&used.quantity) {
                continue;
            }
            let headline = say!(
                "the ring stands at {used}, and the travel is {travel}",
                used = shown::written(&used.quantity),
                travel = shown::written(&travel.quantity)
            );
            findings.push(
                Finding::new(&CODE, used.span, headline)
                    .see(travel.span, say!("the travel"))
                    .help(say!("measure it again, from where the ring stands fully out, or mend the travel")),
            );
        }
    }
}
