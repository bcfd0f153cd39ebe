//! A day far above or below its track.

use crate::checks::place::OfDay;
use crate::checks::{code, shown};
use crate::figures::Recording;
use crate::finding::{Code, Finding, Severity};
use crate::speech::say;
use crate::vocabulary::blocks::Conditions;

pub(super) static CODE: Code = code(
    "air/elevation-of-track",
    Severity::Warning,
    r#"A day's `elevation` that is far from that of its track.

The pressure of the air, jets and power are worked out for that height. A digit
was added, feet were written as metres, or the day names the wrong track.

````tracks/gorse-field.md
```track
elevation = "420 m"
```
````

````
```conditions
air       = "9 °C"
elevation = "4200 m"
```
````

Better: leave `elevation` out; the track's is used.
"#,
);

/// m. No track has its gates further above each other. Common practice, no source.
const FURTHEST: f64 = 600.0;

pub(super) fn check(place: &OfDay<'_, '_, impl Recording>, findings: &mut Vec<Finding>) {
    for conditions in place.day.notebook.all::<Conditions>() {
        let Some(elevation) = conditions.elevation else { continue };
        let of_track = place.book.track(place.day).and_then(|track| track.track_block()?.elevation);
        let Some(of_track) = of_track else { continue };
        if (elevation.value() - of_track.value()).abs() <= FURTHEST {
            continue;
        }
        let (written, track) = (shown::written(&elevation.quantity), shown::written(&of_track.quantity));
        findings.push(
            Finding::new(
                &CODE,
                elevation.span,
                say!("{written} is far from the track's {track}", written, track),
            )
            .see(of_track.span, say!("the track's"))
            .help(say!("leave `{key}` out: the track's is used", key = Conditions::elevation))
            .help(say!("or mend the track's notebook, or the `track` of this day")),
        );
    }
}
