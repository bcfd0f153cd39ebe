//! A spring that does not behave like its label.

use crate::book::readings;
use crate::checks::judged;
use crate::checks::place::OfDay;
use crate::checks::{code, shown};
use crate::figures::{Expanded, Recording};
use crate::finding::{Code, Finding, Severity};
use crate::season::HeldValue;
use crate::speech::{Message, say};
use crate::vocabulary::{End, FigureName, Setting};

pub(super) static CODE: Code = code(
    "spring/not-its-label",
    Severity::Warning,
    r#"Two sags that ask for another spring rate than the one written for the spring.

Two loads and two sags show how stiff the spring really is. Where that differs
from the label by more than the uncertainty of both, the label is another
spring's, a load is wrong, or a sag was read with friction.

````
```sag rear
hanging = "612 mm"
alone   = "577 mm"
aboard  = "470 mm"
```
````

Better: read both sags after a push and after a lift, put the machine on scales,
and look for the number on the spring itself.
"#,
);

pub(super) fn check(place: &OfDay<'_, '_, impl Recording>, findings: &mut Vec<Finding>) {
    for end in End::BOTH {
        findings.extend(check_end(place, end));
    }
}

fn check_end(place: &OfDay<'_, '_, impl Recording>, end: End) -> Option<Finding> {
    let state = place.replay.end();
    let (alone, aboard) = (state.static_sag(end)?, state.rider_sag(end)?);
    if aboard.place.day != place.index && alone.place.day != place.index {
        return None;
    }
    let name = match end {
        End::Front => Setting::FORK_SPRING,
        End::Rear => Setting::SHOCK_SPRING,
    };
    let label = state.setting_at_sag(end, name)?;
    let HeldValue::Quantity(rate) = &label.value else { return None };
    let figure = place.bench.measure(FigureName::SPRING_RATE_FITTED.of(end));
    let fitted = figure.outcome.as_ref().ok()?;
    let (light, heavy) =
        (readings::alone(place.book, &alone.block), readings::aboard(place.book, &aboard.block));
    // Sags in an impossible order were reported, and show nothing about the spring.
    if light.length()? <= heavy.length()? {
        return None;
    }
    let own = shown::doubt(rate);
    let off = (fitted.value - rate.value).abs();
    // How uncertain the readings themselves must be for the label to be right.
    let needed = (off * off - own * own).max(0.0).sqrt();
    let doubt = fitted.expanded.clone().unwrap_or(Expanded::fixed(0.0));
    if needed <= doubt.against([needed]) {
        return None;
    }
    let later = if aboard.place >= alone.place { aboard } else { alone };
    let counted = if later.place == aboard.place { heavy.counted() } else { light.counted() };
    let reading = counted.first()?;
    let shown = judged::computed(rate.kind, fitted.value, Some(&doubt), Some(rate.unit));
    let mut finding = Finding::new(
        &CODE,
        reading.readings.span,
        match end {
            End::Front => say!(
                "the front sags like a spring of {shown}, not of {rate}",
                shown,
                rate = shown::written(rate)
            ),
            End::Rear => say!(
                "the rear sags like a spring of {shown}, not of {rate}",
                shown,
                rate = shown::written(rate)
            ),
        },
    )
    .see(label.span, say!("the spring's label"))
    .help(say!("look for the number on the spring itself, and read the sags after a push and after a lift"));
    if !figure.assumed.is_empty() {
        finding = finding.help(say!(
            "taken for granted: {assumed}",
            assumed = Message::joined(figure.assumed.clone(), "; ")
        ));
    }
    Some(finding)
}
