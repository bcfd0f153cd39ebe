//! A leg much warmer or colder than the air.

use crate::checks::place::OfDay;
use crate::checks::{code, shown};
use crate::figures::Recording;
use crate::finding::{Code, Finding, Severity};
use crate::quantity::Unit;
use crate::speech::say;
use crate::vocabulary::blocks::Pressures;

pub(super) static CODE: Code = code(
    "pressure/leg-unlike-air",
    Severity::Warning,
    r#"A leg that was much warmer or colder than the day's air when its pressure was read.

`at` is how warm the leg is. What to pump is worked out from it: with a leg read
in the wrong degrees, the pressure to set is wrong by a tenth and more.

````
```conditions
air = "14 °C"
```

```pressures
at = "48 °C"
chamber.main = "150 psi"
```
````

Better: the degrees that the thermometer shows, here `at = "48 °F"`. A leg that is
still hot from riding stands in the shade first, or its pressure goes under
`after_ride`.
"#,
);

/// K. A leg in the shade comes to the air's temperature; one from a heated van or the sun is not further from it than this:
/// common practice, no source.
const FURTHEST: f64 = 30.0;
/// K. In other degrees it has to be this near.
const NEAR: f64 = 15.0;

pub(super) fn check(place: &OfDay<'_, '_, impl Recording>, findings: &mut Vec<Finding>) {
    for pressures in place.day.notebook.all::<Pressures>() {
        let conditions = place.replay.at(pressures.header.span.end).conditions();
        let Some((at, air)) = pressures.at.zip(conditions.and_then(|conditions| conditions.air)) else {
            continue;
        };
        if (at.value() - air.value()).abs() <= FURTHEST {
            continue;
        }
        let (leg, around) = (shown::written(&at.quantity), shown::written(&air.quantity));
        let headline = say!("the leg was at {leg} and the air at {around}", leg, around);
        let mut finding = Finding::new(&CODE, at.span, headline).see(air.span, say!("the air"));
        let degrees = if at.quantity.unit == Unit::Celsius { Unit::Fahrenheit } else { Unit::Celsius };
        let other = at.quantity.misread_as(degrees);
        if (other.value - air.value()).abs() <= NEAR {
            let other = shown::written(&other).to_string();
            let written = format!("\"{other}\"");
            finding = finding.fix(say!("did you mean `{other}`?", other), at.span, written);
        }
        findings.push(finding.help(say!(
            "a leg that is hot from riding stands in the shade first; or write its pressure under `after_ride`"
        )));
    }
}
