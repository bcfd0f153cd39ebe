//! A rider sag read in another posture than the last.

use crate::checks::code;
use crate::checks::place::OfDay;
use crate::figures::Recording;
use crate::finding::{Code, Finding, Severity};
use crate::speech::say;
use crate::vocabulary::blocks::Sag;
use crate::vocabulary::{FigureName, Load};

pub(super) static CODE: Code = code(
    "sag/other-posture",
    Severity::Warning,
    r#"A rider sag that was read seated where the last was read standing, or the other
way round.

Seated, more of the rider is on the rear wheel. The two cannot be compared, and a
band that goes by one says nothing of the other.

````
```sag rear
hanging = "612 mm"
aboard  = "505 mm"
posture = "seated"
```
````

Better: read it in the posture of the last, or begin again with both ends in the
new one and bands that go by it.
"#,
);

pub(super) fn check(place: &OfDay<'_, '_, impl Recording>, findings: &mut Vec<Finding>) {
    for sag in place.day.notebook.all::<Sag>().filter(|sag| sag.has(Load::Rider)) {
        let before = place.replay.at(sag.header.span.start);
        let last = sag.header.end().and_then(|end| Some((end, before.rider_sag(end)?)));
        let Some((end, last)) = last.filter(|(_, last)| last.block.is_seated() != sag.is_seated()) else {
            continue;
        };
        let said = |sag: &Sag| if sag.is_seated() { say!("seated") } else { say!("standing") };
        let at = |sag: &Sag| sag.posture.as_ref().map_or(sag.header.fence, |posture| posture.span);
        let (label, now, was) = (FigureName::SAG_RIDER.of(end).label(), said(sag), said(&last.block));
        let headline = say!("{label} was read {now}, and {was} the last time", label, now, was);
        findings.push(
            Finding::new(&CODE, at(sag), headline)
                .see(at(&last.block), say!("the last time"))
                .help(say!("the two cannot be compared: read it {was} again", was = said(&last.block))),
        );
    }
}
