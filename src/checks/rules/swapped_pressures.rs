//! Two pressures that changed places.

use crate::checks::place::OfDay;
use crate::checks::{code, shown};
use crate::figures::Recording;
use crate::finding::{Code, Finding, Severity};
use crate::season::State;
use crate::speech::say;
use crate::vocabulary::blocks::AnyBlock;
use crate::vocabulary::values::PressureReading;

pub(super) static CODE: Code = code(
    "pressure/swapped",
    Severity::Warning,
    r#"Two pressures, each close to the other's aim.

Two lines changed places, or the chambers were filled the wrong way round. Then
the fork carries nothing like what it should.

````
```settings
chamber.main    = "151 psi"
chamber.counter = "140 psi"
```
````

````
```pressures
main    = "140 psi"
counter = "151 psi"
```
````

Better: `main = "151 psi"` and `counter = "140 psi"`. If they are in the fork that
way round, set both before anybody rides. If they are meant so, write the new aims
in a `change`.
"#,
);

/// Aims that differ by less than this share cannot be told apart. Common practice, no source.
const APART: f64 = 0.04;
/// How close a reading must be to the other aim, as a share of the difference. Common practice, no source.
const CLOSE: f64 = 0.25;

pub(super) fn check(place: &OfDay<'_, '_, impl Recording>, findings: &mut Vec<Finding>) {
    for (block, point) in place.blocks().iter().zip(&place.replay.points) {
        let AnyBlock::Pressures(pressures) = block else { continue };
        for all in [&pressures.others.pressures, &pressures.others.found] {
            for (at, one) in all.iter().enumerate() {
                let others = all.iter().skip(at + 1);
                findings.extend(others.filter_map(|other| swapped(&point.state, one, other)));
            }
        }
    }
}

fn swapped(state: &State, one: &PressureReading, other: &PressureReading) -> Option<Finding> {
    let aim = |reading: &PressureReading| Some(state.setting(reading.name)?.value.quantity()?.value);
    let (aim, other_aim) = (aim(one)?, aim(other)?);
    let apart = (aim - other_aim).abs();
    if apart < APART * aim.max(other_aim) {
        return None;
    }
    let is_close = |reading: &PressureReading, to: f64| {
        reading.readings.mean().is_some_and(|mean| (mean - to).abs() <= CLOSE * apart)
    };
    if !is_close(one, other_aim) || !is_close(other, aim) {
        return None;
    }
    let (label, other_label) = (one.name.label(), other.name.label());
    let headline = say!("{label} and {other_label} have each other's pressure", label, other_label);
    Some(
        Finding::new(&CODE, other.readings.span, headline)
            .found(shown::mean(&other.readings))
            .see(one.readings.span, shown::mean(&one.readings))
            .help(say!(
                "swap the two lines; if they are filled that way round, set both before anybody rides"
            ))
            .help(say!("if they are meant so, write the new aims in a `change` above")),
    )
}
