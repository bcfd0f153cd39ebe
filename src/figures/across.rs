//! Two places of a diary together: one day's pressure in another day's air, two forks on one chart.

use std::collections::BTreeMap;

use crate::book::SourceId;
use crate::physics::air::{Surroundings, taken_to};
use crate::physics::{Fork, Number as _};
use crate::quantity::Kind;
use crate::speech::say;

use super::bench::{Bench, Got, cannot};
use super::figure::{Number, Source};
use super::recorder::{Plain, Recorder};
use super::tape::{Tape, Var};

/// How many steps the common travel has where two forks share no formula.
const STEPS: u32 = 600;

/// The air at the gate, with its error sources.
#[derive(Debug, Clone, PartialEq)]
pub struct GateAir {
    /// In K.
    pub temperature: Number,
    /// Absolute, in Pa.
    pub atmosphere: Number,
}

impl GateAir {
    /// Whether a pressure is the same in both, as far as the notebooks tell.
    pub fn is_like(&self, other: &Self) -> bool {
        self.temperature.value == other.temperature.value && self.atmosphere.value == other.atmosphere.value
    }
}

impl<R: Recorder> Bench<'_, R> {
    /// The air at the gate.
    ///
    /// # Errors
    ///
    /// Where the day's conditions do not give its temperature.
    pub fn gate_air(&self) -> Got<GateAir> {
        let air = self.gate()?;
        Ok(GateAir {
            temperature: self.number(Kind::Temperature, air.temperature),
            atmosphere: self.number(Kind::AbsolutePressure, air.atmosphere),
        })
    }

    /// The riding force of the fork at a travel in m, in N, with its error sources.
    ///
    /// # Errors
    ///
    /// Where the fork's force cannot be worked out.
    pub fn fork_force_at(&self, travel: f64) -> Got<Number> {
        let all = self.fork_at_gate()?.travel().value();
        Ok(self.number(Kind::Force, self.fork_force(travel / all, true)?))
    }

    fn number(&self, kind: Kind, number: R::Number) -> Number {
        Number { kind, value: number.value(), sources: self.sources_of(number) }
    }
}

impl Bench<'_, Plain> {
    /// The travel, in m, at which the riding forces of two forks differ most; `None` where they are the same
    /// fork.
    ///
    /// # Errors
    ///
    /// Where either fork's force cannot be worked out.
    pub fn largest_fork_difference(&self, other: &Bench<'_, Plain>) -> Got<Option<f64>> {
        let (one, two) =
            ((self.fork_at_gate()?, self.ride_exponent()?), (other.fork_at_gate()?, other.ride_exponent()?));
        let common = one.0.travel().min(two.0.travel());
        let gap = |place: f64| (two.0.force(place, two.1) - one.0.force(place, one.1)).abs();
        let most = if one.1 == two.1 {
            one.0.largest_difference(&two.0, one.1, common)
        } else {
            let places = (0..=STEPS).map(|step| common * f64::from(step) / f64::from(STEPS));
            places.fold(0.0, |most, place| if gap(place) > gap(most) { place } else { most })
        };
        let size = gap(most);
        if !size.is_finite() {
            return Err(cannot(say!("the forks give no number here")));
        }
        Ok((size > SAME_FORCE * force_scale(&one.0, one.1, most)).then_some(most))
    }
}

/// A difference of forces below this share of the force comes from the arithmetic.
const SAME_FORCE: f64 = 1e-9;

fn force_scale(fork: &Fork<f64>, exponent: f64, place: f64) -> f64 {
    fork.force(place, exponent).abs().max(1.0)
}

impl Number {
    /// A gauge pressure at one gate, in Pa, as the same gas shows it at another.
    ///
    /// **Source** [`taken_to`].
    #[must_use]
    pub fn brought(&self, from: &GateAir, to: &GateAir) -> Self {
        let inputs = [self, &from.temperature, &from.atmosphere, &to.temperature, &to.atmosphere];
        Self::made_of(self.kind, inputs, |[pressure, warm, around, wanted, there]| {
            let from = Surroundings { temperature: warm, atmosphere: around };
            taken_to(pressure, from, Surroundings { temperature: wanted, atmosphere: there })
        })
    }

    /// A formula over numbers of several benches, with the error sources of all: a source that two of them have
    /// counts once.
    fn made_of<const N: usize>(
        kind: Kind,
        inputs: [&Self; N],
        formula: impl for<'t> Fn([Var<'t>; N]) -> Var<'t>,
    ) -> Self {
        let tape = Tape::new();
        let result = formula(inputs.map(|input| tape.source(input.value)));
        let mut sources: BTreeMap<&SourceId, Source> = BTreeMap::new();
        for (index, derivative) in tape.gradient(result) {
            for source in inputs.get(index).iter().flat_map(|input| &input.sources) {
                let entry = sources
                    .entry(&source.id)
                    .or_insert_with(|| Source { sensitivity: 0.0, ..source.clone() });
                entry.sensitivity += derivative * source.sensitivity;
            }
        }
        let sources = sources.into_values().filter(|source| source.sensitivity != 0.0).collect();
        Self { kind, value: result.value(), sources }
    }
}

#[cfg(test)]
mod tests {
    use super::super::figure::Cause;
    use super::*;
    use crate::speech::Message;

    fn number(kind: Kind, value: f64, source: Option<(&str, f64)>) -> Number {
        let sources = source.map(|(id, u)| Source {
            id: SourceId::everywhere(id),
            sensitivity: 1.0,
            u,
            scatter: None,
            cause: Cause::Written,
            span: None,
            nominal: value,
            label: Message::text(id),
            kind,
        });
        Number { kind, value, sources: sources.into_iter().collect() }
    }

    fn air(celsius: f64, hectopascal: f64) -> GateAir {
        GateAir {
            temperature: number(Kind::Temperature, celsius + 273.15, Some(("thermometer", 0.5))),
            atmosphere: number(Kind::AbsolutePressure, hectopascal * 100.0, None),
        }
    }

    #[test]
    fn a_pressure_is_brought_by_hand_and_back_again() {
        let pressure = number(Kind::GaugePressure, 1_300_000.0, Some(("gauge", 2000.0)));
        let (cold, warm) = (air(5.0, 1000.0), air(25.0, 950.0));
        let brought = pressure.brought(&cold, &warm);
        // Ideal gas at constant volume, by hand: (1.3 MPa + 0.1 MPa) · 298.15 / 278.15 − 0.095 MPa.
        assert!((brought.value - (1.4e6 * 298.15 / 278.15 - 9.5e4)).abs() < 1e-6);
        let back = brought.brought(&warm, &cold);
        assert!((back.value - pressure.value).abs() < 1e-6);
        // Back at its gate, only the gauge is uncertain.
        assert!((back.standard().unwrap() - 2000.0).abs() < 1e-6);
    }

    #[test]
    fn one_thermometer_is_one_error_source() {
        let pressure = number(Kind::GaugePressure, 1_300_000.0, None);
        let brought = pressure.brought(&air(5.0, 1000.0), &air(25.0, 1000.0));
        // d/dT of P (T2 + e)/(T1 + e) at e = 0: P (T1 − T2)/T1², by hand.
        let slope = 1.4e6 * (278.15 - 298.15) / (278.15 * 278.15);
        assert_eq!(brought.sources.len(), 1);
        assert!((brought.sources[0].sensitivity - slope).abs() < 1e-6 * slope.abs());
    }
}
