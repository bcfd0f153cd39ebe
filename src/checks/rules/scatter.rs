//! Repeats of a reading that lie further apart than the instrument explains.

use crate::book::readings::{self, Reading};
use crate::checks::code;
use crate::checks::place::OfDay;
use crate::checks::shown;
use crate::figures::Recording;
use crate::finding::{Code, Finding, Severity};
use crate::source::Span;
use crate::speech::say;
use crate::vocabulary::values::{Given, Readings};

pub(super) static CODE: Code = code(
    "reading/scatter",
    Severity::Warning,
    r#"Repeats of one reading that lie further apart than five divisions of the
instrument, or three times the repeatability that `book.toml` gives it.

One of them was misread, or something moved: the mark, the rider, the wheel. The
mean of such readings is worth less than its uncertainty says. Where the
instrument has no `resolution`, the last digit written counts as its division.

````
```sag rear
hanging = "612 mm"
aboard  = "506 538 507 mm"
```
````

Better: bounce, let it settle, read once more, and delete the slip.

````
```sag rear
hanging = "612 mm"
aboard  = "506 508 507 mm"
```
````
"#,
);

/// How many divisions repeats may lie apart.
const DIVISIONS: f64 = 5.0;
/// How many times the repeatability repeats may lie apart.
const REPEATABILITIES: f64 = 3.0;

pub(super) fn check(place: &OfDay<'_, '_, impl Recording>, findings: &mut Vec<Finding>) {
    for reading in place.blocks().iter().flat_map(|block| readings::of_block(place.book, block)) {
        let (Some(scatter), Some(odd)) = (scatter(&reading), oddest(reading.readings)) else { continue };
        let like = |value: f64| shown::like(&odd.quantity, value);
        let Scatter { apart, most } = scatter;
        findings.push(
            Finding::new(
                &CODE,
                odd.span,
                say!("readings of `{reading}` lie {apart} apart", reading = reading.key, apart = like(apart)),
            )
            .found(say!("this one is furthest from the others"))
            .help(say!(
                "{most} is what can be put down to the instrument: read once more, and strike the slip out",
                most = like(most)
            )),
        );
    }
}

/// Whether the readings at a place scatter.
pub(super) fn is_scattered(place: &OfDay<'_, '_, impl Recording>, span: Span) -> bool {
    let mut all = place.blocks().iter().flat_map(|block| readings::of_block(place.book, block));
    all.any(|reading| reading.readings.span == span && scatter(&reading).is_some())
}

/// How far repeats lie apart, and how far they may.
struct Scatter {
    apart: f64,
    most: f64,
}

/// `None` where they lie no further apart than the instrument explains.
fn scatter(reading: &Reading<'_>) -> Option<Scatter> {
    let (low, high) = ends(reading.readings)?;
    let by_division = reading.division().map(|division| DIVISIONS * division);
    let by_repeatability = reading.repeatability().map(|repeatability| REPEATABILITIES * repeatability);
    let most = by_division.into_iter().chain(by_repeatability).reduce(f64::min)?;
    let apart = high.value() - low.value();
    // Decimals are not compared to the last bit.
    (apart > most * (1.0 + 1e-9)).then_some(Scatter { apart, most })
}

fn ends(readings: &Readings) -> Option<(Given, Given)> {
    let by_value = |a: &&Given, b: &&Given| a.value().total_cmp(&b.value());
    let low = readings.values.iter().min_by(by_value)?;
    let high = readings.values.iter().max_by(by_value)?;
    Some((*low, *high))
}

/// The reading furthest from the middle one; of two, the later.
fn oddest(readings: &Readings) -> Option<Given> {
    let mut values: Vec<f64> = readings.values.iter().map(Given::value).collect();
    values.sort_by(f64::total_cmp);
    let middle = *values.get(values.len().saturating_sub(1) / 2)?;
    let off = |given: &Given| (given.value() - middle).abs();
    readings.values.iter().max_by(|a, b| off(a).total_cmp(&off(b))).copied()
}
