//! Wheel loads that do not add up to the whole.

use crate::book::readings::{self, Reading};
use crate::checks::place::OfDay;
use crate::checks::{code, shown};
use crate::figures::{Bench, Recorder, Recording};
use crate::finding::{Code, Finding, Severity};
use crate::quantity::Quantity;
use crate::source::Span;
use crate::speech::{Message, say};
use crate::vocabulary::End;
use crate::vocabulary::blocks::{AnyBlock, Scales};

pub(super) static CODE: Code = code(
    "loads/do-not-add-up",
    Severity::Warning,
    r#"Wheel loads that do not add up to the mass of the machine, or of machine and
rider.

Springs are judged by these loads. Usually one wheel stood higher than the
other, a hand held the bars, there was more or less fuel, or the mass in the
notebook is the brochure's, dry.

````
```scales
front_alone = "52 kg"
rear_alone  = "50 kg"
```
````

Better: weigh both ends again with both wheels level, or write the mass that the
scales gave into `frame`.
"#,
);

pub(super) static BELOW_UNSPRUNG: Code = code(
    "loads/below-unsprung",
    Severity::Error,
    r#"A wheel that carries less than its unsprung mass, which leaves nothing for its
spring.

Either the load is wrong, or the unsprung mass is another machine's. No sag and
no spring is worked out from it.

````
```wheel rear
unsprung = "25 kg"
```
````

````
```scales
rear_alone = "22 kg"
```
````

Better: weigh again, here `rear_alone = "55.8 kg"`, or write this machine's
unsprung mass into its `wheel` block.
"#,
);

/// Wheels of the day's scales that carry less than their unsprung mass.
fn below_unsprung(place: &OfDay<'_, '_, impl Recording>, scales: &Scales) -> Vec<Finding> {
    let [front_alone, rear_alone, front_aboard, rear_aboard] = readings::masses(place.book, scales);
    let wheels = [
        (End::Front, front_alone),
        (End::Rear, rear_alone),
        (End::Front, front_aboard),
        (End::Rear, rear_aboard),
    ];
    let found = wheels.into_iter().filter_map(|(end, reading)| {
        let (reading, unsprung) = (reading?, place.bench.unsprung_mass(end)?);
        let like = &reading.readings.values.first()?.quantity;
        if reading.mean()? > unsprung {
            return None;
        }
        let headline = say!(
            "`{reading}` is {readings}, and {unsprung} of the {end} wheel is unsprung",
            reading = reading.key,
            readings = shown::mean(reading.readings),
            unsprung = shown::like(like, unsprung),
            end
        );
        let finding = Finding::new(&BELOW_UNSPRUNG, reading.readings.span, headline);
        let written = place.machine.and_then(|machine| machine.wheel(end)?.unsprung);
        let finding = match written {
            Some(written) => finding.see(written.span, say!("the unsprung mass")),
            None => finding,
        };
        Some(finding.help(say!("weigh again, or write `unsprung` of this machine into its `wheel` block")))
    });
    found.collect()
}

pub(super) fn check(place: &OfDay<'_, '_, impl Recording>, findings: &mut Vec<Finding>) {
    for (at, block) in place.blocks().iter().enumerate() {
        let AnyBlock::Scales(scales) = block else { continue };
        let machine = place.machine.and_then(|machine| machine.frame()?.mass);
        // The rider as described above the scales, else as at the day's beginning.
        let state = place.replay.points.get(at).map_or(&place.replay.start, |point| &point.state);
        // Impossible loads were reported, and show nothing more.
        if matches!(state.scales(), Some(Err(_))) {
            continue;
        }
        let below = below_unsprung(place, scales);
        if !below.is_empty() {
            findings.extend(below);
            continue;
        }
        let rider = state.rider().and_then(|rider| rider.mass);
        findings.extend(check_scales(place, scales, machine.as_ref(), rider.as_ref()));
    }
}

type Mass = crate::vocabulary::values::Given;

