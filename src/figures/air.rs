//! The day's air, and what the engine needs in it.

use crate::book::{Day, Notebook};
use crate::physics::{Number, engine, weather};
use crate::season::Gate;
use crate::speech::say;
use crate::vocabulary::blocks::{BY_FLOW, Carburettor, Conditions, TrackBlock};
use crate::vocabulary::values::{Given, Written};

use super::assumptions;
use super::bench::{Bench, Got, Origin, Part, cannot, missing};
use super::recorder::Recorder;

/// The air of a day, at one place of its notebook.
#[derive(Clone, Copy)]
pub(super) struct DayAir<'a> {
    day: Option<&'a Day>,
    track: Option<&'a Notebook>,
    conditions: Option<&'a Conditions>,
}

impl<'a> DayAir<'a> {
    fn conditions(&self, key: &str) -> Got<&'a Conditions> {
        self.conditions.ok_or_else(|| missing("conditions", key, "day"))
    }

    /// Whether the notebook says nothing of the air.
    pub fn is_unknown(&self) -> bool {
        self.conditions.is_none()
    }
}

impl<'a, R: Recorder> Bench<'a, R> {
    /// The air here.
    pub(super) fn air_here(&self) -> DayAir<'a> {
        self.air_at(self.here.state.gate())
    }

    /// The air at a gate of this day or another.
    pub(super) fn air_at(&self, gate: &'a Gate) -> DayAir<'a> {
        let day = gate.day.and_then(|day| self.here.book.days.get(day));
        let track = day.and_then(|day| self.here.book.track(day));
        DayAir { day, track, conditions: gate.conditions.as_deref() }
    }

    /// The air temperature of a day, in K.
    pub(super) fn air_temperature(&self, day: DayAir<'a>) -> Got<R::Number> {
        let conditions = day.conditions(Conditions::air)?;
        let air = conditions.air.as_ref().ok_or_else(|| missing("conditions", Conditions::air, "day"))?;
        Ok(self.temperature(air, Conditions::air, conditions.thermometer.as_ref()))
    }

    /// A temperature read on a block's thermometer or the usual one, in K.
    pub(super) fn temperature(&self, given: &Given, label: &str, named: Option<&Written>) -> R::Number {
        self.read_once(given, label, named.or(self.here.book.about.thermometer.as_ref()))
    }

    /// A height above sea level read on a block's altimeter or the usual one, in m.
    pub(super) fn elevation(&self, given: &Given, label: &str, named: Option<&Written>) -> R::Number {
        self.read_once(given, label, named.or(self.here.book.about.altimeter.as_ref()))
    }

    /// Height of a day's gate above sea level, in m: the day's, else the track's, named as assumed.
    fn gate_elevation(&self, day: DayAir<'a>) -> Option<R::Number> {
        if let Some((conditions, elevation)) =
            day.conditions.and_then(|conditions| Some((conditions, conditions.elevation.as_ref()?)))
        {
            return Some(self.elevation(elevation, Conditions::elevation, conditions.altimeter.as_ref()));
        }
        let track = day.track?.track_block()?;
        let elevation = track.elevation?;
        self.assume_text(say!("at the track's height"));
        Some(self.given(&elevation, Origin { header: &track.header, key: TrackBlock::elevation }))
    }

    /// Air pressure at the gate, absolute, in Pa.
    pub(super) fn gate_atmosphere(&self) -> R::Number {
        self.atmosphere(self.air_here())
    }

    /// Air pressure at a day's gate, absolute, in Pa.
    pub(super) fn atmosphere(&self, day: DayAir<'a>) -> R::Number {
        let file = day.day.map(|day| day.notebook.document.file);
        let got = self.part(Part::Atmosphere(file, day.conditions.map(|it| it.header.span)), |bench| {
            if let Some((conditions, pressure)) =
                day.conditions.and_then(|conditions| Some((conditions, conditions.pressure.as_ref()?)))
            {
                let usual = bench.here.book.about.barometer.as_ref();
                let barometer = conditions.barometer.as_ref().or(usual);
                return Ok(bench.read_once(pressure, Conditions::pressure, barometer));
            }
            let elevation = bench.gate_elevation(day);
            Ok(bench.at_height(bench.sea_level(day), elevation))
        });
        got.unwrap_or_else(|_| self.standard_pressure(day))
    }

    /// A day's pressure at sea level, in Pa: as given, else the standard, named as assumed.
    fn sea_level(&self, day: DayAir<'a>) -> R::Number {
        match day.conditions.and_then(|conditions| conditions.sea_level_pressure.as_ref()) {
            // It comes from a forecast, not from an instrument of the rider's.
            Some(pressure) => self.read_once(pressure, Conditions::sea_level_pressure, None),
            None => self.standard_pressure(day),
        }
    }

    /// One error for each day: the weather differs from day to day.
    fn standard_pressure(&self, day: DayAir<'a>) -> R::Number {
        self.assume_on(&assumptions::STANDARD_PRESSURE, day.day)
    }

    fn at_height(&self, sea_level: R::Number, elevation: Option<R::Number>) -> R::Number {
        match elevation {
            Some(elevation) => weather::station_pressure(sea_level, elevation),
            None => sea_level,
        }
    }

    /// Air pressure at another height on a day, absolute, in Pa; at the gate's own where no height is given.
    pub(super) fn atmosphere_at(&self, day: DayAir<'a>, elevation: Option<R::Number>) -> R::Number {
        let Some(elevation) = elevation else { return self.atmosphere(day) };
        let given = day.conditions.and_then(|conditions| conditions.pressure.as_ref());
        match (given, self.gate_elevation(day)) {
            // The station's pressure gives the one at sea level, and that gives the one elsewhere.
            (Some(_), Some(gate)) => {
                let sea_level = weather::sea_level_pressure(self.atmosphere(day), gate);
                self.at_height(sea_level, Some(elevation))
            }
            (Some(_), None) => self.atmosphere(day),
            (None, _) => self.at_height(self.sea_level(day), Some(elevation)),
        }
    }

    /// The day's air: pressure in Pa, temperature in K, relative humidity.
    fn moist_air(&self) -> Got<(R::Number, R::Number, R::Number)> {
        let day = self.air_here();
        let temperature = self.air_temperature(day)?;
        let conditions = day.conditions(Conditions::humidity)?;
        if conditions.pressure.is_none() {
            self.may_assume(&conditions.header, Conditions::pressure)?;
            if conditions.sea_level_pressure.is_none() {
                self.may_assume(&conditions.header, Conditions::sea_level_pressure)?;
            }
        }
        let humidity =
            conditions.humidity.as_ref().ok_or_else(|| missing("conditions", Conditions::humidity, "day"))?;
        let hygrometer = conditions.hygrometer.as_ref().or(self.here.book.about.hygrometer.as_ref());
        let humidity = self.read_once(humidity, Conditions::humidity, hygrometer);
        Ok((self.gate_atmosphere(), temperature, humidity))
    }

    /// Density of the day's air, in kg/m³.
    pub(super) fn air_density(&self) -> Got<R::Number> {
        self.part(Part::AirDensity, |bench| {
            let (pressure, temperature, humidity) = bench.moist_air()?;
            Ok(weather::air_density(pressure, temperature, humidity))
        })
    }

    pub(super) fn relative_density(&self) -> Got<R::Number> {
        Ok(weather::relative_density(self.air_density()?))
    }

    /// Density altitude, in m.
    pub(super) fn density_altitude(&self) -> Got<R::Number> {
        weather::density_altitude(self.air_density()?)
            .ok_or_else(|| cannot(say!("the standard atmosphere is nowhere as thin")))
    }

    fn dry_pressure(&self) -> Got<(R::Number, R::Number)> {
        let (pressure, temperature, humidity) = self.moist_air()?;
        Ok((weather::dry_pressure(pressure, temperature, humidity), temperature))
    }

    pub(super) fn power_sae(&self) -> Got<R::Number> {
        let (dry, temperature) = self.dry_pressure()?;
        if !engine::sae_j1349_covers(dry.value(), temperature.value()) {
            self.assume_text(say!("outside the range of SAE J1349"));
        }
        Ok(engine::sae_j1349(dry, temperature))
    }

    pub(super) fn power_iso(&self) -> Got<R::Number> {
        let (dry, temperature) = self.dry_pressure()?;
        if !engine::iso_1585_covers(dry.value(), temperature.value()) {
            self.assume_text(say!("outside the range of ISO 1585"));
        }
        Ok(engine::iso_1585(dry, temperature))
    }

    fn carburettor(&self) -> Got<&'a Carburettor> {
        self.machine()?.carburettor().ok_or_else(|| missing("carburettor", Carburettor::main, "machine"))
    }

    /// The ideal number of the main jet.
    pub(super) fn jet_for_air(&self) -> Got<R::Number> {
        self.part(Part::JetForAir, |bench| {
            let block = bench.carburettor()?;
            let origin = |key| Origin { header: &block.header, key };
            let need = |key| missing("carburettor", key, "machine");
            let main = block.main.as_ref().ok_or_else(|| need(Carburettor::main))?;
            let air = block.tuned_air.as_ref().ok_or_else(|| need(Carburettor::tuned_air))?;
            let pressure = block.tuned_pressure.as_ref().ok_or_else(|| need(Carburettor::tuned_pressure))?;
            let numbering = block.numbering.as_ref().ok_or_else(|| need(Carburettor::numbering))?;
            let humidity = match &block.tuned_humidity {
                Some(humidity) => bench.given(humidity, origin(Carburettor::tuned_humidity)),
                None => {
                    bench.assume_text(say!("tuned in dry air"));
                    R::Number::constant(0.0)
                }
            };
            let tuned = weather::air_density(
                bench.given(pressure, origin(Carburettor::tuned_pressure)),
                bench.given(air, origin(Carburettor::tuned_air)),
                humidity,
            );
            let numbering =
                if numbering.text == BY_FLOW { engine::Numbering::Flow } else { engine::Numbering::Diameter };
            let main = bench.given(main, origin(Carburettor::main));
            Ok(engine::jet_for_air(main, bench.air_density()? / tuned, numbering))
        })
    }

    /// The nearest jet on hand that is not leaner.
    pub(super) fn jet_on_hand(&self) -> Got<R::Number> {
        let block = self.carburettor()?;
        let hand =
            block.on_hand.as_ref().ok_or_else(|| missing("carburettor", Carburettor::on_hand, "machine"))?;
        self.rests_on(hand.span);
        let numbers: Vec<f64> = hand.values.iter().map(Given::value).collect();
        let ideal = self.jet_for_air()?;
        // A jet is one or another: it has no uncertainty.
        engine::jet_on_hand(ideal.value(), &numbers)
            .map(R::Number::constant)
            .ok_or_else(|| cannot(say!("every jet on hand is leaner than this air asks for")))
    }
}
