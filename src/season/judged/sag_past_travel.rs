//! A sag longer than the travel.

use crate::book::Notebook;
use crate::finding::{Code, Finding};
use crate::speech::say;
use crate::vocabulary::blocks::Sag;
use crate::vocabulary::{End, Load, shown};

use super::{Fault, code};

pub(in crate::season) static CODE: Code = code(
    "sag/past-travel",
    r#"A sag longer than the travel of that end.

The wheel cannot have moved so far. A reading is wrong, the mark was moved
between two of them, or the travel in the machine's notebook is another
machine's.

````
```sag rear
hanging = "612 mm"
aboard  = "206 mm"
```
````

Better: read it again; here it was `aboard = "506 mm"`.
"#,
);

pub(super) fn faults(sag: &Sag, end: End, machine: Option<&Notebook>) -> Vec<Fault> {
    let travel = machine.and_then(|machine| match end {
        End::Front => machine.fork()?.travel,
        End::Rear => machine.shock()?.travel,
    });
    let (Some(travel), Some(hanging)) = (travel, &sag.hanging) else { return Vec::new() };
    let room = travel.value() + shown::doubt(&travel.quantity);
    let past = |load: Load| {
        let rests = sag.rests(load);
        let length = hanging.mean()? - rests.length()?;
        let (_, reading) = *rests.counted().first()?;
        (length > room).then_some((load, length, reading))
    };
    let all: Vec<_> = Load::BOTH.into_iter().filter_map(past).collect();
    // One wrong hanging reading spoils both.
    let which = if all.len() == 1 { all.first().map(|(load, ..)| *load) } else { None };
    let Some((_, length, reading)) = all.first() else { return Vec::new() };
    let sag = hanging.values.first().map(|given| shown::like(&given.quantity, *length)).unwrap_or_default();
    let travel_shown = shown::written(&travel.quantity);
    let finding = Finding::new(
        &CODE,
        reading.span,
        say!("a sag of {sag} is longer than the travel of {travel_shown}", sag, travel_shown),
    )
    .found(shown::mean(reading))
    .see(hanging.span, say!("counted from here"))
    .see(travel.span, say!("the travel"))
    .help(say!("measure again from the axle to the same mark, or mend the travel"));
    vec![(which, finding)]
}