fn check_scales(
    place: &OfDay<'_, '_, impl Recording>,
    scales: &Scales,
    machine: Option<&Mass>,
    rider: Option<&Mass>,
) -> Option<Finding> {
    let masses = readings::masses(place.book, scales);
    let [front_alone, rear_alone, front_aboard, rear_aboard] =
        masses.map(|mass| Weighed::of(mass?, &place.bench));
    let alone = front_alone.zip(rear_alone);
    let aboard = front_aboard.zip(rear_aboard);
    let of_machine = |mass: &Mass| Whole {
        value: mass.value(),
        doubt: shown::doubt(&mass.quantity),
        from: vec![(mass.span, say!("the machine's mass"))],
    };
    if let (Some(pair), Some(mass)) = (alone, machine)
        && let Some(finding) = compare(pair, &of_machine(mass), &mass.quantity, false)
    {
        return Some(finding);
    }
    let (pair, rider) = (aboard?, rider?);
    let base = match (alone.map(sum), machine) {
        (Some((value, doubt)), _) => Whole { value, doubt, from: Vec::new() },
        (None, Some(mass)) => of_machine(mass),
        (None, None) => return None,
    };
    let own = shown::doubt(&rider.quantity);
    let mut from = base.from;
    from.push((rider.span, say!("the rider's mass")));
    let both = Whole {
        value: base.value + rider.value(),
        doubt: (base.doubt * base.doubt + own * own).sqrt(),
        from,
    };
    compare(pair, &both, &rider.quantity, true)
}

/// What the wheels must add up to.
struct Whole {
    value: f64,
    doubt: f64,
    from: Vec<(Span, Message)>,
}

/// What one wheel weighed, in kg, and its expanded uncertainty.
#[derive(Clone, Copy)]
struct Weighed<'a> {
    reading: Reading<'a>,
    mean: f64,
    doubt: f64,
}

impl<'a> Weighed<'a> {
    fn of(reading: Reading<'a>, bench: &Bench<'_, impl Recorder>) -> Option<Self> {
        // Two wheels are added, so neither has a limit of its own.
        let doubt = bench.expanded_of(&reading).map_or(0.0, |expanded| expanded.exactly());
        Some(Self { reading, mean: reading.mean()?, doubt })
    }
}

/// Both wheels together, in kg, and the expanded uncertainty: one scale's bias counts twice.
fn sum((front, rear): (Weighed<'_>, Weighed<'_>)) -> (f64, f64) {
    (front.mean + rear.mean, front.doubt + rear.doubt)
}

fn compare(
    pair: (Weighed<'_>, Weighed<'_>),
    whole: &Whole,
    like: &Quantity,
    has_rider: bool,
) -> Option<Finding> {
    let (together, doubt) = sum(pair);
    let apart = (doubt * doubt + whole.doubt * whole.doubt).sqrt();
    if (together - whole.value).abs() <= apart {
        return None;
    }
    let (front, rear) = (pair.0.reading, pair.1.reading);
    let is_front_later = front.readings.span.start > rear.readings.span.start;
    let (later, earlier) = if is_front_later { (front, rear) } else { (rear, front) };
    let (front, rear) = (front.key, rear.key);
    let (together, sum) = (shown::like(like, together), shown::like(like, whole.value));
    let headline = match has_rider {
        true => say!(
            "`{front}` and `{rear}` are {together} together; machine and rider come to {sum}",
            front,
            rear,
            together,
            sum
        ),
        false => say!(
            "`{front}` and `{rear}` are {together} together; the machine's mass is {sum}",
            front,
            rear,
            together,
            sum
        ),
    };
    let mut finding = Finding::new(&CODE, later.readings.span, headline)
        .found(shown::mean(later.readings))
        .see(earlier.readings.span, shown::mean(earlier.readings));
    for (span, text) in &whole.from {
        finding = finding.see(*span, text.clone());
    }
    Some(
        finding
            .help(say!("weigh both ends again with the wheels level, or mend the mass that is out of date")),
    )
}
