//! Settings that are not what they were left at.

use crate::checks::place::OfDay;
use crate::checks::{code, shown};
use crate::figures::Recording;
use crate::finding::{Code, Finding, Severity};
use crate::season::{HeldValue, How, is_pressure};

pub(super) static CODE: Code = code(
    "settings/drifted",
    Severity::Warning,
    r#"A setting in `settings` that is not what it was left at, with no `change` between.

Either it moved by itself, was found wrong, or was changed and nobody wrote it down. From here on the new value
holds; which rides were ridden on which value is no longer known.

````
```settings
fork.rebound = "14 clicks"
```
````

Better: where it was changed on purpose, say so.

````
```change
fork.rebound = "14 clicks"
because = "packs on the whoops"
```
````
"#,
);

pub(super) fn check(place: &OfDay<'_, '_, impl Recording>, findings: &mut Vec<Finding>) {
    // What a machine and rider begin with was never left at anything.
    if place.replay.previous.is_none() {
        return;
    }
    for event in &place.replay.events {
        // A pressure in `settings` is as set, and what it was found at is a reading.
        if event.how != How::Settings || event.by.is_some() || is_pressure(event.name) {
            continue;
        }
        let (Some(before), Some(after)) = (&event.before, &event.after) else { continue };
        if before.value.same_as(&after.value) {
            continue;
        }
        let shown = |value: &HeldValue| match value {
            HeldValue::Quantity(quantity) => shown::written(quantity),
            HeldValue::Word(word) => format!("`{word}`"),
        };
        let was = match before.date {
            Some(date) => format!("left at {} on {date}", shown(&before.value)),
            None => format!("{} to begin with", shown(&before.value)),
        };
        findings.push(
            Finding::new(
                &CODE,
                event.span,
                format!("`{}` is {}; it was {was}", event.name.as_str(), shown(&after.value)),
            )
            .found("drifted, or changed and not written down")
            .see(before.span, "what it was left at")
            .help("if it was changed on purpose, write it in a `change` with `because = \"…\"`"),
        );
    }
}
