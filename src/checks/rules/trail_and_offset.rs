//! A trail and a total offset that one machine cannot have.

use crate::checks::code;
use crate::checks::place::OfMachine;
use crate::checks::shown;
use crate::figures::Recording;
use crate::finding::{Code, Finding, Severity};
use crate::physics::geometry;
use crate::speech::say;
use crate::vocabulary::{End, FigureName};

pub(super) static CODE: Code = code(
    "frame/trail-and-offset",
    Severity::Warning,
    r#"A trail and a total offset that do not agree.

With rake and tyre radius, each follows from the other: `offset = R sin(rake) −
trail cos(rake)`. Where both are written they must agree, within their
uncertainty. Usually the offset of the clamps was written as the total offset,
which also has the offset of the axle in the fork's feet.

````
```frame
rake         = "26.9°"
trail        = "115 mm"
total_offset = "22 mm"
```
````

Better: leave out the one that you are less sure of.

````
```frame
rake  = "26.9°"
trail = "115 mm"
```
````
"#,
);

/// m. How far a loaded tyre's radius may be below the free radius of its code: common practice, no source.
const CODE_RADIUS_DOUBT: f64 = 0.012;

pub(super) fn check(place: &OfMachine<'_, '_, impl Recording>, findings: &mut Vec<Finding>) {
    let Some(frame) = place.machine.frame() else { return };
    let (Some(rake), Some(trail), Some(offset)) = (frame.rake, frame.trail, frame.total_offset) else {
        return;
    };
    let Some(radius) = place.bench.value(FigureName::RADIUS.of(End::Front)) else { return };
    let is_measured = place
        .machine
        .wheel(End::Front)
        .is_some_and(|wheel| wheel.loaded_radius.is_some() || wheel.rollout.is_some());
    let of = |radius: f64, rake: f64, trail: f64| geometry::offset_of_trail(radius, rake, trail);
    let expected = of(radius, rake.value(), trail.value());
    // How far each input moves it, by differences: there are three, and no digits rest on them.
    let by_radius = if is_measured {
        0.0
    } else {
        of(radius + CODE_RADIUS_DOUBT, rake.value(), trail.value()) - expected
    };
    let by_rake = of(radius, rake.value() + shown::doubt(&rake.quantity), trail.value()) - expected;
    let by_trail = of(radius, rake.value(), trail.value() + shown::doubt(&trail.quantity)) - expected;
    let own = shown::doubt(&offset.quantity);
    let doubt = (by_radius * by_radius + by_rake * by_rake + by_trail * by_trail + own * own).sqrt();
    if (expected - offset.value()).abs() <= doubt {
        return;
    }
    let (earlier, later) =
        if trail.span.start < offset.span.start { (trail, offset) } else { (offset, trail) };
    let follows = shown::computed(offset.quantity.kind, expected, Some(doubt), Some(offset.quantity.unit));
    findings.push(
        Finding::new(
            &CODE,
            later.span,
            say!("a trail of {trail} gives a total offset of {follows}, not {offset}", trail = shown::written(&trail.quantity), follows, offset = shown::written(&offset.quantity)),)
        .see(earlier.span, say!("does not go with this"))
        .help(say!("the total offset runs from the steering axis to the axle, and is more than the clamps' own; leave out the one you are less sure of")),
    );
}
