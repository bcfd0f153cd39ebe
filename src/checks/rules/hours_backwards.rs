//! An hour meter that runs backwards.

use crate::checks::place::OfDay;
use crate::checks::{code, shown};
use crate::figures::Recording;
use crate::finding::{Code, Finding, Severity};
use crate::speech::say;
use crate::vocabulary::blocks::AnyBlock;

pub(super) static CODE: Code = code(
    "hours/backwards",
    Severity::Error,
    r#"An hour meter that shows less than before.

Services counted in hours would come late. A digit was misread, or the meter was
changed. It does not count: the hours before it hold.

````
```hours
meter = "14.2 h"
```
````

Better: read it again. With a new meter, write the hours of the ride instead:
`ridden = "1.5 h"`.
"#,
);

pub(super) fn check(place: &OfDay<'_, '_, impl Recording>, findings: &mut Vec<Finding>) {
    let mut before = place.replay.start.hours();
    for (block, point) in place.blocks().iter().zip(&place.replay.points) {
        if let (AnyBlock::Hours(hours), Some(before)) = (block, before)
            && let Some(meter) = hours.meter
            && before.is_ahead_of(&meter.quantity)
        {
            let was = shown::like(&meter.quantity, before.ridden);
            findings.push(
                Finding::new(
                    &CODE,
                    meter.span,
                    say!(
                        "the meter shows {meter}, and showed {was} before",
                        meter = shown::written(&meter.quantity),
                        was
                    ),
                )
                .see(before.span, say!("before"))
                .help(say!("read it again; after a change of meter write `ridden = …` instead")),
            );
        }
        before = point.state.hours();
    }
}
