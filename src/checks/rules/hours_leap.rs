//! An hour meter that runs faster than the clock.

use crate::checks::place::OfDay;
use crate::checks::{code, shown};
use crate::figures::Recording;
use crate::finding::{Code, Finding, Severity};
use crate::speech::say;
use crate::vocabulary::blocks::AnyBlock;

pub(super) static CODE: Code = code(
    "hours/leap",
    Severity::Warning,
    r#"An hour meter with more hours than could be ridden since it was read last: over
twelve a day. Common practice, no source.

A decimal point was lost. Every service would be due at once, and the next true
reading would look as if the meter ran backwards.

````
```hours
meter = "218 h"
```
````

Better: `meter = "21.8 h"`.
"#,
);

/// s. Nobody rides longer in a day. Common practice, no source.
const MOST_A_DAY: f64 = 12.0 * 3600.0;

pub(super) fn check(place: &OfDay<'_, '_, impl Recording>, findings: &mut Vec<Finding>) {
    let mut before = place.replay.start.hours();
    for (block, point) in place.blocks().iter().zip(&place.replay.points) {
        let now = std::mem::replace(&mut before, point.state.hours());
        let (AnyBlock::Hours(hours), Some(was)) = (block, now) else { continue };
        let Some(meter) = hours.meter.filter(|_| was.by_meter) else { continue };
        let risen = meter.value() - was.ridden;
        let then = place.book.day_of(was.span.file).and_then(|then| place.book.days.get(then));
        let Some(then) = then else { continue };
        let days = f64::from((place.day.date - then.date).get_days() + 1);
        let most = days * MOST_A_DAY;
        if !then.is_dated || !place.day.is_dated || risen <= most {
            continue;
        }
        let (shows, showed) = (shown::written(&meter.quantity), shown::like(&meter.quantity, was.ridden));
        let headline =
            say!("the meter shows {shows}, and showed {showed} on {date}", shows, showed, date = then.date);
        let finding = Finding::new(&CODE, meter.span, headline)
            .found(say!("more hours than anybody rides in that time"))
            .see(was.span, say!("before"));
        let meant = meter.quantity.times(0.1);
        findings.push(if (0.0..=most).contains(&(meant.value - was.ridden)) {
            let meant = shown::written(&meant).to_string();
            let quoted = format!("\"{meant}\"");
            finding.fix(say!("was `{meant}` meant?", meant), meter.span, quoted)
        } else {
            finding.help(say!("read it again; after a change of meter write `ridden = …` instead"))
        });
    }
}
