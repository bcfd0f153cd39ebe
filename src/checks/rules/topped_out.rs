//! A machine that does not sag under its own weight.

use crate::book::readings;
use crate::checks::code;
use crate::checks::place::OfDay;
use crate::checks::shown;
use crate::figures::Recording;
use crate::finding::{Code, Finding, Severity};
use crate::speech::say;
use crate::vocabulary::End;
use crate::vocabulary::blocks::Sag;

pub(super) static CODE: Code = code(
    "sag/topped-out",
    Severity::Warning,
    r#"A static sag of zero: the machine alone stands as long as it hangs.

Fully extended, the spring carries more than the machine's weight, so the wheel
cannot follow the ground into a hole. Usually a spring too soft for its rider
was given much preload to bring the rider sag right. No spring rate can be
worked out from such a reading.

````
```sag rear
hanging = "612 mm"
alone   = "612 mm"
aboard  = "507 mm"
```
````

Better: a stiffer spring with less preload. `spring.rear.best_rate` names the
one to fit of those on hand.
"#,
);

pub(super) fn check(place: &OfDay<'_, '_, impl Recording>, findings: &mut Vec<Finding>) {
    for sag in place.day.notebook.all::<Sag>() {
        let Some(hanging) = readings::hanging(place.book, sag) else { continue };
        let alone = readings::alone(place.book, sag);
        let counted = alone.counted();
        let (Some(longest), Some(loaded), Some(reading)) = (hanging.mean(), alone.length(), counted.first())
        else {
            continue;
        };
        let sag_length = longest - loaded;
        // Two readings count as equal within the smaller of the tape's division and the last digit written.
        let doubt = hanging.division().unwrap_or(0.0).min(reading.division().unwrap_or(0.0)) / 2.0;
        if !(-1e-9..=doubt + 1e-9).contains(&sag_length) {
            continue;
        }
        let help = match sag.header.end() {
            Some(End::Front) => say!("back the preload off, or let air out of the positive chamber"),
            _ => say!("back the preload off; where the rider sag then grows too much the spring is too soft"),
        };
        let headline = match sag.header.end() {
            Some(End::Front) => say!("the front does not sag at all under the machine's own weight"),
            Some(End::Rear) => say!("the rear does not sag at all under the machine's own weight"),
            None => say!("it does not sag at all under the machine's own weight"),
        };
        findings.push(
            Finding::new(&CODE, reading.readings.span, headline)
                .found(say!("{readings} alone", readings = shown::mean(reading.readings)))
                .see(
                    hanging.readings.span,
                    say!("{readings} hanging", readings = shown::mean(hanging.readings)),
                )
                .help(help),
        );
    }
}
