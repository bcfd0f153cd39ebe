//! Settings that differ from what they were left at.

use crate::checks::place::OfDay;
use crate::checks::{code, shown};
use crate::figures::Recording;
use crate::finding::{Code, Finding, Severity};
use crate::season::{Event, Held, HeldValue, How};
use crate::speech::{Message, say};
use crate::vocabulary::Setting;

pub(super) static CODE: Code = code(
    "settings/drifted",
    Severity::Warning,
    r#"A setting in `settings` that differs from what it was left at, with no `change`
between.

It moved by itself, was found wrong, or was changed and nobody wrote it down.
The new value holds from here on. Which rides were ridden on which value, nobody
knows any more.

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
    // The beginning of a machine and rider was not left by anybody.
    if place.replay.previous.is_none() {
        return;
    }
    for event in &place.replay.events {
        // A pressure in `settings` is as set; how it was found is a reading.
        if event.how != How::Settings
            || event.by.is_some()
            || event.name.setting().is_some_and(Setting::is_pressure)
        {
            continue;
        }
        let (Some(before), Some(after)) = (event.step.before(), event.step.after()) else { continue };
        if before.value.same_as(&after.value) || is_rebuilt_since(place, event, before) {
            continue;
        }
        let shown = |value: &HeldValue| match value {
            HeldValue::Quantity(quantity) => shown::written(quantity),
            HeldValue::Word(word) => Message::text(format!("`{word}`")),
        };
        let (name, after, was) = (event.name.as_str(), shown(&after.value), shown(&before.value));
        let headline = match before.date {
            Some(date) => say!("`{name}` is {after}; it was left at {was} on {date}", name, after, was, date),
            None => say!("`{name}` is {after}; it was {was} to begin with", name, after, was),
        };
        findings.push(
            Finding::new(&CODE, event.span, headline)
                .found(say!("drifted, or changed and not written down"))
                .see(before.span, say!("what it was left at"))
                .help(say!("if it was changed on purpose, write it in a `change` with `because = \"…\"`")),
        );
    }
}

/// Whether a clicker's damper was rebuilt since the clicks were left: clicks before and after are not the same clicks.
fn is_rebuilt_since(place: &OfDay<'_, '_, impl Recording>, event: &Event, left: &Held) -> bool {
    let damper = event.name.setting().and_then(|name| name.info().damper);
    let rebuild = damper.and_then(|damper| place.replay.at(event.span.start).valving(damper));
    rebuild.is_some_and(|rebuild| match (rebuild.place, left.place) {
        (Some(rebuild), Some(left)) => rebuild > left,
        _ => rebuild.date > left.date,
    })
}
