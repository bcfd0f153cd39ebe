//! A lap unlike the others.

use crate::checks::place::OfDay;
use crate::checks::{code, shown};
use crate::figures::Recording;
use crate::finding::{Code, Finding, Severity};
use crate::physics::statistics::median;
use crate::quantity::Kind;
use crate::speech::say;
use crate::vocabulary::blocks::Stint;

/// How many laps it takes to tell an odd one.
const FEWEST: usize = 3;
/// Shares of the median lap. The whole spread of a novice's moto, with the gate and a fall, is between them: common
/// practice, no source.
const QUICKEST: f64 = 0.75;
const SLOWEST: f64 = 2.0;

pub(super) static CODE: Code = code(
    "laps/odd",
    Severity::Warning,
    r#"A lap far quicker or far slower than the others of its stint.

A lap under three quarters of the median was cut short, or a digit slipped. One
over twice the median was a stop. The one would be the best lap of the day, the
other would widen the spread, and both would be wrong.

````
```stint
laps = "1:58.4 1:57.9 12.3 1:58.8"
```
````

Better: correct it, or name its number in `skip`: such laps do not count.

````
```stint
laps = "1:58.4 1:57.9 12.3 1:58.8"
skip = [3]
```
````
"#,
);

pub(super) fn check(place: &OfDay<'_, '_, impl Recording>, findings: &mut Vec<Finding>) {
    for stint in place.day.notebook.all::<Stint>() {
        let laps: Vec<_> = place.book.counted_laps(stint).collect();
        let times: Vec<f64> = laps.iter().map(|lap| lap.time).collect();
        let Some(middle) = median(&times).filter(|_| laps.len() >= FEWEST) else { continue };
        let skipped =
            stint.skip.iter().flat_map(|skip| &skip.values).map(|number| number.value().to_string());
        let skipped: Vec<String> = skipped.collect();
        for lap in laps {
            let share = lap.time / middle;
            if (QUICKEST..=SLOWEST).contains(&share) {
                continue;
            }
            let time = |seconds: f64| shown::computed(Kind::Time, seconds, None, None);
            let (number, own, middle) = (lap.number, time(lap.time), time(middle));
            let headline = match share < QUICKEST {
                true => say!(
                    "lap {number} of {own} is far quicker than the others: their median is {middle}",
                    number,
                    own,
                    middle
                ),
                false => say!(
                    "lap {number} of {own} is far slower than the others: their median is {middle}",
                    number,
                    own,
                    middle
                ),
            };
            let mut skip = skipped.clone();
            skip.push(lap.number.to_string());
            let help = say!(
                "if it is not a whole lap, write `skip = [{skip}]` in the stint",
                skip = skip.join(", ")
            );
            findings.push(
                Finding::new(&CODE, lap.span, headline).help(say!("if it is a slip, mend it")).help(help),
            );
        }
    }
}
