//! Springs on hand side by side, and bare coils from their measurements.

use crate::physics::{Number, springs};
use crate::quantity::{Kind, Quantity};
use crate::speech::say;
use crate::vocabulary::blocks::{CHROME_SILICON, Coil};
use crate::vocabulary::figures::FigureId;
use crate::vocabulary::name::OfEnd;
use crate::vocabulary::{End, FigureName, Setting};

use super::bench::{Bench, Got, Origin, cannot, missing_at};
use super::figure::Figure;
use super::formula;
use super::recorder::Recorder;
use super::spring::floating;

/// Shear modulus of music wire, Pa. **Source** ASTM A228 wire, 11.5 million psi; from memory.
const MUSIC_WIRE_MODULUS: f64 = 79.3e9;
/// Shear modulus of chrome-silicon wire, Pa. **Source** Shigley, *Mechanical Engineering Design*, mechanical
/// properties of spring wires, A401; from memory.
const CHROME_SILICON_MODULUS: f64 = 77.2e9;
/// How far off a wire's modulus may be (k = 2), as a share. This project's own judgement.
const MODULUS_SPREAD: f64 = 0.02;

/// A spring that could be fitted, and what it would give.
#[derive(Debug, Clone, PartialEq)]
pub struct SpringOnHand {
    /// As written.
    pub rate: Quantity,
    /// The preload for the wanted rider sag; below zero for a spring that is too stiff.
    pub preload: Figure,
    /// Static sag at that preload.
    pub static_sag: Figure,
    /// Whether the collar can be turned that far.
    pub is_within_reach: bool,
    /// Rider sag at the preload that comes nearest within the collar's reach.
    pub rider_sag: Figure,
}

impl<R: Recorder> Bench<'_, R> {
    /// Every spring on hand at an end, in the order of the notebook.
    ///
    /// # Errors
    ///
    /// Where an input is missing: the rates, the aim of the rider sag, loads, the linkage.
    pub fn springs_on_hand(&self, end: End) -> Got<Vec<SpringOnHand>> {
        let (candidates, assumed, from) = self.observed(|bench| bench.candidates(end));
        let candidates = candidates?;
        let (least, most) = self.preload_limits(end);
        let rates = self.machine()?.springs(end).and_then(|springs| springs.rates.as_ref());
        let rates = rates.map(|rates| rates.values.as_slice()).unwrap_or_default();
        let figure = |row: OfEnd<FigureId>, got: Got<R::Number>| {
            let name = row.of(end);
            let mut figure = self.told(name, Kind::Length, &formula::ON_HAND, |_| got);
            figure.assumed.clone_from(&assumed);
            figure.from.clone_from(&from);
            figure
        };
        let springs = candidates.iter().zip(rates).map(|(candidate, given)| {
            let preload = candidate.preload;
            let is_within_reach = (least..=most).contains(&preload.value());
            // It is set exactly so on the collar: only what the machine then does is uncertain.
            let reached = R::Number::constant(preload.value().max(least).min(most));
            SpringOnHand {
                rate: given.quantity,
                preload: figure(FigureName::SPRING_PRELOAD_WANTED, Ok(preload)),
                static_sag: figure(FigureName::SPRING_STATIC_THEN, floating(candidate.alone)),
                is_within_reach,
                rider_sag: figure(FigureName::SAG_RIDER, self.rider_sag_with(end, candidate.rate, reached)),
            }
        });
        Ok(springs.collect())
    }

    /// A setting in force, in the SI base unit of its kind; `None` for words and where none is set.
    pub fn setting_value(&self, name: Setting) -> Option<f64> {
        self.here.state.setting(name)?.value.number()
    }

    /// The rate of a bare coil from its wire, its diameter and its turns.
    pub fn coil_rate(&self, coil: &Coil) -> Figure {
        let end = coil.header.end().unwrap_or(End::Rear);
        let name = FigureName::SPRING_RATE_FITTED.of(end);
        self.told(name, Kind::Rate, &formula::COIL, |bench| {
            let origin = |key| Origin { header: &coil.header, key };
            let need = |key| missing_at(coil.header.word, end, key, "machine");
            let wire = coil.wire.as_ref().ok_or_else(|| need(Coil::wire))?;
            let wire = bench.given(wire, origin(Coil::wire));
            let mean = match (&coil.mean, &coil.outside) {
                (Some(mean), _) => bench.given(mean, origin(Coil::mean)),
                (None, Some(outside)) => bench.given(outside, origin(Coil::outside)) - wire,
                (None, None) => return Err(need(Coil::outside)),
            };
            if mean.value() <= wire.value() {
                return Err(cannot(say!("the coil is no wider than its wire")));
            }
            let turns = coil.active_coils.as_ref().ok_or_else(|| need(Coil::active_coils))?;
            let turns = bench.given(turns, origin(Coil::active_coils));
            let material = coil.material.as_ref().ok_or_else(|| need(Coil::material))?;
            let modulus =
                if material.text == CHROME_SILICON { CHROME_SILICON_MODULUS } else { MUSIC_WIRE_MODULUS };
            let spread =
                bench.model_spread("shear modulus", MODULUS_SPREAD, say!("shear modulus within 2 %"));
            Ok(springs::coil_rate(spread * modulus, wire, mean, turns))
        })
    }
}
