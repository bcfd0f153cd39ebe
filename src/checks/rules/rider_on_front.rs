//! A rider who stands on the front wheel.

use crate::checks::place::OfDay;
use crate::checks::{code, shown};
use crate::figures::Recording;
use crate::finding::{Code, Finding, Severity};
use crate::quantity::Kind;
use crate::speech::say;
use crate::vocabulary::blocks::{AnyBlock, Scales};

pub(super) static CODE: Code = code(
    "loads/rider-on-front",
    Severity::Warning,
    r#"Wheel loads that put most of the rider on the front wheel.

A rider in the usual place has the greater part on the rear. Most often
`front_aboard` and `rear_aboard` changed places, and the springs would be worked
out for that.

````
```scales
front_alone  = "52 kg"
rear_alone   = "55.8 kg"
front_aboard = "108.3 kg"
rear_aboard  = "81.5 kg"
```
````

Better: swap the two, or weigh again with the rider in the usual place.

````
```scales
front_alone  = "52 kg"
rear_alone   = "55.8 kg"
front_aboard = "81.5 kg"
rear_aboard  = "108.3 kg"
```
````
"#,
);

/// Share of the rider on the front wheel: 35 to 50 % is usual. Common practice, no source.
const MOST: f64 = 0.6;

pub(super) fn check(place: &OfDay<'_, '_, impl Recording>, findings: &mut Vec<Finding>) {
    for (at, block) in place.blocks().iter().enumerate() {
        let AnyBlock::Scales(scales) = block else { continue };
        let state = place.replay.points.get(at).map_or(&place.replay.start, |point| &point.state);
        // Loads that cannot be were reported.
        if !matches!(state.scales(), Some(Err(_))) {
            findings.extend(on_front(scales));
        }
    }
}

fn on_front(scales: &Scales) -> Option<Finding> {
    let (front, rear) = (scales.front_aboard.as_ref()?, scales.rear_aboard.as_ref()?);
    let on_front = front.mean()? - scales.front_alone.as_ref()?.mean()?;
    let on_rear = rear.mean()? - scales.rear_alone.as_ref()?.mean()?;
    let share = on_front / (on_front + on_rear);
    if on_front + on_rear <= 0.0 || share <= MOST {
        return None;
    }
    let headline = say!(
        "{share} of the rider is on the front wheel",
        share = shown::computed(Kind::Share, share, None, None)
    );
    let finding =
        Finding::new(&CODE, front.span, headline).found(shown::mean(front)).see(rear.span, shown::mean(rear));
    Some(finding.help(say!(
        "swap `{front}` and `{rear}` if they are the wrong way round, or weigh again",
        front = Scales::front_aboard,
        rear = Scales::rear_aboard
    )))
}
