//! Pressures, brought to one temperature and height before they are compared.

use serde::Serialize;

use crate::figures::{Bench, GateAir, Recorder};
use crate::quantity::{Kind, Units};
use crate::vocabulary::names::fill;
use crate::vocabulary::{End, figures as names, settings};

use super::super::say::Say;
use super::figures::{FigureChange, assume, line};
use super::{Side, Verdict};

/// Chambers and tyres at the gate.
#[derive(Debug, Clone, Default, PartialEq, Serialize)]
pub struct Pressures {
    /// The air that the second side's pressures were brought to, which is the first side's; `None` where both
    /// stood in the same air, or none of them was read.
    pub brought_to: Option<String>,
    pub lines: Vec<FigureChange>,
}

/// The pressures of both sides. What was read on one of them is brought to the first side's gate; what is
/// written as a setting on both holds at each gate and is compared as it is.
pub(super) fn pressures<R: Recorder, S: Recorder>(
    sides: (&Side<'_>, &Side<'_>),
    benches: (&Bench<'_, R>, &Bench<'_, S>),
    units: &Units,
    complete: bool,
    assumed: &mut Vec<String>,
) -> Pressures {
    let air = benches.0.gate_air().ok().zip(benches.1.gate_air().ok()).filter(|(a, b)| !a.is_like(b));
    let mut pressures = Pressures::default();
    for (figure, setting) in pairs(sides) {
        let figures = (benches.0.figure(&figure), benches.1.figure(&figure));
        let first = figures.0.number().map(|number| sides.0.named_as_there(number));
        let mut second = figures.1.number().cloned();
        let is_set = benches.0.is_set_at_gate(&setting) && benches.1.is_set_at_gate(&setting);
        if let (Some((there, here)), Some(number), false) = (&air, &second, is_set) {
            let there = named(sides.0, there);
            second = Some(number.brought(here, &there));
            pressures.brought_to = Some(told(&there, units));
        }
        let Some(line) = line(&figure, first.as_ref(), second.as_ref(), units) else { continue };
        if complete || line.verdict != Verdict::Same {
            assume(assumed, [&figures.0, &figures.1]);
            pressures.lines.push(line);
        }
    }
    if pressures.lines.is_empty() {
        pressures.brought_to = None;
    }
    pressures
}

/// The figure of each chamber and tyre with the setting that it goes by.
fn pairs(sides: (&Side<'_>, &Side<'_>)) -> Vec<(String, String)> {
    let mut all: Vec<(String, String)> = Vec::new();
    for side in [sides.0, sides.1] {
        let machine = side.here().and_then(|here| here.machine);
        for (name, chamber) in machine.into_iter().flat_map(|machine| machine.chambers()) {
            // One that fills through a port goes by the chamber that fills it.
            let from = chamber.charged_from.as_ref().map_or(name, |from| from.text.as_str());
            let pair = (fill(names::GATE_CHAMBER, name), fill(settings::CHAMBER, from));
            if !all.contains(&pair) {
                all.push(pair);
            }
        }
    }
    let tyres = End::BOTH.map(|end| (fill(names::GATE_TYRE, end.word()), fill(settings::TYRE, end.word())));
    all.into_iter().chain(tyres).collect()
}

fn named(side: &Side<'_>, air: &GateAir) -> GateAir {
    GateAir {
        temperature: side.named_as_there(&air.temperature),
        atmosphere: side.named_as_there(&air.atmosphere),
    }
}

fn told(air: &GateAir, units: &Units) -> String {
    let say = Say::new(units);
    let temperature = say.value(Kind::Temperature, air.temperature.value);
    format!("{temperature} and {}", say.value(Kind::AbsolutePressure, air.atmosphere.value))
}
