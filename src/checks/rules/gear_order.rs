//! Gears whose ratios do not fall.

use crate::checks::place::OfMachine;
use crate::checks::{code, shown};
use crate::figures::Recording;
use crate::finding::{Code, Finding, Severity};
use crate::speech::say;
use crate::vocabulary::blocks::Drive;

pub(super) static CODE: Code = code(
    "drive/gear-order",
    Severity::Warning,
    r#"A gear whose ratio is not below that of the gear before it.

First gear has the largest ratio. A digit is wrong, or two gears changed places;
speeds in these gears are then wrong.

````
```drive
front   = 13
rear    = 50
primary = 2.739
gears   = [2.142, 1.75, 1.333, 1.87, 0.95]
```
````

Better: from first gear on, `gears = [2.142, 1.75, 1.333, 1.087, 0.95]`.
"#,
);

pub(super) fn check(place: &OfMachine<'_, '_, impl Recording>, findings: &mut Vec<Finding>) {
    let gears = place.machine.last::<Drive>().and_then(|drive| drive.gears.as_ref());
    let Some(gears) = gears else { return };
    for (gear, pair) in (2..).zip(gears.values.windows(2)) {
        let [before, this] = pair else { continue };
        if this.value() < before.value() {
            continue;
        }
        let (ratio, was) = (shown::written(&this.quantity), shown::written(&before.quantity));
        let headline = say!(
            "gear {gear} has a ratio of {ratio}, which is not below the {was} before it",
            gear = gear.to_string(),
            ratio,
            was
        );
        findings.push(
            Finding::new(&CODE, this.span, headline)
                .see(before.span, say!("the gear before"))
                .help(say!("mend the digit, or put the ratios in order, first gear first")),
        );
    }
}
