//! Springs on hand side by side, and bare coils from their measurements.

use crate::physics::{Number, springs};
use crate::quantity::{Kind, Quantity};
use crate::speech::say;
use crate::vocabulary::blocks::{CHROME_SILICON, Coil, Springs};
use crate::vocabulary::figures::FigureId;
use crate::vocabulary::name::OfEnd;
use crate::vocabulary::{End, FigureName, Load, Setting};

use super::bench::{Bench, Got, Origin, cannot, missing, missing_at};
use super::figure::Figure;
use super::formula;
use super::recorder::Recorder;
use super::rejected::if_unwritten;
use super::spring::{Fit, floating};
use super::springs::Moment;

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

/// How far the sags read last are from the model.
#[derive(Clone, Copy)]
struct OffTheModel<N> {
    /// What one spring really carries less than the model has it carry, with the rider aboard, in N.
    force: N,
    /// The static sag read less the model's, in m; `None` where it was not read, or the model has none.
    alone: Option<N>,
}

impl<R: Recorder> Bench<'_, R> {
    /// Every spring on hand at an end, in the order of the notebook.
    ///
    /// # Errors
    ///
    /// Where an input is missing: the rates, the aim of the rider sag, loads, the linkage.
    pub fn springs_on_hand(&self, end: End) -> Got<Vec<SpringOnHand>> {
        let (got, assumed, from) =
            self.observed(|bench| Ok((bench.candidates(end)?, bench.off_the_model(end)?)));
        let (candidates, off) = got?;
        let off = off.map(|off| off.force);
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
            // The model counts as the readings show it to be off.
            let by_model = off.map_or(reached, |force| reached - force / candidate.rate);
            SpringOnHand {
                rate: given.quantity,
                preload: figure(FigureName::SPRING_PRELOAD_WANTED, Ok(preload)),
                static_sag: figure(FigureName::SPRING_STATIC_THEN, floating(candidate.alone)),
                is_within_reach,
                rider_sag: figure(FigureName::SAG_RIDER, self.rider_sag_with(end, candidate.rate, by_model)),
            }
        });
        Ok(springs.collect())
    }

    /// How far the sags read last are from the model; `None` where there is no reading to go by.
    fn off_the_model(&self, end: End) -> Got<Option<OffTheModel<R::Number>>> {
        if if_unwritten(self.sag(end, Load::Rider))?.is_none() {
            return Ok(None);
        }
        let (Ok(wanted), Ok(by_model), Ok(rate)) = (
            self.aimed_preload(end),
            self.model_preload(end, self.needs_aim(end)?),
            self.setting(Self::spring_setting(end)),
        ) else {
            return Ok(None);
        };
        let read = if_unwritten(self.sag(end, Load::Static))?;
        let then = self.static_by_model(end);
        Ok(Some(OffTheModel {
            force: (wanted - by_model) * rate,
            alone: read.zip(then.ok()).map(|(read, then)| read - then),
        }))
    }

    /// Every spring on hand, preloaded for the wanted rider sag: by the readings, where there are any.
    pub fn candidates(&self, end: End) -> Got<Vec<springs::Candidate<R::Number>>> {
        let hand = self.machine()?.springs(end);
        let rates = hand.and_then(|springs| springs.rates.as_ref());
        let rates = rates.ok_or_else(|| missing_at("springs", end, Springs::rates, "machine"))?;
        self.rests_on(rates.span);
        let wanted = self.needs_aim(end)?;
        let alone = self.spring_load(end, Load::Static, Moment::Now)?;
        let aboard = self.spring_load(end, Load::Rider, Moment::Now)?;
        let seat = self.seat(end, Moment::Now)?;
        let read = self.off_the_model(end)?;
        let candidate = |rate: R::Number| {
            let by_model = seat.preload_for(rate, aboard, wanted)?;
            let spring =
                |preload| self.spring(end, Moment::Now, Fit { rate: Some(rate), preload: Some(preload) });
            let preload = read.as_ref().map_or(by_model, |read| by_model + read.force / rate);
            let rest = spring(by_model)?.rest(alone)?;
            let read_alone = read.as_ref().and_then(|read| read.alone).map(|read| {
                let set = spring(preload)?;
                Ok(set.rest_of(read + set.sag(alone)?))
            });
            // Where the model has no sag to count from, its own rest is all that is known.
            let alone = read_alone.and_then(|got: Got<_>| got.ok()).unwrap_or(rest);
            Ok(springs::Candidate { rate, preload, alone })
        };
        rates.values.iter().map(|given| candidate(R::Number::constant(given.value()))).collect()
    }

    /// The rate on hand whose static sag comes nearest the middle of its band.
    pub(super) fn best_rate(&self, end: End) -> Got<R::Number> {
        let candidates = self.candidates(end)?;
        let name = FigureName::SAG_STATIC.of(end);
        let band = self
            .within(name)
            .ok_or_else(|| missing("band", &format!("{name} = {{ within = … }}"), "machine"))?;
        let best = springs::best(&candidates, band, self.preload_limits(end));
        let best = best.and_then(|index| candidates.get(index));
        best.map(|candidate| candidate.rate)
            .ok_or_else(|| cannot(say!("no spring on hand can be preloaded for the wanted sag")))
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
