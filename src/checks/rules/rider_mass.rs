//! A rider who is suddenly another.

use crate::checks::place::OfDay;
use crate::checks::{code, shown};
use crate::figures::Recording;
use crate::finding::{Code, Finding, Severity};
use crate::quantity::Unit;
use crate::speech::say;
use crate::vocabulary::blocks::{AnyBlock, RiderBlock, Typed};
use crate::vocabulary::values::Given;

pub(super) static CODE: Code = code(
    "rider/mass-leaps",
    Severity::Warning,
    r#"A rider's mass that is one and a half times what was on file, or more, or as much
less.

Springs and expected sags go by it. Kilograms were written as pounds or the other
way round, or a digit is wrong. On file are 82 kg:

````
```rider
mass = "82 lb"
```
````

Better: `mass = "82 kg"`. Where the rider has grown since, leave it.
"#,
);

/// How much heavier a rider and the gear can have become between two notebooks. Common practice, no source.
const LEAP: f64 = 1.5;
/// How far a mass may be from the one on file when it is read in the other unit. Common practice, no source.
const ALIKE: f64 = 1.15;

pub(super) fn check(place: &OfDay<'_, '_, impl Recording>, findings: &mut Vec<Finding>) {
    let mut before = place.replay.start.rider().and_then(|rider| rider.mass);
    let in_notebook = place.book.rider(place.day).and_then(|rider| rider.last::<RiderBlock>()?.mass);
    for (block, point) in place.blocks().iter().zip(&place.replay.points) {
        if let (AnyBlock::RiderBlock(rider), Some(was)) = (block, before)
            && let Some(mass) = rider.mass
            && is_usual(&mass)
            // Behind a slip the true mass is back where the rider's notebook has it.
            && [Some(was), in_notebook].iter().flatten().all(|on_file| !is_within(mass.value() / on_file.value(), LEAP))
        {
            findings.push(leap(&mass, &was, in_notebook));
        }
        before = point.state.rider().and_then(|rider| rider.mass);
    }
}

/// A mass that nobody has was reported where it was read.
fn is_usual(mass: &Given) -> bool {
    RiderBlock::SPEC.key(RiderBlock::mass).is_some_and(|row| row.value.possible.is_usual(mass.value()))
}

fn is_within(share: f64, factor: f64) -> bool {
    (1.0 / factor..=factor).contains(&share)
}

fn leap(mass: &Given, was: &Given, in_notebook: Option<Given>) -> Finding {
    let written = shown::written(&mass.quantity);
    let headline =
        say!("{written} is far from the {was} on file", written, was = shown::written(&was.quantity));
    let finding = Finding::new(&CODE, mass.span, headline).see(was.span, say!("on file"));
    let other = if mass.quantity.unit == Unit::Pound { Unit::Kilogram } else { Unit::Pound };
    let meant = mass.quantity.misread_as(other);
    let fits = |on_file: &Given| is_within(meant.value / on_file.value(), ALIKE);
    if (fits(was) || in_notebook.as_ref().is_some_and(fits)) && mass.quantity.plus_minus.is_none() {
        let meant = shown::written(&meant);
        let quoted = format!("\"{meant}\"");
        finding.fix(say!("was `{meant}` meant?", meant), mass.span, quoted)
    } else {
        finding.help(say!("look at the unit and the digits; where it is right, leave it"))
    }
}
