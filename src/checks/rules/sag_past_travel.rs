//! A sag that is longer than the travel.

use crate::checks::code;
use crate::checks::place::OfDay;
use crate::checks::{readings, shown};
use crate::figures::Recording;
use crate::finding::{Code, Finding, Severity};
use crate::vocabulary::End;
use crate::vocabulary::blocks::Sag;

pub(super) static CODE: Code = code(
    "sag/past-travel",
    Severity::Error,
    r#"A sag that is longer than the travel of that end.

The wheel cannot have moved so far: a reading is wrong, a mark was changed between two of them, or the travel in
the machine's notebook is another machine's.

````
```sag rear
hanging = "612 mm"
aboard  = "206 mm"
```
````

Better: read it again; here it was `306 mm`.
"#,
);

pub(super) fn check(place: &OfDay<'_, '_, impl Recording>, findings: &mut Vec<Finding>) {
    let Some(machine) = place.machine else { return };
    for sag in place.day.notebook.all::<Sag>() {
        let travel = match sag.header.end() {
            Some(End::Front) => machine.fork().and_then(|fork| fork.travel),
            Some(End::Rear) => machine.shock().and_then(|shock| shock.travel),
            None => None,
        };
        let Some(travel) = travel else { continue };
        let Some(hanging) = readings::hanging(place.book, sag) else { continue };
        for rests in [readings::alone(place.book, sag), readings::aboard(place.book, sag)] {
            let counted = rests.counted();
            let (Some(longest), Some(loaded), Some(reading)) =
                (hanging.mean(), rests.length(), counted.first())
            else {
                continue;
            };
            let room = travel.value() + shown::doubt(&travel.quantity);
            if longest - loaded <= room {
                continue;
            }
            let sag =
                hanging.readings.values.first().map(|given| shown::like(&given.quantity, longest - loaded));
            let sag = sag.unwrap_or_default();
            let travel_shown = shown::written(&travel.quantity);
            findings.push(
                Finding::new(
                    &CODE,
                    reading.readings.span,
                    format!("a sag of {sag} is longer than the travel of {travel_shown}"),
                )
                .found(shown::mean(reading.readings))
                .see(hanging.readings.span, "counted from here")
                .see(travel.span, "the travel")
                .help("measure again from the axle to the same mark, or mend the travel"),
            );
            // One wrong hanging reading puts both off.
            break;
        }
    }
}
