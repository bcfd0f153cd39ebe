//! A chamber without air left before the fork is fully in.

use crate::checks::place::OfMachine;
use crate::checks::{code, shown};
use crate::figures::Recording;
use crate::finding::{Code, Finding, Severity};
use crate::physics::air::SQUEEZED_TO;
use crate::quantity::Kind;
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

pub(super) fn check(place: &OfMachine<'_, '_, impl Recording>, findings: &mut Vec<Finding>) {
    let Some(travel) = place.machine.fork().and_then(|fork| fork.travel) else { return };
    for (name, at) in place.bench.rooms() {
        let Some(volume) = place.machine.chamber(&name).and_then(|chamber| chamber.volume) else { continue };
        let at_shown = shown::computed(Kind::Length, at, None, Some(travel.quantity.unit));
        let most = at * SQUEEZED_TO;
        let least = volume.value() * travel.value() / most;
        let whole = shown::written(&travel.quantity);
        let headline = if at <= travel.value() {
            say!("`{name}` has no room left at {at} of {whole} travel", name, at = at_shown, whole)
        } else {
            let at = shown::computed(Kind::Length, most, None, Some(travel.quantity.unit));
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
                least = shown::computed(Kind::Volume, least, None, Some(volume.quantity.unit))
            ),
        ));
    }
}
