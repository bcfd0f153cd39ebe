//! Sag readings in an order that cannot be.

use crate::checks::code;
use crate::checks::place::OfDay;
use crate::checks::readings::{self, Reading, Rests};
use crate::checks::shown;
use crate::figures::Recording;
use crate::finding::{Code, Finding, Severity};
use crate::vocabulary::blocks::Sag;

pub(super) static CODE: Code = code(
    "sag/reading-order",
    Severity::Error,
    r#"Sag readings in an order that cannot be: hanging must be the longest, aboard the shortest, and after a push
shorter than after a lift.

A wheel only comes closer to its mark as load is put on. Where it does not, two readings were swapped, one
was misread, or the hanging reading was taken with the wheel on the ground; every figure from them would be
wrong.

````
```sag rear
hanging = "577 mm"
alone   = "612 mm"
```
````

Better: the longest is `hanging`.

````
```sag rear
hanging = "612 mm"
alone   = "577 mm"
```
````
"#,
);

pub(super) fn check(place: &OfDay<'_, '_, impl Recording>, findings: &mut Vec<Finding>) {
    for sag in place.day.notebook.all::<Sag>() {
        let hanging = readings::hanging(place.book, sag);
        let (alone, aboard) = (readings::alone(place.book, sag), readings::aboard(place.book, sag));
        let hanging = hanging.and_then(|reading| Some((reading, reading.mean()?)));
        let (alone_first, aboard_first) = (first(&alone), first(&aboard));
        // As long alone as hanging is no slip: it is topped out, which is another rule's business.
        if let (Some((longer, length)), Some((shorter, below))) = (hanging, alone_first)
            && length < below
        {
            findings.push(out_of_order(longer, shorter, "must be longer than"));
        }
        // With no reading alone the rider's is held against the hanging one.
        if let (Some((longer, length)), Some((shorter, below))) = (alone_first.or(hanging), aboard_first)
            && length <= below
        {
            findings.push(out_of_order(longer, shorter, "must be longer than"));
        }
        for rests in [alone, aboard] {
            if let (Some(push), Some(lift)) = (rests.after_push, rests.after_lift)
                && push.mean() > lift.mean()
            {
                findings.push(out_of_order(push, lift, "must not be longer than"));
            }
        }
    }
}

/// The first of the readings that a sag is counted to, and that length.
fn first<'a>(rests: &Rests<'a>) -> Option<(Reading<'a>, f64)> {
    rests.counted().first().copied().zip(rests.length())
}

/// Stands on the earlier of the two in the notebook.
fn out_of_order(one: Reading<'_>, other: Reading<'_>, must: &str) -> Finding {
    let headline = format!(
        "`{}` ({}) {must} `{}` ({})",
        one.key,
        shown::mean(one.readings),
        other.key,
        shown::mean(other.readings)
    );
    let is_first = one.readings.span.start < other.readings.span.start;
    let (earlier, later) = if is_first { (one, other) } else { (other, one) };
    let help = if must.contains("not") {
        "friction holds a pushed machine low: swap the two if they stand the wrong way round, or measure again"
    } else {
        "swap the two if they stand the wrong way round, or measure again"
    };
    Finding::new(&CODE, earlier.readings.span, headline)
        .found(shown::mean(earlier.readings))
        .see(later.readings.span, shown::mean(later.readings))
        .help(help)
}
