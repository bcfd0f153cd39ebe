//! Both forks on one chart.

use serde::Serialize;

use crate::figures::{Bench, Plain, Recorder};
use crate::quantity::{Kind, Quantity, Units};

use super::super::say::Say;
use super::{Difference, Side, Verdict};

/// How many points a curve is drawn from: closer than a printer's line is wide.
const POINTS: usize = 61;

/// The riding forces of both forks, each at its own gate, where they differ.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct ForkComparison {
    /// The unit along the travel.
    pub travel_unit: String,
    /// The unit of force.
    pub force_unit: String,
    pub a: ForkCurve,
    pub b: ForkCurve,
    /// Whether each is in the air of its own gate, as it was ridden, and the airs differ.
    pub is_in_own_air: bool,
    /// The travel of the largest difference, in the unit along the travel.
    pub largest_at: f64,
    /// The same, as shown.
    pub largest_at_told: String,
    /// The difference there, as shown.
    pub change: String,
    pub verdict: Verdict,
    /// The second force less the first there, in N.
    pub by: f64,
    /// Expanded uncertainty of `by`, in N.
    pub expanded: Option<f64>,
}

/// One curve, in the units of its chart.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct ForkCurve {
    pub label: String,
    pub points: Vec<(f64, f64)>,
}

/// `None` where the forks are the same, or the force of one of them is unknown.
pub(super) fn fork<R: Recorder, S: Recorder>(
    sides: (&Side<'_>, &Side<'_>),
    benches: (&Bench<'_, R>, &Bench<'_, S>),
    labels: (&str, &str),
    units: &Units,
) -> Option<ForkComparison> {
    let plain = (Bench::new(sides.0.here()?, Plain), Bench::new(sides.1.here()?, Plain));
    let most = plain.0.largest_fork_difference(&plain.1).ok()??;
    let first = sides.0.named_as_there(&benches.0.fork_force_at(most).ok()?);
    let difference = Difference::of(&first, &benches.1.fork_force_at(most).ok()?, Kind::Force, units);
    let airs = (benches.0.gate_air().ok(), benches.1.gate_air().ok());
    let say = Say::new(units);
    // In the digits of the travel: the place is one of those that were looked at.
    let written = sides.0.here()?.machine.and_then(|machine| machine.fork()?.travel);
    let place = match written {
        Some(travel) => say.quantity(&Quantity { value: most, plus_minus: None, ..travel.quantity }),
        None => say.value(Kind::Length, most),
    };
    let (travel, force) = (say.unit(Kind::Length), say.unit(Kind::Force));
    let drawn = |(x, y): (f64, f64)| (travel.from_si(Kind::Length, x), force.from_si(Kind::Force, y));
    let curve = |label: &str, bench: &Bench<'_, Plain>| {
        let points = bench.fork_curve(POINTS, true).ok()?.into_iter().map(drawn).collect();
        Some(ForkCurve { label: label.to_owned(), points })
    };
    Some(ForkComparison {
        travel_unit: travel.symbol().to_owned(),
        force_unit: force.symbol().to_owned(),
        a: curve(labels.0, &plain.0)?,
        b: curve(labels.1, &plain.1)?,
        is_in_own_air: airs.0.zip(airs.1).is_some_and(|(a, b)| !a.is_like(&b)),
        largest_at: travel.from_si(Kind::Length, most),
        largest_at_told: place.to_string(),
        change: difference.change?,
        verdict: difference.verdict,
        by: difference.by,
        expanded: difference.expanded,
    })
}
