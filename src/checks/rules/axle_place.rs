//! A chain that would be taut outside the axle's adjuster.

use crate::book::Notebook;
use crate::checks::place::{OfDay, OfMachine};
use crate::checks::{code, shown};
use crate::figures::{Bench, Recorder, Recording};
use crate::finding::{Code, Finding, Severity};
use crate::physics::{Number, chain};
use crate::quantity::Kind;
use crate::season::{Held, State};
use crate::source::Span;
use crate::speech::say;
use crate::vocabulary::Setting;

pub(super) static CODE: Code = code(
    "drive/axle-outside-adjuster",
    Severity::Error,
    r#"Sprockets and a chain that put the axle outside its adjuster.

The chain cannot be fitted, or cannot be tightened enough. Half a chain pitch is
allowed, for slack and wear.

````
```change
drive.rear = "56 teeth"
because = "the hill"
```
````

Better: change the number of links with the sprocket. `drive.links_needed` says
how many.

````
```change
drive.rear  = "56 teeth"
drive.links = 120
because = "the hill"
```
````
"#,
);

const GEARING: [Setting; 3] = [Setting::DRIVE_FRONT, Setting::DRIVE_REAR, Setting::DRIVE_LINKS];

/// The machine's standard gearing.
pub(super) fn check_machine(place: &OfMachine<'_, '_, impl Recording>, findings: &mut Vec<Finding>) {
    findings.extend(
        last(place.state).and_then(|held| check_gearing(place.machine, place.state, &place.bench, held.span)),
    );
}

/// A gearing set on the day, as the day leaves it.
pub(super) fn check_day(place: &OfDay<'_, '_, impl Recording>, findings: &mut Vec<Finding>) {
    let last = last(place.replay.end()).filter(|held| held.place.is_some_and(|at| at.day == place.index));
    let (Some(machine), Some(last)) = (place.machine, last) else { return };
    findings.extend(check_gearing(machine, place.replay.end(), &place.bench, last.span));
}

/// Whichever of sprockets and chain was set last: the finding goes there.
fn last(state: &State) -> Option<&Held> {
    let written = GEARING.iter().filter_map(|name| state.setting(*name));
    written.max_by_key(|held| (held.place, held.span.file, held.span.start))
}

fn check_gearing(
    machine: &Notebook,
    state: &State,
    bench: &Bench<'_, impl Recorder>,
    span: Span,
) -> Option<Finding> {
    let adjuster = machine.drive()?.adjuster?;
    let swingarm = machine.frame()?.swingarm?;
    let axle = bench.axle_place().ok()?.value() - swingarm.value();
    let slack = 0.5 * chain::pitch(machine.drive()?.chain.as_ref()?.text.trim())?;
    let is_too_near = adjuster.low.is_some_and(|low| axle < low.value - slack);
    let is_too_far = adjuster.high.is_some_and(|high| axle > high.value + slack);
    if !is_too_near && !is_too_far {
        return None;
    }
    let unit = adjuster.low.or(adjuster.high).map(|end| end.unit);
    let at = shown::computed(Kind::Length, axle, None, unit);
    let adjusted = shown::range(&adjuster);
    let headline = match is_too_near {
        true => say!(
            "the chain is too short: it is taut with the axle at {at}, and the adjuster has {adjusted}",
            at,
            adjusted
        ),
        false => say!(
            "the chain is too long: it is taut with the axle at {at}, and the adjuster has {adjusted}",
            at,
            adjusted
        ),
    };
    let mut finding =
        Finding::new(&CODE, span, headline).see(adjuster.span, say!("how far the axle can move"));
    let middle = match (adjuster.low, adjuster.high) {
        (Some(low), Some(high)) => 0.5 * (low.value + high.value),
        (end, other) => end.or(other).map_or(0.0, |end| end.value),
    };
    if let Some(links) = state.setting(Setting::DRIVE_LINKS).and_then(|held| held.value.number()) {
        // Two links more move the axle back by nearly a pitch, and a chain has an even number of links.
        let fitting = links - 2.0 * ((axle - middle) / (2.0 * slack)).round();
        finding = finding.help(say!(
            "`{setting} = {links}` would bring the axle near the middle of it",
            setting = Setting::DRIVE_LINKS,
            links = format!("{fitting:.0}")
        ));
    }
    Some(finding)
}
