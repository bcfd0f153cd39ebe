//! Preload outside of what the shock allows.

use crate::checks::written::WrittenSetting;
use crate::checks::{code, judged, shown};
use crate::finding::{Code, Finding, Severity};
use crate::vocabulary::Setting;

pub(super) static CODE: Code = code(
    "shock/preload-range",
    Severity::Error,
    r#"A preload outside of the shock's `preload_range`.

Too little and the spring comes loose at full extension; too much and it goes coil-bound before the end of the
stroke. Either can break it.

````
```change
shock.preload = "4 turns in"
because = "sag"
```
````

Better: a spring of another rate; `spring.rear.best_rate` tells which of those on hand.
"#,
);

pub(super) fn check(written: &WrittenSetting<'_>, findings: &mut Vec<Finding>) {
    if written.name != Setting::SHOCK_PRELOAD {
        return;
    }
    let range = written.machine.shock().and_then(|shock| shock.preload_range);
    let (Some(range), Some(preload)) = (range, written.quantity()) else { return };
    if !judged::is_of(&range, preload.kind) || range.contain(preload.value) {
        return;
    }
    let side = judged::side(&range, preload.value);
    let unit = judged::unit_of(&range);
    let shown = match unit {
        Some(unit) if unit != preload.unit => shown::computed(preload.kind, preload.value, None, Some(unit)),
        _ => shown::written(preload),
    };
    let help = if side == "below" {
        "a stiffer spring needs less preload, a softer one more: fit a softer one"
    } else {
        "fit a stiffer spring, which needs less"
    };
    let found = if written.is_step { format!("it comes to {shown}") } else { String::new() };
    findings.push(
        Finding::new(
            &CODE,
            written.span,
            format!("a preload of {shown} is {side} the shock's range of {}", shown::range(&range)),
        )
        .found(found)
        .see(range.span, "the range")
        .help(help),
    );
}
