//! Values that can be read, and are most likely not what was meant.

use crate::finding::Finding;
use crate::notebook::{Node, Value};
use crate::quantity::{self, Fault, Kind, Quantity, Unit, UnitDefaults};
use crate::speech::say;

use super::super::spec::{Possible, ValueSpec};
use super::super::values::{Band, Given};
use super::super::{codes, shown};
use super::Reader;

/// How far a decimal point slips.
const SHIFTS: [f64; 4] = [10.0, 0.1, 100.0, 0.01];

/// The units of heights above the sea and of laps.
const OF_LAND: [Unit; 4] = [Unit::Metre, Unit::Foot, Unit::Kilometre, Unit::Mile];

impl Reader<'_> {
    /// Reports a number that hardly any such thing has.
    #[cold]
    pub(super) fn unusual(&mut self, given: &Given, possible: Possible) {
        let Possible::Usually(low, high) = possible else { return };
        let end = |value: f64| quantity::in_the_same_unit(&given.quantity, value);
        let written = shown::written(&given.quantity);
        let finding = Finding::new(
            &codes::UNUSUAL,
            given.span,
            say!(
                "{written} is hardly right: here it is between {low} and {high} as a rule",
                written,
                low = end(low),
                high = end(high)
            ),
        );
        self.report(match meant(&given.quantity, possible) {
            Some(meant) => {
                let meant = quantity::show(&meant, &quantity::Units::default()).to_string();
                finding.fix(say!("was `{meant}` meant?", meant), given.span, format!("\"{meant}\""))
            }
            None => finding.help(say!("look at the unit and the decimal point")),
        });
    }

    /// One quantity with its unit. A bare number is refused, also where the book has a unit for those.
    pub(super) fn with_unit(&mut self, node: &Node, spec: &ValueSpec) -> Option<Given> {
        let none = UnitDefaults::default();
        let got = match &node.value {
            Value::Text(text) => quantity::quantity(&text.text, spec.kinds, &none),
            Value::Integer(number) => quantity::number(*number as f64, spec.kinds, &none),
            Value::Float(number) => quantity::number(*number, spec.kinds, &none),
            _ => return self.quantity(node, spec.kinds, spec.possible),
        };
        match got.map_err(|problem| problem.fault) {
            Err(Fault::MissingUnit { number, .. }) => {
                self.bare(node, spec, &number);
                None
            }
            _ => self.quantity(node, spec.kinds, spec.possible),
        }
    }

    #[cold]
    fn bare(&mut self, node: &Node, spec: &ValueSpec, number: &str) {
        let mut finding = Finding::new(
            &codes::UNIT_NEEDED,
            node.span,
            say!("`{number}` needs its unit here: metres or feet?", number),
        );
        let is_possible = |unit: &Unit| {
            let size = number.parse::<f64>().ok().map(|size| unit.to_si(Kind::Length, size));
            size.is_some_and(|size| spec.possible.allows(size) && spec.possible.is_usual(size))
        };
        for unit in OF_LAND.iter().filter(|unit| is_possible(unit)).take(2) {
            let meant = format!("{number} {}", unit.symbol());
            finding = finding.fix(say!("write `{meant}`", meant), node.span, format!("\"{meant}\""));
        }
        if finding.remedies.is_empty() {
            finding = finding.help(say!("write it with its unit, such as `420 m`"));
        }
        self.report(finding);
    }

    /// Hours on a meter. With one colon they would be minutes and seconds.
    pub(super) fn hours(&mut self, node: &Node, possible: Possible) -> Option<Given> {
        let given = self.quantity(node, &[Kind::Time], possible)?;
        let Value::Text(text) = &node.value else { return Some(given) };
        if given.quantity.unit != Unit::LapTime || text.text.matches(':').count() != 1 {
            return Some(given);
        }
        let written = text.text.trim();
        // Its minutes are hours.
        let hours = (given.value() / 60.0 * 100.0).round() / 100.0;
        let meant = format!("{hours} {}", Unit::Hour.symbol());
        self.report(
            Finding::new(
                &codes::AS_CLOCK,
                node.span,
                say!("`{written}` would be minutes and seconds, and hours are wanted", written),
            )
            .fix(say!("write `{meant}`", meant), node.span, format!("\"{meant}\"")),
        );
        None
    }

    /// Refuses an aim that is outside its own band.
    pub(super) fn aim_in_its_band(&mut self, band: &mut Band) {
        let (Some(aim), Some(within)) = (band.aim, &band.within) else { return };
        let doubt = shown::doubt(&aim.quantity);
        let is_past = |end: Option<Quantity>, sign: f64| {
            end.is_some_and(|end| end.kind == aim.quantity.kind && (aim.value() - end.value) * sign > doubt)
        };
        if !is_past(within.low, -1.0) && !is_past(within.high, 1.0) {
            return;
        }
        let (aimed, range) = (shown::written(&aim.quantity), shown::range(within));
        self.report(
            Finding::new(
                &codes::AIM_OUTSIDE,
                aim.span,
                say!("the aim of {aimed} is outside its own band of {range}", aimed, range),
            )
            .see(within.span, say!("the band"))
            .help(say!("mend the one that is wrong: nobody can reach both")),
        );
        band.aim = None;
    }
}

/// What an unusual number was meant as, where there is one answer: the same number in another unit, else with its
/// decimal point elsewhere.
fn meant(written: &Quantity, possible: Possible) -> Option<Quantity> {
    // Two teeth may be a step, and no digit of a count is behind a point.
    if written.plus_minus.is_some() || written.kind.is_whole() {
        return None;
    }
    let others = written.kind.units().filter(|other| *other != written.unit);
    let in_unit = others.map(|unit| written.misread_as(unit));
    let shifted = SHIFTS.into_iter().map(|by| written.times(by));
    let usual = |all: &mut dyn Iterator<Item = Quantity>| -> Vec<Quantity> {
        all.filter(|one| possible.is_usual(one.value)).collect()
    };
    let mut found = usual(&mut in_unit.into_iter());
    if found.is_empty() {
        found = usual(&mut shifted.into_iter());
    }
    match found.as_slice() {
        [one] => Some(*one),
        _ => None,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn meant_by(text: &str, kind: Kind, low: f64, high: f64) -> Option<String> {
        let written = quantity::quantity(text, &[kind], &UnitDefaults::default()).unwrap();
        let meant = meant(&written, Possible::Usually(low, high))?;
        Some(quantity::show(&meant, &quantity::Units::default()).to_string())
    }

    #[test]
    fn a_slip_has_one_answer_or_none() {
        assert_eq!(meant_by("148.5 mm", Kind::Length, 0.6, 2.0).as_deref(), Some("148.5 cm"));
        assert_eq!(meant_by("17.5 mm", Kind::Length, 0.5e-3, 5e-3).as_deref(), Some("1.75 mm"));
        assert_eq!(meant_by("180 kg", Kind::Mass, 15.0, 160.0).as_deref(), Some("180 lb"));
        // 790 mm or 79 mm.
        assert_eq!(meant_by("7900 mm", Kind::Length, 0.0, 1.0), None);
        assert_eq!(meant_by("2", Kind::Teeth, 15.0, 100.0), None);
    }
}
