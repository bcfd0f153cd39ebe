//! Wheel loads that this machine and rider cannot have.

use crate::book::Notebook;
use crate::finding::{Code, Finding};
use crate::quantity::Quantity;
use crate::speech::{Message, say};
use crate::vocabulary::blocks::{RiderBlock, Scales};
use crate::vocabulary::values::Given;
use crate::vocabulary::{Keyed, shown};

use super::code;

/// How far the wheels together may differ from a written mass, as a share of it. Fuel, mud and a brochure's dry
/// mass are less, a wrong digit is more. Common practice, no source.
const SLIP: f64 = 0.25;

pub(in crate::season) static CODE: Code = code(
    "loads/cannot-be",
    r#"Wheel loads that cannot be those of this machine and rider: a quarter or more
off the mass that is written, or less with the rider aboard than without.

A digit was misread, pounds were written as kilograms, or two lines were
swapped. No load, no spring and no expected sag is worked out from such
readings. Loads that are off by less get a warning, `loads/do-not-add-up`.

````
```scales
front_alone = "52 kg"
rear_alone  = "558 kg"
```
````

Better: read the scale again; here it was `rear_alone = "55.8 kg"`.
"#,
);

pub(super) fn fault(
    scales: &Scales,
    machine: Option<&Notebook>,
    rider: Option<&RiderBlock>,
) -> Option<Finding> {
    let alone = Wheels::of(
        scales.front_alone.as_ref().map(|readings| (Scales::front_alone, readings)),
        scales.rear_alone.as_ref().map(|readings| (Scales::rear_alone, readings)),
    );
    let aboard = Wheels::of(
        scales.front_aboard.as_ref().map(|readings| (Scales::front_aboard, readings)),
        scales.rear_aboard.as_ref().map(|readings| (Scales::rear_aboard, readings)),
    );
    let machine = machine.and_then(|machine| machine.frame()?.mass);
    let rider = rider.and_then(|rider| rider.mass);
    let of_machine = machine.map(|mass| (mass.value(), vec![(mass, say!("the machine's mass"))]));
    let is_slip = |wheels: &Wheels<'_>, whole: f64| (wheels.together - whole).abs() > SLIP * whole;
    if let (Some(wheels), Some((whole, from))) = (&alone, &of_machine)
        && is_slip(wheels, *whole)
    {
        return Some(wheels.finding(Whole::Machine, *whole, from));
    }
    let aboard = aboard?;
    if let Some(alone) = alone.as_ref().filter(|alone| alone.together >= aboard.together) {
        return Some(aboard.finding(Whole::WithoutRider, alone.together, &[]));
    }
    let (base, mut from) = match (alone, of_machine) {
        (Some(alone), _) => (alone.together, Vec::new()),
        (None, of_machine) => of_machine?,
    };
    let rider = rider?;
    from.push((rider, say!("the rider's mass")));
    let whole = base + rider.value();
    is_slip(&aboard, whole).then(|| aboard.finding(Whole::Both, whole, &from))
}

/// The masses that loads are compared with.
#[derive(Debug, Clone, Copy)]
enum Whole {
    Machine,
    WithoutRider,
    Both,
}

/// The loads on both wheels.
struct Wheels<'a> {
    front: Keyed<'a>,
    rear: Keyed<'a>,
    /// In kg.
    together: f64,
}

impl<'a> Wheels<'a> {
    fn of(front: Option<Keyed<'a>>, rear: Option<Keyed<'a>>) -> Option<Self> {
        let (front, rear) = (front?, rear?);
        Some(Self { front, rear, together: front.1.mean()? + rear.1.mean()? })
    }

    fn finding(&self, what: Whole, whole: f64, from: &[(Given, Message)]) -> Finding {
        let is_front_later = self.front.1.span.start > self.rear.1.span.start;
        let (later, earlier) = if is_front_later { (self.front, self.rear) } else { (self.rear, self.front) };
        let like = |value: f64| match later.1.values.first() {
            Some(Given { quantity: pattern, .. }) => shown::like(&Quantity { ..*pattern }, value),
            None => Message::default(),
        };
        let (front, rear, together, whole) = (self.front.0, self.rear.0, like(self.together), like(whole));
        let headline = match what {
            Whole::Machine => say!(
                "`{front}` and `{rear}` are {together} together, which cannot be: the machine's mass is {whole}",
                front,
                rear,
                together,
                whole
            ),
            Whole::WithoutRider => say!(
                "`{front}` and `{rear}` are {together} together, which cannot be: without the rider they are {whole}",
                front,
                rear,
                together,
                whole
            ),
            Whole::Both => say!(
                "`{front}` and `{rear}` are {together} together, which cannot be: machine and rider come to {whole}",
                front,
                rear,
                together,
                whole
            ),
        };
        let others = from.iter().map(|(given, text)| (given.span, text));
        others
            .fold(
                Finding::new(&CODE, later.1.span, headline)
                    .found(shown::mean(later.1))
                    .see(earlier.1.span, shown::mean(earlier.1)),
                |finding, (span, text)| finding.see(span, text),
            )
            .help(say!("read the scale again, or mend the mass"))
    }
}
