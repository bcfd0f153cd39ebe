//! Pressures, brought to one temperature and height before they are compared.

use serde::Serialize;

use crate::figures::{Bench, GateAir, Number, Recorder};
use crate::quantity::{Kind, Units};
use crate::speech::say;
use crate::vocabulary::figures::FigureId;
use crate::vocabulary::name::OfWord;
use crate::vocabulary::{End, FigureName, Setting};

use super::super::say::Say;
use super::figures::{FigureChange, assume, line, within};
use super::{Side, Verdict};

/// Chambers and tyres at the gate, chambers at full travel.
#[derive(Debug, Clone, Default, PartialEq, Serialize)]
pub struct Pressures {
    /// The air that the second side's pressures were brought to, which is the first side's; `None` where both
    /// were in the same air, or none of them was read.
    pub brought_to: Option<String>,
    pub lines: Vec<FigureChange>,
    /// Labels of those whose difference is within the measurement, in one line, as with the figures.
    pub within: Option<String>,
    /// Whether any has a line of its own.
    pub has_lines: bool,
    /// Labels of the lines that compare pressures as written, because one side does not say how warm it was.
    pub as_written: Vec<String>,
}

/// A figure, and the setting behind it.
struct Pressure {
    figure: FigureName,
    setting: Setting,
    /// Whether the figure is the written pressure brought to the gate, not one that follows from it.
    is_written: bool,
}

/// The pressures of both sides. A reading on either side is brought to the first side's gate. A setting on both
/// sides holds at each gate, and is compared as it is.
pub(super) fn pressures<R: Recorder, S: Recorder>(
    sides: (&Side<'_>, &Side<'_>),
    benches: (&Bench<'_, R>, &Bench<'_, S>),
    units: &Units,
    complete: bool,
    assumed: &mut Vec<String>,
) -> Pressures {
    let air = benches.0.gate_air().ok().zip(benches.1.gate_air().ok()).filter(|(a, b)| !a.is_like(b));
    let mut pressures = Pressures::default();
    for Pressure { figure, setting, is_written } in all(sides) {
        let figures = (benches.0.figure(figure), benches.1.figure(figure));
        let mut first = figures.0.number().map(|number| sides.0.named_as_there(number));
        let mut second = figures.1.number().cloned();
        let mut is_brought = false;
        let is_set = benches.0.is_set(setting) && benches.1.is_set(setting);
        if let (Some((there, here)), Some(number), false) = (&air, &second, is_set) {
            second = Some(number.brought(here, &named(sides.0, there)));
            is_brought = true;
        }
        let written = (benches.0.last_written(setting), benches.1.last_written(setting));
        let as_written = match written {
            (Some(a), Some(b)) if is_written && (first.is_none() || second.is_none()) => {
                (first, second, is_brought) = (Some(bare(a)), Some(bare(b)), false);
                true
            }
            _ => false,
        };
        let Some(line) = line(figure, [first.as_ref(), second.as_ref()], [None, None], units) else {
            continue;
        };
        if !complete && line.verdict == Verdict::Same {
            continue;
        }
        if as_written {
            pressures.as_written.push(line.label.clone());
        } else {
            assume(assumed, [&figures.0, &figures.1], units);
        }
        if let (Some((there, _)), true) = (&air, is_brought) {
            pressures.brought_to = Some(told(there, units));
        }
        // Nobody pumps to a chamber's pressure at full travel.
        let is_shown = complete || is_written && line.verdict != Verdict::Within;
        pressures.lines.push(FigureChange { is_shown, ..line });
    }
    let is_pumped = |line: &&FigureChange| line.id.row != FigureId::FULL_CHAMBER;
    pressures.within = within(pressures.lines.iter().filter(is_pumped), units).filter(|_| !complete);
    pressures.has_lines = pressures.lines.iter().any(|line| line.is_shown);
    pressures
}

/// Without its sources: where nobody knows how warm it was, the gauge's error is not the only doubt.
fn bare(value: f64) -> Number {
    Number { kind: Kind::GaugePressure, value, sources: Vec::new() }
}

/// Each chamber at the gate, each at full travel, each tyre at the gate.
fn all(sides: (&Side<'_>, &Side<'_>)) -> Vec<Pressure> {
    let chambers = |row: OfWord<FigureId>, is_written: bool| {
        let mut all: Vec<Pressure> = Vec::new();
        for side in [sides.0, sides.1] {
            let machine = side.here().and_then(|here| here.machine);
            for (name, chamber) in machine.into_iter().flat_map(|machine| machine.chambers()) {
                // A chamber filled through a port has the name of the chamber that fills it.
                let from = chamber.charged_from.as_ref().map_or(name, |from| from.text.as_str());
                let (figure, setting) = (row.named(name), Setting::CHAMBER.named(from));
                if all.iter().all(|known| known.figure != figure) {
                    all.push(Pressure { figure, setting, is_written });
                }
            }
        }
        all
    };
    let tyres = End::BOTH.map(|end| Pressure {
        figure: FigureName::GATE_TYRE.of(end),
        setting: Setting::TYRE.of(end),
        is_written: true,
    });
    let mut all = chambers(FigureName::GATE_CHAMBER, true);
    all.extend(chambers(FigureName::FULL_CHAMBER, false));
    all.extend(tyres);
    all
}

fn named(side: &Side<'_>, air: &GateAir) -> GateAir {
    GateAir {
        temperature: side.named_as_there(&air.temperature),
        atmosphere: side.named_as_there(&air.atmosphere),
    }
}

fn told(air: &GateAir, units: &Units) -> String {
    let say = Say::new(units);
    // As a thermometer and a forecast show them.
    let temperature = say.picked(Kind::Temperature, air.temperature.value).to_string();
    let pressure = say.picked(Kind::AbsolutePressure, air.atmosphere.value).to_string();
    say.text(&say!("{temperature} and {pressure}", temperature, pressure))
}
