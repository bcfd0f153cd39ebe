//! Clicks that look like a step and are written as a place.

use crate::checks::place::OfDay;
use crate::checks::{code, shown};
use crate::figures::Recording;
use crate::finding::{Code, Finding, Severity};
use crate::quantity::Kind;
use crate::season::{Held, How};
use crate::speech::say;
use crate::vocabulary::blocks::AnyBlock;

pub(super) static CODE: Code = code(
    "change/step-or-place",
    Severity::Warning,
    r#"A change to a few clicks, from where many more were out.

Clicks without a direction say where the adjuster stands, counted out from
closed. Turned by two clicks, it is `2 clicks in` or `2 clicks out`.

````
```settings
fork.compression = "12 clicks"
```

```change
fork.compression = "2 clicks"
because = "harsh on small bumps"
```
````

Better: `fork.compression = "2 clicks out"`. Where it is meant, say why with
`accepted = "..."`.
"#,
);

/// What is turned at once, in clicks, is at most about this. Common practice, no source.
const USUAL: f64 = 4.0;
/// From this many clicks on nobody turns it at once without saying so.
const MANY: f64 = 6.0;

pub(super) fn check(place: &OfDay<'_, '_, impl Recording>, findings: &mut Vec<Finding>) {
    for event in place.replay.events.iter().filter(|event| event.how == How::Change && event.by.is_none()) {
        let clicks =
            |held: &Held| held.value.quantity().filter(|quantity| quantity.kind == Kind::Clicks).copied();
        let (Some(before), Some(after)) = (event.step.before(), event.step.after()) else { continue };
        let (Some(from), Some(to)) = (clicks(before), clicks(after)) else { continue };
        let is_accepted = place
            .blocks()
            .get(event.block)
            .is_some_and(|block| matches!(block, AnyBlock::Change(change) if change.accepted.is_some()));
        if is_accepted || to.value <= 0.0 || to.value > USUAL || (from.value - to.value).abs() < MANY {
            continue;
        }
        let (label, was, now) = (event.name.label(), shown::written(&from), shown::written(&to));
        findings.push(
            Finding::new(
                &CODE,
                event.span,
                say!("{label} goes from {was} to {now} at once", label, was, now),
            )
            .see(before.span, say!("where it stood"))
            .help(say!("for a step write `{now} in` or `{now} out`", now))
            .help(say!("where it is meant, write `accepted = \"why\"` beside it")),
        );
    }
}
