//! Preload outside what the shock allows.

use crate::checks::written::WrittenSetting;
use crate::checks::{code, judged, shown};
use crate::finding::{Code, Finding, Severity};
use crate::speech::{Message, say};
use crate::vocabulary::Setting;

pub(super) static CODE: Code = code(
    "shock/preload-range",
    Severity::Error,
    r#"A preload outside the shock's `preload_range`.

With too little the spring comes loose at full extension. With too much it is
coil-bound before the end of the stroke. Either can break it.

````
```change
shock.preload = "4 turns in"
because = "sag"
```
````

Better: a spring of another rate. `spring.rear.best_rate` names the one to fit
of those on hand.
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
    let unit = judged::unit_of(&range);
    let shown = match unit {
        Some(unit) if unit != preload.unit => shown::computed(preload.kind, preload.value, None, Some(unit)),
        _ => shown::written(preload),
    };
    let (is_below, whole) = (judged::is_below(&range, preload.value), shown::range(&range));
    let help = match is_below {
        true => say!("a stiffer spring needs less preload, a softer one more: fit a softer one"),
        false => say!("fit a stiffer spring, which needs less"),
    };
    let headline = match is_below {
        true => say!("a preload of {shown} is below the shock's range of {range}", shown, range = whole),
        false => say!("a preload of {shown} is above the shock's range of {range}", shown, range = whole),
    };
    let found = if written.is_step { say!("it comes to {shown}", shown) } else { Message::default() };
    findings.push(
        Finding::new(&CODE, written.span, headline)
            .found(found)
            .see(range.span, say!("the range"))
            .help(help),
    );
}
