//! A chamber without air left before the fork is fully in.

use crate::checks::place::OfMachine;
use crate::checks::{code, shown};
use crate::figures::Recording;
use crate::finding::{Code, Finding, Severity};
use crate::physics::air::SQUEEZED_TO;
use crate::quantity::{Kind, Quantity};
use crate::speech::say;

pub(super) static CODE: Code = code(
    "chamber/no-room",
    Severity::Error,
    r#"An air chamber whose volume is used up before the end of the travel.

Its pressure would have no limit there, so no fork is like this. A volume, a
bore or the travel is wrong.

````
```fork
kind   = "air"
travel = "310 mm"
```

```chamber main
side   = "positive"
bore   = "35 mm"
volume = "250 cm³"
```
````

Better: check all three. The volume at full extension must be more than area
times travel, here more than 298 cm³.
"#,
);

/// A finer digit of a volume is not looked at, in its own unit.
const FINEST: f64 = 1e-3;

pub(super) fn check(place: &OfMachine<'_, '_, impl Recording>, findings: &mut Vec<Finding>) {
    let Some(travel) = place.machine.fork().and_then(|fork| fork.travel) else { return };
    for (name, at) in place.bench.rooms() {
        let Some(volume) = place.machine.chamber(&name).and_then(|chamber| chamber.volume) else { continue };
        let at_shown = shown::like(&travel.quantity, at);
        let most = at * SQUEEZED_TO;
        let least = volume.value() * travel.value() / most;
        let whole = shown::written(&travel.quantity);
        let headline = if at <= travel.value() {
            say!("`{name}` has no room left at {at} of {whole} travel", name, at = at_shown, whole)
        } else {
            let at = shown::like(&travel.quantity, most);
            say!(
                "`{name}` has less than a twentieth of its room left at {at} of {whole} travel",
                name,
                at,
                whole
            )
        };
        findings.push(Finding::new(&CODE, volume.span, headline).see(travel.span, say!("the travel")).help(
            say!(
                "at full extension it must hold more than {least}: mend the volume, or the bore or area",
                least = shown::written(&enough(least, &volume.quantity))
            ),
        ));
    }
}

/// A volume in the unit of another, rounded up to three digits: area and travel are known to no more.
fn enough(least: f64, written: &Quantity) -> Quantity {
    let unit = written.unit;
    let number = unit.from_si(Kind::Volume, least);
    let mut digit = 1.0;
    while number >= 1000.0 * digit {
        digit *= 10.0;
    }
    while number < 100.0 * digit && digit > FINEST {
        digit /= 10.0;
    }
    let value = unit.to_si(Kind::Volume, (number / digit).ceil() * digit);
    Quantity { value, plus_minus: None, last_digit: unit.width_to_si(digit), ..*written }
}
